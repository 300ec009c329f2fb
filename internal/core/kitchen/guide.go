package kitchen

import (
	"cmp"
	"slices"
	"strconv"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/order"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

// Guidance is what was asked and noted of work that somebody learns on real batches. Its lists are sorted by the id of
// their entry.
type Guidance struct {
	Asks   []Ask
	Notes  []TrainerNote
	Photos []StepPhoto // by What, Document, Stage, Step: the newest that the kitchen took of each
}

// StepPhoto is the newest photo of a step.
type StepPhoto struct {
	What, Document, Stage, Step string
	Hash                        string
	At                          stamp.Milli
}

// Ask is what somebody who learns asked the trainer: help, or to confirm a step.
type Ask struct {
	entry.GuideAsk
	ID       entry.ID
	At       stamp.Milli
	By       string // crew
	Device   string
	Answer   entry.GuideAnswer
	Answered stamp.Milli // 0: not yet
	On       string      // the device on which it was answered
	Checked  stamp.Milli // when the trainer said on another device whether an answer by PIN was his; 0: not yet
	Mine     bool        // and that it was
	Used     stamp.Milli // when its step was done; 0: not since
}

// TrainerNote is what a trainer wrote about somebody who learns.
type TrainerNote struct {
	entry.TrainerNote
	ID entry.ID
	At stamp.Milli
	By string
}

// byID finds the place of an id in a list sorted by it.
func byID[T any](list []T, id entry.ID, of func(*T) entry.ID) (int, bool) {
	low, high := 0, len(list)
	for low < high {
		if mid := (low + high) / 2; of(&list[mid]).Compare(id) < 0 {
			low = mid + 1
		} else {
			high = mid
		}
	}
	return low, low < len(list) && of(&list[low]) == id
}

func askID(a *Ask) entry.ID          { return a.ID }
func noteID(n *TrainerNote) entry.ID { return n.ID }

// Ask returns what was asked, or nil.
func (s *State) Ask(id entry.ID) *Ask {
	if i, ok := byID(s.Asks, id, askID); ok {
		return &s.Asks[i]
	}
	return nil
}

// Guide returns guided work, or nil.
func (s *State) Guide(id entry.ID) *GuideMark {
	if i, ok := byID(s.Guides, id, func(g *GuideMark) entry.ID { return g.Guide.Guide }); ok {
		return &s.Guides[i]
	}
	return nil
}

// GuidedAt returns the guided work that covers a batch at the stage where it is, nil when none does; GuidedList that of a
// day's list.
func (s *State) GuidedAt(crew string, b *Batch) *GuideMark {
	return s.Guided(crew, entry.Spot{Batch: b.ID, Stage: b.Stage})
}

// GuidedList returns the guided work that covers a day's list, nil when none does.
func (s *State) GuidedList(crew, list string, day int32) *GuideMark {
	return s.Guided(crew, entry.Spot{List: list, Day: day})
}

// guided returns the guided work that covers a step of whoever did it.
func (s *State) guided(crew string, step *entry.Step) *GuideMark {
	if step.Batch.IsZero() {
		return s.GuidedList(crew, step.List, step.Day)
	}
	if b := s.Batch(step.Batch); b != nil && b.Stage == step.Stage {
		return s.GuidedAt(crew, b)
	}
	return nil
}

// GuideRuns tells whether guided work goes on: nothing newer took its place, and what it is about is there still.
func (s *State) GuideRuns(g *GuideMark) bool {
	if g.List == "" {
		return len(s.GuidedBatches(g)) > 0
	}
	r := s.Run(g.List, g.Day)
	return s.GuidedList(g.Crew, g.List, g.Day) == g && s.List(g.List) != nil && (r == nil || !r.Closed)
}

// GuidedBatches lists the open batches that guided work covers now.
func (s *State) GuidedBatches(g *GuideMark) []*Batch {
	var list []*Batch
	for i := range s.Batches {
		if b := &s.Batches[i]; b.Status == Open && s.GuidedAt(g.Crew, b) == g {
			list = append(list, b)
		}
	}
	return list
}

// Waits tells whether something that was asked waits for an answer: the work that it is about is there still, and the
// step has not been done since.
func (s *State) Waits(a *Ask) bool {
	if a.Answered != 0 || a.Used != 0 {
		return false
	}
	if a.List != "" {
		r := s.Run(a.List, a.Day)
		return r == nil || !r.Closed
	}
	b := s.Batch(a.Batch)
	return b != nil && b.Status == Open && b.Stage == a.Stage
}

// AskAbout returns the last thing that was asked about a step within a guide, or nil.
func (s *State) AskAbout(g *GuideMark, batch entry.ID, step string, help bool) *Ask {
	var found *Ask
	for i := range s.Asks {
		if a := &s.Asks[i]; a.Guide == g.Guide.Guide && a.Batch == batch && a.Step == step && a.Help == help && (found == nil || a.At >= found.At) {
			found = a
		}
	}
	return found
}

// Code is the number of two digits that stands on the screen of who asks: who looks at both screens knows it.
func (a *Ask) Code() int64 { return int64(wire.Sum(a.ID.String())%90) + 10 }

// Codes lists four numbers, ascending, of which one is the code.
func (a *Ask) Codes() []int64 {
	code, salt := a.Code(), int64(wire.Sum("/"+a.ID.String())%13)
	list := []int64{code}
	for i := int64(1); i < 4; i++ {
		list = append(list, 10+(code-10+17*i+salt)%90)
	}
	slices.Sort(list)
	return list
}

// Trains tells whether a crew member may train: a lead, or who is listed as a trainer.
func (s *State) Trains(crew string) bool {
	m := s.Member(crew)
	return m != nil && !m.Gone && (m.Role == entry.Lead || m.Trainer)
}

// TrainsAt tells whether a crew member may train somebody at a spot: a lead, or a trainer who may do the work.
func (s *State) TrainsAt(crew string, at entry.Spot, now stamp.Milli) bool {
	if s.IsLead(crew) || !s.Trains(crew) {
		return s.Trains(crew)
	}
	if l := s.List(at.List); l != nil {
		return s.MayDo(crew, Spot{List: l, Day: at.Day}, now) == nil
	}
	b := s.Batch(at.Batch)
	return b == nil || s.MayDo(crew, b.At(at.Stage), now) == nil
}

// ToCheck lists the answers by PIN that a crew member has not looked at yet.
func (s *State) ToCheck(crew string) []*Ask {
	var list []*Ask
	for i := range s.Asks {
		if a := &s.Asks[i]; a.Answer.Pin && a.Answered != 0 && a.Checked == 0 && a.Answer.Trainer == crew {
			list = append(list, a)
		}
	}
	return list
}

// Wants names what was asked for: help or confirm.
func (a *Ask) Wants() string {
	if a.Help {
		return "help"
	}
	return "confirm"
}

// AskGot returns who said "got it" to what was asked; empty: nobody did.
func (s *State) AskGot(a *Ask) string { return s.answered("ask/" + a.ID.String() + "/").By }

// seenAs writes down a number that a trainer saw, and Saw reads it.
func seenAs(value int64, unit string) string { return strconv.FormatInt(value, 10) + " " + unit }

// Saw returns the number that the trainer saw, in base units.
func (a *Ask) Saw() (value int64, unit string, ok bool) {
	for i := range a.Answer.Seen {
		if a.Answer.Seen[i] == ' ' {
			n, err := strconv.ParseInt(a.Answer.Seen[:i], 10, 64)
			return n, a.Answer.Seen[i+1:], err == nil
		}
	}
	return 0, "", false
}

func byPhoto(a, b StepPhoto) int {
	return cmp.Or(cmp.Compare(a.What, b.What), cmp.Compare(a.Document, b.Document), cmp.Compare(a.Stage, b.Stage), cmp.Compare(a.Step, b.Step))
}

// PhotoOf returns the newest photo that the kitchen took of a step, or nil.
func (s *State) PhotoOf(what, document, stage, step string) *StepPhoto {
	if i, ok := slices.BinarySearchFunc(s.Photos, StepPhoto{What: what, Document: document, Stage: stage, Step: step}, byPhoto); ok {
		return &s.Photos[i]
	}
	return nil
}

// tellsOff tells whether what is written down says that something is not as it should be. That is never held back.
func tellsOff(step *procedure.Step, value int64, answer string) bool {
	if asksNumber(step.Kind) {
		_, off := offLimit(&step.Limit, value)
		return off
	}
	return step.Kind == procedure.Ask && answer == "no"
}

// Patience of what is asked, after which the leads are called too: common practice, no source.
const (
	helpPatience = stamp.Minute
	askPatience  = 2 * stamp.Minute
)

// asks adds the bells of what waits for a trainer.
func (b *belling) asks() {
	for i := range b.s.Asks {
		a := &b.s.Asks[i]
		if !b.s.Waits(a) {
			continue
		}
		name, patience := PointAsk, askPatience
		if a.Help {
			name, patience = PointHelp, helpPatience
		}
		b.ring([]point{{name, Attention, a.At, "ask/" + a.ID.String() + "/"}}, patience, Bell{Ask: a.ID})
	}
}

// ---- folding ----

func (f *folding) guideAsked(body *entry.GuideAsk) {
	if i, ok := byID(f.s.Asks, f.e.ID, askID); !ok {
		f.s.Asks = order.Insert(f.s.Asks, i, Ask{GuideAsk: *body, ID: f.e.ID, At: f.at, By: f.e.Crew, Device: f.e.At.Device})
	}
}

// guideAnswered keeps an answer. Nobody confirms a step of his own, and of two answers the no counts.
func (f *folding) guideAnswered(body *entry.GuideAnswer) {
	a := f.s.Ask(body.Ask)
	if a == nil || !a.Help && (body.Trainer == "" || body.Trainer == a.By) || a.Answered != 0 && (body.Yes || !a.Answer.Yes) {
		return
	}
	late := a.Answered != 0 && a.Used != 0
	a.Answer, a.Answered, a.On, a.Checked, a.Mine = *body, f.at, f.e.At.Device, 0, false
	f.s.dropPrefix("ask/" + a.ID.String() + "/")
	if late && !a.Help {
		f.deviate(f.askOff(DevNotConfirmed, a, a.Answer.Note))
	}
}

func (f *folding) guideChecked(body *entry.GuideCheck) {
	a := f.s.Ask(body.Ask)
	if a == nil || !a.Answer.Pin || f.e.Crew != a.Answer.Trainer || a.Checked != 0 && (body.Mine || !a.Mine) {
		return
	}
	a.Checked, a.Mine = f.at, body.Mine
	if !body.Mine {
		f.deviate(f.askOff(DevPinDenied, a, f.e.Crew))
	}
}

func (f *folding) askOff(code DeviationCode, a *Ask, text string) Deviation {
	return Deviation{Code: code, Batch: a.Batch, Stage: a.Stage, Step: a.Step, List: a.List, Day: a.Day, Text: text}
}

func (f *folding) trainerNoted(body *entry.TrainerNote) {
	if i, ok := byID(f.s.Notes, f.e.ID, noteID); !ok {
		f.s.Notes = order.Insert(f.s.Notes, i, TrainerNote{TrainerNote: *body, ID: f.e.ID, At: f.at, By: f.e.Crew})
	}
}

// guidedStep looks whether a step that somebody who learns has done was confirmed before, where it is a critical one.
func (f *folding) guidedStep(body *entry.Step, step *procedure.Step, m *Mark, d Deviation) {
	g := f.s.guided(f.e.Crew, body)
	if step == nil {
		return
	}
	if m.Photo != "" {
		row := StepPhoto{What: WhatList, Document: d.List, Step: m.Step, Hash: m.Photo, At: f.at}
		if b := f.s.Batch(d.Batch); b != nil {
			row.What, row.Document, row.Stage = WhatProcedure, b.Procedure, d.Stage
		}
		put(&f.s.Photos, row, byPhoto)
	}
	if g == nil {
		return
	}
	confirmed := false
	for i := range f.s.Asks {
		a := &f.s.Asks[i]
		if a.Guide == g.Guide.Guide && a.Batch == d.Batch && a.Step == m.Step && a.Used == 0 {
			confirmed = confirmed || !a.Help && a.Answered != 0 && a.Answer.Yes
			a.Used = f.at
			f.s.dropPrefix("ask/" + a.ID.String() + "/")
		}
	}
	if step.Critical && !confirmed && !tellsOff(step, m.Value, m.Answer) {
		d.Code, d.Step, d.Text = DevNotConfirmed, m.Step, m.Note
		f.deviate(d)
	}
}

// How long what was asked and noted stays: an answer by PIN until it is checked, but not for ever.
const (
	askStays  = 3 * stamp.Day
	pinStays  = 30 * stamp.Day
	noteStays = 60 * stamp.Day
	noteMost  = 200
)

func (s *State) pruneGuided(at stamp.Milli) {
	s.Asks = slices.DeleteFunc(s.Asks, func(a Ask) bool {
		stays := askStays
		if a.Answer.Pin && a.Checked == 0 {
			stays = pinStays
		}
		return at.Since(a.At) >= stays
	})
	s.Notes = slices.DeleteFunc(s.Notes, func(n TrainerNote) bool { return at.Since(n.At) >= noteStays })
	s.Notes = s.Notes[max(0, len(s.Notes)-noteMost):]
}

// ---- bytes ----

// Fields implements wire.Fielder.
func (l *Guidance) Fields(c *wire.Coder) {
	wire.List(c, "asks", &l.Asks, wire.Framed[Ask])
	wire.List(c, "notes", &l.Notes, wire.Framed[TrainerNote])
	wire.List(c, "photos", &l.Photos, wire.Framed[StepPhoto])
}

func (l *Guidance) sorted() bool {
	return ascending(l.Asks, func(a, b *Ask) int { return a.ID.Compare(b.ID) }) &&
		ascending(l.Notes, func(a, b *TrainerNote) int { return a.ID.Compare(b.ID) }) && inOrder(l.Photos, byPhoto)
}

// Fields implements wire.Fielder.
func (p *StepPhoto) Fields(c *wire.Coder) {
	wire.Str(c, "what", &p.What)
	wire.Str(c, "document", &p.Document)
	wire.Str(c, "stage", &p.Stage)
	wire.Str(c, "step", &p.Step)
	wire.Str(c, "hash", &p.Hash)
	wire.Int(c, "at", &p.At)
}

// Fields implements wire.Fielder.
func (a *Ask) Fields(c *wire.Coder) {
	told(c, &a.ID, &a.At, &a.By)
	wire.Str(c, "device", &a.Device)
	wire.Int(c, "answered", &a.Answered)
	wire.Str(c, "on", &a.On)
	wire.Int(c, "checked", &a.Checked)
	c.Bool("mine", &a.Mine)
	wire.Int(c, "used", &a.Used)
	a.Answer.Fields(c)
	a.GuideAsk.Fields(c)
}

// Fields implements wire.Fielder.
func (n *TrainerNote) Fields(c *wire.Coder) {
	told(c, &n.ID, &n.At, &n.By)
	n.TrainerNote.Fields(c)
}
