package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func logFile(t *testing.T, text string) string {
	t.Helper()
	name := filepath.Join(t.TempDir(), "cook.csv")
	require.NoError(t, os.WriteFile(name, []byte(text), 0o600))
	return name
}

const heldLog = `time,temp_f
2026-11-24T11:00:00Z,40
2026-11-24T11:05:00Z,131
2026-11-24T11:05:30.3Z,161
2026-11-24T11:05:44Z,161.0
`

func TestAssessCookPrintsWhatCameOfIt(t *testing.T) {
	file := logFile(t, heldLog)
	ask := func(args ...string) map[string]any {
		code, out, trouble := told(append([]string{"assess", "cook", file}, args...)...)
		require.Equal(t, exitDone, code, trouble)
		require.Empty(t, trouble)
		var got map[string]any
		require.NoError(t, json.Unmarshal([]byte(out), &got), out)
		return got
	}
	got := ask("--species", "chicken", "--fat", "1", "--probe-error", "1.0") // 160 degF for 13.7 s, exactly
	require.Equal(t, true, got["met"])
	require.Equal(t, false, got["instant"])
	require.InDelta(t, 160, got["held_at_f"], 0)
	require.InDelta(t, 7, got["required"], 0)
	require.InDelta(t, 7, got["log10_reduction"], 0.001)
	require.Greater(t, got["log10_reduction_linear"], got["log10_reduction"])
	require.Contains(t, got["source"], "Table 3")
	require.Equal(t, map[string]any{"met": true, "seconds": 300.0, "limit_seconds": 21600.0, "from_f": 50.0, "to_f": 130.0}, got["comeup"])
	require.Equal(t, []any{"Gaps of more than a minute between readings: 1, the longest 5\u00a0min."}, got["warnings"].([]any)[:1])
	require.Equal(t, map[string]any{"at_f": 160.0, "seconds": 13.7, "dwell_seconds": 13.7, "from_line": 4.0, "to_line": 5.0}, got["run"])
	require.Contains(t, got["says"], "Limit met: 13.7\u00a0s at 160\u00a0°F or hotter without a break; the table asks for 13.7\u00a0s: met by 0\u00a0s.")

	for _, args := range [][]string{
		{"--species", "chicken", "--fat", "1", "--probe-error", "1.01"}, {"--species", "chicken", "--fat", "1.0000001", "--probe-error", "1"},
		{"--species", "chicken", "--fat", "2", "--probe-error", "1"}, {"--species=turkey", "--fat=0.5", "--probe-error-c=0.5"},
	} {
		got = ask(args...)
		require.Equal(t, false, got["met"], args)
		require.Nil(t, got["held_at_f"], args)
	}
	require.Equal(t, true, ask("--species", "chicken", "--fat", "1", "--probe-error-c", "0.55555")["met"])
	require.Equal(t, false, ask("--species", "chicken", "--fat", "1", "--probe-error-c", "0.55556")["met"])
	require.Contains(t, ask("--species", "CHICKEN", "--fat", "7.5", "--lang", "es")["warnings"], "Grasa entre 7 % y 8 %: se tomó el tiempo más largo.")

	file = logFile(t, "temp_c,time\n72.3,2026-11-24T11:05:44.0001Z\n")
	got = ask("--species", "chicken", "--fat", "6")
	require.Equal(t, true, got["met"])
	require.Equal(t, true, got["instant"])
	require.Nil(t, got["held_at_f"])
	require.InDelta(t, 7, got["log10_reduction"], 0)
	require.Nil(t, got["comeup"].(map[string]any)["met"])
	require.Contains(t, got["warnings"], "Times finer than a thousandth of a second were cut.")
}

func TestAssessCookRefusesInOneSentence(t *testing.T) {
	good := logFile(t, heldLog)
	for want, args := range map[string][]string{
		"absent.csv cannot be read: no such file or directory.": {filepath.Join(t.TempDir(), "absent.csv"), "--species=chicken", "--fat=7"},
		"the file cannot be read: read ":                        {t.TempDir(), "--species=chicken", "--fat=7"},
		"--species duck has no published table":                 {good, "--species=duck", "--fat=7"},
		"--species is missing":                                  {good, "--fat=7"},
		"--fat is missing":                                      {good, "--species=turkey"},
		"--fat 12.0001 is above 12 %":                           {good, "--species=turkey", "--fat=12.0001"},
		"--fat 90000 is above 12 %":                             {good, "--species=turkey", "--fat=90000"},
		"--fat NaN is not a number":                             {good, "--species=turkey", "--fat=NaN"},
		"--fat -1 is not a number":                              {good, "--species=turkey", "--fat=-1"},
		"--probe-error and --probe-error-c are both given":      {good, "--species=turkey", "--fat=1", "--probe-error=1", "--probe-error-c=1"},
		"the probe's error -1 is not a number of degrees":       {good, "--species=turkey", "--fat=1", "--probe-error=-1"},
		"the probe's error 10.1 is not a number of degrees":     {good, "--species=turkey", "--fat=1", "--probe-error-c=10.1"},
		"the file is empty":                                     {logFile(t, ""), "--species=turkey", "--fat=1"},
		"holds no readings below its first line":                {logFile(t, "time,temp_c\n"), "--species=turkey", "--fat=1"},
		"both temp_f and temp_c":                                {logFile(t, "time,temp_c,temp_f\n"), "--species=turkey", "--fat=1"},
		"no column temp_f or temp_c":                            {logFile(t, "time,core\n"), "--species=turkey", "--fat=1"},
		`row 1 (line 2): temp_c is "NaN"`:                       {logFile(t, "time,temp_c\n2026-11-24T11:05:44Z,NaN\n"), "--species=turkey", "--fat=1"},
		`row 2 (line 3): temp_c is "hot", which is not a number such as 71.5; rows 3, 4 cannot be read either`: {
			logFile(t, "time,temp_c\n2026-11-24T11:05:44Z,1\n2026-11-24T11:05:45Z,hot\n2026-11-24T11:05:45Z,\n,1\n"), "--species=turkey", "--fat=1"},
		"row 2 (line 3): the time \"2026-11-24T11:05:44Z\" is not later": {
			logFile(t, "time,temp_c\n2026-11-24T11:05:44Z,1\n2026-11-24T11:05:44Z,2\n"), "--species=turkey", "--fat=1"},
	} {
		code, out, trouble := told(append([]string{"assess", "cook"}, args...)...)
		require.Equal(t, exitFaults, code, want)
		require.Empty(t, out, want)
		require.Contains(t, trouble, want)
		require.Equal(t, 1, strings.Count(trouble, "\n"), "one sentence: %q", trouble)
	}
}
