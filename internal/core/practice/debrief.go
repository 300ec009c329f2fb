package practice

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
)

// Moment is one trouble of the night, with what was done about it and what that cost.
type Moment struct {
	Key           string
	At, Done      stamp.Milli
	Batch         entry.ID
	Place         string
	Title, Says   string
	Did           string // the answer; "" when nobody answered
	Then          string // what came of it
	Better        string // a right answer, where it was none
	Why, Source   string
	Grade         Grade
	Hurt          bool
	Grams, Pieces int64 // thrown away
	Lost          stamp.Span
	Found         []kitchen.Deviation // that it opened
	Sees          []string            // how the lead reads them
	Refusal       *kitchen.Refusal    // what the core said to it, when it refused
}

// Debrief is the night looked back at.
type Debrief struct {
	Rung                          Rung
	Seed                          uint64
	From, To                      stamp.Milli
	Line                          []Moment // in the order of time
	Troubles, Right, Wrong, Hurts int
	Need                          int // right answers that the rung asks for
	Grams, Pieces                 int64
	Lost                          stamp.Span
	Passed                        bool
	Worst                         int // index into Line of the one thing to do differently; -1: none
}

// Said returns what came of the last answer, or nil before the first.
func (n *Night) Said() *Moment {
	if len(n.told) == 0 {
		return nil
	}
	m := n.tell(&n.told[len(n.told)-1])
	return &m
}

// tell words a record.
func (n *Night) tell(r *record) Moment {
	k := &troubles[r.kind]
	m := Moment{Key: k.key, At: r.at, Done: r.done, Batch: r.about.batch, Place: r.about.place, Title: n.t(k.key, &r.opened),
		Says: n.t(k.key+".say", &r.opened), Why: n.t(k.key+".why", &r.opened), Grade: r.grade, Grams: r.grams, Pieces: r.pieces,
		Lost: r.lost, Found: r.found, Refusal: r.refusal, Hurt: r.grade == Harm || r.grade == Silent && k.hurts}
	if m.Source = n.l.Text(r.about.source); k.source != "" {
		m.Source = n.t("src."+k.source, &r.opened)
	}
	if m.Then = n.t("silent", &r.opened); r.answer >= 0 {
		id := k.key + "." + string(rune('1'+r.answer))
		m.Did, m.Then = n.t(id, &r.opened), n.t(id+".then", &r.opened)
	}
	for i := range r.found {
		m.Sees = append(m.Sees, n.l.Deviation(n.s, &r.found[i], n.now).Title)
	}
	if r.grade != Right {
		for i := range k.answers {
			if k.answers[i].grade == Right {
				m.Better = n.t(k.key+"."+string(rune('1'+i)), &r.opened)
				break
			}
		}
	}
	return m
}

// Debrief looks back at what happened so far.
func (n *Night) Debrief() Debrief {
	d := Debrief{Rung: n.rung, Seed: n.seed, From: n.start, To: n.now, Troubles: len(n.told), Worst: -1}
	worst := int64(-1)
	for i := range n.told {
		m := n.tell(&n.told[i])
		d.Grams, d.Pieces, d.Lost = d.Grams+m.Grams, d.Pieces+m.Pieces, d.Lost+m.Lost
		if m.Hurt {
			d.Hurts++
		}
		if m.Grade == Right {
			d.Right++
		} else {
			d.Wrong++
			bad := m.Grams + int64(m.Lost/stamp.Minute)*10
			if m.Hurt {
				bad += 1 << 40
			}
			if bad > worst {
				worst, d.Worst = bad, i
			}
		}
		d.Line = append(d.Line, m)
	}
	d.Need = (d.Troubles*n.rung.Mark + 99) / 100
	d.Passed = n.Ends() && d.Troubles > 0 && d.Right >= d.Need && d.Hurts == 0
	return d
}
