package core

import (
	"slices"
	"strconv"

	"brinebell/internal/core/clock"
	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/protocol"
	"brinebell/internal/core/stamp"
)

// server is what the kitchen's core knows while it runs.
type server struct {
	clock   clock.Kitchen
	began   began
	owes    stamp.Span      // how far this clock is off, to be written down once entries can be kept
	head    uint64          // number of the last entry committed
	group   []*journal.Item // taken in this step, not numbered yet
	from    []*peer         // of each of the group: who brought it, nil for the server itself
	peers   []*peer         // in the order in which they came
	parked  []parked        // wait for history
	need    *Need           // was asked for
	recent  []*journal.Item // by number: all entries numbered above low, at least TailMost of them if there are
	low     uint64
	shelved journal.Place            // no stored checkpoint that holds ends after this
	root    journal.Place            // the journal has no entries up to here: it began from a base
	gone    map[string]journal.Place // revoked devices, and since when
	paired  map[string]journal.Place // when a device was last paired
	doubted map[string]stamp.Milli   // up to which stamp a device's clock is doubted in the journal; its own: until when
	base    []byte                   // a Base frame up to baseAt
	baseAt  uint64
	busyAt  int64 // wall clock when entries last came
	near    near
	changed bool // the memory must be kept
}

// peer is a connection.
type peer struct {
	name    string
	device  string
	hello   bool
	revoked bool
	old     string               // the generation that it was with, when it refills
	held    uint64               // and up to which number it held that
	refill  bool                 // was with another generation: it may push what others made
	pushing bool                 // announced entries are still to come
	live    bool                 // gets all that is committed
	wants   bool                 // must be sent what it lacks
	have    uint64               // when it wants
	base    bool                 // it wants a base
	kept    []protocol.KeptEntry // of what it pushed before it was live
	answer  []protocol.KeptEntry // to be told in this step
	aside   map[string][]entry.ID

	version uint32       // of the frames that it speaks
	here    protocol.Row // what it says of itself
	heard   int64        // steady clock when a frame of it last came
	silent  bool         // for too long none came
	told    bool         // who is in touch
}

// parked is a record that waits until older history is loaded: history before its own place, or around what it lacks.
type parked struct {
	peer   string
	device string
	record []byte
	lacks  entry.ID
}

// NewServer returns the core of the kitchen's server. What a server does hangs on this function alone, so that a phone's
// core is linked, and sent, without it.
func NewServer(cfg Config) *Core {
	cfg.server = true
	c := New(cfg)
	c.serves, c.commits = (*Core).serve, (*Core).commit
	return c
}

// startServer begins from what the keeper holds.
func (c *Core) startServer(in *Input) {
	stored := in.Stored
	if stored == nil {
		stored = &Stored{}
	}
	mem, ok := readMemory(stored.Memory)
	if !ok {
		c.note("the server's memory cannot be read; it begins anew")
	}
	c.mem = mem
	s := &c.server
	s.gone, s.paired, s.doubted = map[string]journal.Place{}, map[string]journal.Place{}, map[string]stamp.Milli{}
	if root, _, err := journal.ReadBase(mem.Root); err == nil {
		s.root = root
	}
	s.head = mem.Have
	c.loadServer(stored)
	for _, item := range c.log.Tail() {
		if item.Entry.At.Device == c.cfg.Device {
			c.mem.Committed = max(c.mem.Committed, item.Entry.At.At)
		}
	}
	doubt := s.clock.Start(c.wall, c.mono, c.mem.Committed)
	c.now = s.clock.Now()
	c.stamps.Resume(c.mem.StampAt, c.mem.StampCount)
	if last := c.log.Last().At; last.At > 0 {
		c.stamps.Seen(last, c.now)
	}
	s.shelved = c.log.Last()
	c.doubtOwn(doubt, in.Mute)
}

// doubtOwn has it written down that the server's own clock looks wrong, now or once entries can be kept.
func (c *Core) doubtOwn(off stamp.Span, mute bool) {
	s := &c.server
	if off != 0 {
		s.owes = off
	}
	if s.owes != 0 && mute {
		c.noteClock(off)
	} else if s.owes != 0 {
		c.doubtClock("", s.owes)
		s.owes = 0
	}
}

func (c *Core) noteClock(off stamp.Span) {
	if off != 0 {
		c.note("the server's clock looks wrong by ", strconv.FormatInt(int64(off/1000), 10), " s")
	}
}

// loadServer takes over what the keeper holds.
func (c *Core) loadServer(stored *Stored) {
	rest, err := c.log.Load(stored)
	if err != nil {
		c.note("a checkpoint cannot be read; the journal is folded without it: ", err.Error())
		c.need(journal.Place{At: stamp.Stamp{At: 1}}, entry.ID{})
		c.log.Load(&Stored{Tail: stored.Tail})
	}
	if len(rest) > 0 {
		c.note(strconv.Itoa(len(rest)), " kept records cannot be read; they are left as they are")
	}
	for _, d := range c.log.BaseState().Devices {
		if d.Revoked {
			c.server.gone[d.Device] = c.log.Last()
		}
	}
	for _, item := range c.log.Tail() {
		c.people(item)
	}
	c.index()
}

// index lists the tail by number, as far down as no number is missing.
func (c *Core) index() {
	s := &c.server
	items := slices.Clone(c.log.Tail())
	slices.SortFunc(items, func(a, b *journal.Item) int { return int(int64(a.Seq) - int64(b.Seq)) })
	if n := len(items); n > 0 {
		s.head = max(s.head, items[n-1].Seq)
	}
	i := len(items)
	for i > 0 && items[i-1].Seq == s.head-uint64(len(items)-i) && items[i-1].Seq > 0 {
		i--
	}
	s.recent, s.low = items[i:], s.head-uint64(len(items)-i)
}

// people notes who belongs to the kitchen.
func (c *Core) people(item *journal.Item) {
	s := &c.server
	switch item.Entry.Kind {
	case entry.DeviceRevoked:
		if b, err := item.Entry.Open(); err == nil {
			device := b.(*entry.Revocation).Device
			if item.Place().Compare(s.paired[device]) > 0 {
				s.gone[device] = item.Place()
			}
		}
	case entry.DevicePaired:
		if b, err := item.Entry.Open(); err == nil {
			device := b.(*entry.Pairing).Device
			if item.Place().Compare(s.paired[device]) > 0 {
				s.paired[device] = item.Place()
			}
			if item.Place().Compare(s.gone[device]) > 0 {
				delete(s.gone, device)
			}
		}
	}
}

// tellServer takes note of the server's clocks.
func (c *Core) tellServer(mute bool) {
	doubt := c.server.clock.Step(c.wall, c.mono)
	c.now = c.server.clock.Now()
	c.doubtOwn(doubt, mute)
}

// doubtClock writes down that a clock looks wrong; the server's own at most once an hour.
func (c *Core) doubtClock(device string, off stamp.Span) {
	s := &c.server
	if device != "" {
		s.doubted[device] = kitchen.AheadUntil(c.now, off)
	} else if c.now < s.doubted[device] {
		return
	} else {
		s.doubted[device] = c.now.Add(stamp.Hour)
		c.noteClock(off)
	}
	c.makeDrafts("", []kitchen.Draft{{ID: c.newID(), Body: &entry.ClockDoubt{Device: device, Off: off}}})
}

// make makes entries of bodies in the name of a device, the server's own when there is none.
func (c *Core) make(device, crew string, bodies []entry.Body) {
	var drafts []kitchen.Draft
	for _, b := range bodies {
		drafts = append(drafts, kitchen.Draft{ID: c.newID(), Body: b})
	}
	c.makeDraftsOn(device, crew, drafts)
}

func (c *Core) makeDrafts(crew string, drafts []kitchen.Draft) { c.makeDraftsOn("", crew, drafts) }

func (c *Core) makeDraftsOn(device, crew string, drafts []kitchen.Draft) {
	for _, d := range drafts {
		switch b := d.Body.(type) { // these carry their own entry's id
		case *entry.Start:
			b.Batch = d.ID
		case *entry.Timer:
			b.Timer = d.ID
		case *entry.Deviation:
			b.Deviation = d.ID
		}
		at := c.stampFor(d.Body)
		if device != "" {
			at.Device = device
		}
		e := entry.New(d.ID, at, crew, d.Body)
		c.offer(nil, c.cfg.Device, entry.AppendRecord(nil, &e))
	}
}

// take takes in whole records that the shell vouches for.
func (c *Core) take(records [][]byte) {
	for _, r := range records {
		c.offer(nil, c.cfg.Device, r)
	}
}

// tapServer does a command that comes from the server's own command line.
func (c *Core) tapServer(in *Input) {
	cmd, err := kitchen.ReadCommand(in.Tap)
	if err != nil {
		c.note("the command cannot be read: ", err.Error())
		return
	}
	drafts, why := kitchen.Decide(c.log.State(), cmd, kitchen.Who{Crew: in.Crew, Device: c.cfg.Device}, c.now, c.newID)
	if why != nil {
		c.note("the command ", cmd.Do, " was refused: code ", strconv.Itoa(int(why.Code)), " ", why.Name)
		return
	}
	c.makeDrafts(in.Crew, drafts)
}

// paceMost lets a night pass in seconds. Phones offer less: who taps wants to see what happens.
const paceMost = 3600

// setPace makes kitchen time run faster, for demonstrations.
func (c *Core) setPace(pace int32) {
	if !c.cfg.Demo || pace < 1 || pace > paceMost {
		c.note("kitchen time runs at pace ", strconv.Itoa(int(pace)), " only in the demo, and from 1 to ", strconv.Itoa(paceMost))
		return
	}
	c.server.clock.SetPace(pace)
	c.send("", &protocol.PaceSet{Kitchen: c.now, Pace: pace})
}

// offer takes in a record if it may be taken in: from a peer, or from the server itself when p is nil.
func (c *Core) offer(p *peer, device string, record []byte) {
	e, err := entry.ReadRecord(record)
	if err != nil {
		c.setApart(p, device, "unreadable", record)
		return
	}
	if known := c.log.Get(e.ID); known != nil && string(known.Record) == string(record) {
		c.admit(p, device, &e, record, nil) // it was taken in before
		return
	}
	if p != nil && p.revoked || p != nil && e.At.Device != device && !p.refill {
		reason := "foreign"
		if p.revoked {
			reason = "revoked"
		}
		c.setApart(p, device, reason, record)
		return
	}
	if since, ok := c.server.gone[e.At.Device]; ok && p != nil && PlaceOf(&e).Compare(since) > 0 {
		c.setApart(p, device, "revoked", record)
		return
	}
	c.admit(p, device, &e, record, nil)
}

// PlaceOf is journal.PlaceOf.
func PlaceOf(e *entry.Entry) journal.Place { return journal.PlaceOf(e) }

// admit adds a record to the log, or parks it until history is there. What was loaded for an entry that was parked
// before is all that there is: if it still lacks what it lacked, that was never kept.
func (c *Core) admit(p *peer, device string, e *entry.Entry, record []byte, before *parked) {
	s := &c.server
	place := PlaceOf(e)
	lacks := c.log.Lacks(journal.TargetOf(e))
	if lacks.IsZero() && c.older(e.ID) {
		lacks = e.ID // it may be folded already, under another stamp
	}
	if !lacks.IsZero() && (before == nil || before.lacks != lacks) && c.log.Get(e.ID) == nil && place.Compare(c.log.Last()) > 0 {
		c.park(p, parked{device: device, record: record, lacks: lacks})
		c.need(journal.Place{}, lacks)
		return
	}
	if p != nil && c.log.Get(e.ID) == nil && c.aheadMuch(e, len(record)) {
		c.setApart(p, device, "ahead", record)
		return
	}
	a, err := c.log.Add(Numbered{Record: record})
	switch {
	case err == nil && a.Verdict == journal.Clash && again(c.log.Get(e.ID), e):
		// The device put its time right and did not know that it was kept before, because the answer was lost. What is kept
		// counts; the device gets that with what it lacks.
		if seq := c.log.Get(e.ID).Seq; p != nil && seq != 0 {
			p.answer = append(p.answer, protocol.KeptEntry{Seq: seq, ID: e.ID})
		}
	case err != nil || a.Verdict == journal.Clash:
		c.setApart(p, device, "same id", record)
	case a.Verdict == journal.Late && (place.Compare(s.root) <= 0 || before != nil):
		c.setApart(p, device, "before the base", record)
	case a.Verdict == journal.Late:
		c.park(p, parked{device: device, record: record})
		c.need(place, entry.ID{})
	case a.Verdict == journal.Known:
		if p != nil && a.Item.Seq != 0 {
			p.answer = append(p.answer, protocol.KeptEntry{Seq: a.Item.Seq, ID: e.ID})
		}
	default:
		c.fresh(p, a.Item)
	}
}

// How many entries, and bytes of them, the journal takes from one device that are ahead of kitchen time. A device that has
// learned what time it is makes none; these must not fill what every device that joins is sent.
const (
	aheadMost  = 256
	aheadBytes = 512 << 10
)

// aheadMuch tells whether an entry is ahead of kitchen time and its device has sent too much of that.
func (c *Core) aheadMuch(e *entry.Entry, size int) bool {
	from := c.now.Add(stamp.LeadMax)
	if e.At.At <= from {
		return false
	}
	n := 1
	for _, item := range slices.Backward(c.log.Tail()) {
		if item.Entry.At.At <= from {
			break
		}
		if item.Entry.At.Device == e.At.Device {
			n, size = n+1, size+len(item.Record)
		}
	}
	return n > aheadMost || size > aheadBytes
}

// older tells whether what has an id may be folded already: the id was made before the end of the base, or by a clock that ran
// ahead, whose entry's time was put right and tells nothing of the id's.
func (c *Core) older(id entry.ID) bool {
	end, ahead := entry.NewID(c.log.Last().At.At, [10]byte{}), entry.NewID(c.now.Add(stamp.LeadMax), [10]byte{})
	return !c.log.Last().IsZero() && (string(id[:6]) <= string(end[:6]) || string(id[:6]) > string(ahead[:6]))
}

// again tells whether an entry is one that is held, but for its time.
func again(held *journal.Item, e *entry.Entry) bool {
	stamped := *e
	stamped.At = held.Entry.At
	return e.At.Device == held.Entry.At.Device && string(entry.AppendRecord(nil, &stamped)) == string(held.Record)
}

// fresh puts a new entry into the group of this step.
func (c *Core) fresh(p *peer, item *journal.Item) {
	s := &c.server
	s.group, s.from = append(s.group, item), append(s.from, p)
	s.busyAt = c.wall
	c.people(item)
	at := item.Entry.At
	c.stamps.Seen(at, c.now)
	if ahead := at.At.Since(c.now); p != nil && ahead > stamp.LeadMax && at.At > s.doubted[at.Device] {
		c.doubtClock(at.Device, ahead)
	}
}

func (c *Core) park(p *peer, w parked) {
	if p != nil {
		w.peer = p.name
	}
	c.server.parked = append(c.server.parked, w)
}

// need asks the shell for history.
func (c *Core) need(before journal.Place, id entry.ID) {
	s := &c.server
	if s.need == nil {
		s.need = new(Need)
	}
	if !before.IsZero() && (s.need.Before.IsZero() || before.Compare(s.need.Before) < 0) {
		s.need.Before = before
	}
	if !id.IsZero() && !slices.Contains(s.need.Entries, id) {
		s.need.Entries = append(s.need.Entries, id)
	}
}

// history takes what the shell found.
func (c *Core) history(stored *Stored) {
	s := &c.server
	if stored != nil {
		c.reload(stored)
	}
	waiting := s.parked
	s.parked, s.need = nil, nil
	for i := range waiting {
		w := &waiting[i]
		if e, err := entry.ReadRecord(w.record); err == nil {
			c.admit(c.peer(w.peer), w.device, &e, w.record, w)
		}
	}
}

// reload replaces the log by one that goes further back, and keeps what that does not have.
func (c *Core) reload(stored *Stored) {
	s := &c.server
	last, _, err := journal.ReadBase(stored.Base)
	if err != nil || last.Compare(s.root) < 0 {
		c.note("the store gave no history that can be used")
		return
	}
	old := c.log.Tail()
	if _, err := c.log.Load(stored); err != nil {
		c.note("a checkpoint of the store cannot be read: ", err.Error())
		c.log.Load(&Stored{Base: nil, Tail: stored.Tail})
	}
	for _, item := range old {
		c.log.Add(item.Numbered())
	}
	for i, item := range s.group {
		if again := c.log.Get(item.Entry.ID); again != nil {
			s.group[i] = again
		}
	}
	s.base = nil
}

// setApart sets a record aside, and tells the peer that brought it.
func (c *Core) setApart(p *peer, device, reason string, record []byte) {
	c.out.Aside = append(c.out.Aside, Aside{Device: device, Reason: reason, Record: slices.Clone(record)})
	c.note("set aside an entry from ", device, ": ", reason)
	if p != nil && len(record) >= 17 {
		if p.aside == nil {
			p.aside = map[string][]entry.ID{}
		}
		p.aside[reason] = append(p.aside[reason], entry.ID(record[1:17]))
	}
}
