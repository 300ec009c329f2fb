package kitchen

import (
	"cmp"
	"slices"
	"strings"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/wire"
)

// undo takes back a tap: within ten seconds, by who did it or on the same device. A tap that started several tubs is
// taken back as a whole.
func (d *deciding) undo() *Refusal {
	r := d.s.recent(d.c.Entry)
	if r == nil {
		if v := d.s.eventOf(d.c.Entry); v != nil {
			return &Refusal{Code: RefUndoLate, Number: int64(d.now.Since(v.At)), Limit: int64(undoFor), Unit: "ms"}
		}
		return &Refusal{Code: RefNoEntry}
	}
	age := d.now.Since(r.At)
	switch {
	case r.Withdrawn:
		return &Refusal{Code: RefWithdrawn}
	case !undoable(r.Kind):
		return &Refusal{Code: RefNotUndoable}
	case age > undoFor+undoGrace:
		return &Refusal{Code: RefUndoLate, Number: int64(age), Limit: int64(undoFor), Unit: "ms"}
	case r.Device != d.who.Device && (r.Crew == "" || r.Crew != d.who.Crew):
		return &Refusal{Code: RefNotYours}
	}
	if b := d.s.wentOn(r.Entry); b != nil {
		return &Refusal{Code: RefMovedOn, Batch: b.ID, Stage: b.Stage}
	}
	for _, o := range d.s.Recent {
		if o.Entry == r.Entry || oneTap(&o, r) {
			d.add(&entry.Withdrawal{Entry: o.Entry})
		}
	}
	return nil
}

// wentOn returns a batch that the entry made and with which something was done since: taking the entry back would leave
// that hanging in the air.
func (s *State) wentOn(id entry.ID) *Batch {
	for i := range s.Batches {
		b := &s.Batches[i]
		if len(b.Events) < 2 || b.Events[0].Entry != id {
			continue
		}
		for _, v := range b.Events[1:] {
			if !v.Withdrawn && !v.Void && v.Kind != entry.NoteMade && v.Kind != entry.DeviationOpened {
				return b
			}
		}
	}
	return nil
}

// oneTap tells whether both entries come from one tap that started several tubs.
func oneTap(a, b *Recent) bool {
	return a.Kind == entry.BatchStarted && b.Kind == entry.BatchStarted && a.At == b.At && a.Device == b.Device &&
		a.Crew == b.Crew && !a.Withdrawn
}

// OneTap returns the batches that were started by the same tap as an entry, which undo takes back together; nil when the
// entry started none or is no longer recent.
func (s *State) OneTap(id entry.ID) []entry.ID {
	r := s.recent(id)
	if r == nil || r.Kind != entry.BatchStarted {
		return nil
	}
	var batches []entry.ID
	for i := range s.Recent {
		if o := &s.Recent[i]; o.Entry == id || oneTap(o, r) {
			batches = append(batches, o.Batch)
		}
	}
	return batches
}

func (s *State) recent(id entry.ID) *Recent {
	for i := range s.Recent {
		if s.Recent[i].Entry == id {
			return &s.Recent[i]
		}
	}
	return nil
}

// undoable tells whether entries of the kind may be taken back: the work, not the household.
func undoable(k entry.Kind) bool {
	switch k {
	case entry.BatchStarted, entry.BatchMoved, entry.BatchPortioned, entry.BatchDiscarded, entry.HoldCounted,
		entry.StepDone, entry.ReadingTaken, entry.DeviationOpened, entry.DeviationAnswered, entry.TimerSet,
		entry.TimerEnded, entry.EquipmentSet, entry.NoteMade, entry.ListClosed, entry.ProbeChecked, entry.DeviationPart,
		entry.DeliveryTaken, entry.OilTended, entry.BatchFrozen, entry.LogBegun, entry.LogRead, entry.LogEnded, entry.CookAssessed,
		entry.GuideAsked, entry.GuideAnswered, entry.TrainerNoted, entry.DemandTold, entry.TurnedAway:
		return true
	}
	return false
}

// eventOf returns the event of an entry that holds, with its body if any has it.
func (s *State) eventOf(id entry.ID) *Event {
	var found *Event
	for i := range s.Batches {
		for j := range s.Batches[i].Events {
			v := &s.Batches[i].Events[j]
			if v.Entry == id && (found == nil || found.Withdrawn || len(found.Body) == 0 && !v.Withdrawn) {
				found = v
			}
		}
	}
	return found
}

// Counted returns what an entry of the hold counted, as it holds: sold and wasted.
func (v *Event) Counted() (sold, wasted int64) {
	var c entry.Count
	if v.Kind != entry.HoldCounted || wire.Read(v.Body, &c) != nil {
		return 0, 0
	}
	return amount(c.Sold), amount(c.Wasted)
}

// correct puts other words in the place of an entry's, at the entry's own time.
func (d *deciding) correct() *Refusal {
	for _, id := range d.s.alike(d.c) {
		body, r := d.original(id)
		if r == nil {
			r = d.patch(body)
		}
		if r != nil {
			return r
		}
		c := entry.New(entry.ID{}, d.s.Last, "", body)
		if r := d.add(&entry.Correction{Entry: id, To: c.Kind, Ver: c.Ver, Body: c.Raw, Reason: clean(d.c.Reason)}); r != nil {
			return r
		}
	}
	return nil
}

// alike returns the entry to be corrected and, where it is the place that was wrong, those that later said of the batch that
// it is there: each names its place anew.
func (s *State) alike(c *Command) []entry.ID {
	list := []entry.ID{c.Entry}
	b := s.Batch(c.Batch)
	if b == nil || c.Place == "" {
		return list
	}
	at := slices.IndexFunc(b.Events, func(v Event) bool { return v.Entry == c.Entry && !v.Withdrawn })
	for i := at + 1; at >= 0 && i < len(b.Events); i++ {
		if v := &b.Events[i]; v.Kind == entry.BatchMoved && v.Place == b.Events[at].Place && !v.Withdrawn {
			list = append(list, v.Entry)
		}
	}
	return list
}

// original returns a copy of the body of an entry to be corrected, as it holds now.
func (d *deciding) original(id entry.ID) (entry.Body, *Refusal) {
	if r := d.s.recent(id); r != nil && r.Withdrawn {
		return nil, &Refusal{Code: RefWithdrawn}
	}
	if step := d.s.stepOf(id); step != nil {
		return step, nil
	}
	for i := range d.s.Places {
		if p := &d.s.Places[i]; p.ReadIn == id && !id.IsZero() {
			return &entry.Reading{Place: p.Name, MilliC: p.Reading, Probe: p.Probe}, nil
		}
	}
	if body := d.s.booked(id); body != nil {
		return body, nil
	}
	v := d.s.eventOf(id)
	switch {
	case v == nil:
		return nil, &Refusal{Code: RefNoEntry}
	case v.Withdrawn:
		return nil, &Refusal{Code: RefWithdrawn}
	case len(v.Body) == 0 || v.Kind == entry.DeviationOpened:
		return nil, &Refusal{Code: RefNotUndoable}
	}
	body := v.Kind.Make()
	if body == nil || wire.Read(v.Body, body) != nil {
		return nil, &Refusal{Code: RefNotUndoable}
	}
	return body, nil
}

// stepOf returns the body of a step's entry, from its mark.
func (s *State) stepOf(id entry.ID) *entry.Step {
	for i := range s.Batches {
		for _, m := range s.Batches[i].Steps {
			if m.Entry == id {
				return stepBody(m, entry.Step{Batch: s.Batches[i].ID})
			}
		}
	}
	for i := range s.Runs {
		for _, m := range s.Runs[i].Steps {
			if m.Entry == id {
				return stepBody(m, entry.Step{List: s.Runs[i].List, Day: s.Runs[i].Day})
			}
		}
	}
	return nil
}

func stepBody(m Mark, b entry.Step) *entry.Step {
	b.Stage, b.Step, b.Value, b.Unit, b.Answer = m.Stage, m.Step, m.Value, m.Unit, m.Answer
	b.Note, b.Photo, b.SignBy, b.Probe = m.Note, m.Photo, m.SignBy, m.Probe
	return &b
}

// patch puts what the command says into the body. What may be corrected is what was typed or tapped wrong: numbers,
// words, and which batch it was; never the time.
func (d *deciding) patch(body entry.Body) *Refusal {
	c := d.c
	switch b := body.(type) {
	case *entry.Start:
		if r := cmp.Or(likely(c.Grams, "g"), likely(c.Pieces, "1")); r != nil {
			return r
		}
		set(&b.Grams, c.Grams)
		set(&b.Pieces, c.Pieces)
		if lots := append(split(c.Text), c.Lots...); len(lots) > 0 {
			b.Lots = sortedWords(lots)
		}
		if p := d.s.Procedure(b.Procedure, b.Version); p != nil && c.Grams > 0 {
			b.Mix = Tubs(p, b.Grams, b.Pieces, 1)[0].Mix
		}
	case *entry.Move:
		return d.otherPlace(&b.Place)
	case *entry.Portioning:
		if r := losing(c.Lost); r != nil {
			return r
		}
		return d.patchPortion(b)
	case *entry.Discard:
		if r := d.other(&b.Batch); r != nil {
			return r
		}
		if o := d.s.Batch(b.Batch); o != nil && o.ID == c.Batch {
			b.Grams, b.Pieces = o.Grams, o.Pieces
		}
	case *entry.Count:
		if r := cmp.Or(likely(c.Count, "1"), likely(c.Wasted, "1")); r != nil {
			return r
		}
		b.Sold, b.Wasted = c.Count, c.Wasted
		return d.other(&b.Batch)
	case *entry.Note:
		setWord(&b.Text, clean(c.Text))
		return d.other(&b.Batch)
	case *entry.Step:
		return d.patchStep(b)
	case *entry.Reading:
		b.MilliC = c.Value
		setWord(&b.Note, clean(c.Text))
		setWord(&b.Probe, clean(c.Probe))
		return likely(c.Value, "mC")
	default:
		return d.patchBook(body)
	}
	return nil
}

func set(v *int64, n int64) {
	if n > 0 {
		*v = amount(n)
	}
}

func setWord(v *string, w string) {
	if w != "" {
		*v = w
	}
}

// other turns the entry to another batch, when the command names one.
func (d *deciding) other(id *entry.ID) *Refusal {
	if d.c.Batch.IsZero() || d.c.Batch == *id {
		return nil
	}
	if d.s.Batch(d.c.Batch) == nil {
		return &Refusal{Code: RefNoBatch, Batch: d.c.Batch}
	}
	*id = d.c.Batch
	return nil
}

func (d *deciding) patchStep(b *entry.Step) *Refusal {
	if d.c.Unit != "" && d.c.Unit != b.Unit {
		return &Refusal{Code: RefNeedNumber, Step: b.Step, Unit: b.Unit}
	}
	if b.Unit != "" {
		b.Value = d.c.Value
		if r := likely(b.Value, b.Unit); r != nil {
			return r
		}
	}
	if b.Answer != "" {
		if d.c.Answer != "yes" && d.c.Answer != "no" {
			return &Refusal{Code: RefNeedAnswer, Step: b.Step}
		}
		b.Answer = d.c.Answer
	}
	setWord(&b.Note, clean(d.c.Text))
	setWord(&b.Probe, clean(d.c.Probe))
	return nil
}

// otherPlace turns the entry to another piece of equipment, when the command names one.
func (d *deciding) otherPlace(place *string) *Refusal {
	if d.c.Place == "" {
		return nil
	}
	if d.s.Equipment().Device(d.c.Place) == nil {
		return &Refusal{Code: RefNoPlace, Name: d.c.Place}
	}
	*place = d.c.Place
	return nil
}

// patchPortion corrects what went over: of all vessels in order, or of the one that the command names, whether it came out
// of it or went into it.
func (d *deciding) patchPortion(b *entry.Portioning) *Refusal {
	if r := cmp.Or(likely(d.c.Grams, "g"), likely(d.c.Pieces, "1")); r != nil {
		return r
	}
	for i := range b.In {
		in := &b.In[i]
		if len(d.c.Portions) == len(b.In) {
			set(&in.Grams, d.c.Portions[i].Grams)
			set(&in.Pieces, d.c.Portions[i].Pieces)
		} else if in.Batch == d.c.Batch {
			set(&in.Grams, d.c.Grams)
			set(&in.Pieces, d.c.Pieces)
			if r := d.otherPlace(&in.Place); r != nil {
				return r
			}
		}
	}
	for i := range b.Out {
		out := &b.Out[i]
		if out.Batch == d.c.Batch {
			set(&out.Grams, d.c.Grams)
			set(&out.Pieces, d.c.Pieces)
		}
		for _, w := range d.c.Shares {
			if w.Batch == out.Batch {
				set(&out.Grams, w.Grams)
				set(&out.Pieces, w.Pieces)
			}
		}
	}
	if len(d.c.Lost) > 0 {
		b.Lost = d.c.Lost
	}
	return nil
}

// split takes words apart that were typed in one line.
func split(s string) []string {
	return strings.FieldsFunc(clean(s), func(r rune) bool { return r == ',' || r == ';' || r == ' ' })
}
