package kitchen

import (
	"errors"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/stamp"
)

// Amended says what later entries make of an entry.
type Amended struct {
	Withdrawn bool
	By        *entry.Entry // the correction in force, else nil
}

// Apply folds an entry into the state. Entries come in canonical order, each once.
func (s *State) Apply(e *entry.Entry, amended Amended) {
	before := s.Last
	s.Folded++
	s.Last = e.At
	f := folding{s: s, e: e, at: e.At.At, seal: s.Seal}
	s.seal(e)
	s.afterClose(e)
	body := f.open()
	batch := firstBatch(e.ID, body)
	switch {
	case amended.Withdrawn:
		f.struck(body, nil)
	case body != nil:
		if to := f.correct(amended.By); to != nil {
			f.corrected = true
			f.struck(body, to)
			f.apply(to)
			f.wasSaid(body, to, amended.By)
			break
		}
		f.apply(body)
	}
	f.emptyLogs()
	s.remember(e, batch, amended.Withdrawn)
	if hour(before.At) != hour(e.At.At) && !s.isAhead(e.At) {
		s.prune(e.At.At)
	}
}

// folding is one entry on its way into the state.
type folding struct {
	s         *State
	e         *entry.Entry
	at        stamp.Milli
	corrected bool
	seal      [16]byte // over the entries before it
}

// open reads the entry's body: nil when this build does not know its kind, or when it cannot be read.
func (f *folding) open() entry.Body {
	body, err := f.e.Open()
	if err == nil {
		return body
	}
	if !errors.Is(err, entry.ErrUnknown) {
		f.deviate(f.off(DevUnreadable, entry.ID{}, ""))
	}
	return nil
}

// correct returns the body that the correction in force puts in the entry's place. A correction that turns an entry
// into one of another kind, or that cannot be read, does not hold.
func (f *folding) correct(by *entry.Entry) entry.Body {
	if by == nil {
		return nil
	}
	if c, err := by.Open(); err == nil {
		if c, ok := c.(*entry.Correction); ok && c.To == f.e.Kind {
			if body, err := asEntry(c).Open(); err == nil {
				return body
			}
		}
	}
	f.deviateAs(by, Deviation{Code: DevUnreadable, Number: int64(by.Kind), Unit: "kind"})
	return nil
}

func asEntry(c *entry.Correction) *entry.Entry {
	return &entry.Entry{Kind: c.To, Ver: c.Ver, Raw: c.Body}
}

// apply changes the state as the body says. To add a kind of entry: a case here, and what it does below.
func (f *folding) apply(body entry.Body) {
	switch b := body.(type) {
	case *entry.Start:
		f.start(b)
	case *entry.Move:
		f.move(b)
	case *entry.Portioning:
		f.portion(b)
	case *entry.Discard:
		f.discard(b)
	case *entry.Count:
		f.count(b)
	case *entry.Step:
		f.step(b)
	case *entry.Note:
		f.note(b)
	case *entry.Reading:
		f.reading(b)
	case *entry.Equipment:
		f.equipment(b)
	case *entry.Sensing:
		f.sensed(b)
	case *entry.Deviation:
		f.noted(b)
	case *entry.Answer:
		f.answer(b)
	case *entry.GotIt:
		f.gotIt(b)
	case *entry.Timer:
		f.timer(b)
	case *entry.TimerEnd:
		f.timerEnd(b)
	case *entry.ListClose:
		f.listClose(b)
	case *entry.Correction:
		f.correction(b)
	case *entry.Withdrawal: // the entry that it takes back was folded as taken back
	default:
		f.books(body)
	}
}

// books folds what goes into the kitchen's books.
func (f *folding) books(body entry.Body) {
	switch b := body.(type) {
	case *entry.ProbeCheck:
		f.probeCheck(b)
	case *entry.Part:
		f.part(b)
	case *entry.DayClose:
		f.dayClose(b)
	case *entry.Setting:
		f.setting(b)
	case *entry.Delivery:
		f.delivery(b)
	case *entry.Oil:
		f.oil(b)
	case *entry.Frost:
		f.frost(b)
	case *entry.Log:
		f.log(b)
	case *entry.LogReading:
		f.logRead(b)
	case *entry.LogEnd:
		f.logEnd(b)
	case *entry.CookLog:
		f.cookLog(b)
	case *entry.QuizAnswer:
		f.quizAnswer(b)
	default:
		f.training(body)
	}
}

// household folds what is about the kitchen itself rather than about its work.
func (f *folding) household(body entry.Body) {
	switch b := body.(type) {
	case *entry.NamedKitchen:
		f.s.Name, f.s.Zone, f.s.Country, f.s.Demo = b.Name, b.Zone, b.Country, b.Demo
	case *entry.Offsets:
		f.offsets(b)
	case *entry.Member:
		f.member(b)
	case *entry.Pairing:
		f.pairing(b)
	case *entry.Revocation:
		f.revocation(b)
	case *entry.Document:
		f.publish(b)
	case *entry.ClockDoubt:
		f.clockDoubt(b)
	case *entry.SensorPairing:
		f.sensorPaired(b)
	case *entry.SensorRevocation:
		f.sensorRevoked(b)
	case *entry.Post:
		if d := f.s.Device(b.Device); d != nil {
			d.Place = b.Place
		}
	}
}

// correction only looks whether the correction can be read: what it corrects was folded as corrected.
func (f *folding) correction(c *entry.Correction) {
	if _, err := asEntry(c).Open(); err != nil && !errors.Is(err, entry.ErrUnknown) {
		f.deviateAs(f.e, f.off(DevUnreadable, entry.ID{}, ""))
	}
}

// struck writes into the histories of an entry's batches that it was taken back, except of those that the body which
// takes its place is about too.
func (f *folding) struck(body, instead entry.Body) {
	if body == nil {
		return
	}
	kept := batchesOf(f.e.ID, instead)
	for _, id := range batchesOf(f.e.ID, body) {
		b := f.s.Batch(id)
		if b == nil || contains(kept, id) {
			continue
		}
		v := Event{Stage: b.Stage, Withdrawn: true, Corrected: instead != nil, Body: f.keep(body)}
		describe(&v, body, b.ID)
		f.event(b, v)
	}
}

// wasSaid leaves what the entry said before its correction readable in the history of each batch that both tell of: struck
// through, at the time of the correction and in the name of whoever corrected it.
func (f *folding) wasSaid(body, instead entry.Body, by *entry.Entry) {
	kept := batchesOf(f.e.ID, instead)
	for _, id := range batchesOf(f.e.ID, body) {
		b := f.s.Batch(id)
		if b == nil || !contains(kept, id) {
			continue
		}
		v := Event{Entry: f.e.ID, At: by.At.At, By: by.Crew, Device: by.At.Device, Kind: f.e.Kind,
			Stage: b.Stage, Withdrawn: true, Corrected: true, Body: f.keep(body)}
		describe(&v, body, b.ID)
		b.Events = append(b.Events, v)
	}
}

// recently is how long entries stay in State.Recent: longer than they may be undone, so that late undos are refused
// with the right words.
const recently = 30 * stamp.Second

// recentMost bounds State.Recent.
const recentMost = 64

func (s *State) remember(e *entry.Entry, batch entry.ID, withdrawn bool) {
	keep := s.Recent[:0]
	for _, r := range s.Recent {
		if e.At.At.Since(r.At) <= recently {
			keep = append(keep, r)
		}
	}
	s.Recent = append(keep, Recent{
		Entry: e.ID, At: e.At.At, Device: e.At.Device, Crew: e.Crew, Kind: e.Kind, Batch: batch, Withdrawn: withdrawn,
	})
	if n := len(s.Recent); n > recentMost {
		s.Recent = append(s.Recent[:0], s.Recent[n-recentMost:]...)
	}
}

func hour(at stamp.Milli) int64 { return int64(at) / int64(stamp.Hour) }
