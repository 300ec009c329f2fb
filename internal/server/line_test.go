package server_test

import (
	"bytes"
	"compress/flate"
	"context"
	"crypto/rand"
	"io"
	"maps"
	"net/http"
	"runtime"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/gorilla/websocket"
	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/protocol"
	"brinebell/internal/core/stamp"
	"brinebell/internal/hub/hubtest"
	"brinebell/internal/server"
	"brinebell/internal/sqlite"
)

// soon is how long tests wait for what should come at once.
const soon = 5 * time.Second

// stamps counts what was stamped.
var stamps atomic.Uint32

// made makes the record of an entry by a device, now.
func made(device, crew string, body entry.Body) []byte {
	var chance [10]byte
	_, _ = rand.Read(chance[:])
	now := stamp.Milli(time.Now().UnixMilli())
	// A device stamps after all that it has seen; these tests are quick enough to be in the millisecond of the pairing, and of each other.
	e := entry.New(entry.NewID(now, chance), stamp.Stamp{At: now, Count: 1000 + stamps.Add(1), Device: device}, crew, body)
	return entry.AppendRecord(nil, &e)
}

func note(device, text string) []byte { return made(device, "", &entry.Note{Text: text}) }

// joined lets a device in with a code.
func joined(t *testing.T, s *server.Server, name string) hubtest.Ticket {
	t.Helper()
	code, _, err := s.Code()
	require.NoError(t, err)
	ticket, err := hubtest.Join(s.LocalURL(), code, name)
	require.NoError(t, err)
	return ticket
}

// onLine opens a line for a device that holds nothing yet and waits until it is live.
func onLine(t *testing.T, s *server.Server, ticket hubtest.Ticket) *hubtest.Line {
	t.Helper()
	l, _, err := hubtest.Hello(s.LocalURL(), ticket, "", 0, 0)
	require.NoError(t, err)
	t.Cleanup(func() { _ = l.Close() })
	_, err = hubtest.Until[*protocol.Base](l, soon)
	require.NoError(t, err)
	return l
}

// push sends records of the line's own and waits until they are kept.
func push(t *testing.T, l *hubtest.Line, records ...[]byte) map[entry.ID]uint64 {
	t.Helper()
	require.NoError(t, l.Send(&protocol.Push{Last: true, Records: records}))
	got, err := l.Kept(records, soon)
	require.NoError(t, err)
	return got
}

// closed reads until the line is closed, and returns the websocket's code.
func closed(t *testing.T, l *hubtest.Line) int {
	t.Helper()
	for {
		if _, err := l.Next(soon); err != nil {
			e, ok := err.(*websocket.CloseError)
			require.True(t, ok, "%v", err)
			return e.Code
		}
	}
}

func TestWhatOneDeviceTellsReachesTheOthersOnceItIsKept(t *testing.T) {
	s := start(t, server.Config{Zone: "Europe/Berlin"})
	anna, bea := onLine(t, s, joined(t, s, "Anna's phone")), onLine(t, s, joined(t, s, "Bea's phone"))
	r := note(anna.Ticket.Device, "new oil in fryer 2")
	own := push(t, anna, r)
	others, err := bea.Kept([][]byte{r}, soon)
	require.NoError(t, err)
	require.Equal(t, own, others)
	require.Equal(t, own, push(t, anna, r), "told twice is kept once")
}

func TestStrangersAreNotLetOnTheLine(t *testing.T) {
	s := start(t, server.Config{})
	ticket := joined(t, s, "phone")
	for name, wrong := range map[string]hubtest.Ticket{
		"no device": {Device: "", Key: ticket.Key}, "another device": {Device: "zzzzzzzz", Key: ticket.Key},
		"another key": {Device: ticket.Device, Key: make([]byte, 32)}, "no key": {Device: ticket.Device},
	} {
		l, err := hubtest.Dial(s.LocalURL())
		require.NoError(t, err)
		require.NoError(t, l.Send(&protocol.Hello{Version: protocol.Version, Device: wrong.Device, Key: wrong.Key}))
		bye, err := hubtest.Until[*protocol.Bye](l, soon)
		require.NoError(t, err, name)
		require.Equal(t, protocol.ByeUnknown, bye.Reason, name)
		require.Equal(t, websocket.ClosePolicyViolation, closed(t, l), name)
	}
	l, err := hubtest.Dial(s.LocalURL())
	require.NoError(t, err)
	require.NoError(t, l.Send(&protocol.Hello{Version: protocol.Version + 1, Device: ticket.Device, Key: ticket.Key}))
	bye, err := hubtest.Until[*protocol.Bye](l, soon)
	require.NoError(t, err)
	require.Equal(t, protocol.ByeVersion, bye.Reason)
}

func TestLinesFromForeignPagesAreRefused(t *testing.T) {
	s := start(t, server.Config{})
	base := "ws" + strings.TrimPrefix(s.LocalURL(), "http") + "/line"
	for _, origin := range []string{"", "null", "http://evil.test", s.LocalURL() + "0", "http://kitchen.local.evil.test"} {
		h := http.Header{}
		if origin != "" {
			h.Set("Origin", origin)
		}
		_, answer, err := websocket.DefaultDialer.Dial(base, h)
		require.ErrorIs(t, err, websocket.ErrBadHandshake, origin)
		require.Equal(t, http.StatusForbidden, answer.StatusCode, origin)
	}
}

func deflated(t *testing.T, b []byte) []byte {
	t.Helper()
	var out bytes.Buffer
	w, err := flate.NewWriter(&out, 9)
	require.NoError(t, err)
	_, err = w.Write(b)
	require.NoError(t, err)
	require.NoError(t, w.Close())
	return append([]byte{byte(protocol.Packed)}, out.Bytes()...)
}

func TestBadFramesCutOnlyTheirOwnLine(t *testing.T) {
	s := start(t, server.Config{})
	good := onLine(t, s, joined(t, s, "good"))
	whole := protocol.Make(&protocol.Push{Records: [][]byte{note("x", "y")}})
	for name, frame := range map[string][]byte{
		"unknown type":       {0x55, 1, 2, 3},
		"cut short":          whole[:len(whole)-3],
		"too long":           append(bytes.Clone(whole), 0),
		"a count of 2^60":    {byte(protocol.TypePush), 0, 1, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0x0f},
		"a server's frame":   protocol.Make(&protocol.Entries{Prev: 1}),
		"a second hello":     protocol.Make(&protocol.Hello{Version: 1}),
		"packed nothing":     {byte(protocol.Packed)},
		"packed garbage":     {byte(protocol.Packed), 0xff, 0xff, 0xff},
		"packed in packed":   deflated(t, deflated(t, whole)),
		"random bytes":       {7, 9, 200, 13, 4, 250, 1},
		"varint of 11 bytes": append([]byte{byte(protocol.TypeFetch)}, bytes.Repeat([]byte{0x80}, 11)...),
	} {
		bad := onLine(t, s, joined(t, s, "bad"))
		require.NoError(t, bad.WriteMessage(websocket.BinaryMessage, frame))
		require.Equal(t, websocket.CloseProtocolError, closed(t, bad), name)
	}
	bad := onLine(t, s, joined(t, s, "text"))
	require.NoError(t, bad.WriteMessage(websocket.TextMessage, []byte("hello")))
	require.Equal(t, websocket.CloseProtocolError, closed(t, bad))
	push(t, good, note(good.Ticket.Device, "still here"))
}

func TestOversizedFramesCutOnlyTheirOwnLine(t *testing.T) {
	bomb := deflated(t, append([]byte{byte(protocol.TypePush)}, make([]byte, 64<<20)...))
	require.Less(t, len(bomb), 80<<10)
	large := make([]byte, protocol.UpMax+1)
	s := start(t, server.Config{})
	good := onLine(t, s, joined(t, s, "good"))
	var before, after runtime.MemStats
	for name, frame := range map[string][]byte{"a frame that grows": bomb, "a large frame": large} {
		bad := onLine(t, s, joined(t, s, "bad"))
		runtime.GC()
		runtime.ReadMemStats(&before)
		_ = bad.WriteMessage(websocket.BinaryMessage, frame) // the server may hang up half way
		require.Equal(t, websocket.CloseMessageTooBig, closed(t, bad), name)
		runtime.ReadMemStats(&after)
		require.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(8<<20), "%s: what was allocated for it", name)
	}
	push(t, good, note(good.Ticket.Device, "still here"))
}

// rec is the record of an entry of any kind and version.
func rec(device string, kind entry.Kind, version uint32, body []byte) []byte {
	var chance [10]byte
	_, _ = rand.Read(chance[:])
	now := stamp.Milli(time.Now().UnixMilli())
	e := entry.Entry{ID: entry.NewID(now, chance), At: stamp.Stamp{At: now, Device: device}, Kind: kind, Ver: version, Raw: body}
	return entry.AppendRecord(nil, &e)
}

func TestUnknownKindsAndVersionsAreKeptAndPassedOn(t *testing.T) {
	data := t.TempDir()
	s := start(t, server.Config{Data: data})
	anna, bea := onLine(t, s, joined(t, s, "anna")), onLine(t, s, joined(t, s, "bea"))
	list := [][]byte{
		rec(anna.Ticket.Device, 9999, 1, []byte("from a newer phone")),
		rec(anna.Ticket.Device, entry.NoteMade, 77, []byte{1, 2, 3}),
		rec(anna.Ticket.Device, entry.NoteMade, 1, []byte{0xff, 0xff, 0xff}),
	}
	push(t, anna, list...)
	_, err := bea.Kept(list, soon)
	require.NoError(t, err)
	stop(t, s)
	again := start(t, server.Config{Data: data})
	l, _, err := hubtest.Hello(again.LocalURL(), bea.Ticket, "", 0, 0)
	require.NoError(t, err)
	t.Cleanup(func() { _ = l.Close() })
	_, err = hubtest.Until[*protocol.Base](l, soon)
	require.NoError(t, err)
	stop(t, again)
	store, err := sqlite.Open(data, sqlite.Options{ReadOnly: true})
	require.NoError(t, err)
	defer func() { _ = store.Close() }()
	held := map[string]bool{}
	for n, err := range store.Since(0) {
		require.NoError(t, err)
		held[string(n.Record)] = true
	}
	for _, r := range list {
		require.True(t, held[string(r)])
	}
}

func TestEntriesInAnothersNameAreSetAside(t *testing.T) {
	data := t.TempDir()
	s := start(t, server.Config{Data: data})
	anna, bea := onLine(t, s, joined(t, s, "anna")), onLine(t, s, joined(t, s, "bea"))
	forged := note(bea.Ticket.Device, "bea never said this")
	require.NoError(t, anna.Send(&protocol.Push{Last: true, Records: [][]byte{forged}}))
	aside, err := hubtest.Until[*protocol.SetAside](anna, soon)
	require.NoError(t, err)
	require.Equal(t, "foreign", aside.Reason)
	require.Equal(t, []entry.ID{entry.ID(forged[1:17])}, aside.IDs)
	stop(t, s)
	setAside(t, data, forged)
}

// setAside checks that a record is set aside in a folder, and not in the journal.
func setAside(t *testing.T, data string, record []byte) {
	t.Helper()
	store, err := sqlite.Open(data, sqlite.Options{ReadOnly: true})
	require.NoError(t, err)
	defer func() { _ = store.Close() }()
	list, err := store.Aside()
	require.NoError(t, err)
	require.Len(t, list, 1)
	require.Equal(t, record, list[0].Record)
	_, there, err := store.Place(entry.ID(record[1:17]))
	require.NoError(t, err)
	require.False(t, there)
}

func TestARevokedDeviceIsShutOutWithinASecond(t *testing.T) {
	data := t.TempDir()
	s := start(t, server.Config{Data: data})
	lead, lost := onLine(t, s, joined(t, s, "lead")), onLine(t, s, joined(t, s, "lost"))
	photo := func() int {
		r, err := http.NewRequest(http.MethodPost, s.LocalURL()+"/photo", strings.NewReader("x"))
		require.NoError(t, err)
		r.Header.Set("Authorization", "Device "+lost.Ticket.Device+" "+hexOf(lost.Ticket.Key))
		answer, err := http.DefaultClient.Do(r)
		require.NoError(t, err)
		_, _ = io.Copy(io.Discard, answer.Body)
		_ = answer.Body.Close()
		return answer.StatusCode
	}
	require.Equal(t, http.StatusBadRequest, photo(), "let in, but this is no photo")

	began := time.Now()
	push(t, lead, made(lead.Ticket.Device, "ada", &entry.Revocation{Device: lost.Ticket.Device, Reason: "left on the boat"}))
	bye, err := hubtest.Until[*protocol.Bye](lost, soon)
	require.NoError(t, err)
	require.Equal(t, protocol.ByeRevoked, bye.Reason)
	require.Equal(t, websocket.ClosePolicyViolation, closed(t, lost))
	require.Less(t, time.Since(began), time.Second)
	require.Equal(t, http.StatusBadRequest, photo(), "it may still hand over what its entries speak of")

	// It comes back with what it had not sent: that is set aside for the lead, not lost, and shown to nobody.
	again, welcome, err := hubtest.Hello(s.LocalURL(), lost.Ticket, "", 0, 1)
	require.NoError(t, err)
	require.True(t, welcome.Revoked)
	late := note(lost.Ticket.Device, "fryer 2 smells odd")
	require.NoError(t, again.Send(&protocol.Push{Last: true, Records: [][]byte{late}}))
	aside, err := hubtest.Until[*protocol.SetAside](again, soon)
	require.NoError(t, err)
	require.Equal(t, "revoked", aside.Reason)
	require.Equal(t, websocket.ClosePolicyViolation, closed(t, again))
	push(t, lead, note(lead.Ticket.Device, "the others go on"))
	stop(t, s)
	setAside(t, data, late)
}

func TestALeadsPhoneGetsAJoiningCode(t *testing.T) {
	s := start(t, server.Config{})
	l := onLine(t, s, joined(t, s, "lead"))
	push(t, l, made(l.Ticket.Device, "", &entry.Member{Crew: "ada", Name: "Ada", Role: entry.Lead}),
		made(l.Ticket.Device, "", &entry.Member{Crew: "bo", Name: "Bo", Role: entry.Cook}))
	ask := func(crew string) *protocol.Code {
		require.NoError(t, l.Send(&protocol.CodeAsk{Crew: crew}))
		code, err := hubtest.Until[*protocol.Code](l, soon)
		require.NoError(t, err)
		return code
	}
	require.Equal(t, "crew", ask("bo").Refused)
	code := ask("ada")
	require.Empty(t, code.Refused)
	require.Contains(t, code.URL, "/join?code="+strings.ReplaceAll(code.Code, " ", ""))
	_, err := hubtest.Join(s.LocalURL(), code.Code, "new phone")
	require.NoError(t, err)
	_, err = hubtest.Join(s.LocalURL(), code.Code, "a second phone")
	require.ErrorContains(t, err, "used already")
}

func TestAtTheStopDevicesAreToldAfterTheLastEntryIsKept(t *testing.T) {
	data := t.TempDir()
	s := start(t, server.Config{Data: data})
	l := onLine(t, s, joined(t, s, "phone"))
	var list [][]byte
	for range 50 {
		list = append(list, note(l.Ticket.Device, "busy"))
	}
	require.NoError(t, l.Send(&protocol.Push{Last: true, Records: list}))
	stopped := make(chan struct{})
	go func() {
		ctx, cancel := context.WithTimeout(context.Background(), soon)
		defer cancel()
		_ = s.Close(ctx)
		close(stopped)
	}()
	kept := map[entry.ID]uint64{}
	reason := ""
	for {
		f, err := l.Next(soon)
		if e, ok := err.(*websocket.CloseError); ok {
			require.Equal(t, websocket.CloseServiceRestart, e.Code)
			break
		}
		require.NoError(t, err)
		maps.Copy(kept, hubtest.Shown(f))
		if bye, ok := f.(*protocol.Bye); ok {
			reason = bye.Reason
		}
	}
	require.Equal(t, protocol.ByeRestart, reason)
	<-stopped
	store, err := sqlite.Open(data, sqlite.Options{ReadOnly: true})
	require.NoError(t, err)
	defer func() { _ = store.Close() }()
	for id := range kept {
		_, there, err := store.Place(id)
		require.NoError(t, err)
		require.True(t, there)
	}
	status := http.StatusServiceUnavailable
	if answer, err := http.Get(s.LocalURL() + "/hello"); err == nil {
		status = answer.StatusCode
		_ = answer.Body.Close()
	}
	require.Equal(t, http.StatusServiceUnavailable, status, "nobody answers any more")
}

// A disk that is full: what was kept stays and can be read, what comes is not shown as kept, and the server says so.
func TestAFullDiskKeepsTheLineOpenForReading(t *testing.T) {
	data := t.TempDir()
	s := start(t, server.Config{Data: data, PagesMax: 90})
	ticket := joined(t, s, "phone")
	l := onLine(t, s, ticket)
	kept := map[entry.ID]uint64{}
	for {
		list := [][]byte{note(ticket.Device, strings.Repeat("long ", 2000))}
		require.NoError(t, l.Send(&protocol.Push{Last: true, Records: list}))
		got, err := l.Kept(list, soon)
		if err != nil {
			break
		}
		for id, seq := range got {
			kept[id] = seq
		}
		require.Less(t, len(kept), 100)
	}
	require.NotEmpty(t, kept)
	status, body := get(t, s.LocalURL()+"/readyz")
	require.Equal(t, http.StatusServiceUnavailable, status)
	require.Contains(t, body, "disk of the kitchen's server is full")
	status, _ = get(t, s.LocalURL()+"/healthz")
	require.Equal(t, http.StatusOK, status)

	again, welcome, err := hubtest.Hello(s.LocalURL(), ticket, "", 0, 1)
	require.NoError(t, err, "a device with unsent entries still gets what there is")
	_, err = hubtest.Until[*protocol.Base](again, soon)
	require.NoError(t, err)
	for _, seq := range kept {
		require.LessOrEqual(t, seq, welcome.Head)
	}
	require.NoError(t, again.Send(&protocol.ClockAsk{T1: 4}))
	_, err = hubtest.Until[*protocol.ClockAnswer](again, soon)
	require.NoError(t, err, "and the time")
	_, err = hubtest.Join(s.LocalURL(), "AAA AAA", "new")
	require.ErrorContains(t, err, "disk")
	_ = again.Close()
	stop(t, s)

	store, err := sqlite.Open(data, sqlite.Options{ReadOnly: true})
	require.NoError(t, err)
	defer func() { _ = store.Close() }()
	report, err := store.Verify()
	require.NoError(t, err)
	require.Nil(t, report.First)
	for id := range kept {
		_, there, err := store.Place(id)
		require.NoError(t, err)
		require.True(t, there)
	}
}
