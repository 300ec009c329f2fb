package words

import (
	"strconv"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
)

// Off is what is said of something that is off: the number and how far out it is, then which limit, then what to do.
type Off struct {
	Title string
	Lines []string
}

// refusalIDs names the rows of each refusal.
var refusalIDs = map[kitchen.RefusalCode]string{
	kitchen.RefBadCommand: "ref.bad", kitchen.RefNoCrew: "ref.crew", kitchen.RefNotLead: "ref.lead",
	kitchen.RefNoProcedure: "ref.procedure", kitchen.RefNoBatch: "ref.batch", kitchen.RefNoPlace: "ref.place",
	kitchen.RefNoList: "ref.list", kitchen.RefNoStep: "ref.step", kitchen.RefNoTimer: "ref.timer",
	kitchen.RefNoDeviation: "ref.deviation", kitchen.RefNoEntry: "ref.entry", kitchen.RefNoDevice: "ref.device",
	kitchen.RefDiscarded: "ref.discarded", kitchen.RefEnded: "ref.ended", kitchen.RefMovedOn: "ref.moved",
	kitchen.RefLastStage: "ref.last", kitchen.RefNotNext: "ref.notnext", kitchen.RefNeedsPortion: "ref.needsportion",
	kitchen.RefNeedsMove: "ref.needsmove", kitchen.RefTooSoon: "ref.soon", kitchen.RefPastLimit: "ref.past",
	kitchen.RefStepMissing: "ref.stepmissing", kitchen.RefStepFirst: "ref.stepfirst", kitchen.RefOffLimit: "ref.off",
	kitchen.RefPlaceOut: "ref.placeout", kitchen.RefPlaceBusy: "ref.busy", kitchen.RefPlaceResting: "ref.resting",
	kitchen.RefPlaceFull: "ref.full", kitchen.RefNoReading: "ref.noreading", kitchen.RefReadingOff: "ref.readingoff",
	kitchen.RefReadingOld: "ref.readingold", kitchen.RefNeedAmount: "ref.amount", kitchen.RefNeedPieces: "ref.pieces",
	kitchen.RefNeedGrams: "ref.grams", kitchen.RefNeedNumber: "ref.number", kitchen.RefNeedAnswer: "ref.answer",
	kitchen.RefNeedSign: "ref.sign", kitchen.RefNeedReason: "ref.reason", kitchen.RefNeedText: "ref.text",
	kitchen.RefMoreThanThere: "ref.more", kitchen.RefVesselFull: "ref.vesselfull", kitchen.RefUnlikely: "ref.unlikely",
	kitchen.RefMixed: "ref.mixed", kitchen.RefNothingReady: "ref.nothing", kitchen.RefDoubt: "ref.doubt", kitchen.RefUnderPressure: "ref.pressure",
	kitchen.RefNotHold: "ref.nothold", kitchen.RefUndoLate: "ref.undolate", kitchen.RefNotYours: "ref.yours",
	kitchen.RefNotUndoable: "ref.notundoable", kitchen.RefWithdrawn: "ref.withdrawn", kitchen.RefSameVersion: "ref.version",
	kitchen.RefDocument: "ref.document", kitchen.RefClosed: "ref.closed", kitchen.RefCrewKnown: "ref.crewknown",
	kitchen.RefNoProbe: "ref.probe", kitchen.RefPartMissing: "ref.part", kitchen.RefNoPlan: "ref.noplan", kitchen.RefDayOpen: "ref.dayopen", kitchen.RefKeepLess: "ref.keep",
	kitchen.RefNotEquipment: "ref.notfor", kitchen.RefNot: "ref.not.", kitchen.RefLogLong: "ref.log",
	kitchen.RefNotSigned: "ref.signed", kitchen.RefTooYoung: "ref.young", kitchen.RefNotConfirmed: "ref.confirmed",
	kitchen.RefPin: "ref.pin", kitchen.RefPinForm: "ref.pinform", kitchen.RefNoPin: "ref.nopin",
	kitchen.RefNotTrainer: "ref.trainer", kitchen.RefNotGuided: "ref.guided", kitchen.RefWrongNumber: "ref.wrongnumber", kitchen.RefOwnPhone: "ref.ownphone",
	kitchen.RefEvidence: "ref.evidence", kitchen.RefPinWait: "ref.pinwait", kitchen.RefBorn: "ref.born", kitchen.RefPinTwice: "ref.pintwice",
}

// deviationIDs names the rows of each deviation.
var deviationIDs = map[kitchen.DeviationCode]string{
	kitchen.DevNoted: "dev.noted", kitchen.DevTooSoon: "dev.soon", kitchen.DevPastLimit: "dev.past",
	kitchen.DevOutOfLimit: "dev.off", kitchen.DevAnsweredNo: "dev.no", kitchen.DevReadingOff: "dev.reading",
	kitchen.DevTwiceMoved: "dev.twice", kitchen.DevAfterDiscard: "dev.afterdiscard",
	kitchen.DevMoreThanThere: "dev.more", kitchen.DevUnknownBatch: "dev.unknown", kitchen.DevSameName: "dev.samename",
	kitchen.DevPlaceBusy: "dev.busy", kitchen.DevClock: "dev.clock", kitchen.DevStepsMissing: "dev.steps",
	kitchen.DevUnreadable: "dev.unreadable", kitchen.DevDocument: "dev.document", kitchen.DevOilUnchecked: "dev.oil",
	kitchen.DevAfterEnd: "dev.afterend", kitchen.DevPlaceOut: "dev.placeout", kitchen.DevNotRested: "dev.rested",
	kitchen.DevProbeFailed: "dev.probe", kitchen.DevDelivery: "dev.delivery", kitchen.DevUnitWeight: "dev.unit",
	kitchen.DevExcursion: "dev.excursion", kitchen.DevOilSpent: "dev.spent",
	kitchen.DevCooling: "dev.cool", kitchen.DevTimeOver: "dev.time", kitchen.DevThawing: "dev.thaw", kitchen.DevFrozen: "dev.frozen",
	kitchen.DevCookLog: "dev.cooklog", kitchen.DevNotSigned: "dev.signed", kitchen.DevNotConfirmed: "dev.confirmed",
	kitchen.DevPinDenied: "dev.pin", kitchen.DevTooYoung: "dev.young",
}

// subject is what a refusal or a deviation is about, put into words.
type subject struct {
	l     Lang
	s     *kitchen.State
	now   stamp.Milli
	slots []string
}

func (u *subject) set(name, value string) { u.slots = append(u.slots, name, value) }

// about fills the places that refusals and deviations share.
func (u *subject) about(id entry.ID, place, stage, list, step string) {
	b := u.s.Batch(id)
	u.set("batch", u.l.Batch(u.s, b))
	u.set("place", u.l.Place(u.s, place))
	u.set("stage", u.l.Stage(u.s, b, stage))
	u.set("step", u.l.StepText(u.s, b, stage, list, step))
	where := u.l.Batch(u.s, b)
	if li := u.s.List(list); li != nil {
		where = u.l.Text(li.Title)
	} else if b == nil && place != "" {
		where = u.l.Place(u.s, place)
	}
	u.set("where", where)
}

// numbers fills number, limit and by how much they differ.
func (u *subject) numbers(number, limit int64, unit string) {
	out := number - limit
	if out < 0 {
		out = -out
	}
	by := u.l.Difference(out, unit)
	if unit == "ms" {
		by = u.l.Over(stamp.Span(out))
	}
	u.set("number", u.l.Amount(number, unit))
	u.set("limit", u.l.Exact(limit, unit))
	u.set("by", by)
	u.set("until", "")
}

// row returns the text called id in the table of what is off, filled, or "".
func (u *subject) row(id string, n int64) string {
	row := find(offTable, id)
	if row == nil {
		return ""
	}
	return fill(plural(row.in(u.l), n), u.slots)
}

func (u *subject) lines(id string, n int64, more ...string) []string {
	var out []string
	for _, part := range []string{".why", ".do"} {
		if s := u.row(id+part, n); s != "" {
			out = append(out, s)
		}
	}
	for _, s := range more {
		if s != "" {
			out = append(out, s)
		}
	}
	return out
}

// either returns the row for a number under its limit or over it, where the table tells them apart.
func either(id string, number, limit int64) string {
	side := ".over"
	if number < limit {
		side = ".under"
	}
	if find(offTable, id+side) != nil {
		return id + side
	}
	return id
}

// Refusal says why something is refused, and what to do.
func (l Lang) Refusal(s *kitchen.State, r *kitchen.Refusal, now stamp.Milli) Off {
	u := &subject{l: l, s: s, now: now}
	u.refused(r)
	id, ok := refusalIDs[r.Code]
	if !ok {
		id = "ref.other"
	}
	if r.Code == kitchen.RefNeedSign && r.Name == "" {
		id = "ref.sign.any"
	}
	if r.Code == kitchen.RefNot {
		id += r.Name
	}
	title, more := either(id, r.Number, r.Limit), ""
	switch r.Lapse {
	case kitchen.LapseUnused:
		id = "ref.unused"
	case kitchen.LapseDeviations:
		id = "ref.offs"
	case kitchen.LapseChanged:
		if id = "ref.changed"; r.Step == "" {
			id = "ref.limits"
		}
	}
	switch {
	case r.Override:
		more = u.row("ref.override", 0)
	case r.Urgent && r.Code == kitchen.RefTooYoung:
		more = u.row("ref.young.urgent", 0)
	case r.Urgent:
		more = u.row("ref.signed.urgent", 0)
	case r.Code == kitchen.RefTooSoon:
		more = u.row("ref.soon.hard", 0)
	case r.Code == kitchen.RefOffLimit:
		if st := StepOf(s, s.Batch(r.Batch), r.Stage, "", r.Step); st != nil {
			more = l.Text(st.IfNot)
		}
	}
	return Off{Title: u.row(title, r.Number), Lines: u.lines(id, r.Number, more)}
}

func (u *subject) refused(r *kitchen.Refusal) {
	if r.Code == kitchen.RefTooYoung {
		u.set("rule", u.ageRule(r.Name, r.Place))
	}
	if p := u.s.Procedure(r.Document, 0); p != nil && r.Batch.IsZero() {
		u.set("stage", u.l.Stage(u.s, &kitchen.Batch{Procedure: p.Name, Version: p.Version}, r.Stage))
	}
	u.about(r.Batch, r.Place, r.Stage, "", r.Step)
	if r.Document != "" {
		u.set("name", u.l.Competence(u.s, r.Document, r.Name))
	} else if m := u.s.Member(r.Name); m != nil {
		u.set("name", m.Name) // the first that is set counts
	}
	u.set("name", r.Name)
	u.set("n", strconv.FormatInt(r.Number, 10))
	b := u.s.Batch(r.Batch)
	u.set("next", u.l.Stage(u.s, b, r.Name))
	u.set("limitn", strconv.FormatInt(r.Limit, 10))
	u.set("part", Lower(u.l.T("part."+r.Name)))
	if b != nil {
		u.set("time", u.l.At(u.s, b.EndedAt, u.now))
	}
	if r.Until != 0 {
		until := u.l.At(u.s, r.Until, u.now)
		if r.Limit-r.Number < int64(10*stamp.Minute) { // seconds matter at a fryer
			until = ClockSeconds(r.Until, ZoneAt(u.s, r.Until))
		}
		u.set("until", until)
	}
	u.set("age", u.l.Length(max(0, r.Age))) // forms ask as of the whole second
	if b != nil && r.Code == kitchen.RefPlaceBusy {
		u.slots = append([]string{"batch", Lower(u.l.Vessel(b.Vessel, b.Number))}, u.slots...)
	}
	if d := u.s.Equipment().Device(r.Place); d != nil && (r.Code == kitchen.RefNoReading || r.Code == kitchen.RefReadingOff) {
		unit := Shown("mC", d.TypedIn)
		u.numbers(r.Number, r.Limit, unit)
		u.slots = append([]string{"limit", u.l.Limit(d.Reading, unit)}, u.slots...)
		return
	}
	switch r.Code {
	case kitchen.RefReadingOld:
		unit := "mC"
		if d := u.s.Equipment().Device(r.Place); d != nil {
			unit = Shown(unit, d.TypedIn)
		}
		u.set("number", u.l.Amount(r.Number, unit))
		u.set("limit", u.l.Exact(r.Limit, "ms"))
	case kitchen.RefOffLimit:
		if st := StepOf(u.s, b, r.Stage, "", r.Step); st != nil {
			u.set("limit", u.l.Limit(st.Limit, Shown(st.Unit, st.TypedIn)))
			u.numbers(r.Number, r.Limit, Shown(r.Unit, st.TypedIn))
			return
		}
		u.numbers(r.Number, r.Limit, r.Unit)
	case kitchen.RefTooSoon, kitchen.RefPastLimit, kitchen.RefPlaceResting, kitchen.RefUndoLate:
		u.numbers(r.Number, r.Limit, "ms")
	default:
		u.numbers(r.Number, r.Limit, r.Unit)
	}
}

// Deviation says what is off. The lines end with what the procedure says is to be done about it.
func (l Lang) Deviation(s *kitchen.State, d *kitchen.Deviation, now stamp.Milli) Off {
	u := &subject{l: l, s: s, now: now}
	b := s.Batch(d.Batch)
	if d.Code >= kitchen.DevCooling && d.Code <= kitchen.DevThawing && d.Text != "" {
		u.set("where", d.Text)
	}
	u.about(d.Batch, d.Place, d.Stage, d.List, d.Step)
	if x := s.Sensor(d.Text); x != nil && d.Code == kitchen.DevExcursion {
		u.set("text", x.Name) // the first that is set counts
	}
	u.set("text", d.Text)
	u.set("probe", l.Probe(s, d.Probe))
	u.set("name", l.Crew(s, d.By))
	if d.Code == kitchen.DevTooYoung {
		u.set("rule", u.ageRule(d.Text, ""))
	}
	if p := s.Equipment().Device(d.Place); p != nil && d.Code == kitchen.DevReadingOff {
		u.set("limit", l.Limit(p.Reading, Shown("mC", p.TypedIn)))
	}
	unit := shownOf(s, b, d)
	switch d.Code {
	case kitchen.DevTooSoon, kitchen.DevPastLimit, kitchen.DevNotRested, kitchen.DevClock:
		unit = "ms"
	}
	if d.Code == kitchen.DevDocument || d.Code == kitchen.DevStepsMissing || d.Code == kitchen.DevProbeFailed {
		u.set("number", strconv.FormatInt(d.Number, 10))
		u.set("n", strconv.FormatInt(d.Number, 10))
	}
	if d.Code == kitchen.DevUnitWeight {
		u.set("number", l.Exact(d.Number, unit))
	}
	if d.Code == kitchen.DevCookLog && unit == "ms" { // the table prints tenths of a second
		u.slots = append(u.slots, "number", l.Dwell(d.Number), "limit", l.Dwell(d.Limit), "by", l.Dwell(max(d.Limit-d.Number, 0)))
	}
	u.numbers(d.Number, d.Limit, unit)
	id, ok := deviationIDs[d.Code]
	if !ok {
		id = "dev.other"
	}
	is := l.variant(u, id, d)
	if find(offTable, is+".do") != nil {
		id = is
	}
	off := Off{Title: u.row(is, d.Number), Lines: u.lines(id, d.Number)}
	if off.Title == "" {
		off.Title = u.row("dev.other", 0)
	}
	switch {
	case d.Text != "" && (d.Code == kitchen.DevTooSoon || d.Code == kitchen.DevPastLimit):
		off.Lines = append(off.Lines, u.row("dev.override", 0))
	case StepOf(s, b, d.Stage, d.List, d.Step) != nil:
		if todo := l.Text(StepOf(s, b, d.Stage, d.List, d.Step).IfNot); todo != "" {
			off.Lines = append(off.Lines, todo)
		}
	}
	if find(offTable, id+".do") == nil {
		off.Lines = append(off.Lines, u.row("dev.do", 0))
	}
	return off
}

// variant picks the row of a deviation where the table has several for its code.
func (l Lang) variant(u *subject, id string, d *kitchen.Deviation) string {
	switch {
	case d.Code == kitchen.DevSameName:
		u.slots = append([]string{"batch", l.Vessel(d.Text, uint32(d.Number))}, u.slots...)
	case d.Unit == "mC" && d.Code == kitchen.DevTimeOver:
		return "dev.time.warm"
	case d.Unit == "mC" && d.Code == kitchen.DevThawing:
		return "dev.thaw.warm"
	case d.Code == kitchen.DevTwiceMoved && d.Unit != "":
		return "dev.twiceout"
	case d.Code == kitchen.DevOilUnchecked && d.Unit == "ms":
		return "dev.oil.old"
	case d.Code == kitchen.DevOilUnchecked && d.Number == 0:
		return "dev.oil.never"
	}
	return either(id, d.Number, d.Limit)
}

// shownOf returns the unit in which a deviation's numbers are shown: as its step or its equipment is typed.
func shownOf(s *kitchen.State, b *kitchen.Batch, d *kitchen.Deviation) string {
	if st := StepOf(s, b, d.Stage, d.List, d.Step); st != nil && d.Unit == st.Unit {
		return Shown(d.Unit, st.TypedIn)
	}
	if p := s.Equipment().Device(d.Place); p != nil && d.Unit == "mC" {
		return Shown(d.Unit, p.TypedIn)
	}
	if p := s.Equipment().Probe(d.Probe); p != nil && d.Unit == "mC" {
		return Shown(d.Unit, p.TypedIn)
	}
	return d.Unit
}
