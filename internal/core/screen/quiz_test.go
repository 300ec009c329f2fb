package screen

import (
	"cmp"
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
)

// asks returns the rows that a screen of questions offers as answers.
func (d drawn) asks(t *testing.T) (rows []map[string]any) {
	each(d, func(o map[string]any) {
		if do, ok := o["do"].(map[string]any); ok && do["do"] == kitchen.DoQuiz {
			rows = append(rows, o)
		}
	})
	return rows
}

// answer taps the right or a wrong answer of what /quiz asks, and returns the question's key and the screen that follows.
func (w *world) answer(t *testing.T, crew string, right bool) (string, drawn) {
	t.Helper()
	ctx := w.ctx(crew, "/quiz")
	rows := draw(t, ctx).asks(t)
	require.GreaterOrEqual(t, len(rows), 3)
	want := "wrong"
	if right {
		want = "right"
	}
	for _, row := range rows {
		do := row["do"].(map[string]any)
		if do["answer"] != want {
			continue
		}
		number := int64(do["number"].(float64))
		key := do["name"].(string)
		w.tap(crew, &kitchen.Command{Do: kitchen.DoQuiz, Name: key, Number: number, Answer: want})
		ctx := w.ctx(crew, row["to"].(string))
		return key, draw(t, ctx)
	}
	require.Fail(t, "no such answer", want)
	return "", nil
}

// quietWorld is a kitchen in which nothing is under way and no list is due.
func quietWorld(t *testing.T) *world {
	w := newWorld(t, at(15, 0))
	w.s.Documents = slices.DeleteFunc(w.s.Documents, func(d kitchen.Published) bool { return d.What == kitchen.WhatList })
	return w
}

func TestQuestionsAreAskedAnsweredAndSpaced(t *testing.T) {
	w := quietWorld(t)
	key, told := w.answer(t, "teo", true)
	require.Contains(t, said(told), "Right: ")
	x := w.s.LearnedOf("teo", key)
	require.True(t, x.Right)
	require.EqualValues(t, 2, x.Memory.Days(), "FSRS-6: a good first answer has a stability of 2.3065 days")
	wrong, told := w.answer(t, "teo", false)
	require.NotEqual(t, key, wrong)
	require.Contains(t, said(told), "Not so: ")
	require.Contains(t, said(told), "Right is: ")
	require.EqualValues(t, 1, w.s.LearnedOf("teo", wrong).Memory.Days())
	require.Nil(t, w.s.LearnedOf("maren", key), "what one knows another need not")

	for range quizNewMost - 2 {
		w.answer(t, "teo", true)
	}
	require.Contains(t, said(draw(t, w.ctx("teo", "/quiz"))), "Nothing to ask now", "ten new ones are enough for a day")
	w.wait(25 * stamp.Hour)
	again, _ := w.answer(t, "teo", true)
	require.Equal(t, wrong, again, "what was not known comes first")
}

func TestAQuestionThatTheKitchenChangedComesAtOnce(t *testing.T) {
	w := quietWorld(t)
	var key string
	for range quizNewMost {
		if k, _ := w.answer(t, "teo", true); strings.Contains(k, "/between") {
			key = k
		}
	}
	require.NotEmpty(t, key)
	eq := w.s.Equipment()
	doc := w.s.Documents[0]
	for _, d := range w.s.Documents {
		if d.What == kitchen.WhatEquipment && d.Name == eq.Name {
			doc = d
		}
	}
	text := strings.ReplaceAll(doc.Text, `"between": "PT4M"`, `"between": "PT7M"`)
	text = strings.Replace(text, `"version": 3`, `"version": 99`, 1)
	require.True(t, json.Valid([]byte(text)))
	require.NotEqual(t, doc.Text, text)
	w.make("maren", &entry.Document{What: kitchen.WhatEquipment, Name: eq.Name, Version: 99, Text: text})
	ctx := w.ctx("teo", "/quiz")
	d := draw(t, ctx)
	require.Contains(t, said(d), "The kitchen has changed this since you answered it.")
	k, told := w.answer(t, "teo", true)
	require.Contains(t, k, "/between")
	require.Contains(t, said(told), "Right: 7")
	require.EqualValues(t, 2, w.s.LearnedOf("teo", k).Memory.Days(), "it is learned anew")
}

// TestQuestionsKeepOutOfTheWay: offered in a quiet minute, never while something rings or needs a hand.
func TestQuestionsKeepOutOfTheWay(t *testing.T) {
	w := quietWorld(t)
	w.answer(t, "teo", false)
	w.wait(25 * stamp.Hour)
	require.NotContains(t, said(draw(t, w.ctx("teo", "/"))), "question for you", "readings are due")
	for _, d := range w.s.Equipment().Devices {
		if d.ReadEvery > 0 {
			w.tap("maren", &kitchen.Command{Do: kitchen.DoReading, Place: d.Name, Value: *cmp.Or(d.Reading.Min, d.Reading.Max), Unit: "mC", Text: "in order"})
		}
	}
	offer := func() bool {
		return strings.Contains(said(draw(t, w.ctx("teo", "/"))), "1 question for you")
	}
	require.True(t, offer())
	require.NotContains(t, said(draw(t, w.ctx("maren", "/"))), "question for you", "it is Teo's")
	w.tap("teo", &kitchen.Command{Do: kitchen.DoTimer, Name: "Stock", Span: 3 * stamp.Minute})
	require.False(t, offer(), "something rings in three minutes")
	w.wait(3*stamp.Minute + stamp.Second)
	require.False(t, offer())
	require.Contains(t, said(draw(t, w.ctx("teo", "/quiz"))), "Something rings. First that.")
	require.Empty(t, draw(t, w.ctx("teo", "/quiz")).asks(t))
}

func TestAQuizAnswerThatIsNoAnswerIsRefused(t *testing.T) {
	w := quietWorld(t)
	for _, c := range []kitchen.Command{{Do: kitchen.DoQuiz, Answer: "right"}, {Do: kitchen.DoQuiz, Name: "bone-in/next", Answer: "maybe"}} {
		require.Equal(t, kitchen.RefBadCommand, w.decide("teo", &c).Code)
	}
	require.Equal(t, kitchen.RefNoCrew, w.decide("", &kitchen.Command{Do: kitchen.DoQuiz, Name: "bone-in/next", Answer: "right"}).Code)
	for _, path := range []string{"/quiz/told", "/quiz/told?q=bone-in/none&turn=0&said=0", "/quiz/told?q=bone-in/mix/ceiling&turn=0&said=9", "/quiz/told?q=bone-in/mix/ceiling&said=x"} {
		require.Contains(t, said(draw(t, w.ctx("teo", path))), "No page stands at this address", path)
	}
}

// Who is guided at the fryer is asked about the fryer before anything else that is new.
func TestQuestionsFollowWhatSomebodyIsGuidedIn(t *testing.T) {
	w := quietWorld(t)
	before := draw(t, w.ctx("teo", "/quiz")).asks(t)[0]["do"].(map[string]any)["name"].(string)
	require.NotContains(t, before, "bone-in/release")
	id := w.id()
	w.make("teo", &entry.Start{Batch: id, Procedure: "bone-in", Version: w.s.Procedure("bone-in", 0).Version, Stage: "load", Vessel: "load", Number: 1, Pieces: 8})
	w.make("teo", &entry.Guide{Guide: w.id(), Spot: entry.Spot{Batch: id, Stage: "load"}, Crew: "teo", Trainer: "maren"})
	p := newPage(w.ctx("teo", "/quiz"))
	pr := w.s.Procedure("bone-in", 0)
	c := pr.Competence("load")
	require.NotNil(t, c)
	list := p.quizNow()
	for i := range list {
		require.True(t, strings.HasPrefix(list[i].Key, "bone-in/") && c.Covers(list[i].Stage), "%d: %s", i, list[i].Key)
	}
	require.Len(t, list, quizNewMost)
	other := newPage(w.ctx("ines", "/quiz"))
	require.False(t, strings.HasPrefix(other.quizNow()[0].Key, "bone-in/load"), "who is not guided there is asked as before")
}
