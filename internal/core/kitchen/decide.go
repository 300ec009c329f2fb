package kitchen

import (
	"slices"
	"strings"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/stamp"
)

// Who taps, and on which device.
type Who struct {
	Crew, Device string
	Tries        []Try // wrong PINs on this device
}

// Draft is an entry to be made: the door gives it its stamp.
type Draft struct {
	ID   entry.ID
	Body entry.Body
}

// deciding is one command on its way to entries.
type deciding struct {
	s      *State
	c      *Command
	who    Who
	now    stamp.Milli
	newID  func() entry.ID
	drafts []Draft
	leave  string // a lead's words on why somebody without sign-off may; empty: none was needed
}

// Decide says which entries a command makes, in order, or why it is refused. A nil refusal without drafts means that
// there is nothing left to do.
func Decide(s *State, c *Command, who Who, now stamp.Milli, newID func() entry.ID) ([]Draft, *Refusal) {
	c, r := c.untyped()
	if r != nil {
		return nil, r
	}
	d := &deciding{s: s, c: c, who: who, now: now, newID: newID}
	if r := d.known(); r != nil {
		return nil, r
	}
	if r := d.decide(); r != nil {
		return nil, r
	}
	return d.drafts, nil
}

// known asks for a name before anything is written down, once the kitchen has names. A bell may be silenced by anybody.
func (d *deciding) known() *Refusal {
	present := func(m entry.Member) bool { return !m.Gone }
	if d.c.Do == DoGot || !slices.ContainsFunc(d.s.Crew, present) {
		return nil
	}
	if m := d.s.Member(d.who.Crew); m != nil && !m.Gone {
		return nil
	}
	return &Refusal{Code: RefNoCrew}
}

// decide knows each deed. To add one: a word in command.go, and a case here.
func (d *deciding) decide() *Refusal {
	switch d.c.Do {
	case DoStart:
		return d.start()
	case DoMove:
		return d.move()
	case DoPortion:
		return d.portion()
	case DoDiscard:
		return d.discard()
	case DoCount:
		return d.count()
	case DoStep:
		return d.step()
	case DoReading:
		return d.reading()
	case DoGot:
		return d.got()
	case DoUndo:
		return d.undo()
	case DoCorrect:
		return d.correct()
	case DoTimer:
		return d.timer()
	case DoTimerEnd:
		return d.timerEnd()
	case DoEquipment:
		return d.equipment()
	case DoNote:
		return d.note()
	case DoDeviate:
		return d.deviate()
	case DoAnswer:
		return d.answer()
	case DoListClose:
		return d.listClose()
	}
	return d.books()
}

// books decides what goes into the kitchen's books.
func (d *deciding) books() *Refusal {
	switch d.c.Do {
	case DoCheck:
		return d.probeCheck()
	case DoPart:
		return d.part()
	case DoDayClose:
		return d.dayClose()
	case DoSet:
		return d.setting()
	case DoDeliver:
		return d.deliver()
	case DoOil:
		return d.oil()
	case DoFreeze:
		return d.freeze()
	case DoLog:
		return d.log()
	case DoLogRead, DoLogEnd:
		return d.inLog()
	case DoCookLog:
		return d.cookLog()
	case DoQuiz:
		return d.quiz()
	}
	return d.training()
}

// household decides what is about the kitchen itself rather than about its work.
func (d *deciding) household() *Refusal {
	switch d.c.Do {
	case DoMember:
		return d.member()
	case DoRevoke, DoPost:
		return d.device()
	case DoName:
		return d.name()
	case DoPublish:
		return d.publish()
	}
	return &Refusal{Code: RefBadCommand, Name: d.c.Do}
}

// add makes an entry.
func (d *deciding) add(body entry.Body) *Refusal {
	d.drafts = append(d.drafts, Draft{ID: d.newID(), Body: body})
	return nil
}

// lead asks for a lead, unless the kitchen has none yet.
func (d *deciding) lead() *Refusal {
	isLead := func(m entry.Member) bool { return m.Role == entry.Lead && !m.Gone }
	if d.s.IsLead(d.who.Crew) || !slices.ContainsFunc(d.s.Crew, isLead) {
		return nil
	}
	return &Refusal{Code: RefNotLead, Name: d.who.Crew}
}

// unless lets a lead's reasoned leave stand against a refusal that may be overridden.
func (d *deciding) unless(r Refusal) *Refusal {
	if !r.Override || d.c.OverrideBy == "" {
		return &r
	}
	if !d.s.IsLead(d.c.OverrideBy) {
		return &Refusal{Code: RefNotLead, Batch: r.Batch, Name: d.c.OverrideBy}
	}
	if blank(d.c.OverrideReason) {
		return &Refusal{Code: RefNeedReason, Batch: r.Batch, Override: true}
	}
	return nil
}

func (d *deciding) override() entry.Override {
	switch {
	case d.c.OverrideBy != "":
		return entry.Override{By: d.c.OverrideBy, Reason: clean(d.c.OverrideReason)}
	case d.leave != "":
		return entry.Override{By: d.c.LeaveBy, Reason: d.leave}
	}
	return entry.Override{}
}

// batch returns an open batch.
func (d *deciding) batch(id entry.ID) (*Batch, *Refusal) {
	b := d.s.Batch(id)
	switch {
	case b == nil:
		return nil, &Refusal{Code: RefNoBatch, Batch: id}
	case b.Status == Discarded:
		return nil, &Refusal{Code: RefDiscarded, Batch: id}
	case b.Status != Open:
		return nil, &Refusal{Code: RefEnded, Batch: id}
	}
	return b, nil
}

func blank(s string) bool { return clean(s) == "" }

// textMost is the longest text that a tap may carry, in bytes.
const textMost = 2000

// clean trims what was typed and bounds its length.
func clean(s string) string {
	s = strings.TrimSpace(strings.ToValidUTF8(s, "?"))
	for len(s) > textMost {
		r := []rune(s[:textMost])
		s = strings.TrimRight(string(r[:len(r)-1]), " ")
	}
	return s
}
