package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestPlan(t *testing.T) {
	out := filepath.Join(t.TempDir(), "plan.json")
	code, said, trouble := told("plan", "--instance", "../../testdata/plan/tiny.json", "--out", out, "--moves", "60000")
	require.Equal(t, exitDone, code, trouble)
	require.Contains(t, said, "costs 3.12, no plan costs less than ")
	first, err := os.ReadFile(out)
	require.NoError(t, err)
	require.Contains(t, string(first), `"instance":"tiny","objective":3.12,"bound":`)
	code, _, trouble = told("plan", "--instance", "../../testdata/plan/tiny.json", "--out", out, "--moves", "60000")
	require.Equal(t, exitDone, code, trouble)
	again, err := os.ReadFile(out)
	require.NoError(t, err)
	require.Equal(t, string(first), string(again), "the same number of moves makes the same plan")
}

func TestPlanThatCannotBeMade(t *testing.T) {
	folder := t.TempDir()
	broken := filepath.Join(folder, "broken.json")
	require.NoError(t, os.WriteFile(broken, []byte(`{"format":"other"}`), 0o600))
	tiny := "../../testdata/plan/tiny.json"
	for _, c := range []struct {
		says string
		args []string
	}{
		{"--instance is missing", []string{"--out", "x"}},
		{"--out is missing", []string{"--instance", tiny}},
		{"--time must be longer", []string{"--instance", tiny, "--out", "x", "--time", "0s"}},
		{"none.json cannot be read", []string{"--instance", filepath.Join(folder, "none.json"), "--out", "x"}},
		{"format: must be brinebell-plan/1", []string{"--instance", broken, "--out", "x"}},
		{"the plan cannot be written", []string{"--instance", tiny, "--out", filepath.Join(folder, "no", "x"), "--moves", "10"}},
	} {
		code, _, trouble := told(append([]string{"plan"}, c.args...)...)
		require.Equal(t, exitFaults, code, c.says)
		require.Contains(t, trouble, c.says)
	}
}
