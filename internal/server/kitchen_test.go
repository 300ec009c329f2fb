package server_test

import (
	"bytes"
	"log/slog"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/protocol"
	"brinebell/internal/fail"
	"brinebell/internal/hub/hubtest"
	"brinebell/internal/server"
	"brinebell/internal/sqlite"
)

// hands is a clock that tests set.
type hands struct {
	began time.Time
	wall  atomic.Int64 // at the beginning
}

func newHands(at time.Time) *hands {
	h := &hands{began: time.Now()}
	h.wall.Store(at.UnixMilli())
	return h
}

func (h *hands) Wall() int64 { return h.wall.Load() + h.Mono() }
func (h *hands) Mono() int64 { return time.Since(h.began).Milliseconds() }

// notebook is a log that tests read while others write.
type notebook struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (n *notebook) Write(p []byte) (int, error) {
	n.mu.Lock()
	defer n.mu.Unlock()
	return n.b.Write(p)
}

func (n *notebook) String() string {
	n.mu.Lock()
	defer n.mu.Unlock()
	return n.b.String()
}

// bodies returns the bodies of all entries of a kind in a folder, by their numbers.
func bodies[B entry.Body](t *testing.T, data string) []B {
	t.Helper()
	var list []B
	for _, e := range entries(t, data) {
		if body, err := e.Open(); err == nil {
			if b, ok := body.(B); ok {
				list = append(list, b)
			}
		}
	}
	return list
}

func entries(t *testing.T, data string) []entry.Entry {
	t.Helper()
	store, err := sqlite.Open(data, sqlite.Options{ReadOnly: true})
	require.NoError(t, err)
	defer func() { _ = store.Close() }()
	var list []entry.Entry
	for n, err := range store.Since(0) {
		require.NoError(t, err)
		e, err := entry.ReadRecord(n.Record)
		require.NoError(t, err)
		list = append(list, e)
	}
	return list
}

func TestANewKitchenKnowsItsNameAndItsPlaceInTime(t *testing.T) {
	data := t.TempDir()
	stop(t, start(t, server.Config{Data: data, Kitchen: " Pier   Kitchen ", Zone: "Europe/Berlin", Country: "DE"}))
	stop(t, start(t, server.Config{Data: data, Kitchen: "ignored", Zone: "America/New_York"}))
	require.Equal(t, []*entry.NamedKitchen{{Name: "Pier Kitchen", Zone: "Europe/Berlin", Country: "DE"}}, bodies[*entry.NamedKitchen](t, data))
	require.Len(t, bodies[*entry.Offsets](t, data), 1)
}

func TestAKitchenThatMovesGetsTheOffsetsOfItsNewZone(t *testing.T) {
	data := t.TempDir()
	s := start(t, server.Config{Data: data, Zone: "Europe/Berlin"})
	l := onLine(t, s, joined(t, s, "phone"))
	push(t, l, made(l.Ticket.Device, "ada", &entry.NamedKitchen{Name: "Harbour", Zone: "America/New_York"}))
	require.Eventually(t, func() bool { return s.Kitchen() == "Harbour" }, soon, 5*time.Millisecond)
	require.Eventually(t, func() bool { return len(bodies[*entry.Offsets](t, data)) == 2 }, soon, 20*time.Millisecond)
	require.Equal(t, "America/New_York", bodies[*entry.Offsets](t, data)[1].Zone)
	_, body := get(t, s.LocalURL()+"/hello")
	require.Contains(t, body, `"kitchen":"Harbour"`)
}

func TestOffsetsAreWrittenAgainBeforeTheyRunOut(t *testing.T) {
	data := t.TempDir()
	stop(t, start(t, server.Config{Data: data, Zone: "Europe/Berlin"}))
	stop(t, start(t, server.Config{Data: data, Clock: newHands(time.Now().AddDate(1, 0, 0))}))
	require.Len(t, bodies[*entry.Offsets](t, data), 1)
	stop(t, start(t, server.Config{Data: data, Clock: newHands(time.Now().AddDate(3, 0, 0))}))
	require.Len(t, bodies[*entry.Offsets](t, data), 2)
}

func TestAWrongZoneIsRefusedBeforeAnythingIsServed(t *testing.T) {
	_, err := server.Start(server.Config{Listen: "127.0.0.1:0", Data: t.TempDir(), Files: page, Zone: "Mars/Olympus"})
	require.Equal(t, fail.Invalid, fail.KindOf(err))
}

func TestWithoutScreensNothingIsMade(t *testing.T) {
	data := filepath.Join(t.TempDir(), "kitchen")
	_, err := server.Start(server.Config{Listen: "127.0.0.1:0", Data: data, Files: os.DirFS(t.TempDir())})
	require.Equal(t, fail.Missing, fail.KindOf(err))
	require.Contains(t, fail.Sentence(err), "make build")
	require.NoDirExists(t, data)
}

// A board without a battery boots in 1970, long before its own last entry: the order of entries holds, joining works,
// and it is said loudly, in the log and in the journal.
func TestTheServersClockIsBackIn1970(t *testing.T) {
	data := t.TempDir()
	s := start(t, server.Config{Data: data, Zone: "Europe/Berlin"})
	ticket := joined(t, s, "phone")
	l := onLine(t, s, ticket)
	push(t, l, note(ticket.Device, "before the power cut"))
	stop(t, s)
	before := entries(t, data)

	var log notebook
	s = start(t, server.Config{Data: data, Clock: newHands(time.Unix(7, 0)), Log: slog.New(slog.NewTextHandler(&log, nil))})
	other := onLine(t, s, joined(t, s, "another phone"))
	require.NoError(t, other.Send(&protocol.ClockAsk{T1: 1}))
	answer, err := hubtest.Until[*protocol.ClockAnswer](other, soon)
	require.NoError(t, err)
	stop(t, s)
	latest := before[0].At.At
	for _, e := range before {
		latest = max(latest, e.At.At)
	}
	after := entries(t, data)[len(before):]
	require.NotEmpty(t, after)
	for _, e := range after {
		require.GreaterOrEqual(t, e.At.At, latest, "never behind its own last entry")
	}
	require.GreaterOrEqual(t, answer.T2, latest)
	require.NotEmpty(t, bodies[*entry.ClockDoubt](t, data))
	require.Contains(t, log.String(), "clock looks wrong")
}

func TestTheDemoIsMidShiftAndItsTimeCanRunFaster(t *testing.T) {
	data := t.TempDir()
	s := start(t, server.Config{Data: data, Demo: true})
	ticket, err := hubtest.Join(s.LocalURL(), "", "first look")
	require.NoError(t, err, "on this machine the demo needs no code")
	l, _, err := hubtest.Hello(s.LocalURL(), ticket, "", 0, 0)
	require.NoError(t, err)
	t.Cleanup(func() { _ = l.Close() })
	base, err := hubtest.Until[*protocol.Base](l, soon)
	require.NoError(t, err)
	require.Greater(t, base.Head, uint64(100))

	pace := func(body string) int {
		answer, err := http.Post(s.LocalURL()+"/demo/pace", "application/json", strings.NewReader(body))
		require.NoError(t, err)
		_ = answer.Body.Close()
		return answer.StatusCode
	}
	require.Equal(t, http.StatusOK, pace(`{"pace":600}`))
	set, err := hubtest.Until[*protocol.PaceSet](l, soon)
	require.NoError(t, err)
	require.EqualValues(t, 600, set.Pace)
	require.Equal(t, http.StatusOK, pace(`{"pace":60}`))
	set, err = hubtest.Until[*protocol.PaceSet](l, soon)
	require.NoError(t, err)
	require.EqualValues(t, 60, set.Pace)
	require.Equal(t, http.StatusBadRequest, pace(`{"pace":3601}`))
	stop(t, s)

	log := log(t, data)
	state := log.State()
	require.True(t, state.Demo)
	require.Equal(t, "Halfmoon Ferry Canteen", state.Name)
	require.NotEmpty(t, open(state))
}

// log folds the journal of a folder.
func log(t *testing.T, data string) *journal.Log {
	t.Helper()
	store, err := sqlite.Open(data, sqlite.Options{ReadOnly: true})
	require.NoError(t, err)
	defer func() { _ = store.Close() }()
	stored, err := store.Newest()
	require.NoError(t, err)
	l := new(journal.Log)
	_, err = l.Load(&stored)
	require.NoError(t, err)
	return l
}

func open(s *kitchen.State) []kitchen.Batch {
	var list []kitchen.Batch
	for _, b := range s.Batches {
		if b.Status == kitchen.Open {
			list = append(list, b)
		}
	}
	return list
}

func TestARealKitchensTimeCannotRunFaster(t *testing.T) {
	s := start(t, server.Config{})
	answer, err := http.Post(s.LocalURL()+"/demo/pace", "application/json", strings.NewReader(`{"pace":10}`))
	require.NoError(t, err)
	_ = answer.Body.Close()
	require.Equal(t, http.StatusForbidden, answer.StatusCode)
}

func TestADemoThatStoodStillBeginsAnewAndKeepsItsDevices(t *testing.T) {
	data := t.TempDir()
	s := start(t, server.Config{Data: data, Demo: true})
	ticket, err := hubtest.Join(s.LocalURL(), "", "first look")
	require.NoError(t, err)
	l := onLine(t, s, ticket)
	told := note(ticket.Device, "tried it")
	push(t, l, told)
	generation := helloOf(t, s, ticket)
	stop(t, s)

	s = start(t, server.Config{Data: data, Demo: true})
	require.Equal(t, generation, helloOf(t, s, ticket), "stopped for a moment: all is still there")
	stop(t, s)
	require.Len(t, bodies[*entry.Note](t, data), 1)

	hourAgo := time.Now().Add(-time.Hour)
	require.NoError(t, os.Chtimes(filepath.Join(data, "demo.seen"), hourAgo, hourAgo))
	s = start(t, server.Config{Data: data, Demo: true})
	require.NotEqual(t, generation, helloOf(t, s, ticket))
	stop(t, s)
	require.Empty(t, bodies[*entry.Note](t, data))
	var names []string
	for _, p := range bodies[*entry.Pairing](t, data) {
		names = append(names, p.Name)
	}
	require.Contains(t, names, "first look")
	store, err := sqlite.Open(data, sqlite.Options{ReadOnly: true})
	require.NoError(t, err)
	defer func() { _ = store.Close() }()
	report, err := store.Verify()
	require.NoError(t, err)
	require.Nil(t, report.First)
}

// helloOf says hello as a device and returns the journal's generation.
func helloOf(t *testing.T, s *server.Server, ticket hubtest.Ticket) string {
	t.Helper()
	l, welcome, err := hubtest.Hello(s.LocalURL(), ticket, "", 0, 0)
	require.NoError(t, err)
	require.NoError(t, l.Close())
	return welcome.Generation
}

func TestARealKitchenIsNeverEmptied(t *testing.T) {
	store, err := sqlite.Open(t.TempDir(), sqlite.Options{})
	require.NoError(t, err)
	defer func() { _ = store.Close() }()
	require.Equal(t, fail.Refused, fail.KindOf(store.BeginAnew()))
}

func TestFiguresOfARunningKitchen(t *testing.T) {
	s := start(t, server.Config{})
	l := onLine(t, s, joined(t, s, "phone"))
	push(t, l, note(l.Ticket.Device, "x"))
	status, text := get(t, s.LocalURL()+"/metrics")
	require.Equal(t, http.StatusOK, status)
	require.True(t, strings.HasSuffix(text, "\n# EOF\n"))
	for _, line := range []string{"brinebell_lines 1\n", "brinebell_ready 1\n", "brinebell_entries_kept_total 4\n", "brinebell_journal_head 4\n",
		"# TYPE brinebell_commit_seconds histogram\n", "brinebell_lines_cut_slow_total 0\n"} {
		require.Contains(t, text, line)
	}
}
