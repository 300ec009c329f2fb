package main

import (
	"bytes"
	"compress/flate"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"sync"
	"sync/atomic"
	"time"

	"github.com/gorilla/websocket"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/protocol"
)

// seat is one connected client of either contender. It reads everything, keeps what it reads, and folds nothing.
type seat interface {
	// push hands entries to the server, all in one message where the contender allows it.
	push(entries []entry.Entry) error
	close()
}

// seen is told which entries a seat has just read and parsed.
type seen func(ids []entry.ID, at time.Time)

// ---- the floor's client

type floorSeat struct {
	conn *websocket.Conn
	mu   sync.Mutex
	kept []floorEntry
}

type floorEntry struct {
	ID    string          `json:"id"`
	At    int64           `json:"at"`
	Count uint32          `json:"count"`
	Dev   string          `json:"device"`
	Crew  string          `json:"crew"`
	Kind  string          `json:"kind"`
	Body  json.RawMessage `json:"body"`
}

func dialFloor(address string, have int, tell seen) (*floorSeat, error) {
	conn, _, err := dialer.Dial(fmt.Sprintf("ws://%s/line?have=%d", address, have), nil)
	if err != nil {
		return nil, err
	}
	s := &floorSeat{conn: conn}
	go s.read(tell)
	return s, nil
}

func (s *floorSeat) read(tell seen) {
	for {
		_, text, err := s.conn.ReadMessage()
		if err != nil {
			return
		}
		var events []floorEvent
		if json.Unmarshal(text, &events) != nil {
			return
		}
		ids := make([]entry.ID, 0, len(events))
		for _, ev := range events {
			var e floorEntry
			if json.Unmarshal(ev.Entry, &e) != nil {
				return
			}
			id, err := entry.ParseID(e.ID)
			if err != nil {
				return
			}
			s.kept = append(s.kept, e)
			ids = append(ids, id)
		}
		tell(ids, time.Now())
	}
}

func (s *floorSeat) push(entries []entry.Entry) error {
	events := make([]floorEvent, len(entries))
	for i := range entries {
		events[i] = floorEvent{ID: entries[i].ID.String(), Entry: entries[i].AppendJSON(nil)}
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.conn.WriteJSON(events)
}

func (s *floorSeat) close() { s.conn.Close() }

// ---- the kitchen's client

var dialer = websocket.Dialer{ReadBufferSize: 4096, WriteBufferSize: 4096, HandshakeTimeout: 30 * time.Second}

// pass is what a device got when it joined.
type pass struct {
	Device string
	Key    string // hexadecimal
}

// counted counts what arrives over a connection.
type counted struct {
	net.Conn
	read *atomic.Int64
}

func (c counted) Read(p []byte) (int, error) {
	n, err := c.Conn.Read(p)
	c.read.Add(int64(n))
	return n, err
}

// dialKitchen opens a line; read, when not nil, counts the bytes that arrive.
func dialKitchen(address string, read *atomic.Int64) (*websocket.Conn, error) {
	d := dialer
	if read != nil {
		d.NetDial = func(network, addr string) (net.Conn, error) {
			conn, err := net.Dial(network, addr)
			return counted{conn, read}, err
		}
	}
	conn, _, err := d.Dial("ws://"+address+"/line", http.Header{"Origin": {"http://" + address}})
	return conn, err
}

// unpack returns the frame within a packed one, or the frame as it is.
func unpack(frame []byte) ([]byte, error) {
	if len(frame) == 0 || protocol.Type(frame[0]) != protocol.Packed {
		return frame, nil
	}
	return io.ReadAll(io.LimitReader(flate.NewReader(bytes.NewReader(frame[1:])), protocol.DownMax))
}

type kitchenSeat struct {
	conn  *websocket.Conn
	mu    sync.Mutex
	kept  []entry.Entry
	live  chan struct{}
	once  sync.Once
	ended chan struct{}
}

// dialSeat says hello and returns when the server has handed over what it holds.
func dialSeat(address string, p pass, tell seen) (*kitchenSeat, error) {
	conn, err := dialKitchen(address, nil)
	if err != nil {
		return nil, err
	}
	key, err := hex.DecodeString(p.Key)
	if err != nil {
		return nil, err
	}
	s := &kitchenSeat{conn: conn, live: make(chan struct{}), ended: make(chan struct{})}
	hello := protocol.Hello{Version: protocol.Version, Device: p.Device, Key: key, Bound: -1}
	if err := s.send(&hello); err != nil {
		return nil, err
	}
	go s.read(tell)
	go s.beat()
	select {
	case <-s.live:
		return s, nil
	case <-s.ended:
		return nil, fmt.Errorf("the kitchen hung up on %s", p.Device)
	case <-time.After(60 * time.Second):
		return nil, fmt.Errorf("the kitchen said nothing to %s in a minute", p.Device)
	}
}

func (s *kitchenSeat) send(f protocol.Frame) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.conn.WriteMessage(websocket.BinaryMessage, protocol.Make(f))
}

func (s *kitchenSeat) beat() {
	tick := time.NewTicker(time.Duration(protocol.HeartbeatEvery) * time.Millisecond)
	defer tick.Stop()
	for {
		select {
		case <-s.ended:
			return
		case <-tick.C:
			if s.send(&protocol.ClockAsk{T1: time.Now().UnixMilli()}) != nil {
				return
			}
		}
	}
}

func (s *kitchenSeat) read(tell seen) {
	defer close(s.ended)
	for {
		_, packed, err := s.conn.ReadMessage()
		if err != nil {
			return
		}
		text, err := unpack(packed)
		if err != nil {
			return
		}
		frame, err := protocol.Read(text)
		if err != nil {
			return
		}
		switch f := frame.(type) {
		case *protocol.Base:
			s.once.Do(func() { close(s.live) })
		case *protocol.Entries:
			s.once.Do(func() { close(s.live) })
			ids := make([]entry.ID, 0, len(f.Records))
			for _, r := range f.Records {
				e, err := entry.ReadRecord(r)
				if err != nil {
					return
				}
				s.kept = append(s.kept, e)
				ids = append(ids, e.ID)
			}
			tell(ids, time.Now())
		}
	}
}

func (s *kitchenSeat) push(entries []entry.Entry) error {
	var push protocol.Push
	for i := range entries {
		push.Records = append(push.Records, entry.AppendRecord(nil, &entries[i]))
	}
	return s.send(&push)
}

func (s *kitchenSeat) close() { s.conn.Close() }
