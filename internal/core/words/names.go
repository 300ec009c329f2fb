package words

import (
	"strconv"
	"strings"

	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
)

// Text returns a document's text in the language.
func (l Lang) Text(t procedure.Text) string { return t.In(string(l)) }

// vesselLoad is the kind of vessel that goes by the name of the equipment that it is in.
const vesselLoad = "load"

// Vessel names a vessel: "Tub 3", "Tray B".
func (l Lang) Vessel(kind string, number uint32) string {
	return l.vessel("vessel.", kind, vesselNumber(kind, number))
}

func (l Lang) vessel(table, kind, n string) string {
	if find(screenTable, table+kind) == nil {
		return l.T("vessel.other", "kind", Upper(kind), "n", n)
	}
	return l.T(table+kind, "n", n)
}

// Trays carry letters, so that nobody takes tray 4 for four pieces.
func vesselNumber(kind string, number uint32) string {
	if kind == "tray" && number > 0 {
		return letters(number)
	}
	return strconv.FormatUint(uint64(number), 10)
}

func letters(n uint32) string {
	s := ""
	for ; n > 0; n = (n - 1) / 26 {
		s = string(rune('A'+(n-1)%26)) + s
	}
	return s
}

// Vessels counts vessels: "2 tubs".
func (l Lang) Vessels(kind string, n int64) string {
	if find(screenTable, "vessels."+kind) == nil {
		return l.N("vessels.other", n, "kind", kind)
	}
	return l.N("vessels."+kind, n)
}

// Batch names an open batch as a cook would: by its vessel, a load by the equipment that it is in.
func (l Lang) Batch(s *kitchen.State, b *kitchen.Batch) string {
	if b == nil {
		return l.T("batch.unknown")
	}
	if b.Vessel == vesselLoad && b.Place != "" {
		return l.Place(s, b.Place)
	}
	return l.Vessel(b.Vessel, b.Number)
}

// Place names a piece of equipment.
func (l Lang) Place(s *kitchen.State, name string) string {
	if d := s.Equipment().Device(name); d != nil {
		return l.Text(d.Title)
	}
	return name
}

// Probe names a thermometer.
func (l Lang) Probe(s *kitchen.State, name string) string {
	if p := s.Equipment().Probe(name); p != nil {
		return l.Text(p.Title)
	}
	return name
}

// Item names what a batch is: "bone-in".
func (l Lang) Item(s *kitchen.State, b *kitchen.Batch) string {
	if p := s.Procedure(b.Procedure, b.Version); p != nil {
		return l.Text(p.Item)
	}
	return b.Procedure
}

// Left says how much of a batch is left: "7.2 kg", "14 pieces", "16 portions".
func (l Lang) Left(s *kitchen.State, b *kitchen.Batch) string { return l.Much(s, b, b.Grams, b.Pieces) }

// Much says an amount of what a batch is.
func (l Lang) Much(s *kitchen.State, b *kitchen.Batch, grams, pieces int64) string {
	if pieces == 0 && grams > 0 {
		return l.Amount(grams, "g")
	}
	if p := s.Procedure(b.Procedure, b.Version); p != nil && p.Portions {
		return l.N("portions", pieces)
	}
	return l.N("pieces", pieces)
}

// Crew names who did something.
func (l Lang) Crew(s *kitchen.State, crew string) string {
	if crew == "" {
		return l.T("unknown.crew")
	}
	if m := s.Member(crew); m != nil {
		return m.Name
	}
	return crew
}

// Stage names a stage of a batch's procedure.
func (l Lang) Stage(s *kitchen.State, b *kitchen.Batch, name string) string {
	if st := stageOf(s, b, name); st != nil {
		return l.Text(st.Title)
	}
	return name
}

func stageOf(s *kitchen.State, b *kitchen.Batch, name string) *procedure.Stage {
	if b == nil {
		return nil
	}
	p := s.Procedure(b.Procedure, b.Version)
	if p == nil {
		return nil
	}
	st, _ := p.Stage(name)
	return st
}

// StepText returns what a step of a batch's stage, or of a list, says.
func (l Lang) StepText(s *kitchen.State, b *kitchen.Batch, stage, list, name string) string {
	if st := StepOf(s, b, stage, list, name); st != nil {
		return l.Text(st.Text)
	}
	return name
}

// StepOf returns a step of a batch's stage, or of a list, or nil.
func StepOf(s *kitchen.State, b *kitchen.Batch, stage, list, name string) *procedure.Step {
	var steps []procedure.Step
	if st := stageOf(s, b, stage); st != nil {
		steps = st.Steps
	} else if li := s.List(list); li != nil {
		steps = li.Steps
	}
	for i := range steps {
		if steps[i].Name == name {
			return &steps[i]
		}
	}
	return nil
}

// Number says a small number in words, as it is spoken: "three".
func (l Lang) Number(n uint32) string {
	if names := strings.Fields(l.T("numbers")); int(n) < len(names) {
		return names[n]
	}
	return strconv.FormatUint(uint64(n), 10)
}

// SayBatch names a batch for a voice: "Tub three".
func (l Lang) SayBatch(s *kitchen.State, b *kitchen.Batch) string {
	switch {
	case b == nil:
		return ""
	case b.Vessel == vesselLoad && b.Place != "":
		return l.Place(s, b.Place)
	case b.Vessel == "tray":
		return l.Vessel(b.Vessel, b.Number)
	}
	return l.vessel("say.vessel.", b.Vessel, l.Number(b.Number))
}

// ZoneAt returns the kitchen's offset at an instant.
func ZoneAt(s *kitchen.State, at stamp.Milli) Zone { return Zone(s.OffsetAt(at).Minutes) }

// At prints an instant as seen from now, in the kitchen's wall time.
func (l Lang) At(s *kitchen.State, at, now stamp.Milli) string {
	// Both days are counted with the offset of the instant itself, so that a change of clocks moves no day.
	return l.When(at, now, ZoneAt(s, at))
}

// Competence names a competence of a procedure or list: what it is called, and of what.
func (l Lang) Competence(s *kitchen.State, document, name string) string {
	if p := s.Procedure(document, 0); p != nil {
		if c := p.CompetenceNamed(name); c != nil {
			return l.Text(p.Item) + ", " + Lower(l.Text(c.Title))
		}
	}
	if li := s.List(document); li != nil && li.Competence != nil && li.Competence.Name == name {
		return l.Text(li.Competence.Title)
	}
	return name
}
