package kitchen

import (
	"slices"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/order"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/safety"
	"brinebell/internal/core/stamp"
)

// alike is how near to each other two taps may be that say the same and count as one.
const alike = 10 * stamp.Second

// known returns the batch, or nil with a deviation if no entry began it.
func (f *folding) known(id entry.ID) *Batch {
	b := f.s.Batch(id)
	if b == nil {
		f.deviate(f.off(DevUnknownBatch, id, ""))
	}
	return b
}

// alive tells whether the batch is open. If not, the first contradiction of each sort opens a deviation.
func (f *folding) alive(b *Batch) bool {
	switch b.Status {
	case Open:
		return true
	case Discarded:
		f.deviateOnce(f.off(DevAfterDiscard, b.ID, b.Stage))
	default:
		f.deviateOnce(f.off(DevAfterEnd, b.ID, b.Stage))
	}
	return false
}

// keep returns the body's bytes as folded, for a later correction; steps are kept as marks.
func (f *folding) keep(body entry.Body) []byte {
	if body.Kind() == entry.StepDone {
		return nil
	}
	return wireBytes(body)
}

func (f *folding) event(b *Batch, v Event) {
	v.Entry, v.At, v.By, v.Device, v.Kind = f.e.ID, f.at, f.e.Crew, f.e.At.Device, f.e.Kind
	v.Corrected = v.Corrected || f.corrected
	b.Events = append(b.Events, v)
}

// tell writes the entry into the batch's history.
func (f *folding) tell(b *Batch, body entry.Body, void bool) {
	v := Event{Stage: b.Stage, Place: b.Place, Void: void, Body: f.keep(body)}
	describe(&v, body, b.ID)
	f.event(b, v)
}

func (f *folding) start(body *entry.Start) {
	if f.s.Batch(f.e.ID) != nil {
		f.deviate(f.off(DevUnreadable, f.e.ID, ""))
		return
	}
	b := Batch{
		ID: f.e.ID, Code: body.Code, Procedure: body.Procedure, Version: body.Version,
		Vessel: body.Vessel, Number: body.Number,
		Grams: amount(body.Grams), Pieces: amount(body.Pieces),
		InGrams: amount(body.Grams), InPieces: amount(body.Pieces),
		Lots: sortedWords(body.Lots), Mix: body.Mix, MadeAt: f.at, MadeBy: f.e.Crew,
	}
	f.enter(&b, body.Stage, body.Place)
	f.tell(&b, body, false)
	f.add(b)
	f.begun(&b)
	f.did(b.At(b.Stage), "")
	f.unitWeight(body)
}

// add puts a new batch among the others and looks whether it can be where it is said to be.
func (f *folding) add(b Batch) {
	i, _ := f.s.batchAt(b.ID)
	f.sameName(&b)
	f.placed(&b)
	f.s.Batches = order.Insert(f.s.Batches, i, b)
}

// enter lets the batch begin a stage now.
func (f *folding) enter(b *Batch, stage, place string) {
	before := f.s.Stage(b)
	if b.Place != place {
		f.vacate(b)
	}
	f.offered(b)
	began := b.Began
	b.Stage, b.Since, b.Began, b.Place, b.Thawed = stage, f.at, f.e.ID, place, ""
	f.s.dropBells(began)
	if st := f.s.Stage(b); st != nil {
		if !st.Raw || cannotStay(st) {
			f.offLogs(b.ID, entry.LogThaw)
		}
		if !st.Raw && (before == nil || before.Raw) {
			b.UseBy, b.MarkedAt = 0, ""
		}
		f.mark(b, st)
		f.came(b, st)
	}
}

// mark writes the date mark of a stage that has one. It is never later than an earlier mark that means the same, "use
// by" after "use by"; one that means something else, "drain by", is done with. A raw product's mark ends when it is
// cooked.
func (f *folding) mark(b *Batch, st *procedure.Stage) {
	if !st.Mark || st.Window.Ceiling == 0 || b.Kept {
		return
	}
	p := f.s.Procedure(b.Procedure, b.Version)
	if old, _ := p.Stage(b.MarkedAt); old == nil || old.MarkUse != st.MarkUse {
		b.UseBy = 0
	}
	b.MarkedAt = st.Name
	if use := f.s.UseBy(st, f.at); b.UseBy == 0 || use < b.UseBy {
		b.UseBy = use
	}
}

// UseBy returns the last instant that the mark of a stage allows which begins now. What is cooked, or was never raw, and
// is kept for longer than a day may not be kept beyond the days that the model code counts, by the kitchen's calendar.
func (s *State) UseBy(st *procedure.Stage, now stamp.Milli) stamp.Milli {
	use := now.Add(st.Window.Ceiling)
	if st.Raw || st.Window.Ceiling <= safety.DateNeeded {
		return use
	}
	return min(use, safety.Make(s.WallDay(now)).Until(s.DayStart))
}

// end closes the batch.
func (f *folding) end(b *Batch, status Status) {
	f.vacate(b)
	f.offered(b)
	b.Status, b.EndedAt = status, f.at
	f.offLogs(b.ID, "")
	f.s.dropBells(b.Began)
}

// vacate notes when the batch leaves its piece of equipment.
func (f *folding) vacate(b *Batch) {
	if b.Place != "" && b.Status == Open {
		f.s.place(b.Place).EmptyAt = f.at
	}
}

func (f *folding) move(body *entry.Move) {
	b := f.known(body.Batch)
	if b == nil {
		return
	}
	if !f.alive(b) || !f.follows(b, body) {
		f.tell(b, body, true)
		return
	}
	f.unfrozen(b)
	f.leaving(b, body.Override)
	f.finished(b.At(b.Stage))
	elsewhere := b.Place != body.Place
	f.enter(b, body.To, body.Place)
	f.tell(b, body, false)
	f.did(b.At(b.Stage), body.Override.Reason)
	if elsewhere {
		f.placed(b)
	}
}

// follows tells whether the move takes the batch on. Of two moves out of one stage the first holds, and the second
// opens a deviation unless it says the same at about the same time. A move out of a stage that the batch never came to
// is believed when it leads forward, since that is where the batch stands; the stages between show as a deviation.
func (f *folding) follows(b *Batch, body *entry.Move) bool {
	if body.From == b.Stage && body.To != b.Stage {
		return true
	}
	if body.To == b.Stage && f.at.Since(b.Since) <= alike {
		return false
	}
	f.deviate(Deviation{Code: DevTwiceMoved, Batch: b.ID, Stage: body.From, Text: body.To})
	return !b.hasBeen(body.From) && f.s.forward(b, body.To)
}

// hasBeen tells whether the batch has come to the stage at some time.
func (b *Batch) hasBeen(stage string) bool {
	for i := range b.Events {
		v := &b.Events[i]
		began := v.Kind == entry.BatchStarted || v.Kind == entry.BatchMoved || v.Entry == b.Events[0].Entry
		if began && v.Stage == stage && !v.Void && !v.Withdrawn {
			return true
		}
	}
	return false
}

// forward tells whether a stage comes after the one at which the batch is.
func (s *State) forward(b *Batch, stage string) bool {
	p := s.Procedure(b.Procedure, b.Version)
	if p == nil {
		return false
	}
	_, from := p.Stage(b.Stage)
	_, to := p.Stage(stage)
	return to > from
}

func (f *folding) discard(body *entry.Discard) {
	b := f.known(body.Batch)
	if b == nil {
		return
	}
	f.tell(b, body, b.Status == Discarded)
	switch b.Status {
	case Discarded:
	case Open:
		f.enough(b, amount(body.Grams), amount(body.Pieces))
		f.lose(b, entry.Loss{Why: "waste", Grams: b.Grams, Pieces: b.Pieces}, body.Reason)
		if from, until := f.s.ForSale(b, f.at); from < until {
			f.sold(b, 0, b.Pieces)
		}
		b.Grams, b.Pieces = 0, 0
		f.end(b, Discarded)
	default:
		b.Status = Discarded
		if !f.doubt(b, body.Reason) {
			f.deviateOnce(f.off(DevAfterEnd, b.ID, b.Stage))
		}
	}
}

// doubt marks what came out of a discarded batch and is still there: somebody threw it away, somebody else went on.
func (f *folding) doubt(b *Batch, reason string) bool {
	found := false
	seen := slices.Clone(b.Children)
	for i := 0; i < len(seen); i++ {
		child := f.s.Batch(seen[i])
		switch {
		case child == nil:
		case child.Status == Open:
			found = true
			d := f.off(DevAfterDiscard, child.ID, child.Stage)
			d.Text = reason
			child.Doubt = f.deviate(d)
		default:
			for _, id := range child.Children {
				if !contains(seen, id) {
					seen = append(seen, id)
				}
			}
		}
	}
	return found
}

// enough opens a deviation if more is said to be taken than is there.
func (f *folding) enough(b *Batch, grams, pieces int64) {
	if b.InPieces > 0 && pieces > b.Pieces {
		f.deviate(Deviation{
			Code: DevMoreThanThere, Batch: b.ID, Stage: b.Stage, Number: pieces, Limit: b.Pieces, Unit: "1",
		})
	} else if b.InGrams > 0 && grams > b.Grams {
		f.deviate(Deviation{
			Code: DevMoreThanThere, Batch: b.ID, Stage: b.Stage, Number: grams, Limit: b.Grams, Unit: "g",
		})
	}
}

// lose notes what does not come out of a batch again, and, where it was thrown away, why.
func (f *folding) lose(b *Batch, l entry.Loss, why string) {
	l.Grams, l.Pieces = amount(l.Grams), amount(l.Pieces)
	if l.Grams > 0 || l.Pieces > 0 {
		b.Lost = append(b.Lost, l)
		f.gone(b, l, why)
	}
}

func (f *folding) count(body *entry.Count) {
	b := f.known(body.Batch)
	if b == nil {
		return
	}
	sold, wasted := amount(body.Sold), amount(body.Wasted)
	if wasted > 0 && b.Status != Discarded {
		f.gone(b, entry.Loss{Why: "waste", Grams: portionOf(b.Grams, wasted, b.Pieces), Pieces: wasted}, body.Reason)
	}
	if b.Status == Finished { // counts add up, whoever was last
		f.sold(b, sold, wasted)
		b.Sold, b.Wasted = b.Sold+sold, b.Wasted+wasted
		f.tell(b, body, false)
		f.enough(b, 0, sold+wasted)
		return
	}
	if !f.alive(b) {
		f.tell(b, body, true)
		return
	}
	f.unfrozen(b)
	f.tell(b, body, false)
	if sold > 0 {
		f.soldLate(b)
	}
	f.enough(b, 0, sold+wasted)
	f.sold(b, sold, wasted)
	b.Sold, b.Wasted = b.Sold+sold, b.Wasted+wasted
	left := max(b.Pieces-sold-wasted, 0)
	if b.InPieces > 0 {
		b.Grams -= portionOf(b.Grams, b.Pieces-left, b.Pieces)
		if b.Pieces = left; left == 0 {
			f.finished(b.At(b.Stage))
			f.end(b, Finished)
		}
	}
}

func (f *folding) note(body *entry.Note) {
	if body.Batch.IsZero() {
		return
	}
	if b := f.known(body.Batch); b != nil {
		f.tell(b, body, false)
	}
}
