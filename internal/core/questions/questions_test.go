package questions_test

import (
	"encoding/json"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"brinebell/internal/core/procedure"
	"brinebell/internal/core/questions"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/window"
	"brinebell/internal/core/words"
	"brinebell/internal/demo"
)

type object = map[string]any

// few texts, so that a random kitchen calls two things the same and gives one reason for two steps.
func said(t *rapid.T, name, word string, of int) object {
	n := rapid.IntRange(1, of).Draw(t, name)
	return object{"en": fmt.Sprintf("%s %d", word, n), "es": fmt.Sprintf("%s núm. %d", word, n)}
}

func iso(s stamp.Span) string { return fmt.Sprintf("PT%dS", s/stamp.Second) }

func randomWindow(t *rapid.T) object {
	unit := rapid.SampledFrom([]stamp.Span{5 * stamp.Second, 30 * stamp.Second, stamp.Minute, 7 * stamp.Minute, stamp.Hour, stamp.Day}).Draw(t, "unit")
	gap := func(name string) stamp.Span { return unit * stamp.Span(rapid.IntRange(1, 9).Draw(t, name)) }
	floor := gap("floor")
	from := floor + gap("from")
	until := from + gap("until")
	ceiling := until + gap("ceiling")
	w := object{"patience": "PT1M", "ceiling": iso(ceiling)}
	if rapid.Bool().Draw(t, "has floor") {
		w["floor"] = iso(floor)
	}
	if rapid.Bool().Draw(t, "has best") {
		w["best"] = object{"from": iso(from), "until": iso(until)}
		w["lastCall"] = iso(min(gap("last"), until-from))
	}
	return w
}

func randomStep(t *rapid.T, i int) object {
	s := object{"name": fmt.Sprintf("s%d", i), "text": said(t, "text", "Do", 4), "kind": "do"}
	if rapid.Bool().Draw(t, "why?") {
		s["why"] = said(t, "why", "Because", 5)
	}
	if unit := rapid.SampledFrom([]string{"", "Cel", "[degF]", "g", "1", "mL"}).Draw(t, "unit"); unit != "" {
		limit := object{"source": said(t, "source", "Rule", 2)}
		least := rapid.IntRange(1, 200).Draw(t, "least")
		which := rapid.IntRange(1, 3).Draw(t, "ends")
		if which&1 > 0 {
			limit["min"] = fmt.Sprintf("%d %s", least, unit)
		}
		if which&2 > 0 {
			limit["max"] = fmt.Sprintf("%d %s", least+rapid.IntRange(0, 20).Draw(t, "wide"), unit)
		}
		s["kind"], s["unit"], s["limit"] = "read", unit, limit
	}
	if s["limit"] != nil || rapid.Bool().Draw(t, "ifnot?") {
		s["ifNot"] = said(t, "ifnot", "Then", 5)
	}
	if rapid.IntRange(0, 4).Draw(t, "caution") == 0 {
		hazards := rapid.SliceOfNDistinct(rapid.SampledFrom(procedure.Hazards[:]), 1, 4, rapid.ID[string]).Draw(t, "hazards")
		s["caution"] = object{"hazards": hazards, "title": said(t, "title", "Mind", 3), "lines": []object{said(t, "line", "Line", 3)}}
	}
	return s
}

// randomProcedure draws a valid one.
func randomProcedure(t *rapid.T) *procedure.Procedure {
	var stages []object
	n := rapid.IntRange(2, 6).Draw(t, "stages")
	for i := range n {
		kind := rapid.SampledFrom([]string{"work", "wait"}).Draw(t, "kind")
		if i == n-1 {
			kind = "hold"
		}
		s := object{"name": fmt.Sprintf("st%d", i), "kind": kind, "title": said(t, "title", "Stage", 5), "act": said(t, "act", "Act", 3),
			"doing": said(t, "doing", "doing", 3), "vessel": "tub", "window": randomWindow(t)}
		steps := []object{}
		for j := range rapid.IntRange(1, 6).Draw(t, "steps") {
			steps = append(steps, randomStep(t, j))
		}
		s["steps"] = steps
		stages = append(stages, s)
	}
	doc := object{"format": "brinebell procedure 1", "name": "p", "version": 1, "title": said(t, "title", "Thing", 1),
		"item": said(t, "item", "thing", 1), "piece": "100 g", "counted": "pieces", "stages": stages, "reasons": []object{said(t, "reason", "r", 1)}}
	if rapid.Bool().Draw(t, "mix?") {
		doc["mix"] = object{"meatPerWater": "1.5 kg/L", "tub": fmt.Sprintf("%d kg", rapid.IntRange(1, 60).Draw(t, "tub")),
			"concentratePerWater": fmt.Sprintf("%d mL/L", rapid.IntRange(1, 90).Draw(t, "per"))}
	}
	text, err := json.Marshal(doc)
	require.NoError(t, err)
	out, faults := procedure.Parse(text)
	require.Empty(t, faults, string(text))
	return out.Procedure
}

// alsoRight lists what would be a right answer to a question, worked out from the procedure alone: of everything that goes by
// the same names, since that is what a reader of the question can go by.
func alsoRight(p *procedure.Procedure, l words.Lang, q *questions.Question) []string {
	parts := strings.Split(q.Key, "/")
	if len(parts) < 3 {
		return nil // of the mix: one number
	}
	about, _ := p.Stage(parts[1])
	var list []string
	for i := range p.Stages {
		s := &p.Stages[i]
		if s.Title != about.Title {
			continue
		}
		w := &s.Window
		switch what := parts[2]; what {
		case "floor":
			list = append(list, l.Exact(int64(w.Floor), "ms"))
		case "ceiling":
			list = append(list, l.Exact(int64(w.Ceiling), "ms"))
		case "best":
			list = append(list, l.T("quiz.range", "from", l.Exact(int64(w.BestFrom), "ms"), "until", l.Exact(int64(w.BestUntil), "ms")))
		case "next":
			if i+1 < len(p.Stages) {
				list = append(list, l.Text(p.Stages[i+1].Title))
			}
		case "standing", "hurts":
		default:
			list = append(list, ofSteps(s, l, about, what, parts[3])...)
		}
	}
	return list
}

// ofSteps lists what is right of the steps of a stage that read like the one asked about.
func ofSteps(s *procedure.Stage, l words.Lang, about *procedure.Stage, name, what string) (list []string) {
	asked := about.Steps[slices.IndexFunc(about.Steps, func(x procedure.Step) bool { return x.Name == name })]
	for j := range s.Steps {
		step := &s.Steps[j]
		if step.Text != asked.Text {
			continue
		}
		switch {
		case what == "why" && step.Why.EN != "":
			list = append(list, l.Text(step.Why))
		case what == "ifnot" && step.IfNot.EN != "":
			list = append(list, l.Text(step.IfNot))
		case what == "limit" && (step.Limit.Min != nil || step.Limit.Max != nil):
			list = append(list, l.Limit(step.Limit, words.Shown(step.Unit, step.TypedIn)))
		case what == "next" && j+1 < len(s.Steps):
			list = append(list, l.Text(s.Steps[j+1].Text))
		}
	}
	return list
}

// hazardsOf lists what the cautions of stages that read alike warn of.
func hazardsOf(p *procedure.Procedure, title procedure.Text, l words.Lang) []string {
	var list []string
	take := func(c *procedure.Caution) {
		if c != nil {
			for _, h := range c.Hazards {
				list = append(list, l.T("hazard."+h))
			}
		}
	}
	for i := range p.Stages {
		if s := &p.Stages[i]; s.Title == title {
			take(s.Caution)
			for j := range s.Steps {
				take(s.Steps[j].Caution)
			}
		}
	}
	return list
}

var lengths = regexp.MustCompile("(\\d+)\u00a0(h|min|s)\\b")

// stateOf is the state that a stage is in after the time that a question names.
func stateOf(p *procedure.Procedure, l words.Lang, q *questions.Question) string {
	s, _ := p.Stage(q.Stage)
	after := stamp.Span(0)
	for _, m := range lengths.FindAllStringSubmatch(q.Text, -1) {
		n, _ := strconv.ParseInt(m[1], 10, 64)
		after += stamp.Span(n) * map[string]stamp.Span{"h": stamp.Hour, "min": stamp.Minute, "s": stamp.Second}[m[2]]
	}
	return l.T([]string{"", "state.soon", "state.ready", "state.best", "state.last", "state.past"}[window.At(&s.Window, after)])
}

// TestOneRightAnswer holds for random procedures what a fair question needs: one right answer, no two that read alike, and none
// among the wrong ones that something else in the procedure makes right.
func TestOneRightAnswer(t *testing.T) {
	asked := map[string]int{}
	for range 10 { // of a hundred random procedures each
		rapid.Check(t, func(t *rapid.T) { fair(t, asked) })
	}
	for _, what := range []string{"floor", "ceiling", "best", "standing", "next", "why", "ifnot", "limit", "hurts", "tub", "water", "concentrate"} {
		require.NotZero(t, asked[what], what)
	}
}

func fair(t *rapid.T, asked map[string]int) {
	p := randomProcedure(t)
	for range 5 {
		turn := rapid.Uint32().Draw(t, "turn")
		l := rapid.SampledFrom(words.Langs()).Draw(t, "lang")
		texts, keys := map[string]bool{}, map[string]bool{}
		for _, q := range questions.Of(p, l, turn) {
			require.False(t, texts[q.Text], "asked twice: %s", q.Text)
			require.False(t, keys[q.Key], q.Key)
			texts[q.Text], keys[q.Key] = true, true
			require.NotContains(t, q.Text+q.Why+strings.Join(q.Answers, ""), "{")
			require.GreaterOrEqual(t, len(q.Answers), 3)
			require.LessOrEqual(t, len(q.Answers), 4)
			sorted := slices.Compact(slices.Sorted(slices.Values(q.Answers)))
			require.Len(t, sorted, len(q.Answers), "two alike: %q", q.Answers)
			right := q.Answers[q.Right]
			wrong := slices.Delete(slices.Clone(q.Answers), q.Right, q.Right+1)
			parts := strings.Split(q.Key, "/")
			switch what := parts[len(parts)-1]; what {
			case "hurts":
				s, _ := p.Stage(q.Stage)
				all := hazardsOf(p, s.Title, l)
				require.Contains(t, all, right)
				for _, w := range wrong {
					require.NotContains(t, all, w)
				}
			case "standing":
				require.Equal(t, stateOf(p, l, &q), right, q.Text)
			default:
				for _, also := range alsoRight(p, l, &q) {
					require.NotContains(t, wrong, also, q.Text)
				}
			}
			asked[parts[len(parts)-1]]++
		}
	}
}

// TestTheSameTurnAsksTheSame: two phones must not disagree about what was asked, and another turn asks otherwise.
func TestTheSameTurnAsksTheSame(t *testing.T) {
	p := demoDocument(t, "bone-in").Procedure
	require.Equal(t, questions.Of(p, words.EN, 4), questions.Of(p, words.EN, 4))
	require.NotEqual(t, questions.Of(p, words.EN, 4), questions.Of(p, words.EN, 5))
	en, es := questions.Of(p, words.EN, 4), questions.Of(p, words.ES, 4)
	require.Len(t, es, len(en))
	for i := range en {
		require.Equal(t, en[i].Key, es[i].Key)
		require.Equal(t, en[i].Print, es[i].Print)
	}
}

func demoDocument(t *testing.T, name string) procedure.Document {
	docs, err := demo.Documents()
	require.NoError(t, err)
	for _, d := range docs {
		if d.Name == name {
			doc, faults := procedure.Parse([]byte(d.Text))
			require.Empty(t, faults)
			return doc
		}
	}
	t.Fatal("no document called ", name)
	return procedure.Document{}
}

// TestANumberThatChanges changes the print of its question and of no other that does not rest on it.
func TestANumberThatChanges(t *testing.T) {
	p := demoDocument(t, "bone-in").Procedure
	before := questions.Of(p, words.EN, 1)
	s, _ := p.Stage("marinate")
	s.Window.Ceiling += stamp.Hour
	var changed []string
	for _, q := range questions.Of(p, words.EN, 1) {
		i := slices.IndexFunc(before, func(old questions.Question) bool { return old.Key == q.Key })
		if i < 0 || before[i].Print != q.Print {
			changed = append(changed, q.Key)
		}
	}
	require.Equal(t, []string{"bone-in/marinate/ceiling", "bone-in/marinate/standing"}, changed)
}

// TestTheDemoKitchensQuestions are worth asking: of all sorts, and right by hand.
func TestTheDemoKitchensQuestions(t *testing.T) {
	right := map[string]string{}
	for _, q := range questions.Of(demoDocument(t, "bone-in").Procedure, words.EN, 1) {
		right[q.Key] = q.Answers[q.Right]
	}
	for _, q := range questions.OfEquipment(demoDocument(t, "kitchen").Equipment, words.EN, 1) {
		right[q.Key] = q.Answers[q.Right]
	}
	for key, want := range map[string]string{
		"bone-in/marinate/floor":      "7\u00a0h",
		"bone-in/marinate/best":       "9\u00a0h to 13\u00a0h",
		"bone-in/next":                "",
		"bone-in/mix/next":            "Marinade",
		"bone-in/release/vent/next":   "Does the gauge read zero?",
		"bone-in/release/core/limit":  "at least 75.0\u00a0°C",
		"bone-in/cook/ceiling":        "13\u00a0min",
		"bone-in/cook/best":           "10\u00a0min\u00a030\u00a0s to 12\u00a0min",
		"kitchen/fryer-1/reading":     "164.0 to 174.0\u00a0°C",
		"kitchen/fryer-1/between":     "4\u00a0min",
		"kitchen/cold-room/reading":   "-1.0 to 4.0\u00a0°C",
		"bone-in/release/gauge/ifnot": "Hands off the lid. Step back, call the lead, follow the fryer's manual.",
	} {
		require.Equal(t, want, right[key], key)
	}
	require.Greater(t, len(right), 60)
}
