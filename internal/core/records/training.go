package records

import (
	"slices"
	"strings"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
)

// Learning is one line of somebody's training record.
type Learning struct {
	Signed
	Body      entry.Body         // as it holds now
	Step      *entry.GuideAsk    // what was asked, of an answer and of its check
	Batch     Batch              // that it is about; zero: about none
	Deviation *kitchen.Deviation // work without a sign-off, a confirmation or the age for it; nil: it is no deviation
	Withdrawn *Signed            // it was taken back
}

// Asked counts the questions that somebody answered on one of the kitchen's days.
type Asked struct {
	Day           int32
	Number, Right int64
}

// Training is all that the journal holds of how one member learnt the work, and of who signed for it.
type Training struct {
	Crew  string
	Rows  []Learning // in the order of their entries
	Asked []Asked    // by Day
	State *kitchen.State
}

// learner finds what is about one member.
type learner struct {
	crew   string
	guides map[entry.ID]bool
	asks   map[entry.ID]*entry.GuideAsk
}

// TrainingOf makes the training record of a member out of a journal: base is the state before items, nil for none.
func TrainingOf(crew string, base *kitchen.State, items []Item) *Training {
	f := begin(base, items)
	f.book = new(Book)
	l := learner{crew, map[entry.ID]bool{}, map[entry.ID]*entry.GuideAsk{}}
	for i := range f.items { // first what was begun and asked: an answer may stand before its question where clocks differ
		l.know(&f.items[i].Entry)
	}
	out := &Training{Crew: crew}
	for i := range f.items {
		e, a := &f.items[i].Entry, f.amended(i)
		f.s.Apply(e, a)
		body, err := e.Open()
		if err != nil {
			continue
		}
		if c, ok := holds(e, a.By); ok {
			body = c
		}
		f.know(e.ID, body)
		if q, ok := body.(*entry.QuizAnswer); ok && e.Crew == crew && !a.Withdrawn {
			out.ask(f.s.WallDay(e.At.At), q.Right)
		}
		if step, ours := l.about(e, body); ours {
			x := Learning{Signed: f.signed(i), Body: body, Step: step, Batch: f.batches[batchOf(body, step)]}
			if at := f.withdrawn(i); at >= 0 {
				g := f.signed(at)
				x.Withdrawn = &g
			}
			out.Rows = append(out.Rows, x)
		}
		out.off(f, i, &l)
	}
	out.State = f.s
	for i := range out.Rows { // what was done about a deviation since
		if d := out.Rows[i].Deviation; d != nil {
			if now := f.s.Deviation(d.Key); now != nil {
				*d = *now
			}
		}
	}
	return out
}

func (l *learner) know(e *entry.Entry) {
	if e.Kind != entry.GuideBegun && e.Kind != entry.GuideAsked {
		return
	}
	switch b, _ := e.Open(); b := b.(type) {
	case *entry.Guide:
		l.guides[b.Guide] = b.Crew == l.crew
	case *entry.GuideAsk:
		l.asks[b.Ask] = b
	}
}

// asked returns what was asked, if it was the learner who asked.
func (l *learner) asked(id entry.ID) *entry.GuideAsk {
	if a := l.asks[id]; a != nil && l.guides[a.Guide] {
		return a
	}
	return nil
}

// about tells whether an entry belongs to the learner's record, and what was asked where it is about an ask.
func (l *learner) about(e *entry.Entry, body entry.Body) (step *entry.GuideAsk, ours bool) {
	switch b := body.(type) {
	case *entry.Member:
		return nil, b.Crew == l.crew
	case *entry.Pin:
		return nil, b.Crew == l.crew
	case *entry.Guide:
		return nil, b.Crew == l.crew
	case *entry.GuideAsk:
		return l.asked(b.Ask), l.asked(b.Ask) != nil
	case *entry.GuideAnswer:
		return l.asked(b.Ask), l.asked(b.Ask) != nil
	case *entry.GuideCheck:
		return l.asked(b.Ask), l.asked(b.Ask) != nil
	case *entry.TrainerNote:
		return nil, b.Crew == l.crew
	case *entry.SignOff:
		return nil, b.Crew == l.crew
	case *entry.Rung:
		return nil, e.Crew == l.crew
	}
	return nil, false
}

func batchOf(body entry.Body, step *entry.GuideAsk) entry.ID {
	switch b := body.(type) {
	case *entry.Guide:
		return b.Batch
	case *entry.TrainerNote:
		return b.Batch
	}
	if step != nil {
		return step.Batch
	}
	return entry.ID{}
}

// off takes up what an entry showed that the learner was not signed, not confirmed or not old enough for.
func (t *Training) off(f *folding, i int, l *learner) {
	e := &f.items[i].Entry
	prefix := e.ID.String() + "/"
	at, _ := slices.BinarySearchFunc(f.s.Deviations, prefix, func(d kitchen.Deviation, key string) int { return strings.Compare(d.Key, key) })
	for ; at < len(f.s.Deviations) && strings.HasPrefix(f.s.Deviations[at].Key, prefix); at++ {
		d := f.s.Deviations[at]
		ours := d.By == l.crew
		if check, ok := openedAs(e).(*entry.GuideCheck); ok {
			ours = l.asked(check.Ask) != nil
		}
		if ours && d.Code >= kitchen.DevNotSigned && d.Code <= kitchen.DevTooYoung {
			t.Rows = append(t.Rows, Learning{Signed: f.signed(i), Batch: f.batches[d.Batch], Deviation: &d})
		}
	}
}

func openedAs(e *entry.Entry) entry.Body {
	if e.Kind != entry.GuideChecked {
		return nil
	}
	b, _ := e.Open()
	return b
}

func (t *Training) ask(day int32, right bool) {
	if n := len(t.Asked); n == 0 || t.Asked[n-1].Day != day {
		t.Asked = append(t.Asked, Asked{Day: day})
	}
	a := &t.Asked[len(t.Asked)-1]
	a.Number++
	if right {
		a.Right++
	}
}
