package kitchen_test

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

// tap does what a cook would do now, if the rules allow it.
func (m *maker) tap() {
	c := m.command()
	device := m.device()
	who := kitchen.Who{Crew: pick(&m.chance, []string{"ann", "ben"}), Device: device}
	if m.One(2) {
		c.OverrideBy, c.OverrideReason = "ann", "rush"
	}
	drafts, refused := kitchen.Decide(m.state, c, who, m.now, func() entry.ID { return m.ID(m.now) })
	if refused != nil {
		m.heal(refused)
		return
	}
	for _, d := range drafts {
		m.sayAs(d.ID, device, who.Crew, d.Body)
	}
}

// heal does what a refusal asks for, so that batches get on.
func (m *maker) heal(r *kitchen.Refusal) {
	switch r.Code {
	case kitchen.RefNoReading, kitchen.RefReadingOff, kitchen.RefReadingOld:
		m.read(r.Place)
	case kitchen.RefTooSoon:
		if m.One(2) {
			m.now = r.Until.Add(stamp.Span(m.Below(3)) * stamp.Second)
		}
	case kitchen.RefStepMissing, kitchen.RefOffLimit:
		m.say(m.device(), m.stepBody(r.Batch, r.Stage, r.Step))
	}
}

func (m *maker) stepBody(batch entry.ID, stage, step string) *entry.Step {
	b := &entry.Step{Batch: batch, Stage: stage, Step: step}
	switch step {
	case "core":
		b.Value, b.Unit = int64(74_000+m.Below(4000)), "mC"
	case "cold":
		b.Value, b.Unit = int64(3_000+m.Below(2000)), "mC"
	case "done":
		b.Value, b.Unit = int64(m.Below(60)), "1"
	case "colour":
		b.Answer = pick(&m.chance, []string{"yes", "yes", "yes", "no"})
	case "sign":
		b.SignBy = pick(&m.chance, m.crew)
	}
	return b
}

// open returns an open batch, nil if there is none.
func (m *maker) open() *kitchen.Batch {
	var list []*kitchen.Batch
	for i := range m.state.Batches {
		if b := &m.state.Batches[i]; b.Status == kitchen.Open {
			list = append(list, b)
		}
	}
	if len(list) == 0 {
		return nil
	}
	return pick(&m.chance, list)
}

func (m *maker) command() *kitchen.Command {
	b := m.open()
	if b == nil || m.One(12) {
		return &kitchen.Command{
			Do: kitchen.DoStart, Procedure: "pieces", Grams: int64(1000 + m.Below(39000)), Pieces: int64(10 + m.Below(250)),
			Lots: []string{"L" + string(rune('A'+m.Below(5)))},
		}
	}
	switch m.Below(11) {
	case 10:
		return m.logCommand(b)
	case 0:
		return &kitchen.Command{Do: kitchen.DoDiscard, Batch: b.ID, Reason: "Past its limit"}
	case 1:
		return m.bell()
	case 2:
		return m.other(b)
	}
	return m.onward(b)
}

// onward is what takes a batch to its next stage.
func (m *maker) onward(b *kitchen.Batch) *kitchen.Command {
	if b.Stage == "drain" && m.One(4) {
		return &kitchen.Command{Do: kitchen.DoStep, Batch: b.ID, Step: "colour", Answer: pick(&m.chance, []string{"yes", "no"})}
	}
	switch b.Stage {
	case "marinate", "stage":
		return &kitchen.Command{Do: kitchen.DoMove, Batch: b.ID, From: b.Stage}
	case "hold":
		return &kitchen.Command{Do: kitchen.DoCount, Batch: b.ID, Count: int64(m.Below(6)), Wasted: int64(m.Below(2))}
	case "set":
		c := &kitchen.Command{Do: kitchen.DoPortion, Place: pick(&m.chance, []string{"fryer-1", "fryer-2"})}
		if m.One(2) {
			c.Pieces = int64(1 + m.Below(48))
		}
		if m.One(3) {
			c.Batch = b.ID
		}
		return c
	}
	c := &kitchen.Command{Do: kitchen.DoPortion, Batch: b.ID}
	if m.One(4) {
		c.Pieces = max(b.Pieces-int64(m.Below(4)), 1)
	}
	return c
}

// bell answers what rings.
func (m *maker) bell() *kitchen.Command {
	c := &kitchen.Command{Do: kitchen.DoGot}
	if bells := kitchen.Bells(m.state, m.now, stamp.Hour); len(bells) > 0 {
		c.Bell = pick(&m.chance, bells).Key
	}
	return c
}

// other is work beside the batches.
func (m *maker) other(b *kitchen.Batch) *kitchen.Command {
	switch m.Below(9) {
	case 0:
		return &kitchen.Command{Do: kitchen.DoTimer, Name: "rice", Span: stamp.Span(1+m.Below(40)) * stamp.Minute}
	case 1:
		if len(m.state.Timers) > 0 {
			return &kitchen.Command{Do: kitchen.DoTimerEnd, Timer: pick(&m.chance, m.state.Timers).ID}
		}
	case 2:
		return &kitchen.Command{Do: kitchen.DoNote, Batch: b.ID, Text: "looked at it"}
	case 3:
		return &kitchen.Command{Do: kitchen.DoDeviate, Batch: b.ID, Text: "smells odd"}
	case 4:
		if len(m.state.Deviations) > 0 {
			d := pick(&m.chance, m.state.Deviations)
			return &kitchen.Command{Do: kitchen.DoAnswer, Deviation: d.Key, Text: "looked at", Closes: m.One(2)}
		}
	case 5:
		return &kitchen.Command{
			Do: kitchen.DoEquipment, Place: "fryer-2", Answer: pick(&m.chance, []string{"out", "in"}), Reason: "leaks",
		}
	case 6:
		return &kitchen.Command{Do: kitchen.DoListClose, List: "opening"}
	case 7:
		return &kitchen.Command{
			Do: kitchen.DoPortion, To: b.Stage, Batch: b.ID, Number: int64(1 + m.Below(3)), // other vessels, same stage
		}
	}
	step := m.stepBody(entry.ID{}, "", pick(&m.chance, []string{"hands", "cold", "sign"}))
	return &kitchen.Command{
		Do: kitchen.DoStep, List: "opening", Step: step.Step, Value: step.Value, Unit: step.Unit, Crew: step.SignBy,
	}
}

// amend undoes or corrects something that was said.
func (m *maker) amend() {
	e := m.list[len(m.list)-1-m.Below(min(len(m.list), 12))]
	device := m.device()
	if m.One(2) {
		c := &kitchen.Command{Do: kitchen.DoUndo, Entry: e.ID}
		if m.One(2) { // past all rules
			m.say(device, &entry.Withdrawal{Entry: e.ID})
			return
		}
		drafts, _ := kitchen.Decide(m.state, c, kitchen.Who{Crew: "ann", Device: device}, m.now, func() entry.ID { return m.ID(m.now) })
		for _, d := range drafts {
			m.sayAs(d.ID, device, "ann", d.Body)
		}
		return
	}
	c := &kitchen.Command{
		Do: kitchen.DoCorrect, Entry: e.ID, Grams: int64(m.Below(9000)), Pieces: int64(m.Below(60)), Count: int64(m.Below(5)),
		Value: int64(m.Below(180_000)), Answer: "yes", Text: "typed wrong", Reason: "typed wrong",
	}
	if b := m.open(); b != nil && m.One(3) {
		c.Batch = b.ID
	}
	who := kitchen.Who{Crew: "ben", Device: device}
	drafts, _ := kitchen.Decide(m.state, c, who, m.now, func() entry.ID { return m.ID(m.now) })
	for _, d := range drafts {
		m.sayAs(d.ID, device, "ben", d.Body)
	}
}

// anyBatch is mostly a batch that is or was there, else one that never was.
func (m *maker) anyBatch() entry.ID {
	if n := len(m.state.Batches); n > 0 && !m.One(5) {
		return m.state.Batches[m.Below(n)].ID
	}
	return m.ID(m.now)
}

func (m *maker) anyAmount() int64 {
	return pick(&m.chance, []int64{0, 1, 24, 48, 3000, 8000, -5, 1 << 40, -1 << 63, 1<<63 - 1})
}

func (m *maker) anyStage() string {
	return pick(&m.chance, []string{"marinate", "drain", "set", "cook", "stage", "hold", "nowhere"})
}

func (m *maker) anyPlace() string {
	return pick(&m.chance, []string{"", "fryer-1", "fryer-2", "cold-room", "cabinet", "roof"})
}

// wild says something that no honest phone would say, or that a newer one might.
func (m *maker) wild() {
	if m.One(4) {
		m.sense()
		return
	}
	if m.One(4) {
		m.logs()
		return
	}
	if m.One(3) {
		m.garbage()
		return
	}
	if m.One(3) {
		m.household()
		return
	}
	if m.One(3) {
		m.books()
		return
	}
	m.say(m.device(), m.anyWork())
	if m.side.One(2) {
		m.demand()
	} else if m.One(2) { // what it leads to is rare
		m.guide(entry.Spot{Batch: m.anyBatch()})
	}
}

func (m *maker) anyWork() entry.Body {
	switch m.Below(9) {
	case 0:
		return &entry.Start{
			Code: "WILD", Procedure: pick(&m.chance, []string{"pieces", "none"}), Version: uint32(m.Below(3)), Stage: m.anyStage(),
			Vessel: "tub", Number: uint32(m.Below(3)), Place: m.anyPlace(), Grams: m.anyAmount(), Pieces: m.anyAmount(),
		}
	case 1:
		return &entry.Move{Batch: m.anyBatch(), From: m.anyStage(), To: m.anyStage(), Place: m.anyPlace()}
	case 2:
		return m.anyPortion()
	case 3:
		return &entry.Discard{Batch: m.anyBatch(), Grams: m.anyAmount(), Pieces: m.anyAmount(), Reason: "wild"}
	case 4:
		return &entry.Count{Batch: m.anyBatch(), Sold: m.anyAmount(), Wasted: m.anyAmount()}
	case 5:
		return m.stepBody(m.anyBatch(), m.anyStage(), pick(&m.chance, []string{"pour", "colour", "lid", "core", "done", "none"}))
	case 6:
		return &entry.Answer{Deviation: "none/1", Closes: true}
	case 7:
		return &entry.GotIt{Bell: m.anyBatch().String() + "/past/" + pick(&m.chance, []string{"0", "1", "7", "x", "-1"})}
	}
	return &entry.Timer{Name: "wild", Span: stamp.Span(m.anyAmount())}
}

func (m *maker) anyPortion() *entry.Portioning {
	p := new(entry.Portioning)
	for range m.Below(3) {
		p.Out = append(p.Out, entry.Share{
			Batch: m.anyBatch(), Stage: m.anyStage(), Grams: m.anyAmount(), Pieces: m.anyAmount(), All: m.One(2),
		})
	}
	for range m.Below(4) {
		id := m.ID(m.now)
		if m.One(6) {
			id = m.anyBatch()
		}
		p.In = append(p.In, entry.Portion{
			Batch: id, Stage: m.anyStage(), Vessel: "pan", Number: uint32(m.Below(4)), Place: m.anyPlace(),
			Grams: m.anyAmount(), Pieces: m.anyAmount(),
		})
	}
	p.Lost = []entry.Loss{{Why: "trim", Grams: m.anyAmount()}}
	return p
}

// household says something about the kitchen itself.
func (m *maker) household() {
	switch m.Below(9) {
	case 0:
		d := piecesDoc(uint32(1 + m.Below(3)))
		m.say("server", &d)
	case 1:
		d := equipmentDoc(uint32(1 + m.Below(3)))
		d.Text = d.Text[:len(d.Text)-m.Below(2)]
		m.say("server", &d)
	case 2:
		m.say("server", &entry.Member{Crew: "cleo", Name: "Cleo", Role: entry.Role(m.Below(3)), Gone: m.One(3)})
	case 3:
		m.say("server", &entry.Pairing{Device: m.device(), Name: "again", Wall: m.One(2)})
	case 4:
		m.say("server", &entry.Revocation{Device: m.device(), Reason: "lost"})
	case 5:
		m.say("server", &entry.ClockDoubt{Device: m.device(), Off: stamp.Span(m.anyAmount())})
	case 7:
		m.say("server", &entry.Post{Device: m.device(), Place: pick(&m.chance, []string{"", "fryer-1", "none"})})
	case 6:
		m.say("server", &entry.ListClose{List: pick(&m.chance, []string{"opening", "none"}), Day: int32(20756 + m.Below(9))})
	default:
		m.say("server", &entry.NamedKitchen{Name: "Test " + string(rune('A'+m.Below(9))), Zone: "America/New_York"})
	}
}

// garbage says something that cannot be read, or that only a newer build knows.
func (m *maker) garbage() {
	e := entry.Entry{ID: m.ID(m.now), At: m.stamp(m.device()), Crew: "ann", Ver: 1}
	e.Kind = entry.Kind(1 + m.Below(45))
	switch m.Below(4) {
	case 0:
		e.Kind, e.Ver = 900, 1
	case 1:
		e.Ver = 9
	case 2:
		for range m.Below(40) {
			e.Raw = append(e.Raw, byte(m.Next()))
		}
	default:
		target := m.list[m.Below(len(m.list))].ID
		e = entry.New(e.ID, e.At, "ann", &entry.Correction{Entry: target, To: e.Kind, Ver: 1, Body: []byte{0x80}})
		if m.One(2) {
			body := wire.Append(nil, m.anyWork())
			e = entry.New(e.ID, e.At, "ann", &entry.Correction{Entry: target, To: entry.Kind(7 + m.Below(15)), Ver: 1, Body: body})
		}
	}
	if m.One(12) { // a clock from nowhere
		e.At.At = pick(&m.chance, []stamp.Milli{-1 << 63, -1, 0, 1, 1<<63 - 1})
		m.list = append(m.list, e)
		return
	}
	m.keep(e)
}
