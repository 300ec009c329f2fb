// Package hub is the kitchen's end of every device's line: it hands frames to the core, makes durable what the core
// wants kept, and only then sends.
//
// One goroutine, the loop, owns the core. It takes the inputs that wait, steps once with all of them, keeps the outcome
// in one commit, and then puts frames into the queues of the lines. Each line has a goroutine that reads and one that
// writes; a line whose queue is full is cut, and the device catches up when it comes back.
//
// When a commit fails, everything the core took in with it is forgotten: the core is made anew from what is on disk,
// all lines are cut, and the hub goes on read-only until the disk takes entries again. The devices still hold what was
// never shown as kept, and send it again.
package hub

import (
	"context"
	"crypto/rand"
	"io"
	"log/slog"
	"sync"
	"sync/atomic"
	"time"

	"brinebell/internal/core"
	"brinebell/internal/core/journal"
	"brinebell/internal/core/protocol"
	"brinebell/internal/core/stamp"
	"brinebell/internal/fail"
	"brinebell/internal/pairing"
)

// Limits of the hub. Reaching one cuts a line or holds a sender back; nothing that was kept is touched.
const (
	LinesMax   = 512             // lines that have said hello
	linesEach  = 8               // of one device; the oldest is cut
	HelloIn    = 5 * time.Second // a line that has not said hello by then is cut
	groupMax   = 512             // inputs stepped and committed together
	inputsMax  = 1024            // inputs waiting for the loop; then readers wait
	queueMax   = 256             // frames waiting for one line
	queueBytes = 40 << 20        // bytes waiting for one line: a largest frame and company
	probeEvery = 5 * time.Second // how often a full disk is tried again
)

// Keeper is what the hub needs of the store.
type Keeper interface {
	journal.Keeper
	// Probe tells whether the disk takes entries.
	Probe() error
	// Refresh looks up what is on disk, after a Keep that failed.
	Refresh() error
	// AsideOf tells how many records of a device are set aside, and how large they are together.
	AsideOf(device string) (n, bytes int, err error)
}

// Desk is what the hub needs of pairing.
type Desk interface {
	Standing(device string, key []byte) (pairing.Standing, error)
	NewCode(now int64) (pairing.Code, error)
	Revoke(device string, now int64) error
}

// Clock is where the hub's times come from, in milliseconds: the wall clock since 1970, and one that never jumps.
type Clock interface {
	Wall() int64
	Mono() int64
}

// Config wires a hub.
type Config struct {
	Core    func() *core.Core // makes a core that has seen nothing
	Keeper  Keeper
	Desk    Desk
	Clock   Clock
	Chance  io.Reader // nil: the system's
	Log     *slog.Logger
	Meter   *Meter                       // nil: counts nowhere
	JoinURL func(code string) string     // where a new device goes
	Kept    func([]journal.Numbered)     // told, on the loop, what was committed; may be nil
	Shut    func(context.Context, error) // told when the store cannot even be read any more; may be nil
}

// Hub is a running hub.
type Hub struct {
	cfg   Config
	in    chan job
	stop  chan struct{} // closed when the hub is to stop
	done  chan struct{} // closed when the loop has ended
	lines sync.WaitGroup
	open  atomic.Int64 // lines that have said hello
	next  atomic.Uint64
	ails  atomic.Pointer[Ailment]
	strangers

	// Owned by the loop.
	core  *core.Core
	peers map[string]*line
	live  map[string]*line
	wake  int64
	probe int64            // wall time of the next try, while read-only
	owes  map[string]bool  // lines that pushed while the hub was read-only: they must push again
	aside map[string]tally // by device, of those that have pushed
	told  []string         // devices of which the log says that too much is set aside
}

// job is an input on its way to the loop.
type job struct {
	in    core.Input
	line  *line            // where it came from; nil: the server itself
	opens bool             // the line says hello with it
	shuts bool             // the line is gone
	done  chan error       // answered when committed; nil: nobody waits
	look  func(*core.Core) // reads the kitchen instead of handing in an input
}

// Start loads the core from the store and starts the loop.
func Start(cfg Config) (*Hub, error) {
	if cfg.Chance == nil {
		cfg.Chance = rand.Reader
	}
	if cfg.Meter == nil {
		cfg.Meter = NewMeter(nil)
	}
	h := &Hub{cfg: cfg, in: make(chan job, inputsMax), stop: make(chan struct{}), done: make(chan struct{}),
		peers: map[string]*line{}, live: map[string]*line{}, owes: map[string]bool{},
		aside: map[string]tally{}}
	if err := h.load(); err != nil {
		// A disk that takes nothing must not keep the kitchen from being read.
		if h.broken(err); h.core == nil {
			return nil, err
		}
	}
	go h.loop()
	return h, nil
}

// load makes a core from what is on disk.
func (h *Hub) load() error {
	stored, err := h.cfg.Keeper.Newest()
	if err != nil {
		return err
	}
	h.core = h.cfg.Core()
	in := h.input(core.OpStart)
	in.Stored = &stored
	return h.follow([]core.Input{in})
}

// input makes an input of now.
func (h *Hub) input(op core.Op) core.Input {
	in := core.Input{Op: op, Wall: h.cfg.Clock.Wall(), Mono: h.cfg.Clock.Mono()}
	_, _ = io.ReadFull(h.cfg.Chance, in.Chance[:]) // the system's randomness never fails
	return in
}

// Do hands the hub an input of the server's own and returns when what follows from it is committed.
func (h *Hub) Do(ctx context.Context, fill func(in *core.Input)) error {
	in := h.input(0)
	fill(&in)
	return h.hand(ctx, job{in: in, done: make(chan error, 1)})
}

func stopped() error {
	return fail.E("hub.Do", fail.Busy, "The kitchen's server is stopping. Try again when it is back.", nil)
}

// Ails returns what keeps the hub from keeping entries, nil if nothing does.
func (h *Hub) Ails() *Ailment { return h.ails.Load() }

// Lines returns how many lines are open and have said hello.
func (h *Hub) Lines() int { return int(h.open.Load()) }

// Stop commits and sends what has arrived, tells every device that the server goes away, and ends the loop. It returns
// when the lines are closed or ctx is over.
func (h *Hub) Stop(ctx context.Context) error {
	select {
	case <-h.stop:
	default:
		close(h.stop)
	}
	gone := make(chan struct{})
	go func() {
		<-h.done
		h.lines.Wait()
		close(gone)
	}()
	select {
	case <-gone:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

func (h *Hub) loop() {
	defer close(h.done)
	timer := time.NewTimer(time.Hour)
	defer timer.Stop()
	jobs := make([]job, 0, groupMax)
	for {
		timer.Reset(h.untilWake())
		select {
		case <-h.stop:
			h.finish(jobs)
			return
		case <-timer.C:
			h.tick()
		case j := <-h.in:
			jobs = h.gather(append(jobs[:0], j))
			h.group(jobs)
		}
	}
}

// gather adds what waits already, without waiting for more: the commit of this group is the wait of the next.
func (h *Hub) gather(jobs []job) []job {
	for len(jobs) < groupMax {
		select {
		case j := <-h.in:
			jobs = append(jobs, j)
		default:
			return jobs
		}
	}
	return jobs
}

// untilWake is how long the loop may sleep.
func (h *Hub) untilWake() time.Duration {
	at := h.wake
	if h.ails.Load() != nil {
		at = h.probe
	}
	if at == 0 {
		return time.Hour
	}
	return time.Duration(min(max(at-h.cfg.Clock.Wall(), 1), time.Hour.Milliseconds())) * time.Millisecond
}

func (h *Hub) tick() {
	if h.ails.Load() != nil {
		h.tryAgain()
		return
	}
	h.wake = 0
	h.settle(h.follow([]core.Input{h.input(core.OpTick)}), nil)
}

// group steps with what came and does what follows.
func (h *Hub) group(jobs []job) {
	inputs := make([]core.Input, 0, len(jobs))
	for i := range jobs {
		if in, ok := h.admit(&jobs[i]); ok {
			inputs = append(inputs, in...)
		}
	}
	if len(inputs) == 0 {
		return
	}
	h.cfg.Meter.group(len(inputs))
	h.settle(h.follow(inputs), jobs)
}

// admit notes lines that come and go, and holds back what cannot be kept while the hub is read-only.
func (h *Hub) admit(j *job) ([]core.Input, bool) {
	if h.core != nil && j.look != nil {
		h.show(j)
		return nil, false
	}
	if h.core == nil || j.done != nil && h.ails.Load() != nil {
		h.refuse(j)
		return nil, false
	}
	switch l := j.line; {
	case l == nil:
	case j.opens:
		h.oneTooMany(l)
		h.peers[l.peer] = l
		opened := j.in
		opened.Op, opened.Frame = core.OpOpened, nil
		return []core.Input{opened, h.helloNow(j)}, true
	case h.peers[l.peer] != l:
		return nil, false // it was cut meanwhile
	case j.shuts:
		h.forget(l)
	case h.ails.Load() != nil && brings(j.in.Frame):
		h.owes[l.peer] = true
		return nil, false
	case brings(j.in.Frame) && h.asideFull(l.device):
		return h.refuseAside(l)
	}
	return []core.Input{j.in}, true
}

// oneTooMany cuts the oldest line of a device that opens more than a device needs: it would take others' places.
func (h *Hub) oneTooMany(l *line) {
	var oldest *line
	n := 0
	for _, o := range h.peers {
		if o.device != l.device {
			continue
		}
		if n++; oldest == nil || o.n < oldest.n {
			oldest = o
		}
	}
	if n >= linesEach {
		h.cfg.Log.Warn("line cut", "peer", oldest.peer, "device", oldest.device, "reason", "a device needs no more lines", "limit", linesEach)
		h.shut(oldest, protocol.ByeAgain, "")
	}
}

// brings tells whether what a frame carries must be made durable.
func brings(frame []byte) bool {
	return len(frame) > 0 && (protocol.Type(frame[0]) == protocol.TypePush || protocol.Type(frame[0]) == protocol.TypeOffer)
}

// settle answers those who wait, after a group was committed or was lost.
func (h *Hub) settle(err error, jobs []job) {
	if err != nil {
		h.broken(err)
	}
	for i := range jobs {
		if d := jobs[i].done; d != nil && len(d) == 0 {
			d <- err
		}
	}
}

// follow steps and does what follows, until the core needs nothing more.
func (h *Hub) follow(inputs []core.Input) error {
	for inputs != nil {
		h.mute(inputs)
		began := time.Now()
		out := h.core.Step(inputs...)
		h.cfg.Meter.step.UpdateDuration(began)
		if err := h.keep(&out); err != nil {
			return err
		}
		h.act(&out)
		inputs = nil
		if out.Need != nil {
			stored, err := out.Need.Fetch(h.cfg.Keeper)
			if err != nil {
				return err
			}
			in := h.input(core.OpHistory)
			in.Stored = stored
			inputs = []core.Input{in}
		}
	}
	return nil
}

// mute has the core make no entries while none can be kept: that its clock looks wrong must not keep a kitchen with a full
// disk from being read.
func (h *Hub) mute(inputs []core.Input) {
	ails := h.ails.Load() != nil
	for i := range inputs {
		inputs[i].Mute = ails
	}
}

// keep makes the outcome durable.
func (h *Hub) keep(out *core.Outcome) error {
	change := out.Change()
	if change == nil {
		return nil
	}
	if h.ails.Load() != nil {
		// Checkpoints and memory only save time later; entries cannot come to be while pushes are held back.
		if len(change.Keep) == 0 && len(change.Aside) == 0 {
			return nil
		}
	}
	began := time.Now()
	err := h.cfg.Keeper.Keep(change)
	h.cfg.Meter.commit.UpdateDuration(began)
	if err != nil {
		h.cfg.Meter.failed.Inc()
		return err
	}
	h.cfg.Meter.kept.Add(len(change.Keep))
	h.cfg.Meter.aside.Add(len(change.Aside))
	h.setAside(change.Aside)
	if h.cfg.Kept != nil && len(change.Keep) > 0 {
		h.cfg.Kept(change.Keep)
	}
	return nil
}

// act does what an outcome asks for, once it is durable.
func (h *Hub) act(out *core.Outcome) {
	for _, peer := range out.Live {
		if l := h.peers[peer]; l != nil {
			h.live[peer] = l
		}
	}
	for i := range out.Send {
		h.send(out.Send[i].Peer, out.Send[i].Frame)
	}
	for _, ask := range out.Codes {
		h.giveCode(ask)
	}
	for _, device := range out.Revoked {
		h.cfg.Log.Info("device revoked", "device", device)
		if err := h.cfg.Desk.Revoke(device, h.cfg.Clock.Wall()); err != nil {
			h.cfg.Log.Error("a device could not be shut out", "device", device, "error", err)
		}
	}
	for _, c := range out.Cut {
		if l := h.peers[c.Peer]; l != nil {
			h.cfg.Log.Info("line cut", "peer", c.Peer, "device", l.device, "reason", c.Reason)
			h.forget(l)
			l.close(c.Reason, "")
		}
	}
	for _, note := range out.Notes {
		h.cfg.Log.Warn(note)
	}
	if out.Wake != 0 {
		h.wake = out.Wake
	}
}

func (h *Hub) send(peer string, frame []byte) {
	p := newParcel(frame)
	if peer != "" {
		if l := h.peers[peer]; l != nil {
			h.queue(l, p)
		}
		return
	}
	for _, l := range h.live {
		h.queue(l, p)
	}
}

// queue puts a parcel into a line's queue, or cuts the line if it has not taken what waits there already.
func (h *Hub) queue(l *line, p *parcel) {
	if l.put(p) {
		return
	}
	h.cfg.Log.Warn("slow line cut", "peer", l.peer, "device", l.device)
	h.cfg.Meter.slow.Inc()
	h.forget(l)
	l.drop()
	// The core must hear of it in order, after what it is doing now.
	go func() {
		in := h.input(core.OpShut)
		in.Peer, in.Device = l.peer, l.device
		select {
		case h.in <- job{in: in}:
		case <-h.done:
		}
	}()
}

func (h *Hub) forget(l *line) {
	delete(h.peers, l.peer)
	delete(h.live, l.peer)
	delete(h.owes, l.peer)
}

func (h *Hub) giveCode(ask core.CodeAsk) {
	code, err := h.cfg.Desk.NewCode(h.cfg.Clock.Wall())
	answer := &protocol.Code{Code: code.Text, Until: stamp.Milli(code.Until)}
	if err != nil {
		h.cfg.Log.Error("no joining code could be made", "error", err)
		answer = &protocol.Code{Refused: "limit"}
	} else {
		answer.URL = h.cfg.JoinURL(code.Text)
		h.cfg.Log.Info("joining code given", "device", ask.Device, "crew", ask.Crew)
	}
	h.send(ask.Peer, protocol.Make(answer))
}

// finish commits and sends what has arrived, then says goodbye.
func (h *Hub) finish(jobs []job) {
	for {
		select {
		case j := <-h.in:
			jobs = h.gather(append(jobs[:0], j))
			h.group(jobs)
			continue
		default:
		}
		break
	}
	h.cutAll(protocol.ByeRestart, "")
}
