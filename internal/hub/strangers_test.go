package hub

import (
	"errors"
	"fmt"
	"net"
	"net/http"
	"net/http/httptest"
	"strconv"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/protocol"
	"brinebell/internal/hub/hubtest"
)

// from makes the site think that requests come from other addresses, one after the other.
func (r *rig) from(t *testing.T, address func(n uint64) string) {
	t.Helper()
	var n atomic.Uint64
	site := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, req *http.Request) {
		req.RemoteAddr = address(n.Add(1))
		r.ServeHTTP(w, req)
	}))
	t.Cleanup(site.Close)
	r.url = site.URL
}

// crowd opens lines that never say hello.
func (r *rig) crowd(t *testing.T, n int) (lines []*hubtest.Line) {
	t.Helper()
	for range n {
		l, err := hubtest.Dial(r.url)
		require.NoError(t, err)
		t.Cleanup(func() { _ = l.Close() })
		lines = append(lines, l)
	}
	return lines
}

// isCut tells whether the server has let go of a line.
func isCut(l *hubtest.Line) bool {
	_ = l.SetReadDeadline(time.Now().Add(20 * time.Millisecond))
	_, _, err := l.ReadMessage()
	e, ok := errors.AsType[net.Error](err)
	return err != nil && !(ok && e.Timeout())
}

// Strangers who say nothing keep no device of the kitchen out, be they from one address, from one each, or from this
// machine itself: there are never more than the bound, and a device gets in at once.
func TestACrowdOfStrangersKeepsNobodyOut(t *testing.T) {
	for name, address := range map[string]func(n uint64) string{
		"one address":       func(uint64) string { return "192.0.2.7:4000" },
		"one household":     func(n uint64) string { return fmt.Sprintf("[2001:db8:0:1::%x]:4000", n) },
		"an address each":   func(n uint64) string { return fmt.Sprintf("10.0.%d.%d:4000", n/250, n%250+1) },
		"this very machine": func(uint64) string { return "127.0.0.1:4000" },
	} {
		t.Run(name, func(t *testing.T) {
			r := newRig(t)
			ticket := r.ticket(t)
			before := r.line(t, ticket)
			r.from(t, address)
			lines := r.crowd(t, LinesMax+50)
			began := time.Now()
			for range 5 {
				r.line(t, ticket)
			}
			require.Less(t, time.Since(began), 2*time.Second, "well before the strangers' time is up")
			require.Equal(t, 6, r.Lines())
			r.strangers.mu.Lock()
			open := len(r.strangers.list)
			r.strangers.mu.Unlock()
			require.LessOrEqual(t, open, strangersMax)
			if name == "one address" || name == "one household" {
				require.LessOrEqual(t, open, strangersEach)
			}
			require.True(t, isCut(lines[0]), "who waited longest goes")
			require.False(t, isCut(lines[len(lines)-1]))
			require.NoError(t, before.Send(&protocol.ClockAsk{T1: 1}))
			_, err := hubtest.Until[*protocol.ClockAnswer](before, soon)
			require.NoError(t, err, "who was on the line stays on it")
		})
	}
}

// One stranger of each other address stays when one address fills the room.
func TestACrowdFromOneAddressPushesOutItsOwn(t *testing.T) {
	r := newRig(t)
	r.from(t, func(n uint64) string {
		if n == 1 {
			return "192.0.2.1:5"
		}
		return "127.0.0.1:" + strconv.FormatUint(n, 10)
	})
	quiet := r.crowd(t, 1)[0]
	crowd := r.crowd(t, strangersMax+20)
	require.True(t, isCut(crowd[0]))
	require.False(t, isCut(quiet))
}

func TestTooManyDevices(t *testing.T) {
	r := newRig(t)
	ticket := r.ticket(t)
	r.open.Add(LinesMax)
	l, _, err := hubtest.Hello(r.url, ticket, "", 0, 0)
	require.Error(t, err)
	require.NotNil(t, l)
	require.EqualValues(t, LinesMax, r.open.Load())
	r.open.Add(-LinesMax)
	r.line(t, ticket)
}

// A device has no use for many lines; its oldest gives way, and nobody else's.
func TestADeviceWithManyLines(t *testing.T) {
	r := newRig(t)
	mine, other := r.ticket(t), r.line(t, r.ticket(t))
	first := r.line(t, mine)
	for range linesEach {
		r.line(t, mine)
	}
	bye, err := hubtest.Until[*protocol.Bye](first, soon)
	require.NoError(t, err)
	require.Equal(t, protocol.ByeAgain, bye.Reason)
	require.Eventually(t, func() bool { return r.Lines() == linesEach+1 }, soon, 10*time.Millisecond)
	push(t, other, note(other.Ticket.Device, "still here"))
}
