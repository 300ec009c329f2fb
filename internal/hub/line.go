package hub

import (
	"errors"
	"net"
	"net/http"
	"strconv"
	"sync"
	"time"

	"github.com/gorilla/websocket"

	"brinebell/internal/core"
	"brinebell/internal/core/protocol"
	"brinebell/internal/core/stamp"
	"brinebell/internal/fail"
	"brinebell/internal/pairing"
)

// Times of a line.
const (
	pingEvery  = time.Duration(protocol.HeartbeatEvery/stamp.Second) * time.Second
	deadAfter  = time.Duration(protocol.DeadAfter/stamp.Second) * time.Second
	writeIn    = 10 * time.Second       // a write that takes longer means that nobody reads
	goodbyeIn  = 700 * time.Millisecond // a line that is cut is gone by then, whatever the other end does
	bufferSize = 1 << 10
	helloMax   = 4 << 10 // the largest first frame, in bytes: strangers must not fill the memory
)

// Codes of a closed websocket (RFC 6455, section 7.4.1, and its registry).
var closeCodes = map[string]int{
	protocol.ByeRestart: websocket.CloseServiceRestart,
	protocol.ByeFull:    websocket.CloseTryAgainLater,
	protocol.ByeSlow:    websocket.CloseTryAgainLater,
	protocol.ByeFrame:   websocket.CloseProtocolError,
	protocol.ByeVersion: websocket.CloseUnsupportedData,
	protocol.ByeRevoked: websocket.ClosePolicyViolation,
	protocol.ByeUnknown: websocket.ClosePolicyViolation,
	protocol.ByeAgain:   websocket.CloseNormalClosure,
}

// line is one device's websocket.
type line struct {
	hub     *Hub
	conn    *websocket.Conn
	n       uint64 // the how manieth line of this hub it is
	peer    string // names this line
	from    string // see address
	device  string // once it has said hello
	revoked bool   // then what it brings is set aside

	mu     sync.Mutex
	bytes  int  // waiting in queue
	closed bool // nothing more is put into queue
	queue  chan *parcel
	gone   chan struct{} // closed when the line is dead
	once   sync.Once
}

var upgrader = websocket.Upgrader{
	ReadBufferSize:  bufferSize,
	WriteBufferSize: bufferSize,
	WriteBufferPool: &sync.Pool{},
	CheckOrigin:     sameOrigin,
	Error: func(w http.ResponseWriter, _ *http.Request, status int, reason error) {
		http.Error(w, reason.Error(), status)
	},
}

// sameOrigin lets in only pages of this very host and port. A browser always says where its page came from.
func sameOrigin(r *http.Request) bool {
	origin := r.Header.Get("Origin")
	return origin == "http://"+r.Host || origin == "https://"+r.Host
}

// ServeHTTP makes a websocket of the request and serves it in the background. It sets no header but the handshake's.
func (h *Hub) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	conn, err := upgrader.Upgrade(w, r, nil)
	if err != nil {
		return // the upgrader has answered
	}
	n := h.next.Add(1)
	l := &line{hub: h, conn: conn, n: n, peer: "line " + strconv.FormatUint(n, 10), from: address(r.RemoteAddr),
		queue: make(chan *parcel, queueMax), gone: make(chan struct{})}
	if goes := h.strangers.add(l); goes != nil {
		h.cfg.Meter.crowded.Inc()
		goes.drop()
	}
	h.lines.Add(2)
	go l.write()
	go l.read()
}

// put adds a parcel to what waits. It reports false if there is no room.
func (l *line) put(p *parcel) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.closed {
		return true // it is on its way out already
	}
	if l.bytes+p.size > queueBytes {
		return false
	}
	select {
	case l.queue <- p:
		l.bytes += p.size
		return true
	default:
		return false
	}
}

// close says why, and closes the line once everything before it is sent.
func (l *line) close(reason, text string) {
	code := closeCodes[reason]
	if code == 0 {
		code = websocket.CloseNormalClosure
	}
	bye := newParcel(protocol.Make(&protocol.Bye{Reason: reason, Text: text}))
	last := l.put(bye) && l.put(&parcel{closes: code})
	l.mu.Lock()
	l.closed = true
	l.mu.Unlock()
	if !last {
		l.drop()
		return
	}
	// Whoever does not read must not hold the line open.
	time.AfterFunc(goodbyeIn, l.drop)
}

// drop ends the line at once.
func (l *line) drop() {
	l.once.Do(func() {
		close(l.gone)
		_ = l.conn.Close()
	})
}

func (l *line) write() {
	defer l.hub.lines.Done()
	defer l.drop()
	ping := time.NewTicker(pingEvery)
	defer ping.Stop()
	for {
		select {
		case <-l.gone:
			return
		case <-ping.C:
			if l.conn.WriteControl(websocket.PingMessage, nil, time.Now().Add(writeIn)) != nil {
				return
			}
		case p := <-l.queue:
			if !l.writeOut(p) {
				return
			}
		}
	}
}

// writeOut sends a parcel and reports whether the line goes on.
func (l *line) writeOut(p *parcel) bool {
	if p.closes != 0 {
		_ = l.conn.WriteControl(websocket.CloseMessage, websocket.FormatCloseMessage(p.closes, ""), time.Now().Add(goodbyeIn))
		return false
	}
	l.mu.Lock()
	l.bytes -= p.size
	l.mu.Unlock()
	_ = l.conn.SetWriteDeadline(time.Now().Add(writeIn)) // fails only on a closed line, and so does the write
	if l.conn.WritePreparedMessage(p.prepared()) != nil {
		return false
	}
	l.hub.cfg.Meter.sent.Add(p.size)
	return true
}

func (l *line) read() {
	defer l.hub.lines.Done()
	joined := l.greet()
	l.hub.strangers.leave(l)
	if joined {
		defer l.hub.open.Add(-1)
		l.listen()
		l.submit(core.OpShut, nil, func(j *job) { j.shuts = true })
	}
	// The writer may still have something to say; it drops the line when that is done.
	l.mu.Lock()
	closing := l.closed
	l.mu.Unlock()
	if !closing {
		l.drop()
	}
	<-l.gone
}

// greet reads the hello and lets the device in, or says why not.
func (l *line) greet() bool {
	l.conn.SetReadLimit(helloMax)
	deadline := time.Now().Add(HelloIn)
	_ = l.conn.SetReadDeadline(deadline) // a closed line fails at the read
	// Pings of a stranger do not buy it time.
	frame, err := l.next(helloMax)
	if err != nil {
		return l.refuse(err)
	}
	hello, err := protocol.ReadHello(frame)
	if err != nil {
		return l.refuse(err)
	}
	if hello.Version < protocol.VersionOldest || hello.Version > protocol.Version {
		l.close(protocol.ByeVersion, "")
		return false
	}
	standing, err := l.hub.cfg.Desk.Standing(hello.Device, hello.Key)
	if err != nil {
		l.hub.cfg.Log.Error("a device could not be looked up", "error", err)
		l.close(protocol.ByeFull, fail.Sentence(err))
		return false
	}
	if standing == pairing.Stranger {
		l.hub.cfg.Meter.stranger.Inc()
		l.close(protocol.ByeUnknown, "")
		return false
	}
	l.hub.strangers.leave(l)
	l.device = hello.Device
	l.revoked = standing == pairing.Revoked
	hello.Key = nil // the core has no use for a secret
	l.conn.SetReadLimit(protocol.UpMax)
	if l.hub.open.Add(1) > LinesMax {
		l.hub.open.Add(-1)
		l.close(protocol.ByeFull, "too many lines: "+strconv.Itoa(LinesMax)+" devices are on the line; close the app on one that nobody uses")
		return false
	}
	frame = protocol.Make(hello)
	forked, err := core.Forked(l.hub.cfg.Keeper, frame)
	if err != nil {
		l.hub.cfg.Log.Error("the entry that a device knows as its last could not be looked up", "device", l.device, "error", err)
	}
	if l.submit(core.OpFrame, frame, func(j *job) { j.opens, j.in.Forked = true, forked }) {
		return true
	}
	l.hub.open.Add(-1)
	return false
}

func (l *line) listen() {
	alive := func() { _ = l.conn.SetReadDeadline(time.Now().Add(deadAfter)) }
	l.conn.SetPongHandler(func(string) error { alive(); return nil })
	for {
		alive()
		frame, err := l.next(protocol.UpMax)
		if err != nil {
			l.refuse(err)
			return
		}
		if !l.submit(core.OpFrame, frame, nil) {
			return
		}
	}
}

// next reads a frame, unpacked, of at most so many bytes.
func (l *line) next(most int) ([]byte, error) {
	kind, frame, err := l.conn.ReadMessage()
	if err != nil {
		return nil, err
	}
	if kind != websocket.BinaryMessage || len(frame) == 0 {
		return nil, errFrame
	}
	l.hub.cfg.Meter.frames.Inc()
	l.hub.cfg.Meter.received.Add(len(frame))
	return unpack(frame, most)
}

var errFrame = errors.New("hub: frames are binary messages of at least one byte")

// refuse ends the line after something that cannot be read. It is always false.
func (l *line) refuse(err error) bool {
	if _, ok := errors.AsType[*websocket.CloseError](err); ok {
		return false
	}
	if _, ok := errors.AsType[net.Error](err); ok || errors.Is(err, net.ErrClosed) {
		return false // the network, or the deadline
	}
	l.hub.cfg.Meter.bad.Inc()
	l.hub.cfg.Log.Warn("line cut", "peer", l.peer, "device", l.device, "reason", err.Error())
	if errors.Is(err, websocket.ErrReadLimit) || errors.Is(err, errTooBig) {
		l.put(&parcel{closes: websocket.CloseMessageTooBig})
		l.mu.Lock()
		l.closed = true
		l.mu.Unlock()
		time.AfterFunc(goodbyeIn, l.drop)
		return false
	}
	l.close(protocol.ByeFrame, "")
	return false
}

// submit hands an input to the loop. It reports false when the hub has ended.
func (l *line) submit(op core.Op, frame []byte, with func(*job)) bool {
	j := job{in: l.hub.input(op), line: l}
	j.in.Peer, j.in.Device, j.in.Revoked, j.in.Frame = l.peer, l.device, l.revoked, frame
	if with != nil {
		with(&j)
	}
	select {
	case l.hub.in <- j:
		return true
	case <-l.hub.done:
		return false
	}
}
