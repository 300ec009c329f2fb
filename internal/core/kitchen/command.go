package kitchen

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/jsontext"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

// Words of Command.Do, and which of the other fields each reads. Numbers are whole, in base units: mC, g, mL, ms, 1.
const (
	DoStart       = "start"        // Procedure, Version (0: newest), Grams, Pieces, Lots, Place, Number (of tubs; 0: by the mix rule)
	DoMove        = "move"         // Batch, From, To, Place, override: the whole batch to its next stage, in the same vessel
	DoPortion     = "portion"      // Batch or Shares, To, Place, Grams, Pieces, Number (of vessels), Portions, Lost, override
	DoDiscard     = "discard"      // Batch, Reason
	DoCount       = "count"        // Batch, Count (sold), Wasted, Reason
	DoStep        = "step"         // Batch or List and Day, Stage, Step, Value and Unit, Answer, Text, Photo, Crew (who signs), Probe
	DoReading     = "reading"      // Place, Value, Unit (mC), Probe or Name (of the probe), Text
	DoGot         = "got"          // Bell
	DoUndo        = "undo"         // Entry
	DoCorrect     = "correct"      // Entry, the fields that change, Reason
	DoTimer       = "timer"        // Name, Span
	DoTimerEnd    = "timer-end"    // Timer
	DoEquipment   = "equipment"    // Place, Answer (out or in), Reason
	DoNote        = "note"         // Batch or Place, Text
	DoDeviate     = "deviate"      // Batch or Place, Text
	DoAnswer      = "answer"       // Deviation, Text, Closes
	DoListClose   = "list-close"   // List, Day, override
	DoCrew        = "crew"         // Crew: who holds this device; kept on the device, never decided here
	DoMember      = "member"       // Crew, Name, Text (language), Answer (cook, lead, trainee), Closes (gone), Born (a date), Trainer (yes or no): what is left out stays
	DoRevoke      = "revoke"       // Device, Reason
	DoPost        = "post"         // Device, Place
	DoName        = "name"         // Name, Text (zone), Answer (country)
	DoPublish     = "publish"      // Text: the document
	DoCheck       = "check"        // Probe, Answer (ice, boiling or reference), Value and Unit (mC), Number (expected, of reference), Name (of the reference), Text
	DoPart        = "part"         // Deviation, Answer (the part), Text, Grams, Pieces
	DoDayClose    = "day-close"    // Day, Text
	DoSet         = "set"          // Name (of the setting), Number
	DoDeliver     = "deliver"      // Procedure, Name (supplier), Lots (one), Grams, Pieces, Value and Unit (mC; none: not read), Probe, Weights, Place, Closes (sent back), Text
	DoFreeze      = "freeze"       // Batch, Answer (the way it is thawed; none: it is frozen)
	DoLog         = "log"          // Answer (cool, time or thaw), Procedure (the rule; of cooling none: the kitchen's), Batch or Name, Value and Unit (mC), Probe
	DoLogRead     = "log-read"     // Log, Answer (water: of the water), Value and Unit (mC), Probe
	DoLogEnd      = "log-end"      // Log, Answer (done or discarded), Text
	DoCookLog     = "cook-log"     // Text; the log itself is what the device's screen shows (Command.Cook)
	DoQuiz        = "quiz"         // Name (the question's key), Number (its print), Answer (right or wrong)
	DoPin         = "pin"          // Crew, Pin (the new one), OldPin unless a lead sets it
	DoSignOff     = "sign-off"     // Crew, What, Name (of the document), Competence, Trainer and Pin (who signs, on another's device), Answer (grounds), Closes (taken back), Reason
	DoRung        = "rung"         // Procedure, Number (the rung), Value (seed), Count (troubles), Pieces (right), Wasted (hurt), Grams, Closes (passed)
	DoGuide       = "guide"        // Batch or List and Day, Stage (this or the next), or Procedure (to be begun), Trainer, Crew (the trainee; none: who taps)
	DoAsk         = "ask"          // Batch or List and Day, Step, Closes (help), Text
	DoAnswerAsk   = "answer-ask"   // Ask, Answer (yes or no), Number (on the other screen), Value and Unit (seen), Text (seen), Reason (note); Trainer and Pin on another's device
	DoCheckAsk    = "check-ask"    // Ask, Answer (mine or not)
	DoTrainerNote = "trainer-note" // Crew, Batch or List and Day, Stage, Step, Answer (tone), Text
	DoPlan        = "plan-accept"  // Plan
	DoShift       = "shift"        // Name (the station), Day, Value and Number (minutes of the day, from and to; alike: nobody), Crew
	DoAway        = "away"         // Procedure, Count (none: 1): somebody asked, and there was none
	DoDemand      = "demand"       // Procedure (none: guests), Day, Value and Number (minutes of the day: from, to), Count, Answer (the sort), Name, Entry (what it changes), Closes (taken back)
	DoSales       = "sales"        // what the page's file comes to (Command.Sales); Procedure and Closes: what was brought of it goes
	DoOil         = "oil"          // Place, Answer (the deed), Value and Unit (mL that went in; m% of polar compounds), Text
)

// Command is what a cook asks for by a tap.
type Command struct {
	Do             string
	Batch          entry.ID
	From, To       string // stages
	Stage          string
	Step           string
	List           string
	Day            int32
	Place          string
	Procedure      string
	Version        uint32
	Grams          int64
	Pieces         int64
	Count          int64
	Wasted         int64
	Value          int64
	Unit           string
	Answer         string
	Text           string
	Reason         string
	Name           string
	Lots           []string
	Bell           string
	Entry          entry.ID
	Timer          entry.ID
	Span           stamp.Span
	Device         string
	Deviation      string
	Closes         bool
	Crew           string
	OverrideBy     string
	OverrideReason string
	Shares         []Wanted
	Portions       []Vessel
	Lost           []entry.Loss
	Number         int64
	Photo          string
	Typed          string // a number as it was typed, in the unit TypedIn (UCUM); it goes Into a field, in base units
	TypedIn        string
	Into           string // value, grams, pieces, count or wasted
	Probe          string
	Weights        []int64
	Log            entry.ID
	Guide          entry.ID
	Ask            entry.ID
	What           string // procedure or list
	Competence     string
	Trainer        string
	Pin            string // goes to the core and nowhere else: no journal, no log, no address
	OldPin         string
	Again          string // the new PIN once more, where it was typed twice
	Known          int64  // per cent of a competence's questions; never in JSON: the door works it out
	Unknown        int64  // questions about what changed since a signature that lapsed; likewise
	LeaveBy        string // a lead who lets somebody work without sign-off, and why
	LeaveReason    string
	Born           string         // a date: 2008-03-31
	Urgent         bool           // what is in a fryer or under pressure cannot wait: the lead is told
	Cook           *entry.CookLog // never in JSON: the door puts it in
	Plan           *entry.PlanAccepted
	Sales          []entry.Sales // likewise
}

// Wanted is what a portion command takes out of one batch.
type Wanted struct {
	Batch         entry.ID
	Grams, Pieces int64
	All           bool
}

// Fields implements wire.Fielder, for JSON only: what is zero is left out.
func (w *Wanted) Fields(c *wire.Coder) {
	optID(c, "batch", &w.Batch)
	optInt(c, "grams", &w.Grams)
	optInt(c, "pieces", &w.Pieces)
	optBool(c, "all", &w.All)
}

// Vessel is what a portion command puts into one vessel.
type Vessel struct {
	Grams, Pieces int64
	Place         string
}

// Fields implements wire.Fielder, for JSON only: what is zero is left out.
func (v *Vessel) Fields(c *wire.Coder) {
	optInt(c, "grams", &v.Grams)
	optInt(c, "pieces", &v.Pieces)
	optStr(c, "place", &v.Place)
}

// ReadCommand reads a command from its JSON.
func ReadCommand(text []byte) (*Command, error) {
	v, err := jsontext.Read(text)
	if err != nil {
		return nil, err
	}
	c := new(Command)
	if err := wire.ReadJSON(&v, c); err != nil {
		return nil, err
	}
	return c, nil
}

// Fields implements wire.Fielder, for JSON only: what is zero is left out, so that buttons stay small.
func (m *Command) Fields(c *wire.Coder) {
	optStr(c, "do", &m.Do)
	optID(c, "batch", &m.Batch)
	optStr(c, "from", &m.From)
	optStr(c, "to", &m.To)
	optStr(c, "stage", &m.Stage)
	optStr(c, "step", &m.Step)
	optStr(c, "list", &m.List)
	optInt(c, "day", &m.Day)
	optStr(c, "place", &m.Place)
	optStr(c, "procedure", &m.Procedure)
	optUint(c, "version", &m.Version)
	optInt(c, "grams", &m.Grams)
	optInt(c, "pieces", &m.Pieces)
	optInt(c, "count", &m.Count)
	optInt(c, "wasted", &m.Wasted)
	optInt(c, "value", &m.Value)
	optStr(c, "unit", &m.Unit)
	optStr(c, "answer", &m.Answer)
	optStr(c, "text", &m.Text)
	optStr(c, "reason", &m.Reason)
	optStr(c, "name", &m.Name)
	optList(c, "lots", &m.Lots, wire.Word[string])
	m.rest(c)
}

func (m *Command) rest(c *wire.Coder) {
	optStr(c, "bell", &m.Bell)
	optID(c, "entry", &m.Entry)
	optID(c, "timer", &m.Timer)
	optInt(c, "span", &m.Span)
	optStr(c, "device", &m.Device)
	optStr(c, "deviation", &m.Deviation)
	optBool(c, "closes", &m.Closes)
	optStr(c, "crew", &m.Crew)
	optStr(c, "overrideBy", &m.OverrideBy)
	optStr(c, "overrideReason", &m.OverrideReason)
	optList(c, "shares", &m.Shares, wire.Struct[Wanted])
	optList(c, "portions", &m.Portions, wire.Struct[Vessel])
	optList(c, "lost", &m.Lost, wire.Struct[entry.Loss])
	optInt(c, "number", &m.Number)
	optStr(c, "photo", &m.Photo)
	optStr(c, "typed", &m.Typed)
	optStr(c, "typedIn", &m.TypedIn)
	optStr(c, "into", &m.Into)
	optStr(c, "probe", &m.Probe)
	optID(c, "log", &m.Log)
	m.training(c)
	optList(c, "weights", &m.Weights, func(c *wire.Coder, n *int64) { wire.Int(c, "", n) })
}

func (m *Command) training(c *wire.Coder) {
	optID(c, "guide", &m.Guide)
	optID(c, "ask", &m.Ask)
	optStr(c, "what", &m.What)
	optStr(c, "competence", &m.Competence)
	optStr(c, "trainer", &m.Trainer)
	optStr(c, "pin", &m.Pin)
	optStr(c, "oldPin", &m.OldPin)
	optStr(c, "again", &m.Again)
	optStr(c, "leaveBy", &m.LeaveBy)
	optStr(c, "leaveReason", &m.LeaveReason)
	optBool(c, "urgent", &m.Urgent)
	optStr(c, "born", &m.Born)
	if c.Reading() && m.Do == DoPlan && m.Plan == nil {
		m.Plan = new(entry.PlanAccepted)
	}
	if m.Plan != nil {
		wire.Nest(c, "plan", m.Plan)
	}
}

func optInt[T ~int32 | ~int64](c *wire.Coder, name string, v *T) {
	if c.Reading() || *v != 0 {
		wire.Int(c, name, v)
	}
}

func optUint[T ~uint32 | ~uint64](c *wire.Coder, name string, v *T) {
	if c.Reading() || *v != 0 {
		wire.Uint(c, name, v)
	}
}

func optStr(c *wire.Coder, name string, v *string) {
	if c.Reading() || *v != "" {
		wire.Str(c, name, v)
	}
}

func optBool(c *wire.Coder, name string, v *bool) {
	if c.Reading() || *v {
		c.Bool(name, v)
	}
}

// optID takes both forms of an id, since screens and addresses write the one with dashes.
func optID(c *wire.Coder, name string, id *entry.ID) {
	if c.Reading() {
		var s string
		if wire.Str(c, name, &s); s == "" {
			return
		}
		got, err := entry.ParseID(s)
		if err != nil {
			b, ok := wire.FromHex(s)
			if !ok || len(b) != len(got) {
				c.Fail(wire.ErrBad)
				return
			}
			copy(got[:], b)
		}
		*id = got
	} else if !id.IsZero() {
		s := id.String()
		wire.Str(c, name, &s)
	}
}

func optList[T any](c *wire.Coder, name string, v *[]T, walk func(*wire.Coder, *T)) {
	if c.Reading() || len(*v) > 0 {
		wire.List(c, name, v, walk)
	}
}
