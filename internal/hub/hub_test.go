package hub

import (
	"bytes"
	"context"
	"crypto/rand"
	"encoding/base64"
	"errors"
	"log/slog"
	"net/http/httptest"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/gorilla/websocket"
	"github.com/stretchr/testify/require"

	"brinebell/internal/core"
	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/protocol"
	"brinebell/internal/core/stamp"
	"brinebell/internal/fail"
	"brinebell/internal/hub/hubtest"
	"brinebell/internal/pairing"
	"brinebell/internal/sqlite"
)

// soon is how long tests wait for what should come at once.
const soon = 5 * time.Second

// fickle is a keeper whose disk can be full, or gone.
type fickle struct {
	*sqlite.Store
	full, gone atomic.Bool
	before     func() // called before every Keep
}

var (
	errFull = fail.E("test", fail.Storage, "The disk is full.", nil)
	errGone = fail.E("test", fail.Storage, "The disk is gone.", nil)
)

func (f *fickle) Keep(c *journal.Change) error {
	if f.before != nil {
		f.before()
	}
	if f.full.Load() {
		return errFull
	}
	return f.Store.Keep(c)
}

func (f *fickle) Probe() error {
	if f.full.Load() {
		return errFull
	}
	return f.Store.Probe()
}

func (f *fickle) Newest() (journal.Stored, error) {
	if f.gone.Load() {
		return journal.Stored{}, errGone
	}
	return f.Store.Newest()
}

// hands is a clock that tests can push forward.
type hands struct{ ahead atomic.Int64 }

func (h *hands) Wall() int64 { return time.Now().UnixMilli() + h.ahead.Load() }
func (h *hands) Mono() int64 { return h.Wall() }

type rig struct {
	*Hub
	keeper *fickle
	clock  *hands
	desk   *pairing.Desk
	url    string
}

func newRig(t *testing.T) rig {
	t.Helper()
	store, err := sqlite.Open(t.TempDir(), sqlite.Options{})
	require.NoError(t, err)
	r := rig{keeper: &fickle{Store: store}, clock: new(hands), desk: pairing.NewDesk(store, nil)}
	r.Hub, err = Start(Config{
		Core: func() *core.Core {
			return core.NewServer(core.Config{Device: "kitchen", Generation: store.Generation()})
		},
		Keeper: r.keeper, Desk: r.desk, Clock: r.clock, Log: slog.New(slog.NewTextHandler(t.Output(), nil)),
		JoinURL: func(code string) string { return "http://kitchen.local/join?code=" + code },
	})
	require.NoError(t, err)
	site := httptest.NewServer(r.Hub)
	r.url = site.URL
	t.Cleanup(func() {
		ctx, cancel := context.WithTimeout(context.Background(), soon)
		defer cancel()
		require.NoError(t, r.Stop(ctx))
		site.Close()
		_ = store.Close()
	})
	return r
}

func (r rig) ticket(t *testing.T) hubtest.Ticket {
	t.Helper()
	ticket, err := r.desk.Join(pairing.Application{Free: true}, r.clock.Wall())
	require.NoError(t, err)
	return hubtest.Ticket{Device: ticket.Device.ID, Key: ticket.Key}
}

func (r rig) line(t *testing.T, ticket hubtest.Ticket) *hubtest.Line {
	t.Helper()
	l, _, err := hubtest.Hello(r.url, ticket, "", 0, 0)
	require.NoError(t, err)
	t.Cleanup(func() { _ = l.Close() })
	_, err = hubtest.Until[*protocol.Base](l, soon)
	require.NoError(t, err)
	return l
}

func note(device, text string) []byte {
	var chance [10]byte
	_, _ = rand.Read(chance[:])
	return hubtest.Note(device, stamp.Milli(time.Now().UnixMilli()), 0, text, chance)
}

func push(t *testing.T, l *hubtest.Line, records ...[]byte) {
	t.Helper()
	require.NoError(t, l.Send(&protocol.Push{Last: true, Records: records}))
	_, err := l.Kept(records, soon)
	require.NoError(t, err)
}

func TestNothingIsSentBeforeItIsKept(t *testing.T) {
	r := newRig(t)
	var during atomic.Bool
	seen := make(chan struct{}, 1)
	anna, bea := r.line(t, r.ticket(t)), r.line(t, r.ticket(t))
	r.keeper.before = func() {
		during.Store(true)
		select {
		case <-seen:
			t.Error("the other device saw the entry before it was kept")
		case <-time.After(150 * time.Millisecond):
		}
		during.Store(false)
	}
	n := note(anna.Ticket.Device, "x")
	require.NoError(t, anna.Send(&protocol.Push{Last: true, Records: [][]byte{n}}))
	_, err := bea.Kept([][]byte{n}, soon)
	if during.Load() {
		seen <- struct{}{}
	}
	require.NoError(t, err)
	time.Sleep(20 * time.Millisecond)
}

// The disk is full while two devices tell something: neither sees it kept, both are cut with the reason; one that
// comes back reads all the same; and when there is room again what was told is kept, exactly once.
func TestAFullDiskAndWhatFollows(t *testing.T) {
	r := newRig(t)
	ticket := r.ticket(t)
	l := r.line(t, ticket)
	first, second := note(ticket.Device, "before"), note(ticket.Device, "while the disk was full")
	push(t, l, first)

	r.keeper.full.Store(true)
	require.NoError(t, l.Send(&protocol.Push{Last: true, Records: [][]byte{second}}))
	bye, err := hubtest.Until[*protocol.Bye](l, soon)
	require.NoError(t, err)
	require.Equal(t, protocol.ByeFull, bye.Reason)
	require.Equal(t, "The disk is full.", bye.Text)
	require.Equal(t, "The disk is full.", r.Ails().Sentence)
	err = r.Do(t.Context(), func(in *core.Input) { in.Op, in.Bodies = core.OpMake, []entry.Body{&entry.Note{Text: "own"}} })
	require.Equal(t, "The disk is full.", fail.Sentence(err))

	l, welcome, err := hubtest.Hello(r.url, ticket, "", 0, 1)
	require.NoError(t, err)
	require.NoError(t, l.Send(&protocol.Push{Last: true, Records: [][]byte{second}}))
	base, err := hubtest.Until[*protocol.Base](l, soon)
	require.NoError(t, err, "it is let in to read")
	require.Equal(t, welcome.Head, base.Head)
	require.NotContains(t, hubtest.Shown(base), entry.ID(second[1:17]))

	r.clock.ahead.Add(4000) // not yet time to try again
	require.NotNil(t, r.Ails())
	r.keeper.full.Store(false)
	r.clock.ahead.Add(2000)
	bye, err = hubtest.Until[*protocol.Bye](l, 10*time.Second)
	require.NoError(t, err, "the device is sent away to come back and push")
	require.Equal(t, protocol.ByeRestart, bye.Reason)
	require.Nil(t, r.Ails())

	l, _, err = hubtest.Hello(r.url, ticket, "", 0, 1)
	require.NoError(t, err)
	push(t, l, second)
	push(t, l, note(ticket.Device, "after"))
	report, err := r.keeper.Verify()
	require.NoError(t, err)
	require.Nil(t, report.First)
	count := 0
	for n, err := range r.keeper.Since(0) {
		require.NoError(t, err)
		if n.ID() == entry.ID(second[1:17]) {
			count++
		}
	}
	require.Equal(t, 1, count)
	require.NoError(t, l.Close())
}

// A server whose clock is back in 1970 starts on a disk that takes nothing: what was kept can be read, the log says that
// the clock looks wrong, and once there is room the journal says so too.
func TestAWrongClockOnAFullDisk(t *testing.T) {
	r := newRig(t)
	ticket := r.ticket(t)
	kept := note(ticket.Device, "kept")
	push(t, r.line(t, ticket), kept)
	ctx, cancel := context.WithTimeout(t.Context(), 4*soon)
	defer cancel()
	require.NoError(t, r.Stop(ctx))
	head, err := r.keeper.Head()
	require.NoError(t, err)

	r.keeper.full.Store(true)
	var log strings.Builder
	cfg := r.cfg
	cfg.Log, cfg.Clock = slog.New(slog.NewTextHandler(&log, nil)), &hands{}
	cfg.Clock.(*hands).ahead.Store(7_000 - time.Now().UnixMilli())
	again, err := Start(cfg)
	require.NoError(t, err, "it starts")
	require.Contains(t, log.String(), "clock looks wrong")
	require.Equal(t, "The disk is full.", again.Ails().Sentence)
	require.False(t, again.Ails().Down)
	site := httptest.NewServer(again)
	defer site.Close()
	read := rig{Hub: again, keeper: r.keeper, desk: r.desk, url: site.URL}
	l := read.line(t, ticket)
	require.NoError(t, l.Send(&protocol.ClockAsk{T1: 1}))
	answer, err := hubtest.Until[*protocol.ClockAnswer](l, soon)
	require.NoError(t, err)
	e, err := entry.ReadRecord(kept)
	require.NoError(t, err)
	require.Greater(t, answer.T2, e.At.At, "kitchen time goes on after the last commit")
	now, err := r.keeper.Head()
	require.NoError(t, err)
	require.Equal(t, head, now)

	r.keeper.full.Store(false)
	cfg.Clock.(*hands).ahead.Add(6000)
	require.Eventually(t, func() bool { return again.Ails() == nil }, 10*time.Second, 10*time.Millisecond)
	require.Eventually(t, func() bool {
		for n, err := range r.keeper.Since(head) {
			if e, bad := entry.ReadRecord(n.Record); err == nil && bad == nil && e.Kind == entry.ClockDoubted {
				return true
			}
		}
		return false
	}, soon, 10*time.Millisecond)
	require.NoError(t, again.Stop(ctx))
}

func TestADiskThatIsGoneLetsNobodyInUntilItIsBack(t *testing.T) {
	r := newRig(t)
	ticket := r.ticket(t)
	l := r.line(t, ticket)
	r.keeper.full.Store(true)
	r.keeper.gone.Store(true)
	require.NoError(t, l.Send(&protocol.Push{Last: true, Records: [][]byte{note(ticket.Device, "x")}}))
	bye, err := hubtest.Until[*protocol.Bye](l, soon)
	require.NoError(t, err)
	require.Equal(t, protocol.ByeFull, bye.Reason)
	require.Eventually(t, func() bool { a := r.Ails(); return a != nil && a.Down }, soon, 5*time.Millisecond)
	require.Equal(t, "The disk is gone.", r.Ails().Sentence)
	again, welcome, err := hubtest.Hello(r.url, ticket, "", 0, 0)
	require.Error(t, err)
	require.Nil(t, welcome)
	_ = again.Close()

	r.keeper.full.Store(false)
	r.keeper.gone.Store(false)
	r.clock.ahead.Add(6000)
	require.Eventually(t, func() bool { return r.Ails() == nil }, 10*time.Second, 10*time.Millisecond)
	push(t, r.line(t, ticket), note(ticket.Device, "back"))
}

// One device never reads. The others see everything, the silent one is cut off, and its goroutines end.
func TestADeviceThatNeverReadsIsCutOff(t *testing.T) {
	r := newRig(t)
	r.silent(t)
	talker, witness := r.line(t, r.ticket(t)), r.line(t, r.ticket(t))
	require.Eventually(t, func() bool { return r.Lines() == 3 }, soon, time.Millisecond)

	const rounds = 600
	garbage := make([]byte, 18<<10) // hardly packs
	var all [][]byte
	var reading sync.WaitGroup
	for range rounds {
		_, _ = rand.Read(garbage)
		all = append(all, note(talker.Ticket.Device, base64.StdEncoding.EncodeToString(garbage)))
	}
	var seen error
	reading.Go(func() { _, seen = witness.Kept(all, 2*time.Minute) })
	for _, n := range all {
		push(t, talker, n) // one by one, so that each is a frame of its own
	}
	reading.Wait()
	require.NoError(t, seen)
	require.Eventually(t, func() bool { return r.Lines() == 2 }, soon, 10*time.Millisecond)
	require.Equal(t, uint64(1), r.cfg.Meter.slow.Get())
}

// A stranger's first frame is a hello or nothing: what is larger is not even read, packed or not.
func TestAStrangersLargeFrameIsNotRead(t *testing.T) {
	r := newRig(t)
	large := make([]byte, 100_000)
	for _, frame := range [][]byte{large, pack(large)} {
		l, err := hubtest.Dial(r.url)
		require.NoError(t, err)
		sent := l.WriteMessage(websocket.BinaryMessage, frame)
		require.NoError(t, l.SetReadDeadline(time.Now().Add(soon)))
		_, _, err = l.ReadMessage()
		// The server hangs up on what it has not read, so the network may be quicker than the word.
		reset := errors.Is(err, syscall.ECONNRESET) || errors.Is(sent, syscall.ECONNRESET) || errors.Is(sent, syscall.EPIPE)
		require.True(t, reset || websocket.IsCloseError(err, websocket.CloseMessageTooBig), "%v, %v", sent, err)
		require.NoError(t, l.Close())
	}
}

// On a full disk an empty journal does not begin from a device's base either: it would not outlive a restart.
func TestAFullDiskTakesNoBase(t *testing.T) {
	r := newRig(t)
	ticket := r.ticket(t)
	r.keeper.full.Store(true)
	require.NoError(t, r.line(t, ticket).Send(&protocol.Push{Last: true, Records: [][]byte{note(ticket.Device, "x")}}))
	require.Eventually(t, func() bool { return r.Ails() != nil }, soon, 5*time.Millisecond)
	l, _, err := hubtest.Hello(r.url, ticket, "another", 7, 0)
	require.NoError(t, err)
	last := journal.Place{At: stamp.Stamp{At: 1, Device: "d"}}
	require.NoError(t, l.Send(&protocol.Offer{State: journal.AppendBase(nil, last, kitchen.New().Append(nil))}))
	r.keeper.full.Store(false)
	r.clock.ahead.Add(6000)
	bye, err := hubtest.Until[*protocol.Bye](l, 10*time.Second)
	require.NoError(t, err, "the device is sent away to come back and offer it again")
	require.Equal(t, protocol.ByeRestart, bye.Reason)
	stored, err := r.keeper.Newest()
	require.NoError(t, err)
	require.Empty(t, stored.Base)
	l, _, err = hubtest.Hello(r.url, ticket, "another", 7, 0)
	require.NoError(t, err)
	require.NoError(t, l.Send(&protocol.Offer{State: journal.AppendBase(nil, last, kitchen.New().Append(nil))}))
	require.Eventually(t, func() bool {
		stored, err := r.keeper.Newest()
		return err == nil && len(stored.Base) > 0
	}, soon, 5*time.Millisecond)
}

// The base of a busy kitchen is larger than any push; a server that lost its disk must be able to begin from it.
func TestALargeOfferIsTaken(t *testing.T) {
	r := newRig(t)
	state := kitchen.New()
	state.Name = strings.Repeat("Halfmoon Ferry Canteen ", 3*protocol.UpMax/23)
	base := journal.AppendBase(nil, journal.Place{At: stamp.Stamp{At: 1, Device: "d"}}, state.Append(nil))
	l, _, err := hubtest.Hello(r.url, r.ticket(t), "another", 7, 0)
	require.NoError(t, err)
	require.NoError(t, l.WriteMessage(websocket.BinaryMessage, pack(protocol.Make(&protocol.Offer{State: base}))))
	require.Eventually(t, func() bool {
		stored, err := r.keeper.Newest()
		return err == nil && string(stored.Base) == string(base)
	}, soon, 5*time.Millisecond)
	require.NoError(t, l.WriteMessage(websocket.BinaryMessage,
		pack(protocol.Make(&protocol.Offer{State: make([]byte, protocol.OfferMax)}))))
	_, err = hubtest.Until[*protocol.Offer](l, soon)
	require.True(t, websocket.IsCloseError(err, websocket.CloseMessageTooBig), "%v", err)
}

func TestAfterTheStopNobodyWaits(t *testing.T) {
	r := newRig(t)
	ctx, cancel := context.WithTimeout(t.Context(), soon)
	defer cancel()
	require.NoError(t, r.Stop(ctx))
	err := r.Do(ctx, func(in *core.Input) { in.Op = core.OpTick })
	require.Contains(t, fail.Sentence(err), "stopping")
}

func TestPackingComesBackWhole(t *testing.T) {
	for _, size := range []int{1, 100, protocol.PackFrom - 1, protocol.PackFrom, 5000, 300_000} {
		plain := bytes.Repeat([]byte{byte(protocol.TypeEntries), 1, 2, 3, 4, 5, 6}, size/7+1)[:size]
		noise := make([]byte, size)
		_, _ = rand.Read(noise)
		noise[0] = byte(protocol.TypeBase)
		for _, frame := range [][]byte{plain, noise} {
			packed := pack(frame)
			require.LessOrEqual(t, len(packed), len(frame))
			back, err := unpack(packed, size)
			require.NoError(t, err)
			require.Equal(t, frame, back)
		}
	}
	require.Less(t, len(pack(make([]byte, 300_000))), 1000)
	_, err := unpack(pack(make([]byte, 5000)), 4999)
	require.ErrorIs(t, err, errTooBig)
	_, err = unpack([]byte{byte(protocol.Packed), 0xff}, 100)
	require.Error(t, err)
}
