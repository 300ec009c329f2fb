package questions_test

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"brinebell/internal/core/procedure"
	"brinebell/internal/core/questions"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/words"
)

// randomEquipment draws a valid one, in which two pieces may be called the same.
func randomEquipment(t *rapid.T) *procedure.Equipment {
	var devices []object
	for i := range rapid.IntRange(1, 6).Draw(t, "devices") {
		d := object{"name": fmt.Sprintf("d%d", i), "kind": rapid.SampledFrom(procedure.EquipmentKinds[:]).Draw(t, "kind"), "title": said(t, "title", "Thing", 4)}
		if rapid.Bool().Draw(t, "pieces?") {
			d["pieces"] = rapid.IntRange(1, 60).Draw(t, "pieces")
		}
		if rapid.Bool().Draw(t, "between?") {
			d["between"] = iso(stamp.Span(rapid.IntRange(1, 40).Draw(t, "between")) * 15 * stamp.Second)
		}
		if d["kind"] == "fryer" || rapid.Bool().Draw(t, "reading?") {
			unit := rapid.SampledFrom([]string{"Cel", "[degF]"}).Draw(t, "unit")
			least := rapid.IntRange(-20, 190).Draw(t, "least")
			r := object{"what": said(t, "what", "what", 2), "unit": unit, "source": said(t, "source", "Rule", 2), "every": "PT2H"}
			which := rapid.IntRange(1, 3).Draw(t, "ends")
			if which&1 > 0 {
				r["min"] = fmt.Sprintf("%d %s", least, unit)
			}
			if which&2 > 0 {
				r["max"] = fmt.Sprintf("%d %s", least+rapid.IntRange(0, 20).Draw(t, "wide"), unit)
			}
			d["reading"] = r
		}
		devices = append(devices, d)
	}
	text, err := json.Marshal(object{"format": "brinebell equipment 1", "name": "e", "version": 1, "devices": devices})
	require.NoError(t, err)
	out, faults := procedure.Parse(text)
	require.Empty(t, faults, string(text))
	return out.Equipment
}

// rightOf lists what is right, by the equipment alone, of everything that a question can mean.
func rightOf(e *procedure.Equipment, l words.Lang, key string) (list []string) {
	parts := strings.Split(key, "/")
	asked := e.Device(parts[1])
	for i := range e.Devices {
		d := &e.Devices[i]
		if d.Title != asked.Title {
			continue
		}
		switch {
		case parts[2] == "pieces" && d.MostPiece > 0:
			list = append(list, l.Amount(d.MostPiece, "1"))
		case parts[2] == "between" && d.Between > 0:
			list = append(list, l.Exact(int64(d.Between), "ms"))
		case parts[2] == "reading" && (d.Reading.Min != nil || d.Reading.Max != nil) && d.What == asked.What:
			list = append(list, l.Limit(d.Reading, words.Shown("mC", d.TypedIn)))
		}
	}
	return list
}

// TestOneRightAnswerAboutEquipment holds for random equipment what a fair question needs, as TestOneRightAnswer does for
// procedures.
func TestOneRightAnswerAboutEquipment(t *testing.T) {
	asked := map[string]int{}
	for range 10 { // of a hundred each
		rapid.Check(t, func(t *rapid.T) {
			e := randomEquipment(t)
			l := rapid.SampledFrom(words.Langs()).Draw(t, "lang")
			texts := map[string]bool{}
			for _, q := range questions.OfEquipment(e, l, rapid.Uint32().Draw(t, "turn")) {
				require.False(t, texts[q.Text], "asked twice: %s", q.Text)
				texts[q.Text] = true
				require.True(t, len(q.Answers) >= 3 && len(q.Answers) <= 4, "%q", q.Answers)
				require.Len(t, slices.Compact(slices.Sorted(slices.Values(q.Answers))), len(q.Answers), "two alike: %q", q.Answers)
				right := rightOf(e, l, q.Key)
				require.Contains(t, right, q.Answers[q.Right])
				for i, a := range q.Answers {
					require.True(t, i == q.Right || !slices.Contains(right, a), "%s: %q is right too", q.Text, a)
				}
				asked[q.Key[strings.LastIndex(q.Key, "/")+1:]]++
			}
		})
	}
	for _, what := range []string{"pieces", "between", "reading"} {
		require.NotZero(t, asked[what], what)
	}
}
