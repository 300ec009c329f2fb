package main

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// assessed runs an assessment that has an answer and reads it.
func assessed(t *testing.T, what, text string, args ...string) map[string]any {
	t.Helper()
	code, out, trouble := told(append([]string{"assess", what, logFile(t, text)}, args...)...)
	require.Equal(t, exitDone, code, trouble)
	require.Empty(t, trouble)
	var got map[string]any
	require.NoError(t, json.Unmarshal([]byte(out), &got), out)
	return got
}

// rows writes a log of readings at times of one day.
func rows(column string, pairs ...string) string {
	text := "time," + column + "\n"
	for i := 0; i < len(pairs); i += 2 {
		text += "2026-11-24T" + pairs[i] + "Z," + pairs[i+1] + "\n"
	}
	return text
}

// Food Code 3-501.14: 135 to 70 °F in 2 h, to 41 °F in 6 h in all, to the second and to the tenth of a degree.
func TestAssessCoolAtTheBoundaries(t *testing.T) {
	for _, c := range []struct {
		log                          string
		stage1, total                float64
		stage1Met, totalMet, overall bool
	}{
		{rows("temp_f", "10:00:00", "135", "12:00:00", "70", "16:00:00", "41"), 7200, 21600, true, true, true},
		{rows("temp_f", "10:00:00", "135.0", "12:00:01", "70", "16:00:00", "41"), 7201, 21600, false, true, false},
		{rows("temp_f", "10:00:00", "135", "12:00:00", "70.1", "12:30:00", "70", "16:00:00", "41"), 9000, 21600, false, true, false},
		{rows("temp_f", "10:00:00", "135", "12:00:00", "70", "16:00:01", "41"), 7200, 21601, true, false, false},
		{rows("temp_f", "10:00:00", "135", "12:00:00", "70", "16:00:00", "41.1"), 7200, 21600, true, false, false},
		{rows("temp_f", "09:00:00", "140", "10:00:00", "134.9", "11:00:00", "70", "15:00:00", "41"), 7200, 21600, true, true, true},
		{rows("temp_f", "09:00:00", "140", "10:00:00", "135", "12:00:00.5", "70", "15:00:00", "41"), 7200.5, 18000, false, true, false},
		{rows("temp_f", "10:00:00", "120", "11:00:00", "70", "12:00:00", "41"), 3600, 7200, true, true, true},
		{rows("temp_f", "10:00:00", "140"), 0, 0, false, false, false},
		{rows("temp_c", "10:00:00", "57.3", "12:00:00", "21.1", "16:00:00", "5"), 7200, 21600, true, true, true},
		{rows("temp_c", "09:00:00", "60", "10:00:00", "57.2", "11:30:00", "21.1", "15:30:00", "5"), 9000, 23400, false, false, false},
		{rows("temp_c", "10:00:00", "57.3", "12:00:00", "21.2", "16:00:00", "5"), 21600, 21600, false, true, false},
	} {
		got := assessed(t, "cool", c.log)
		require.InDelta(t, c.stage1, got["stage1_seconds"], 0, c.log)
		require.InDelta(t, c.total, got["total_seconds"], 0, c.log)
		require.Equal(t, []any{c.stage1Met, c.totalMet, c.overall}, []any{got["stage1_met"], got["total_met"], got["met"]}, c.log)
		require.Equal(t, "food-code", got["rule"])
		require.Equal(t, "FDA Food Code, 3-501.14(A) (2022)", got["source"])
	}
}

func TestAssessCoolByOtherRules(t *testing.T) {
	log := rows("temp_f", "10:00:00", "130", "11:30:00", "80", "14:00:00", "41", "16:30:00", "40")
	got := assessed(t, "cool", log, "--rule", "fsis-1")
	require.Equal(t, true, got["met"])
	require.Equal(t, map[string]any{
		"from_f": 80.0, "to_f": 40.0, "seconds": 18000.0, "limit_seconds": 18000.0, "reached": true, "met": true,
	}, got["marks"].([]any)[1])
	got = assessed(t, "cool", log, "--rule", "food-code-ambient")
	require.Equal(t, true, got["met"], "four hours to 41 °F exactly")
	require.Equal(t, got["total_seconds"], got["stage1_seconds"])
	got = assessed(t, "cool", strings.Replace(log, "14:00:00", "14:00:01", 1), "--rule", "food-code-received")
	require.Equal(t, false, got["met"])
	require.Contains(t, got["source"], "3-501.14(C)")
	got = assessed(t, "cool", log, "--rule", "fsis-3", "--lang", "es")
	require.Equal(t, true, got["met"])
	require.Contains(t, got["source"], "de memoria")
	require.Contains(t, got["warnings"], "Esta regla es de memoria: compruébala antes de fiarte.")
	got = assessed(t, "cool", log, "--rule", "fsis-2")
	require.Equal(t, false, got["met"], "the log begins at 130 °F, and 120 to 80 took more than an hour by the readings")
	require.Nil(t, got["marks"].([]any)[2].(map[string]any)["limit_seconds"])
}

func TestAssessCoolWarns(t *testing.T) {
	got := assessed(t, "cool", rows("temp_f", "10:00:00", "120", "10:40:00", "100"))
	require.Equal(t, []any{
		"The log begins at 120.0\u00a0°F, below the rule's start of 135 °F: what passed before is not counted.",
		"70 °F was never reached: its time counts to the end of the log.",
		"Readings are up to 40\u00a0min apart: what was between them is not known.",
	}, got["warnings"])
	require.Equal(t, []any{"faster: Cool it faster: smaller portions, shallow pans, ice bath.", "calllead: Call the lead, who decides."}, got["actions"])
	require.Equal(t, []any{
		"Limit not met: 70 °F not reached in 40\u00a0min.", "Limit not met: 41 °F not reached in 40\u00a0min.", "Follow your local code.",
	}, got["says"])
	got = assessed(t, "cool", rows("temp_f", "10:00:00", "135", "12:00:01", "70", "15:00:00", "41"))
	require.Equal(t, []any{
		"Limit not met: 70 °F after 2\u00a0h\u00a01\u00a0s, of at most 2\u00a0h: 1\u00a0s over.",
		"Limit met: 41 °F after 5\u00a0h, of at most 6\u00a0h: 1\u00a0h to spare.", "Follow your local code.",
	}, got["says"])
	got = assessed(t, "cool", rows("temp_f", "10:00:00", "135", "10:10:00", "60", "10:20:00", "41", "10:30:00", "50"))
	require.Equal(t, []any{"It rose above 41 °F again after it had been reached."}, got["warnings"])
	got = assessed(t, "cool", rows("temp_c", "10:00:00", "60"))
	require.Equal(t, "The last reading is still at or above 135 °F: the cooling has not begun.", got["warnings"].([]any)[0])
}

// A limit is held when every reading is within it; between two readings of which either is off all of the time is off.
func TestAssessHold(t *testing.T) {
	hot := rows("temp_f", "10:00:00", "140", "10:10:00", "135", "10:20:00", "134.9", "10:30:00", "135", "10:40:00", "150")
	got := assessed(t, "hold", hot)
	require.Equal(t, false, got["met"])
	require.InDelta(t, 1200, got["off_seconds"], 0, "from the last reading within to the next")
	require.InDelta(t, 1200, got["longest_seconds"], 0)
	require.InDelta(t, 1, got["readings_off"], 0)
	require.InDelta(t, 134.9, got["worst_f"], 0)
	require.Equal(t, "FDA Food Code, 3-501.16(A)(1) (2022)", got["source"])
	require.Equal(t, []any{map[string]any{
		"from": "2026-11-24T10:10:00Z", "to": "2026-11-24T10:30:00Z", "seconds": 1200.0, "worst_f": 134.9, "goes_on": false,
	}}, got["runs"])
	require.Equal(t, []any{
		"Limit not met: off it for 20\u00a0min, 20\u00a0min at a stretch; the furthest reading is 134.9\u00a0°F, off by 0.1\u00a0°F.", "Follow your local code.",
	}, got["says"])
	got = assessed(t, "hold", hot, "--limit-f", "134.9")
	require.Equal(t, true, got["met"])
	require.Contains(t, got["says"], "Limit met: the reading nearest to it is 134.9\u00a0°F, with 0.0\u00a0°F to spare.")
	require.Equal(t, false, assessed(t, "hold", hot, "--limit-f", "134.91")["met"])
	require.Equal(t, true, assessed(t, "hold", hot, "--limit-c", "57.1666")["met"])
	require.Equal(t, false, assessed(t, "hold", hot, "--limit-c", "57.1667")["met"])
	got = assessed(t, "hold", hot, "--rule", "hold-hot-nyc")
	require.InDelta(t, 2400, got["off_seconds"], 0)
	require.Contains(t, got["source"], "NYC Health Code")

	require.Contains(t, assessed(t, "hold", rows("temp_c", "10:00:00", "57.2"))["says"].([]any)[0], "57.2\u00a0°C, off by 0.1\u00a0°C.", "never by nothing")
	cold := rows("temp_c", "10:00:00", "5", "10:10:00", "5.1")
	got = assessed(t, "hold", cold, "--cold", "--lang", "es")
	require.Equal(t, false, got["met"])
	require.InDelta(t, 600, got["off_seconds"], 0)
	require.InDelta(t, 41, got["limit_f"], 0)
	require.Equal(t, []any{"El registro acaba fuera del límite: el tiempo sigue."}, got["warnings"])
	require.Equal(t, true, assessed(t, "hold", cold, "--cold", "--limit-c", "5.1")["met"])
	require.Equal(t, true, assessed(t, "hold", cold[:len(cold)-len("2026-11-24T10:10:00Z,5.1\n")], "--rule", "hold-cold")["met"])
	require.InDelta(t, -4.4, assessed(t, "hold", rows("temp_c", "10:00:00", "-18"), "--cold", "--limit-c=-20.222222222")["limit_f"], 0)
}

func TestAssessCoolAndHoldRefuseInOneSentence(t *testing.T) {
	good := logFile(t, rows("temp_f", "10:00:00", "140"))
	bad := logFile(t, rows("temp_f", "10:00:00", "140", "10:10:00", "warm"))
	for want, args := range map[string][]string{
		"--rule quick is no rule that is published here: take one of food-code, food-code-ambient": {"cool", good, "--rule", "quick"},
		"row 2 (line 3): temp_f is \"warm\"":                                                 {"cool", bad},
		"absent.csv cannot be read":                                                          {"hold", good + "absent.csv"},
		"--limit-f and --limit-c are both given":                                             {"hold", good, "--limit-f", "1", "--limit-c", "1"},
		"--rule hold-hot and a limit of your own":                                            {"hold", good, "--rule", "hold-hot", "--limit-f", "1"},
		"the limit hot is not a number of degrees":                                           {"hold", good, "--limit-f", "hot"},
		"--rule warm is no limit that is published here: take one of hold-hot, hold-hot-nyc": {"hold", good, "--rule", "warm"},
		"--cold asks for at most, and --rule hold-hot is at least":                           {"hold", good, "--cold", "--rule", "hold-hot"},
	} {
		code, out, trouble := told(append([]string{"assess"}, args...)...)
		require.Equal(t, exitFaults, code, want)
		require.Empty(t, out)
		require.Contains(t, trouble, want)
		require.Equal(t, 1, strings.Count(trouble, "\n"), trouble)
	}
}
