package core

import (
	"bytes"
	"slices"

	"brinebell/internal/core/jsontext"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/screen"
	"brinebell/internal/core/stamp"
)

// While the kitchen sends what this device missed, or others bring a lot at once, each fold of the past would be
// overtaken by the next frame. So after a frame of at least manyEntries folding and drawing wait until none such came
// for holdDrawing ms, but no longer than holdMost.
const (
	manyEntries = 64
	holdDrawing = 200
	holdMost    = 1000
)

// A device that is awake steps when it asked to, and at least every pulse; one that is overslept ms late for that was
// frozen, and could not ring.
const (
	pulse     = 10_000
	overslept = 3_000
)

// A top is kept so long after the last entry or the start, and so long after the one before, in ms.
const (
	topAfter = 1_500
	topEvery = 60_000
)

// view is one page that shows this device's screens.
type view struct {
	name, path string
	refused    *screen.Refused
	bare       []byte // what it shows, without the clock
	asked      bool   // it must be drawn even if nothing changed
	log        *screen.Log
}

// look makes a view show a path.
func (c *Core) look(in *Input) {
	p := &c.phone
	if in.Lang != "" {
		p.lang = in.Lang
	}
	v := c.view(in.View)
	if v.path != in.Path {
		v.path, v.refused = in.Path, nil
	}
	v.asked = true
}

func (c *Core) view(name string) *view {
	for _, v := range c.phone.views {
		if v.name == name {
			return v
		}
	}
	v := &view{name: name, path: "/"}
	c.phone.views = append(c.phone.views, v)
	return v
}

func (c *Core) closeView(name string) {
	c.phone.views = slices.DeleteFunc(c.phone.views, func(v *view) bool { return v.name == name })
}

// File says which piece of a file is handed on.
type File struct {
	Name        string
	First, Last bool
}

// takeLog takes a piece of a probe's file. It stays with the view: nothing of it is an entry until it is kept.
func (c *Core) takeLog(in *Input) {
	v := c.view(in.View)
	if in.File.First {
		v.log = screen.NewLog(in.File.Name, v.path)
	}
	if v.log == nil || v.log.Whole {
		return
	}
	v.log.Add(in.Frame, in.File.Last)
	v.asked = in.File.First || in.File.Last
}

// ability takes what the page says about ringing.
func (c *Core) ability(text []byte) {
	v, err := jsontext.Read(text)
	if err != nil {
		c.note("what the page can do cannot be read: ", err.Error())
		return
	}
	p := &c.phone
	able := screen.Ability{Known: true, Sound: v.True("sound"), Awake: v.True("awake"), Vibrate: v.True("vibrate"),
		Installed: v.True("installed"), Visible: v.True("visible"), Secure: v.True("secure"), Heard: v.True("heard"),
		Stuck: v.True("stuck"), Voice: v.True("voice"), Stays: v.True("stays")}
	if able == p.able {
		return
	}
	p.able, p.changed = able, true
}

// tap does what a button asks for.
func (c *Core) tap(in *Input) {
	v := c.view(in.View)
	v.refused, v.asked = nil, true
	cmd, err := kitchen.ReadCommand(in.Tap)
	if err != nil {
		cmd = new(kitchen.Command)
		v.refused = &screen.Refused{Command: cmd, Why: &kitchen.Refusal{Code: kitchen.RefBadCommand, Name: err.Error()}}
		return
	}
	if c.ownTap(cmd) {
		return
	}
	if cmd.Do == kitchen.DoCookLog {
		ctx := c.context()
		ctx.Path, ctx.Log = v.path, v.log
		cmd.Cook = screen.CookLog(&ctx)
	}
	if cmd.Do == kitchen.DoPlan && !c.planAccept(cmd) {
		v.refused = &screen.Refused{Command: cmd, Why: &kitchen.Refusal{Code: kitchen.RefNoPlan}}
		return
	}
	if cmd.Do == kitchen.DoSales && !cmd.Closes {
		ctx := c.context()
		ctx.Path, ctx.Log = v.path, v.log
		cmd.Sales = screen.Sales(&ctx)
	}
	if cmd.Do == kitchen.DoSignOff {
		screen.Tested(c.log.State(), cmd, c.now)
	}
	who := kitchen.Who{Crew: c.mem.Crew, Device: c.cfg.Device, Tries: c.mem.Tries}
	drafts, why := kitchen.Decide(c.log.State(), cmd, who, c.now, c.newID)
	if c.mem.tried(cmd, why, c.now) {
		c.phone.dirty = true
	}
	if why != nil {
		v.refused = &screen.Refused{Command: cmd, Why: why}
		return
	}
	c.makeOwn(drafts)
}

// Commands that stay on the device: they never reach Decide.
const (
	doCode = "code" // a lead wants a joining code
	doPace = "pace" // the demo's kitchen time runs Number times as fast
)

// ownTap does what concerns only this device and its line.
func (c *Core) ownTap(cmd *kitchen.Command) bool {
	switch cmd.Do {
	case kitchen.DoCrew:
		c.mem.Crew = cmd.Crew
		c.phone.dirty, c.phone.last = true, nil
	case doCode:
		c.askCode()
	case doPace:
		c.askPace(int32(cmd.Number))
	default:
		return false
	}
	c.phone.changed = true
	return true
}

// context is what screens depend on.
func (c *Core) context() screen.Context {
	p := &c.phone
	if p.night != nil {
		return c.nightContext()
	}
	return screen.Context{
		State: c.log.State(), Now: c.now, Mono: c.mono, Pace: int64(c.mem.Clock.Pace()),
		Device: c.cfg.Device, Crew: c.mem.Crew, Lang: p.lang,
		Saved: screen.Saved{Joined: c.cfg.Key != "" && !c.mem.Revoked, Revoked: c.mem.Revoked, InTouch: p.welcomed, Waiting: c.waiting(),
			OutSince: c.mem.OutSince, Off: c.mem.Clock.Bound(c.mono), Entries: c.mem.Have > 0 || !c.log.Last().IsZero()},
		Past: c.log.Past, Reach: c.log.Last().At.At, Ability: p.able, AwakeSince: p.ableFrom, Last: p.last, Code: p.code, Near: p.near, NearNow: p.nearTold, Planned: p.planned,
	}
}

// draw gives out the screens and bells that changed, and says when the next one will by itself. With hold, only a view
// that asked is drawn.
func (c *Core) draw(hold bool) {
	p := &c.phone
	c.wakeAt(c.wall + pulse)
	asked := slices.ContainsFunc(p.views, func(v *view) bool { return v.asked })
	if hold {
		c.wakeAt(c.wall + holdDrawing)
	}
	if len(p.views) == 0 || hold && !asked {
		return // without a page nothing is seen or heard until one looks
	}
	due := p.changed || p.nextAt != 0 && c.now >= p.nextAt
	if due || asked {
		c.drawAll(due)
	}
	if p.nextAt != 0 {
		c.wakeAt(c.mem.Clock.WallAt(p.nextAt))
	}
}

// mustHold tells whether folding and drawing wait for more to come in.
func (c *Core) mustHold() bool {
	p := &c.phone
	behind := !p.caught && c.mem.Have < p.head
	if !p.welcomed || !behind && c.mono-p.busyAt >= holdDrawing {
		p.held = 0
		return false
	}
	if p.held == 0 {
		p.held = c.mono
	}
	if c.mono-p.held < holdMost {
		return true
	}
	p.held = c.mono
	return false
}

func (c *Core) drawAll(due bool) {
	p := &c.phone
	ctx := c.context()
	ctx.Bells = screen.BellsAt(&ctx)
	p.changed, p.nextAt = false, 0
	for _, v := range p.views {
		ctx.View, ctx.Path, ctx.Refused, ctx.Log = v.name, v.path, v.refused, v.log
		if due || v.asked {
			c.drawView(v, screen.View(&ctx))
		}
		p.nextAt = sooner(p.nextAt, screen.Next(&ctx), c.now)
	}
	ctx.View, ctx.Path, ctx.Refused, ctx.Log = "", "/", nil, nil
	p.nextAt = sooner(p.nextAt, screen.Next(&ctx), c.now)
	if ring := screen.Ring(&ctx); due && !bytes.Equal(ring, p.ring) {
		p.ring, c.out.Ring = ring, ring
	}
}

func (c *Core) drawView(v *view, json []byte) {
	bare := withoutNow(json)
	if v.asked || !bytes.Equal(bare, v.bare) {
		c.out.Draw = append(c.out.Draw, Draw{View: v.name, JSON: json})
	}
	v.bare, v.asked = bare, false
}

// withoutNow cuts the clock out of a screen: the member "now" of the outermost object.
func withoutNow(json []byte) []byte {
	mark := []byte(`"now":{`)
	i := bytes.Index(json, mark)
	if i < 0 {
		return json
	}
	end := bytes.IndexByte(json[i:], '}')
	return append(slices.Clone(json[:i]), json[i+end+1:]...)
}

// sooner returns the earlier of two instants after now, where 0 is never.
func sooner(a, b, now stamp.Milli) stamp.Milli {
	if b == 0 {
		return a
	}
	if b = max(b, now+1); a == 0 || b < a {
		return b
	}
	return a
}

// settle ends a step of a phone: it sends, moves the base on, draws, and keeps what it must remember.
func (c *Core) settle() {
	p := &c.phone
	if p.night != nil {
		c.nightSettle()
		return
	}
	if p.plans != nil {
		return
	}
	if p.welcomed && c.mem.Stale {
		c.fetch(0)
	}
	if p.welcomed {
		c.push(false)
		c.sayHere()
	}
	c.beat()
	hold := c.mustHold()
	if !hold {
		c.compare()
		c.advance()
	}
	c.draw(hold)
	c.giveClock()
	c.keepMemory()
	if !hold {
		c.keepTop()
	}
}

// keepTop has the state kept that is folded, once it has been quiet for a little: a phone may be put away at any time.
func (c *Core) keepTop() {
	p := &c.phone
	if len(p.views) == 0 || !c.log.TopDue() {
		return
	}
	if due := max(p.quiet+topAfter, p.topAt); c.mono < due {
		c.wakeAt(c.wall + due - c.mono)
		return
	}
	p.topAt = c.mono + topEvery
	c.out.Top = c.log.Top()
}

// advance moves the base on when the tail has grown.
func (c *Core) advance() {
	if c.out.Base != nil {
		return
	}
	least, most := c.cfg.tail()
	b := c.log.Advance(least, most, c.now.Add(stamp.LeadMax))
	if b == nil {
		return
	}
	for _, item := range c.log.Tail() {
		if item.Seq != 0 {
			b.Tail = append(b.Tail, item.Numbered())
		}
	}
	c.out.Base = b
}

// keepMemory has the memory kept when something durable changed.
func (c *Core) keepMemory() {
	p := &c.phone
	if !p.dirty && len(c.out.Keep) == 0 && c.out.Base == nil {
		return
	}
	c.mem.StampAt, c.mem.StampCount = c.stamps.Last()
	c.mem.Clock.Rebase(c.wall, c.mono)
	c.out.Memory, p.dirty = c.mem.append(nil), false
}

// wakeAt asks to be stepped no later than a wall time.
func (c *Core) wakeAt(wall int64) {
	if c.out.Wake == 0 || wall < c.out.Wake {
		c.out.Wake = max(wall, c.wall+1)
	}
}
