package main

import (
	"crypto/rand"
	"fmt"
	"sync"
	"sync/atomic"
	"time"

	"github.com/gorilla/websocket"

	"brinebell/internal/core"
)

// phone is a real device without a screen: the same core that runs in a browser, its journal in memory.
type phone struct {
	mu      sync.Mutex
	core    *core.Core
	conn    *websocket.Conn
	address string
	began   time.Time
	head    uint64          // it holds every number up to this one
	ahead   map[uint64]bool // numbers that it holds beyond: its own come back before those of others
	unsent  map[[16]byte]bool
	read    atomic.Int64 // bytes that arrived
	moved   chan struct{}
	fault   error
}

func newPhone(address string, p pass) *phone {
	ph := &phone{
		core: core.New(core.Config{Device: p.Device, Key: p.Key}), address: address, began: time.Now(),
		unsent: map[[16]byte]bool{}, ahead: map[uint64]bool{}, moved: make(chan struct{}, 1),
	}
	ph.step(core.Input{Op: core.OpStart, Stored: &core.Stored{}, Lang: "en"})
	return ph
}

// step tells the core what happened and does what it orders, in its order.
func (p *phone) step(in core.Input) core.Outcome {
	p.mu.Lock()
	defer p.mu.Unlock()
	in.Wall = time.Now().UnixMilli()
	in.Mono = time.Since(p.began).Milliseconds() + 1
	_, _ = rand.Read(in.Chance[:])
	out := p.core.Step(in)
	for i := range out.Keep {
		p.holds(&out.Keep[i])
	}
	if out.Base != nil {
		for i := range out.Base.Tail {
			p.holds(&out.Base.Tail[i])
		}
	}
	for _, m := range out.Send {
		if p.conn != nil {
			if err := p.conn.WriteMessage(websocket.BinaryMessage, m.Frame); err != nil {
				p.fault = err
			}
		}
	}
	select {
	case p.moved <- struct{}{}:
	default:
	}
	return out
}

func (p *phone) holds(n *core.Numbered) {
	if n.Seq == 0 {
		p.unsent[n.ID()] = true
		return
	}
	delete(p.unsent, n.ID())
	if n.Seq > p.head {
		p.ahead[n.Seq] = true
	}
	p.closes()
}

// closes moves the head over what is held without a gap.
func (p *phone) closes() {
	for p.ahead[p.head+1] {
		p.head++
		delete(p.ahead, p.head)
	}
}

// connects opens the line and keeps reading it.
func (p *phone) connects() error {
	conn, err := dialKitchen(p.address, &p.read)
	if err != nil {
		return err
	}
	p.mu.Lock()
	p.conn = conn
	p.mu.Unlock()
	p.step(core.Input{Op: core.OpOpened})
	go p.listen(conn)
	return nil
}

func (p *phone) listen(conn *websocket.Conn) {
	for {
		_, packed, err := conn.ReadMessage()
		if err != nil {
			return
		}
		frame, err := unpack(packed)
		if err != nil {
			return
		}
		p.step(core.Input{Op: core.OpFrame, Frame: frame})
		p.sees(frame)
	}
}

// sees notes how far a base brought the phone.
func (p *phone) sees(frame []byte) {
	if head := headOf(frame); head > 0 {
		p.mu.Lock()
		p.head = max(p.head, head)
		p.closes()
		p.mu.Unlock()
		select {
		case p.moved <- struct{}{}:
		default:
		}
	}
}

func (p *phone) hangsUp() {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.conn != nil {
		p.conn.Close()
		p.conn = nil
	}
}

// has waits until the phone holds every entry up to the head and has nothing unsent.
func (p *phone) has(head uint64, within time.Duration) error {
	after := time.After(within)
	for {
		p.mu.Lock()
		done, at, unsent, fault := p.head >= head && len(p.unsent) == 0, p.head, len(p.unsent), p.fault
		p.mu.Unlock()
		if done || fault != nil {
			return fault
		}
		select {
		case <-p.moved:
		case <-after:
			return fmt.Errorf("after %v a phone holds %d of %d entries, %d unsent", within, at, head, unsent)
		}
	}
}

// state returns the canonical bytes of all that the phone holds, folded.
func (p *phone) state() []byte {
	out := p.step(core.Input{Op: core.OpState})
	if out.Base == nil {
		return nil
	}
	return out.Base.State
}
