package screen

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/questions"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/words"
)

// strips returns the strips of a screen by their keys.
func (d drawn) stations() map[string]map[string]any {
	out := map[string]map[string]any{}
	each(d, func(o map[string]any) {
		if key, ok := o["key"].(string); ok && o["p"] == "strip" {
			out[key] = o
		}
	})
	return out
}

// Which station has somebody, only one or nobody tomorrow, and what would fix it.
func TestReadyForTomorrow(t *testing.T) {
	w := newWorld(t, noon)
	fryer := func(crew string, gone bool) {
		w.make("maren", &entry.SignOff{Crew: crew, What: kitchen.WhatProcedure, Document: "bone-in", Competence: "fryer", Version: w.s.Procedure("bone-in", 0).Version,
			By: "maren", Grounds: entry.GroundsEvidence, Gone: gone})
	}
	word := func() string {
		st := draw(t, w.ctx("maren", "/crew/ready")).stations()["station-bone-in-fryer"]
		if st == nil {
			require.Contains(t, said(draw(t, w.ctx("maren", "/crew/ready"))), "Two or more")
			return "two"
		}
		return st["word"].(string)
	}
	for _, crew := range []string{"maren", "ines", "teo"} {
		fryer(crew, true)
	}
	require.Equal(t, "Nobody", word())
	w.make("jun", &entry.Member{Crew: "jun", Name: "Jun", Lang: "en", Role: entry.Trainee})
	w.make("jun", &entry.Rung{Procedure: "bone-in", Rung: 2, Passed: true})
	page := said(draw(t, w.ctx("maren", "/crew/ready")))
	require.Contains(t, page, "Nearest: Jun (0 of 3 guided runs, questions known 0 % of 80 %, a signature).")
	fryer("jun", false)
	require.Equal(t, "Only one", word())
	fryer("teo", false)
	require.Equal(t, "two", word())

	// the stations without anybody stand first
	for _, crew := range []string{"maren", "ines", "jun"} {
		fryer(crew, true)
	}
	for _, crew := range []string{"maren", "ines", "teo"} {
		w.make("maren", &entry.SignOff{Crew: crew, What: kitchen.WhatProcedure, Document: "wedges", Competence: "fryer", Version: 1, By: "maren", Gone: true})
	}
	var words []string
	each(map[string]any{"parts": draw(t, w.ctx("maren", "/crew/ready"))["parts"]}, func(o map[string]any) {
		if o["p"] == "strip" {
			words = append(words, o["word"].(string))
		}
	})
	require.Equal(t, []string{"Nobody", "Only one"}, words)
	fryer("jun", false)

	// who is signed off but too young is not ready
	w.make("maren", &entry.NamedKitchen{Name: "Halfmoon Ferry Canteen", Zone: "America/New_York", Country: "US"})
	w.make("maren", &entry.Member{Crew: "jun", Name: "Jun", Lang: "en", Role: entry.Trainee, Born: w.s.WallDay(w.now) - 15*366})
	page = said(draw(t, w.ctx("maren", "/crew/ready")))
	require.Contains(t, page, "Too young: Jun.")
	require.Equal(t, "Only one", word())

	// a signature that lapses before tomorrow's noon counts as lapsed
	w.wait(61 * stamp.Day)
	require.Equal(t, "Nobody", word())
	require.Contains(t, said(draw(t, w.ctx("maren", "/crew/record/teo"))), "Lapsed: not done for 61 days.")
}

// What is held of age is listed with its sources; where nothing is, the lead is told.
func TestAgeIsSaid(t *testing.T) {
	w := newWorld(t, noon)
	page := said(draw(t, w.ctx("maren", "/crew/age")))
	for _, want := range []string{"no cooking under pressure", "29 CFR 570.33", "from memory", "Local law may be stricter", "day of birth not said", "3 h on a school day",
		"Without a day of birth no rule about age can be held for: Inés, Maren, Teo."} {
		require.Contains(t, strings.ReplaceAll(page, "\u00a0", " "), want)
	}
	w.make("maren", &entry.Member{Crew: "teo", Name: "Teo", Lang: "en", Born: w.s.WallDay(w.now) - 15*366})
	page = said(draw(t, w.ctx("maren", "/crew/record/teo")))
	require.Contains(t, page, "15 years")
	require.Contains(t, page, "no pressure fryer")
	require.Contains(t, page, "Hours at 14 and 15")
	w.make("maren", &entry.NamedKitchen{Name: "Halfmoon Ferry Canteen", Zone: "America/New_York", Country: "ES"})
	for _, path := range []string{"/crew/age", "/crew/ready"} {
		require.Contains(t, said(draw(t, w.ctx("maren", path))), "Nothing about age is held here: country ES")
	}
	refused := w.decide("ines", &kitchen.Command{Do: kitchen.DoName, Name: "X", Answer: "US"})
	require.Equal(t, kitchen.RefNotLead, refused.Code)
	w.tap("maren", &kitchen.Command{Do: kitchen.DoName, Name: "Halfmoon Ferry Canteen", Answer: "US"})
	require.Equal(t, "US", w.s.Country)
}

// What this phone holds of how somebody learnt the work stands on the page, the latest first, with what leads to the paper.
func TestTrainingRecordOnThePhone(t *testing.T) {
	w := troubled(t)
	w.make("maren", &entry.SignOff{Crew: "teo", What: kitchen.WhatProcedure, Document: "bone-in", Competence: "fryer", Version: 7, By: "maren", Gone: true, Reason: "lid at 0.2 bar"})
	w.make("teo", &entry.Rung{Procedure: "bone-in", Rung: 1, Passed: true})
	d := draw(t, w.ctx("maren", "/crew/record/teo"))
	page := said(d)
	for _, want := range []string{"Training record, Teo", "Taken back: Pressure fryer, bone-in, version 7. lid at 0.2 bar", "Practice, rung 1 passed", "Not sure, asked: Does the gauge read zero?",
		"Slow, End of the cook", "Done well, End of the cook", "Print this page"} {
		require.Contains(t, page, want)
	}
	found := false
	each(d, func(o map[string]any) {
		to, _ := o["to"].(string)
		found = found || strings.HasPrefix(to, "/api/training?crew=teo&lang=en&by=maren")
	})
	require.True(t, found)
	require.Contains(t, said(draw(t, w.ctx("ines", "/crew/record/teo"))), "Formación de Teo")
	require.Equal(t, "missing", draw(t, w.ctx("maren", "/crew/record/nobody"))["kind"])
}

// Whoever is signed off and finds that the procedure changed sees on their page, as the lead does, what must be shown anew: one guided
// run of the stage that changed and the questions about it, no more than that.
func TestWhatMustBeShownAnewIsSaid(t *testing.T) {
	w := newWorld(t, noon)
	v := w.s.Procedure("bone-in", 0).Version
	w.make("maren", &entry.SignOff{Crew: "teo", What: kitchen.WhatProcedure, Document: "bone-in", Competence: "fryer", Version: v, By: "maren",
		Grounds: entry.GroundsExperience, Reason: "long here"})
	w.publish("procedure-bone-in.json", "procedure", "bone-in", v+1, `"ceiling": "PT3M",
        "patience": "PT30S"`, `"ceiling": "PT2M",
        "patience": "PT30S"`)
	x := w.s.Standing("teo", kitchen.WhatProcedure, "bone-in", "fryer", w.now)
	require.Equal(t, kitchen.LapseChanged, x.Lapse)
	require.Equal(t, []string{"rest"}, x.Again)
	known, asked := KnownAnew(w.s, &x)
	require.Zero(t, known)
	require.Positive(t, asked)
	page := said(draw(t, w.ctx("maren", "/crew/teo")))
	require.Contains(t, page, "Missing: guided once more: ")
	require.Contains(t, page, fmt.Sprintf("0 of %d questions about what changed", asked))
	work := said(draw(t, w.ctx("maren", "/crew/teo/procedure/bone-in/fryer")))
	require.Contains(t, work, fmt.Sprintf("What it needs\n0 of %d\nDrain over the oil\n", asked), "and not what experience stood for")
	require.NotContains(t, work, "Maren signs off")

	c := kitchen.Command{Do: kitchen.DoSignOff, Crew: "teo", What: kitchen.WhatProcedure, Name: "bone-in", Competence: "fryer"}
	Tested(w.s, &c, w.now)
	require.Equal(t, asked, c.Unknown)
	for _, q := range questions.Of(w.s.Procedure("bone-in", 0), words.EN, 0) {
		w.make("teo", &entry.QuizAnswer{Key: q.Key, Print: q.Print, Right: true})
	}
	Tested(w.s, &c, w.now)
	require.Zero(t, c.Unknown)
	require.EqualValues(t, 100, c.Known)
}

// How old somebody is, and how they came to their sign-offs, is for themselves, for who leads and, the record, for who teaches.
func TestAgesAndRecordsAreNotForEverybody(t *testing.T) {
	w := newWorld(t, noon)
	w.make("maren", &entry.NamedKitchen{Name: "Halfmoon Ferry Canteen", Zone: "America/New_York", Country: "US"})
	w.make("maren", &entry.Member{Crew: "jun", Name: "Jun", Lang: "en", Role: entry.Trainee, Born: w.s.WallDay(w.now) - 15*366})
	for path, told := range map[string]string{"/crew/age": "15 years", "/crew/ready": "Too young: Jun", "/crew/jun": "15 years", "/crew/record/jun": "15 years"} {
		require.Contains(t, said(draw(t, w.ctx("maren", path))), told, path)
		require.NotContains(t, said(draw(t, w.ctx("teo", path))), told, path)
	}
	for _, path := range []string{"/crew/age", "/crew/jun", "/crew/record/jun"} {
		require.Contains(t, said(draw(t, w.ctx("jun", path))), "15 years", path)
	}
	require.Contains(t, said(draw(t, w.ctx("jun", "/crew/record/maren"))), "Only Maren, a trainer or a lead looks at this.")
	require.NotContains(t, draw(t, w.ctx("jun", "/crew/maren")).links(), "/crew/record/maren")
	require.Contains(t, draw(t, w.ctx("jun", "/crew/jun")).links(), "/crew/record/jun")
}

// One ladder stands at a time, and how far the others are.
func TestOneLadderOfPracticeAtATime(t *testing.T) {
	w := newWorld(t, noon)
	w.make("teo", &entry.Rung{Procedure: "wedges", Rung: 1, Passed: true})
	first := draw(t, w.ctx("teo", "/practice"))
	begins := func(d drawn) (of []string) {
		each(d, func(o map[string]any) {
			if o["do"] == "page-practice" {
				of = append(of, o["procedure"].(string))
			}
		})
		return slices.Compact(of)
	}
	require.Equal(t, []string{"bone-in"}, begins(first))
	require.Contains(t, first.links(), "/practice?of=wedges")
	require.Contains(t, said(first), "1 of 7 passed")
	require.Equal(t, []string{"wedges"}, begins(draw(t, w.ctx("teo", "/practice?of=wedges"))))
}
