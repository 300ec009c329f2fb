package practice

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/window"
	"brinebell/internal/core/words"
	"brinebell/internal/demo"
)

// kitchenOf is a kitchen with documents in which nothing has been done yet.
func kitchenOf(t require.TestingT, docs []entry.Document) *kitchen.State {
	s := kitchen.New()
	clock := stamp.Clock{Device: "server"}
	n := byte(0)
	write := func(body entry.Body) {
		n++
		e := entry.New(entry.NewID(1_700_000_000_000, [10]byte{n}), clock.Next(1_700_000_000_000), "", body)
		s.Apply(&e, kitchen.Amended{})
	}
	write(&entry.NamedKitchen{Name: "Halfmoon Ferry Canteen", Country: "US"})
	write(&entry.Offsets{Zone: "America/New_York", List: []entry.Offset{{Minutes: -240, Name: "EDT"}}})
	write(&entry.Member{Crew: "jun", Name: "Jun", Lang: "en"})
	for i := range docs {
		write(&docs[i])
	}
	require.Empty(t, s.Deviations)
	return s
}

func halfmoon(t require.TestingT) *kitchen.State {
	docs, err := demo.Documents()
	require.NoError(t, err)
	return kitchenOf(t, docs)
}

// refuses are the deeds that the core may refuse: the answers say so.
var refuses = []string{"tempt", "trysell", "lead"}

// opensAs says which deviations deeds open, whatever the procedure.
var opensAs = map[string][]kitchen.DeviationCode{
	"deviate": {kitchen.DevNoted}, "off": {kitchen.DevOutOfLimit, kitchen.DevAnsweredNo}, "readoff": {kitchen.DevReadingOff},
	"checkoff": {kitchen.DevProbeFailed}, "takeoff": {kitchen.DevDelivery}, "back": {kitchen.DevDelivery}, "polar": {kitchen.DevOilSpent},
	"sell": {kitchen.DevPastLimit}, "shut": {kitchen.DevStepsMissing},
}

// watched runs a whole night, answers by pick, and holds what must hold of every answer.
func watched(t require.TestingT, from *kitchen.State, seed uint64, rung Rung, l words.Lang, pick func(tr *Trouble, k *kind) int, seen map[string]int) *Night {
	n := New(from, seed, rung, "jun", string(l))
	for turns := 0; !n.Ends(); turns++ {
		require.Less(t, turns, 10_000)
		n.Pass(n.end)
		if n.open == nil {
			continue
		}
		tr, k := n.Trouble(), &troubles[n.open.kind]
		require.Len(t, tr.Choices, len(k.answers))
		for _, s := range append([]string{tr.Title, tr.Says}, append(tr.Choices, tr.Caution...)...) {
			require.NotEmpty(t, s, tr.Key)
			require.NotContains(t, s, "{", tr.Key)
		}
		numbers(t, n, tr, k)
		stood := window.None
		if b := n.s.Batch(tr.Batch); b != nil {
			stood = n.stands(b)
		}
		i := pick(tr, k)
		if i < 0 {
			n.now = tr.Until
			n.unanswered()
			continue
		}
		at := slices.Index(n.open.order, i)
		require.GreaterOrEqual(t, at, 0)
		before := len(n.entries)
		n.Choose(at)
		seen[fmt.Sprint(tr.Key, "/", i)]++
		judged(t, n, k, i, stood, before)
	}
	for i := range n.told {
		costs(t, n, &n.told[i])
	}
	return n
}

// numbers holds that what is said has the kitchen's own numbers: those of the limit, of the window, and what was found.
func numbers(t require.TestingT, n *Night, tr *Trouble, k *kind) {
	o := n.open
	said := tr.Title + tr.Says + n.t(k.key+".why", o)
	unit := words.Shown(o.about.unit, o.about.typedIn)
	if limit := n.l.Limit(o.about.limit, unit); limit != "" && k.source == "" {
		require.Contains(t, said, limit, k.key)
		require.Contains(t, said, n.l.Amount(o.about.number, unit), k.key)
		require.False(t, meets(&o.about.limit, o.about.number), "%s: what is found is off", k.key)
	}
	if b := n.s.Batch(tr.Batch); b != nil {
		w := n.s.Window(b)
		switch k.need {
		case soon:
			require.Contains(t, said, n.l.Length(w.Floor), k.key)
		case pastTub, pastTray:
			require.Contains(t, said, n.l.Length(w.Ceiling), k.key)
		}
	}
}

// judged holds that what an answer did is what the core says of its entries.
func judged(t require.TestingT, n *Night, k *kind, i int, stood window.State, before int) {
	r, a := &n.told[len(n.told)-1], k.answers[i]
	what := fmt.Sprint(k.key, " ", i+1, " ", a.acts)
	codes := map[kitchen.DeviationCode]bool{}
	for _, d := range r.found {
		codes[d.Code] = true
		require.NotNil(t, n.s.Deviation(d.Key), what)
	}
	deeds := strings.Fields(a.acts)
	for _, deed := range deeds {
		if _, oil := kitchen.OilLimits(n.s.Country); deed == "polar" && oil.Country != n.s.Country {
			continue // no law there says at which figure; the strictest of all is what the trouble goes by
		}
		if want := opensAs[deed]; want != nil {
			require.True(t, slices.ContainsFunc(want, func(c kitchen.DeviationCode) bool { return codes[c] }), "%s: %s opened %v", what, deed, codes)
		}
		if deed == "force" && stood == window.TooSoon {
			require.True(t, codes[kitchen.DevTooSoon], what)
		}
		if deed == "force" && stood == window.Past {
			require.True(t, codes[kitchen.DevPastLimit], what)
		}
	}
	if r.refusal != nil {
		require.True(t, slices.ContainsFunc(refuses, func(s string) bool { return slices.Contains(deeds, s) }), "%s is refused: %+v", what, *r.refusal)
	}
	if slices.Contains(deeds, "tempt") || slices.Contains(deeds, "trysell") {
		require.NotNil(t, r.refusal, what)
	}
	var grams int64
	for _, e := range n.entries[before:] {
		body, err := e.Open()
		require.NoError(t, err)
		if d, ok := body.(*entry.Discard); ok {
			grams += d.Grams
		}
	}
	if slices.Contains(deeds, "discard") {
		require.Equal(t, grams, r.grams, what)
		require.Equal(t, kitchen.Discarded, n.s.Batch(r.about.batch).Status, what)
	}
}

// costs holds at the night's end that exactly the right answers leave no harm.
func costs(t require.TestingT, n *Night, r *record) {
	m := n.tell(r)
	for _, s := range []string{m.Title, m.Says, m.Why, m.Source} {
		require.NotEmpty(t, s, m.Key)
		require.NotContains(t, s+m.Then+m.Did+m.Better, "{", m.Key)
	}
	require.NotContains(t, strings.ToLower(m.Then+m.Why), "safe")
	acts := ""
	if r.answer >= 0 {
		acts = troubles[r.kind].answers[r.answer].acts
	}
	what := fmt.Sprint(m.Key, " ", r.answer+1, " ", acts)
	if r.grade == Right {
		require.False(t, m.Hurt, what)
		require.Empty(t, m.Then+m.Better, what)
		if !strings.Contains(acts, "discard") && !strings.Contains(acts, "waste") {
			require.Zero(t, m.Grams, what)
		}
		return
	}
	require.NotEmpty(t, m.Then, what)
	require.NotEmpty(t, m.Better, what)
	require.True(t, m.Hurt || m.Grams > 0 || m.Pieces > 0 || m.Lost > 0 || len(m.Found) > 0, "%s cost nothing", what)
}

// TestEveryAnswerOfEveryTrouble takes each answer of each trouble of the demo kitchen at least once.
func TestEveryAnswerOfEveryTrouble(t *testing.T) {
	from := halfmoon(t)
	seen := map[string]int{}
	rest := func(tr *Trouble, k *kind) int { // the answer that was taken least
		best := 0
		for i := range k.answers {
			if seen[fmt.Sprint(tr.Key, "/", i)] < seen[fmt.Sprint(tr.Key, "/", best)] {
				best = i
			}
		}
		return best
	}
	for seed := range uint64(90) {
		for _, name := range []string{"bone-in", "thigh-strips"} {
			rungs := Rungs(from, name)
			watched(t, from, seed, rungs[int(seed)%len(rungs)], words.Langs()[seed%2], rest, seen)
			watched(t, from, seed, rungs[6], words.Langs()[seed%2], rest, seen)
		}
	}
	var missing []string
	for _, k := range troubles {
		for i := range k.answers {
			if key := fmt.Sprint(k.key, "/", i); seen[key] == 0 {
				missing = append(missing, key)
			}
		}
	}
	require.Empty(t, missing)
	require.GreaterOrEqual(t, len(troubles), 24)
}

// TestSeveralAnswers: each kind has at least two right answers and two that are not, all with their texts in both languages.
func TestSeveralAnswers(t *testing.T) {
	for _, l := range words.Langs() {
		there := func(id string) bool { return l.T("pr."+id) != "pr."+id }
		for _, k := range troubles {
			rights := 0
			for i, a := range k.answers {
				id := fmt.Sprint(k.key, ".", i+1)
				require.True(t, there(id), id)
				require.Equal(t, a.grade != Right, there(id+".then"), "%s: what came of it is said where it was not right", id)
				if a.grade == Right {
					rights++
				}
			}
			require.False(t, there(fmt.Sprint(k.key, ".", len(k.answers)+1)), "%s has a text too many", k.key)
			require.GreaterOrEqual(t, rights, 2, k.key)
			require.GreaterOrEqual(t, len(k.answers)-rights, 2, k.key)
			for _, id := range []string{k.key, k.key + ".say", k.key + ".why"} {
				require.True(t, there(id), id)
			}
			require.True(t, k.source == "" || there("src."+k.source), k.key)
			require.True(t, k.caution == "" || there("caution."+k.caution), k.key)
			require.False(t, k.hurts && k.caution == "" && k.key != "ill", "%s: what can hurt has its caution before it", k.key)
			require.False(t, k.need == allergens && k.caution != "allergen", k.key)
		}
	}
}
