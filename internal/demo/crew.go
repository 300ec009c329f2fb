package demo

import (
	"cmp"
	"math/rand/v2"
	"slices"
	"strconv"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
)

// Crew works in the demo kitchen while it is served in the evening and on the next day: it takes batches through their stages, does what
// the plan wants that nobody else has done, and sells to guests. It plans nothing itself and answers no bell of the plan. All that it does
// goes through Decide, as a tap does.
type Crew struct {
	clock  stamp.Clock
	chance *rand.Rand
	seed   uint64
	hands  map[entry.ID]stamp.Milli // when a batch was last worked at
	asked  map[string]asking        // by item
	coats  []coating                // that were begun
	listed stamp.Milli              // when a step of a list was done last

	s    *kitchen.State // while it works
	own  bool           // that is a copy, in which it has done something
	now  stamp.Milli
	made []entry.Entry
}

// asking is how much was asked for of an item in a quarter of an hour, and how much of that has been seen to.
type asking struct {
	slot     stamp.Milli
	want, of int64
}

// coating is what a row of the plan still wants of coated pans: a tub after the other, since pans are numbered.
type coating struct {
	row   string // its plan's id and its number
	item  string
	grams int64
	until stamp.Milli // when it is too late for what is left
}

// How the crew works. What the plan wants is left a while to whoever would rather do it from a phone.
const (
	stepTakes  = 15 * stamp.Second
	leaveLoad  = 4 * stamp.Minute
	leaveCoat  = 4 * stamp.Minute
	leaveTubs  = 20 * stamp.Minute
	leaveBell  = stamp.Minute
	leaveList  = 30 * stamp.Minute // before it is due
	least      = 600               // grams of which a basket or a pan is made
	drainAhead = 75 * stamp.Minute // the longest that draining takes at its best
)

// NewCrew returns a crew that has done nothing yet.
func NewCrew(seed [32]byte) *Crew {
	chance := rand.New(rand.NewChaCha8(seed))
	return &Crew{clock: stamp.Clock{Device: "demo-crew"}, chance: chance, seed: chance.Uint64(), hands: map[entry.ID]stamp.Milli{}, asked: map[string]asking{}}
}

// Work does what is due now, in a state that it leaves as it is, and returns the entries of it. Asked every few seconds of kitchen time it keeps up.
func (c *Crew) Work(s *kitchen.State, now stamp.Milli) []entry.Entry {
	c.s, c.own, c.now, c.made = s, false, now, nil
	c.bells()
	c.readings()
	c.lists()
	for before := -1; before < len(c.made); { // one thing leads to the next where much time has gone by
		before = len(c.made)
		c.batches()
	}
	for _, w := range c.s.Wanted(now) {
		c.row(w)
	}
	c.coat()
	c.guests()
	return c.made
}

// batches does what is next with each batch that can be worked at.
func (c *Crew) batches() {
	var list []entry.ID
	for i := range c.s.Batches {
		if b := &c.s.Batches[i]; b.Status == kitchen.Open && b.Frozen == 0 {
			list = append(list, b.ID)
		}
	}
	for _, id := range list {
		b := c.s.Batch(id)
		if b != nil && c.doubts(b) {
			c.looks(b.Doubt)
			b = c.s.Batch(id)
		}
		if b != nil && b.Status == kitchen.Open && !c.doubts(b) {
			c.batch(b)
		}
	}
}

// doubts tells whether a batch waits for the lead.
func (c *Crew) doubts(b *kitchen.Batch) bool {
	off := c.s.Deviation(b.Doubt)
	return off != nil && !off.Closed
}

// looks lets the lead look at what is in doubt: it must not stand in a fryer for ever.
func (c *Crew) looks(key string) {
	if c.s.Deviation(key).Critical {
		for _, part := range kitchen.Parts {
			c.tap("maren", kitchen.Command{Do: kitchen.DoPart, Deviation: key, Answer: part, Text: seen})
		}
	}
	c.tap("maren", kitchen.Command{Do: kitchen.DoAnswer, Deviation: key, Text: seen, Closes: true})
}

// seen is what the lead writes.
const seen = "Looked at it with the cook. Come sooner the next time."

// tap does a command, or leaves it where the kitchen refuses it.
func (c *Crew) tap(crew string, command kitchen.Command) *kitchen.Refusal {
	who := kitchen.Who{Crew: crew, Device: c.clock.Device}
	drafts, r := kitchen.Decide(c.s, &command, who, c.now, c.newID)
	if r != nil && r.Code == kitchen.RefNotSigned { // a signature that has lapsed, after too much that went wrong
		command.Urgent, command.LeaveBy, command.LeaveReason = r.Urgent, "maren", "There is nobody else"
		drafts, r = kitchen.Decide(c.s, &command, who, c.now, c.newID)
	}
	if r != nil {
		return r
	}
	if !c.own { // what it does next has to follow from this
		c.s, c.own = c.s.Clone(), true
	}
	for _, d := range drafts {
		e := entry.New(d.ID, c.clock.Next(c.now), crew, d.Body)
		c.s.Apply(&e, kitchen.Amended{})
		c.made = append(c.made, e)
	}
	return nil
}

func (c *Crew) newID() entry.ID {
	var chance [10]byte
	for i := range chance {
		chance[i] = byte(c.chance.Uint32())
	}
	return entry.NewID(c.now, chance)
}

// bells answers what has rung for a while, but not what the plan wants.
func (c *Crew) bells() {
	for _, b := range kitchen.Bells(c.s, c.now, 0) {
		if b.Ringing && b.Point != kitchen.PointPlan && c.now.Since(b.At) >= leaveBell {
			c.tap("teo", kitchen.Command{Do: kitchen.DoGot, Bell: b.Key})
		}
	}
}

// readings reads what was not read for three quarters of its time, while somebody is there.
func (c *Crew) readings() {
	_, clock := c.s.Wall(c.now)
	if clock < 5*h || clock > 22*h {
		return
	}
	eq := c.s.Equipment()
	for i := range eq.Devices {
		d := &eq.Devices[i]
		at := c.s.Place(d.Name)
		if d.ReadEvery > 0 && !at.Out && c.now.Since(at.ReadAt) > d.ReadEvery*3/4 {
			c.tap("ines", kitchen.Command{Do: kitchen.DoReading, Place: d.Name, Value: within(c.chance, &d.Reading, "mC"), Unit: "mC", Probe: "probe-2"})
		}
	}
}

// lists does the day's lists shortly before they are due, a step at a time.
func (c *Crew) lists() {
	day, clock := c.s.Wall(c.now)
	if c.now.Since(c.listed) < stepTakes {
		return
	}
	for _, l := range c.s.Lists() {
		run := c.s.Run(l.Name, day)
		if !kitchen.Opens(l, day) || clock < max(l.Opens, l.Due-leaveList) || run != nil && run.Closed {
			continue
		}
		c.listed = c.now
		missing := c.s.MissingOf(l, day)
		if len(missing) == 0 {
			c.tap("maren", kitchen.Command{Do: kitchen.DoListClose, List: l.Name, Day: day})
			continue
		}
		command := c.step(l.Steps, missing[0])
		command.List, command.Day = l.Name, day
		c.tap("maren", command)
	}
}

// step is the tap that does one of some steps.
func (c *Crew) step(steps []procedure.Step, name string) kitchen.Command {
	i := slices.IndexFunc(steps, func(s procedure.Step) bool { return s.Name == name })
	return filled(c.chance, &steps[i])
}

// batch does what is next with a batch: a step, or on to a stage for which no plan has to say when.
func (c *Crew) batch(b *kitchen.Batch) {
	p, st := c.s.Procedure(b.Procedure, b.Version), c.s.Stage(b)
	from := max(c.hands[b.ID], b.Since).Add(stepTakes)
	if p == nil || st == nil || c.now < from {
		return
	}
	id := b.ID // what is done may move the batches of the state
	w := c.s.Window(b)
	over := w.Ceiling > 0 && c.now.Since(b.Since) > w.Ceiling
	if st.Kind == procedure.Hold {
		if over {
			c.tap("teo", kitchen.Command{Do: kitchen.DoCount, Batch: b.ID, Wasted: b.Pieces, Reason: past})
		}
		return
	}
	if missing := c.s.Missing(b); len(missing) > 0 {
		command := c.step(st.Steps, missing[0])
		command.Batch, command.Stage = b.ID, st.Name
		c.tap(handOf(st), command)
		c.hands[id] = from
		return
	}
	next := p.Next(b.Stage)
	if over { // a lid is opened by its steps first, whatever becomes of the load, and the lead is called for what cooked too long
		r := c.tap(handOf(st), kitchen.Command{Do: kitchen.DoDiscard, Batch: b.ID, Reason: past})
		if r != nil && next != nil {
			c.tap(handOf(st), kitchen.Command{Do: kitchen.DoMove, Batch: b.ID, From: b.Stage, To: next.Name, Place: b.Place, OverrideBy: "maren", OverrideReason: past})
		}
		return
	}
	if next == nil || c.now.Since(b.Since) < max(w.Floor, stayOf(&w, st)) || c.waits(b, st, next) {
		return
	}
	command := kitchen.Command{Do: kitchen.DoMove, Batch: b.ID, From: b.Stage, To: next.Name, Place: c.place(b, next)}
	if next.Vessel != st.Vessel {
		command.Do, command.To, command.Grams, command.Pieces = kitchen.DoPortion, "", b.Grams, b.Pieces
		if b.Pieces == 0 {
			command.Pieces = max(b.Grams/max(p.PieceGrams, 1), 1)
		}
	}
	if c.tap(handOf(next), command) != nil {
		c.hands[id] = c.now // try again later
	}
}

// stayOf is how long a batch is left where it waits.
func stayOf(w *procedure.Window, st *procedure.Stage) stamp.Span {
	if st.Kind != procedure.Wait || st.Equipment == "cold room" {
		return 0
	}
	return cmp.Or(w.BestFrom, w.Floor)
}

// waits tells whether a batch waits for what the plan says: a tub to be drained until it is coated soon, all else for its row.
func (c *Crew) waits(b *kitchen.Batch, st, next *procedure.Stage) bool {
	if st.Kind != procedure.Wait || st.Equipment != "cold room" {
		return false
	}
	if next.Vessel != st.Vessel {
		return true
	}
	soon := int64(0)
	for _, w := range c.s.Wanted(c.now) {
		row, it := c.wanted(w)
		if row.Deed == entry.PlanCoat && it.Item == b.Procedure && w.At <= c.now.Add(drainAhead) {
			soon += int64(row.Units) * it.Grams
		}
	}
	for _, o := range c.stock(b.Procedure, next.Name) {
		soon -= o.Grams
	}
	for _, o := range c.stock(b.Procedure, st.Name) {
		if o.ID == b.ID {
			return soon <= 0
		}
		soon -= o.Grams
	}
	return true
}

// stock lists what stands at a stage, the oldest first.
func (c *Crew) stock(item, stage string) (list []*kitchen.Batch) {
	for i := range c.s.Batches {
		if b := &c.s.Batches[i]; b.Status == kitchen.Open && b.Procedure == item && b.Stage == stage && !c.doubts(b) && b.Frozen == 0 {
			list = append(list, b)
		}
	}
	slices.SortStableFunc(list, func(a, b *kitchen.Batch) int { return cmp.Compare(a.Since, b.Since) })
	return list
}

// handOf is who works at a stage.
func handOf(st *procedure.Stage) string {
	switch st.Vessel {
	case "tub":
		return "salma"
	case "pan":
		return "teo"
	}
	return "ines"
}

// place is where a batch goes on: it stays where it is, if that will do.
func (c *Crew) place(b *kitchen.Batch, next *procedure.Stage) string {
	eq := c.s.Equipment()
	if d := eq.Device(b.Place); d != nil && d.Kind == next.Equipment {
		return b.Place
	}
	for i := range eq.Devices {
		if d := &eq.Devices[i]; d.Kind == next.Equipment && !d.Single {
			return d.Name
		}
	}
	return ""
}

func (c *Crew) wanted(w kitchen.WantedRow) (*entry.PlanRow, *entry.PlanItem) {
	row := &w.Plan.Rows[w.Row]
	return row, &w.Plan.Items[row.Item]
}

// row does what the plan wants.
func (c *Crew) row(w kitchen.WantedRow) {
	row, it := c.wanted(w)
	grams, late := int64(row.Units)*it.Grams, c.now.Since(w.At)
	switch {
	case row.Deed == entry.PlanTubs && late >= leaveTubs:
		c.tap("salma", kitchen.Command{Do: kitchen.DoStart, Procedure: it.Item, Grams: grams, Number: int64(row.Tubs), Lots: []string{"FR-2612"}})
	case row.Deed == entry.PlanCoat && late >= leaveCoat:
		key := w.Plan.ID.String() + strconv.Itoa(w.Row)
		if !slices.ContainsFunc(c.coats, func(o coating) bool { return o.row == key }) {
			c.coats = append(c.coats, coating{key, it.Item, grams, c.now.Add(h)})
		}
	case row.Deed == entry.PlanLoad && late >= leaveLoad:
		c.load(row, it.Item, grams)
	}
}

// coat coats a tub of what was begun.
func (c *Crew) coat() {
	for i := range c.coats {
		o := &c.coats[i]
		list := c.taken(o.item, "pan", o.grams)
		if o.grams < least || c.now > o.until || len(list) == 0 {
			continue
		}
		t := list[0]
		if c.tap("teo", kitchen.Command{Do: kitchen.DoPortion, Batch: t.Batch, Grams: t.Grams}) == nil {
			o.grams -= t.Grams
			return
		}
	}
}

// taken is what is taken for work on so much, of what may be: the oldest first. A rest too little for anything goes with it.
func (c *Crew) taken(item, into string, grams int64) (list []kitchen.Wanted) {
	for _, p := range c.s.Procedures() {
		if p.Name != item {
			continue
		}
		for i := 1; i < len(p.Stages); i++ {
			if p.Stages[i].Vessel != into || p.Stages[i-1].Vessel == into {
				continue
			}
			for _, b := range c.stock(item, p.Stages[i-1].Name) {
				w := c.s.Window(b)
				if grams > 0 && len(c.s.Missing(b)) == 0 && c.now.Since(b.Since) >= w.Floor && (w.Ceiling == 0 || c.now.Since(b.Since) < w.Ceiling) {
					n := min(b.Grams, grams)
					if b.Grams-n < least {
						n = b.Grams
					}
					grams -= n
					list = append(list, kitchen.Wanted{Batch: b.ID, Grams: n})
				}
			}
		}
	}
	return list
}

// load drops a basket into the fryer that the plan says, or another one that is free.
func (c *Crew) load(row *entry.PlanRow, item string, grams int64) {
	shares := c.taken(item, "load", grams)
	if len(shares) == 0 {
		return
	}
	if total := func() (n int64) {
		for _, t := range shares {
			n += t.Grams
		}
		return n
	}(); total > grams { // the rest of a pan must not make the basket too full
		shares[len(shares)-1].Grams -= total - grams
	}
	places := []string{row.Place}
	for i, eq := 0, c.s.Equipment(); i < len(eq.Devices); i++ {
		if d := &eq.Devices[i]; d.Single && d.Name != row.Place {
			places = append(places, d.Name)
		}
	}
	for _, place := range places {
		if !c.s.Place(place).Out && c.tap("ines", kitchen.Command{Do: kitchen.DoPortion, Shares: shares, Place: place}) == nil {
			return
		}
	}
}

// guests come as the plan's document says is usual on such a day, evenly within each quarter of an hour, and get what has stood longest.
func (c *Crew) guests() {
	doc := c.s.PlanDocument()
	if doc == nil {
		return
	}
	day, clock := c.s.Wall(c.now)
	const quarter = kitchen.SlotMinutes * m
	weekday := kitchen.Weekday(day)
	for i := range doc.Items {
		it := &doc.Items[i]
		at := c.now.Add(-(clock % quarter))
		a, known := c.asked[it.Procedure]
		if !known || a.slot != at {
			slot := int(clock / quarter)
			chance := rand.New(rand.NewPCG(c.seed, uint64(day)<<16|uint64(i)<<8|uint64(slot)))
			a = asking{slot: at, want: guests(usualAt(it, weekday, clock/quarter*quarter)*busy[weekday-1], chance)}
			if !known { // who comes to work in the middle of it has missed the guests before
				a.of = a.want * int64(clock%quarter) / int64(quarter)
			}
		}
		if n := a.want*int64(clock%quarter+stepTakes)/int64(quarter+stepTakes) - a.of; n > 0 {
			a.of += c.sell(it.Procedure, n)
		}
		c.asked[it.Procedure] = a
	}
}

// usualAt is how much of an item is usual in a quarter of an hour.
func usualAt(it *procedure.PlanItem, weekday uint8, clock stamp.Span) (n float64) {
	if !procedure.On(it.Days, weekday) {
		return 0
	}
	for _, u := range it.Usual {
		if procedure.On(u.Days, weekday) && clock >= u.From && clock < u.To {
			n += float64(u.Pieces) * float64(kitchen.SlotMinutes*m) / float64(u.To-u.From)
		}
	}
	return n
}

// sell sells pieces out of the tray that has stood longest, or tells that they were asked for in vain. It returns of how many that is so.
func (c *Crew) sell(item string, n int64) int64 {
	for _, b := range c.stock(item, "hold") {
		w := c.s.Window(b)
		if b.Pieces > 0 && (w.Ceiling == 0 || c.now.Since(b.Since) < w.Ceiling) {
			n = min(n, b.Pieces)
			c.tap("teo", kitchen.Command{Do: kitchen.DoCount, Batch: b.ID, Count: n})
			return n
		}
	}
	c.tap("teo", kitchen.Command{Do: kitchen.DoAway, Procedure: item, Count: n})
	return n
}
