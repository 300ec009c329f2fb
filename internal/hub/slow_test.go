package hub

import (
	"context"
	"crypto/rand"
	"encoding/base64"
	"net"
	"net/http"
	"os"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/gorilla/websocket"
	"github.com/stretchr/testify/require"

	"brinebell/internal/core"
	"brinebell/internal/core/protocol"
	"brinebell/internal/hub/hubtest"
)

// silent opens a line for a device that says hello and then never reads, over a socket that takes little.
func (r rig) silent(t *testing.T) *websocket.Conn {
	t.Helper()
	small := websocket.Dialer{NetDialContext: func(ctx context.Context, network, address string) (net.Conn, error) {
		c, err := new(net.Dialer).DialContext(ctx, network, address)
		if err == nil {
			err = c.(*net.TCPConn).SetReadBuffer(4 << 10)
		}
		return c, err
	}}
	conn, answer, err := small.Dial("ws"+strings.TrimPrefix(r.url, "http"), http.Header{"Origin": {r.url}})
	require.NoError(t, err)
	_ = answer.Body.Close()
	t.Cleanup(func() { _ = conn.Close() }) // and hold it until then
	l := &hubtest.Line{Conn: conn, Ticket: r.ticket(t)}
	require.NoError(t, l.Send(&protocol.Hello{Version: protocol.Version, Device: l.Ticket.Device, Key: l.Ticket.Key, Bound: -1}))
	return conn
}

// waits is how many frames and bytes wait for the line for which most do.
func (r rig) waits(t *testing.T) (frames, bytes int) {
	t.Helper()
	done := make(chan error, 1)
	r.in <- job{done: done, look: func(*core.Core) {
		for _, l := range r.peers {
			l.mu.Lock()
			frames, bytes = max(frames, len(l.queue)), max(bytes, l.bytes)
			l.mu.Unlock()
		}
	}}
	require.NoError(t, <-done)
	return frames, bytes
}

// writers is how many goroutines write to lines of hubs.
func writers() int {
	stacks := make([]byte, 4<<20)
	return strings.Count(string(stacks[:runtime.Stack(stacks, true)]), "hub.(*line).write(")
}

// tellAll tells so many notes one after the other, each only once the other device has seen the one before, and returns how long it
// took until it was seen.
func tellAll(t *testing.T, talker, witness *hubtest.Line, n int) []time.Duration {
	t.Helper()
	var took []time.Duration
	garbage := make([]byte, 60<<10) // hardly packs
	for range n {
		_, _ = rand.Read(garbage)
		record := note(talker.Ticket.Device, base64.StdEncoding.EncodeToString(garbage))
		began := time.Now()
		require.NoError(t, talker.Send(&protocol.Push{Last: true, Records: [][]byte{record}}))
		_, err := witness.Kept([][]byte{record}, soon)
		require.NoError(t, err)
		took = append(took, time.Since(began))
		_, err = talker.Kept([][]byte{record}, soon)
		require.NoError(t, err)
	}
	return took
}

// One device stops reading, with room left in its queue. While it holds its line the others see each entry before the next is told, so
// nobody waits for it; what waits for it is bounded; and with the write's deadline it is gone, its goroutine too.
func TestSoakOneDeviceStopsReading(t *testing.T) {
	t.Parallel() // it waits for a deadline
	r := newRig(t)
	talker, witness := r.line(t, r.ticket(t)), r.line(t, r.ticket(t))
	before := writers()
	stuck := time.Now()
	r.silent(t)
	require.Eventually(t, func() bool { return r.Lines() == 3 }, soon, time.Millisecond)
	const told = queueMax - 60
	tellAll(t, talker, witness, told)
	frames, bytes := r.waits(t)
	if time.Since(stuck) < writeIn-time.Second { // else so slow a machine that it is cut already
		require.Equal(t, 3, r.Lines(), "it was on the line all the while")
		require.Greater(t, frames, told/4, "and much waits for it")
	}
	require.Less(t, frames, queueMax)
	require.LessOrEqual(t, bytes, told*(90<<10))
	require.Less(t, bytes, queueBytes)
	require.Eventually(t, func() bool { return r.Lines() == 2 && writers() <= before }, writeIn+soon, 20*time.Millisecond, "in 15 seconds")
	tellAll(t, talker, witness, 3)
	frames, bytes = r.waits(t)
	require.Zero(t, frames)
	require.Zero(t, bytes)

	if os.Getenv("BRINEBELL_SOAK") == "" {
		return
	}
	// When soaking: how long others wait with and without such a device, by turns.
	var ratios []float64
	for range 9 {
		alone := p99(tellAll(t, talker, witness, 150))
		conn := r.silent(t)
		beside := p99(tellAll(t, talker, witness, 150))
		_ = conn.Close()
		ratios = append(ratios, float64(beside)/float64(alone))
		require.Eventually(t, func() bool { return r.Lines() == 2 }, writeIn+soon, 20*time.Millisecond)
	}
	slices.Sort(ratios)
	t.Logf("p99 of the others with a device that does not read, over that without: %.2f", ratios)
	require.Less(t, ratios[len(ratios)/2], 1.5, "in the middle: others work on this machine too")
}

func p99(list []time.Duration) time.Duration {
	slices.Sort(list)
	return list[len(list)*99/100]
}
