package hub

import (
	"context"
	"log/slog"
	"net"
	"net/http"
	"testing"
	"testing/synctest"
	"time"

	"github.com/gorilla/websocket"
	"github.com/stretchr/testify/require"

	"brinebell/internal/core"
	"brinebell/internal/core/protocol"
	"brinebell/internal/hub/hubtest"
	"brinebell/internal/pairing"
	"brinebell/internal/sqlite"
)

// pipes is a listener whose connections are pipes, so that a test's own time counts for them too.
type pipes struct {
	conns chan net.Conn
	done  chan struct{}
}

func (p *pipes) Accept() (net.Conn, error) {
	select {
	case c := <-p.conns:
		return c, nil
	case <-p.done:
		return nil, net.ErrClosed
	}
}

func (p *pipes) Close() error   { close(p.done); return nil }
func (p *pipes) Addr() net.Addr { return &net.TCPAddr{IP: net.IPv4(127, 0, 0, 1), Port: 80} }

// inPipes runs a test in a bubble of its own time, with a hub at the other end of dial.
func inPipes(t *testing.T, test func(t *testing.T, dial func() *hubtest.Line, desk *pairing.Desk)) {
	synctest.Test(t, func(t *testing.T) {
		store, err := sqlite.Open(t.TempDir(), sqlite.Options{})
		require.NoError(t, err)
		desk := pairing.NewDesk(store, nil)
		h, err := Start(Config{
			Core: func() *core.Core {
				return core.NewServer(core.Config{Device: "kitchen", Generation: store.Generation()})
			},
			Keeper: &fickle{Store: store}, Desk: desk, Clock: new(hands), Log: slog.New(slog.DiscardHandler),
		})
		require.NoError(t, err)
		listener := &pipes{make(chan net.Conn), make(chan struct{})}
		site := &http.Server{Handler: h}
		ended := make(chan struct{})
		go func() {
			defer close(ended)
			_ = site.Serve(listener)
		}()
		dialer := websocket.Dialer{NetDialContext: func(context.Context, string, string) (net.Conn, error) {
			here, there := net.Pipe()
			listener.conns <- there
			return here, nil
		}}
		test(t, func() *hubtest.Line {
			conn, _, err := dialer.Dial("ws://127.0.0.1/line", http.Header{"Origin": {"http://127.0.0.1"}})
			require.NoError(t, err)
			return &hubtest.Line{Conn: conn}
		}, desk)
		require.NoError(t, h.Stop(context.Background()))
		require.NoError(t, site.Close())
		<-ended
		require.NoError(t, store.Close())
	})
}

// hello says hello and reads on in the background; it returns a channel that is closed when the line is.
func hello(t *testing.T, l *hubtest.Line, desk *pairing.Desk) chan time.Duration {
	t.Helper()
	ticket, err := desk.Join(pairing.Application{Free: true}, 0)
	require.NoError(t, err)
	require.NoError(t, l.Send(&protocol.Hello{Version: protocol.Version, Device: ticket.Device.ID, Key: ticket.Key, Bound: -1}))
	return closing(l)
}

// closing reads on and tells how long it took until the line was closed.
func closing(l *hubtest.Line) chan time.Duration {
	began := time.Now()
	gone := make(chan time.Duration, 1)
	go func() {
		for {
			if _, _, err := l.ReadMessage(); err != nil {
				gone <- time.Since(began)
				_ = l.Close()
				return
			}
		}
	}()
	return gone
}

func TestALineThatSaysNothingIsCutAfterFiveSeconds(t *testing.T) {
	inPipes(t, func(t *testing.T, dial func() *hubtest.Line, _ *pairing.Desk) {
		l := dial()
		require.Equal(t, HelloIn, <-closing(l))
	})
}

func TestPingsDoNotBuyAStrangerTime(t *testing.T) {
	inPipes(t, func(t *testing.T, dial func() *hubtest.Line, _ *pairing.Desk) {
		l := dial()
		gone := closing(l)
		for range 4 {
			time.Sleep(time.Second)
			require.NoError(t, l.WriteControl(websocket.PingMessage, nil, time.Now().Add(time.Second)))
			require.NoError(t, l.WriteControl(websocket.PongMessage, nil, time.Now().Add(time.Second)))
		}
		require.Equal(t, HelloIn, <-gone)
	})
}

func TestADeadLineIsCutAfterTwelveSeconds(t *testing.T) {
	inPipes(t, func(t *testing.T, dial func() *hubtest.Line, desk *pairing.Desk) {
		l := dial()
		l.SetPingHandler(func(string) error { return nil }) // as behind a path that died
		require.Equal(t, deadAfter, <-hello(t, l, desk))
	})
}

func TestALineThatAnswersPingsLives(t *testing.T) {
	inPipes(t, func(t *testing.T, dial func() *hubtest.Line, desk *pairing.Desk) {
		l := dial()
		pings := 0
		answer := l.PingHandler()
		l.SetPingHandler(func(data string) error { pings++; return answer(data) })
		gone := hello(t, l, desk)
		time.Sleep(10*time.Minute + time.Second)
		select {
		case after := <-gone:
			t.Fatalf("cut after %v", after)
		default:
		}
		require.NoError(t, l.Close())
		<-gone
		require.Equal(t, 120, pings, "one every five seconds")
	})
}

func TestALineThatOnlyAsksTheClockLives(t *testing.T) {
	inPipes(t, func(t *testing.T, dial func() *hubtest.Line, desk *pairing.Desk) {
		l := dial()
		l.SetPingHandler(func(string) error { return nil })
		gone := hello(t, l, desk)
		for i := range 100 {
			time.Sleep(pingEvery)
			require.NoError(t, l.Send(&protocol.ClockAsk{T1: int64(i)}))
		}
		require.NoError(t, l.Close())
		require.GreaterOrEqual(t, <-gone, 100*pingEvery)
	})
}
