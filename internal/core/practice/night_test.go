package practice

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/words"
	"brinebell/internal/demo"
)

// nightBytes are all bytes of a night that is played to its end, in steps of some length, with answers by turns.
func nightBytes(from *kitchen.State, seed uint64, rung Rung, step stamp.Span, turn int) []byte {
	n := New(from, seed, rung, "jun", "en")
	for i := 0; !n.Ends(); {
		n.Pass(n.Now().Add(step))
		if tr := n.Trouble(); tr != nil {
			n.Choose((i*turn + int(seed)) % len(tr.Choices))
			i++
		}
	}
	var out []byte
	for i := range n.entries {
		out = entry.AppendRecord(out, &n.entries[i])
	}
	looked, err := json.Marshal(n.Debrief())
	if err != nil {
		panic(err)
	}
	return append(out, looked...)
}

// TestTheSameNight comes of the same seed and answers, however time is cut up, and another of another seed.
func TestTheSameNight(t *testing.T) {
	from := halfmoon(t)
	before := from.Append(nil)
	for i, rung := range Rungs(from, "bone-in") {
		seed := uint64(i)
		night := nightBytes(from, seed, rung, stamp.Day, 1)
		require.True(t, bytes.Equal(night, nightBytes(from, seed, rung, 7*stamp.Second, 1)))
		require.True(t, bytes.Equal(night, nightBytes(halfmoon(t), seed, rung, 13*stamp.Minute, 1)))
		require.False(t, bytes.Equal(night, nightBytes(from, seed+100, rung, stamp.Day, 1)))
		require.False(t, bytes.Equal(night, nightBytes(from, seed, rung, stamp.Day, 2)))
	}
	require.Equal(t, before, from.Append(nil), "the real kitchen is only read")
}

// TestALadder has nights that grow, and says what each asks for.
func TestALadder(t *testing.T) {
	list := Rungs(halfmoon(t), "bone-in")
	require.GreaterOrEqual(t, len(list), 7)
	for i, r := range list {
		require.Positive(t, r.Mark, r.Key)
		require.Equal(t, "bone-in", r.Procedure)
		if r.Key == "free" {
			require.Zero(t, r.Number)
			require.Equal(t, len(list)-1, i)
			continue
		}
		require.Equal(t, uint32(i+1), r.Number)
		if i > 0 {
			require.GreaterOrEqual(t, r.Troubles, list[i-1].Troubles)
			require.GreaterOrEqual(t, r.Mark, list[i-1].Mark)
		}
	}
	require.Nil(t, Rungs(halfmoon(t), "no such procedure"))
	n := New(halfmoon(t), 1, Rung{Key: "free", Procedure: "gone", Hours: stamp.Hour}, "jun", "en")
	n.Pass(n.Until())
	require.True(t, n.Ends(), "a procedure that is gone makes an empty night, not a crash")
	require.False(t, n.Debrief().Passed)
}

// TestWhoKnowsPasses: with right answers alone every rung of the demo kitchen is passed, with one that hurts none is.
func TestWhoKnowsPasses(t *testing.T) {
	from := halfmoon(t)
	grade := func(n *Night, want Grade) int {
		k := &troubles[n.open.kind]
		for at, i := range n.open.order {
			if k.answers[i].grade == want {
				return at
			}
		}
		return -1
	}
	for _, name := range []string{"bone-in", "thigh-strips", "wedges", "mushrooms"} {
		for _, rung := range Rungs(from, name) {
			for seed := range uint64(3) {
				right, harm := New(from, seed, rung, "jun", "es"), New(from, seed, rung, "jun", "es")
				for !right.Ends() {
					right.Pass(right.Until())
					if right.Trouble() != nil {
						right.Choose(grade(right, Right))
					}
				}
				d := right.Debrief()
				require.True(t, d.Passed, "%s %s %d: %d of %d", name, rung.Key, seed, d.Right, d.Troubles)
				require.GreaterOrEqual(t, d.Troubles, min(rung.Troubles, 2), "%s %s %d", name, rung.Key, seed)
				hurt := false
				for !harm.Ends() {
					harm.Pass(harm.Until())
					if harm.Trouble() != nil {
						at := grade(harm, Right)
						if bad := grade(harm, Harm); !hurt && bad >= 0 {
							at, hurt = bad, true
						}
						harm.Choose(at)
					}
				}
				d = harm.Debrief()
				require.Equal(t, !hurt, d.Passed, "%s %s %d", name, rung.Key, seed)
			}
		}
	}
}

// TestTapsAnswer: what is tapped on the usual screens answers trouble like its choice does.
func TestTapsAnswer(t *testing.T) {
	from := halfmoon(t)
	tapped := map[string]bool{}
	for seed := range uint64(60) {
		n := New(from, seed, Rungs(from, "bone-in")[6], "jun", "en")
		for !n.Ends() {
			n.Pass(n.Until())
			if n.open == nil {
				continue
			}
			k := &troubles[n.open.kind]
			about := n.open.about
			for _, i := range n.open.order {
				deeds := strings.Fields(k.answers[i].acts)
				if len(deeds) == 0 {
					continue
				}
				c := n.command(deeds[0], &about)
				if c == nil || c.Do == kitchen.DoDeviate || slices.Contains(refuses, deeds[0]) || n.answers(c) != i {
					continue
				}
				key, told := k.key, len(n.told)
				require.Nil(t, n.Tap(c), key)
				require.Len(t, n.told, told+1, key)
				require.Equal(t, i, n.told[told].answer, key)
				tapped[key+" "+deeds[0]] = true
				break
			}
			if n.open != nil {
				n.Choose(0)
			}
		}
	}
	for _, want := range []string{"core off", "gauge off", "cold readoff", "probe checkoff", "delivery back", "tub discard", "late waste", "spent polar"} {
		require.True(t, tapped[want], "%s: %v", want, tapped)
	}
}

// TestATypedReadingAnswers: a screen hands on numbers as they were typed.
func TestATypedReadingAnswers(t *testing.T) {
	n := until(t, halfmoon(t), "bone-in", "cold")
	c := &kitchen.Command{Do: kitchen.DoReading, Place: n.open.about.place, Unit: "mC", Into: "value", Typed: "9.5", TypedIn: "Cel"}
	require.Nil(t, n.Tap(c))
	require.Nil(t, n.open)
	require.Equal(t, Right, n.Said().Grade)
	require.EqualValues(t, 9_500, n.Said().Found[0].Number)
}

// TestAListDoneByHand answers the trouble about it.
func TestAListDoneByHand(t *testing.T) {
	n := until(t, halfmoon(t), "bone-in", "list")
	l := n.s.List(n.open.about.list)
	for i := range l.Steps {
		if n.open != nil && !l.Steps[i].Optional {
			c := n.filled(&l.Steps[i])
			c.List, c.Day = l.Name, day
			require.Nil(t, n.Tap(c))
		}
	}
	require.Nil(t, n.open)
	require.Equal(t, Right, n.Said().Grade)
}

// until plays nights until a kind of trouble opens.
func until(t *testing.T, from *kitchen.State, name, key string) *Night {
	for seed := range uint64(200) {
		n := New(from, seed, Rungs(from, name)[6], "jun", "en")
		for !n.Ends() {
			n.Pass(n.Until())
			if tr := n.Trouble(); tr != nil {
				if tr.Key == key {
					return n
				}
				n.Choose(0)
			}
		}
	}
	t.Fatal(key, " never came up")
	return nil
}

// TestNobodyAnswers: trouble that is left alone runs out, and counts.
func TestNobodyAnswers(t *testing.T) {
	n := until(t, halfmoon(t), "bone-in", "gauge")
	tr := n.Trouble()
	n.Pass(tr.Until.Add(stamp.Minute))
	require.Equal(t, Silent, n.Said().Grade)
	require.True(t, n.Said().Hurt)
	require.Empty(t, n.Said().Did)
	require.Equal(t, patience, n.Said().Lost)
	for !n.Ends() {
		n.Pass(n.Until())
	}
	require.False(t, n.Debrief().Passed)
}

// TestALimitThatChanges changes what is said of it.
func TestALimitThatChanges(t *testing.T) {
	for _, c := range []struct{ key, document, was, is, says string }{
		{"oilcold", "bone-in", `"min": "164 Cel"`, `"min": "166 Cel"`, "166.0 to 172.0\u00a0°C"},
		{"core", "bone-in", `"min": "75 Cel"`, `"min": "77 Cel"`, "at least 77.0\u00a0°C"},
		{"cold", "kitchen", `"max": "4 Cel"`, `"max": "3 Cel"`, "-1.0 to 3.0\u00a0°C"},
		{"hot", "kitchen", `"min": "57 Cel"`, `"min": "60 Cel"`, "at least 60.0\u00a0°C"},
		{"delivery", "bone-in", `"max": "5 Cel"`, `"max": "4 Cel"`, "at most 4.0\u00a0°C"},
		{"late", "bone-in", `"ceiling": "PT50M"`, `"ceiling": "PT45M"`, "at most 45\u00a0min"},
		{"tub", "bone-in", `"ceiling": "PT20H"`, `"ceiling": "PT19H"`, "at most 19\u00a0h"},
		{"many", "bone-in", `"pieces": 48`, `"pieces": 40`, "at most 40 pieces"},
	} {
		docs, err := demo.Documents()
		require.NoError(t, err)
		for i := range docs {
			if docs[i].Name == c.document {
				require.Contains(t, docs[i].Text, c.was)
				docs[i].Text = strings.ReplaceAll(docs[i].Text, c.was, c.is)
			}
		}
		before, after := until(t, halfmoon(t), "bone-in", c.key), until(t, kitchenOf(t, docs), "bone-in", c.key)
		require.NotContains(t, before.t(c.key+".why", before.open), c.says, c.key)
		require.Contains(t, after.t(c.key+".why", after.open), c.says, c.key)
	}
}

// published is a table of published figures, by id.
func published(t *testing.T, name string) map[string]map[string]string {
	f, err := os.Open("../../../testdata/published/" + name)
	require.NoError(t, err)
	defer f.Close()
	r := csv.NewReader(f)
	r.FieldsPerRecord = -1
	rows, err := r.ReadAll()
	require.NoError(t, err)
	table := map[string]map[string]string{}
	for _, row := range rows[1:] {
		table[row[0]] = map[string]string{}
		for i, v := range row {
			table[row[0]][rows[0][i]] = v
		}
	}
	return table
}

// TestPublishedFigures holds what is said against the published rows that it rests on, and that what is remembered is marked so.
func TestPublishedFigures(t *testing.T) {
	code, burn, oil := published(t, "food-code-numbers.csv"), published(t, "burn-first-aid.csv"), published(t, "hot-oil-cautions.csv")
	for _, l := range words.Langs() {
		said := func(id string) string { return l.T("pr." + id) }
		require.Contains(t, said("hands.why"), code["hand-20"]["value_si"]+" s")
		require.Contains(t, said("hands.1"), code["hand-20"]["value_si"]+" s")
		require.Contains(t, said("burn.why"), burn["cool-20"]["value"]+" min")
		require.Contains(t, said("burn.1"), burn["cool-20"]["value"]+" min")
		require.Contains(t, said("burn.why"), burn["size"]["value"]+" cm")
		require.Contains(t, said("src.burn"), burn["cool-nhs-lo"]["value"])
		require.Contains(t, said("src.burn"), burn["cool-nhs-hi"]["value"])
		for id, row := range map[string]string{"hands": "hand-20", "apart": "sep-raw-rte", "allergen": "allergen-notice", "mark": "disp-unmarked",
			"over": "disp-over"} {
			require.Contains(t, said("src."+id), code[row]["section"], id)
			memory := code[row]["status"] == "from memory"
			require.Equal(t, memory, strings.Contains(said("src."+id), "memor"), id)
		}
		require.Contains(t, said("src.hands"), code["hand-switch"]["section"])
		require.Contains(t, said("fire.why"), "K", oil["osha-k"]["caution"])
		require.Equal(t, "confirmed", oil["osha-k"]["status"])
		require.Equal(t, "confirmed", oil["osha-nowater"]["status"])
		require.Equal(t, "confirmed", oil["osha-water"]["status"])
		require.Equal(t, "confirmed", oil["osha-shoes"]["status"])
		require.Equal(t, "from memory", oil["press-lid"]["status"])
		require.Contains(t, said("src.manual"), "memor")
	}
}

// BenchmarkNight plays twelve hours with nobody at the phone.
func BenchmarkNight(b *testing.B) {
	from := halfmoon(b)
	rung := Rungs(from, "bone-in")[6]
	for i := range b.N {
		n := New(from, uint64(i), rung, "jun", "en")
		n.Auto()
	}
}

// TestCommonPractice plays nights on a procedure whose numbers are common practice, no source: what is said holds them.
func TestCommonPractice(t *testing.T) {
	text, err := os.ReadFile("../../../testdata/procedures/common-practice.json")
	require.NoError(t, err)
	docs, err := demo.Documents()
	require.NoError(t, err)
	docs = append(docs, entry.Document{What: kitchen.WhatProcedure, Name: "common-practice", Version: 1, Text: string(text)})
	from := kitchenOf(t, docs)
	seen := map[string]int{}
	for seed := range uint64(40) {
		rungs := Rungs(from, "common-practice")
		watched(t, from, seed, rungs[int(seed)%len(rungs)], words.EN, func(tr *Trouble, k *kind) int {
			return int(seed) % len(k.answers)
		}, seen)
	}
	require.NotContains(t, seen, "delivery/0", "a kind without its limit in the procedure does not come up")
	require.NotContains(t, seen, "gauge/0", "likewise without its step")
	for key, number := range map[string]string{
		"oilcold": "360.0\u00a0°F", "oilhot": "360.0\u00a0°F", "soon": "at least 45\u00a0min", "late": "at most 1\u00a0h", "tub": "at most 24\u00a0h",
		"two": "14\u00a0min at most",
	} {
		n := until(t, from, "common-practice", key)
		require.Contains(t, n.Trouble().Says+n.t(key+".why", n.open), number, key)
	}
}

// TestNothingIsLateAtFirst: whoever begins a night finds no list undone and no batch past its limit.
func TestNothingIsLateAtFirst(t *testing.T) {
	from := halfmoon(t)
	for _, name := range []string{"bone-in", "mushrooms"} {
		for _, rung := range Rungs(from, name) {
			for seed := range uint64(10) {
				n := New(from, seed, rung, "jun", "en")
				require.Equal(t, n.From(), n.Now())
				require.Empty(t, n.s.Deviations)
				for _, b := range n.Bells() {
					require.False(t, b.Ringing && (b.List != "" || b.Point == kitchen.PointPast), "%s %d: %+v", rung.Key, seed, b)
				}
			}
		}
	}
}

// TestAnyTap: whatever is tapped in whatever state, the night goes on, and is what its entries say.
func TestAnyTap(t *testing.T) {
	from := halfmoon(t)
	deeds := []string{kitchen.DoStart, kitchen.DoMove, kitchen.DoPortion, kitchen.DoDiscard, kitchen.DoCount, kitchen.DoStep, kitchen.DoReading,
		kitchen.DoGot, kitchen.DoEquipment, kitchen.DoDeviate, kitchen.DoFreeze, kitchen.DoOil, kitchen.DoCheck, kitchen.DoListClose, "nonsense", ""}
	for seed := range uint64(8) {
		dice := rand.New(rand.NewPCG(seed, 1))
		n := New(from, seed, Rungs(from, "bone-in")[6], "", "en")
		for !n.Ends() {
			n.Pass(n.Now().Add(stamp.Span(dice.IntN(20)) * stamp.Minute))
			c := &kitchen.Command{Do: deeds[dice.IntN(len(deeds))], Procedure: "bone-in", Grams: dice.Int64N(9000), Pieces: dice.Int64N(40), Count: dice.Int64N(9),
				Value: dice.Int64N(200_000), Unit: "mC", Answer: []string{"yes", "no", "out", "in", "measured"}[dice.IntN(5)], Reason: "so", Text: "so", List: "opening"}
			if len(n.s.Batches) > 0 && dice.IntN(4) > 0 {
				b := &n.s.Batches[dice.IntN(len(n.s.Batches))]
				c.Batch, c.Stage, c.Place, c.List = b.ID, b.Stage, b.Place, ""
				if st := n.s.Stage(b); st != nil && len(st.Steps) > 0 {
					c.Step = st.Steps[dice.IntN(len(st.Steps))].Name
				}
			}
			_ = n.Tap(c)
			if n.Trouble() != nil && dice.IntN(3) == 0 {
				n.Choose(dice.IntN(7) - 1)
			}
		}
		folded(t, n)
		passing(t, n)
	}
}
