// Package hubtest is a device's bare end of the line, for tests: it joins, says hello, pushes records and reads frames,
// and knows no rules.
package hubtest

import (
	"bytes"
	"compress/flate"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"strings"
	"time"

	"github.com/gorilla/websocket"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/protocol"
	"brinebell/internal/core/stamp"
)

// Ticket is what joining gave.
type Ticket struct {
	Device string
	Key    []byte
}

// Join joins the kitchen at base (http://127.0.0.1:8080, say).
func Join(base, code, name string) (Ticket, error) {
	body, err := json.Marshal(map[string]any{"code": code, "name": name})
	if err != nil {
		return Ticket{}, err
	}
	answer, err := http.Post(base+"/join", "application/json", bytes.NewReader(body))
	if err != nil {
		return Ticket{}, err
	}
	defer func() { _ = answer.Body.Close() }()
	var t struct{ Device, Key, Text string }
	if err := json.NewDecoder(answer.Body).Decode(&t); err != nil {
		return Ticket{}, err
	}
	if answer.StatusCode != http.StatusOK {
		return Ticket{}, fmt.Errorf("joining: %d: %s", answer.StatusCode, t.Text)
	}
	key, err := hex.DecodeString(t.Key)
	return Ticket{t.Device, key}, err
}

// Line is an open line.
type Line struct {
	*websocket.Conn
	Ticket Ticket
}

// Dial opens a line and says nothing yet.
func Dial(base string) (*Line, error) {
	conn, answer, err := websocket.DefaultDialer.Dial("ws"+strings.TrimPrefix(base, "http")+"/line", http.Header{"Origin": {base}})
	if err != nil {
		return nil, err
	}
	_ = answer.Body.Close()
	return &Line{Conn: conn}, nil
}

// Hello opens a line as a device that holds all entries up to have of a journal's generation ("" for none), and has
// unsent ones. It returns when the server has welcomed it.
func Hello(base string, t Ticket, generation string, have, unsent uint64) (*Line, *protocol.Welcome, error) {
	return HelloAs(base, t, &protocol.Hello{Generation: generation, Have: have, Unsent: unsent})
}

// HelloAs opens a line with a hello of which only who says it is filled in.
func HelloAs(base string, t Ticket, h *protocol.Hello) (*Line, *protocol.Welcome, error) {
	l, err := Dial(base)
	if err != nil {
		return nil, nil, err
	}
	l.Ticket = t
	h.Version, h.Device, h.Key, h.Bound = protocol.Version, t.Device, t.Key, -1
	err = l.Send(h)
	if err != nil {
		return l, nil, err
	}
	f, err := l.Next(5 * time.Second)
	if err != nil {
		return l, nil, err
	}
	w, ok := f.(*protocol.Welcome)
	if !ok {
		return l, nil, fmt.Errorf("not welcome: %#v", f)
	}
	return l, w, nil
}

// Send sends a frame.
func (l *Line) Send(f protocol.Frame) error {
	return l.WriteMessage(websocket.BinaryMessage, protocol.Make(f))
}

// Next reads the next frame.
func (l *Line) Next(in time.Duration) (protocol.Frame, error) {
	if err := l.SetReadDeadline(time.Now().Add(in)); err != nil {
		return nil, err
	}
	_, b, err := l.ReadMessage()
	if err != nil {
		return nil, err
	}
	if len(b) > 0 && protocol.Type(b[0]) == protocol.Packed {
		if b, err = io.ReadAll(flate.NewReader(bytes.NewReader(b[1:]))); err != nil {
			return nil, err
		}
	}
	return protocol.Read(b)
}

// ErrClosed says that the server closed the line.
var ErrClosed = errors.New("hubtest: closed")

// Until reads frames until one is of the wanted type, and returns it.
func Until[F protocol.Frame](l *Line, in time.Duration) (F, error) {
	var none F
	for end := time.Now().Add(in); ; {
		f, err := l.Next(time.Until(end))
		if err != nil {
			return none, err
		}
		if want, ok := f.(F); ok {
			return want, nil
		}
	}
}

// Kept waits until the line has shown entry n of its own records kept, and returns under which numbers they came.
func (l *Line) Kept(records [][]byte, in time.Duration) (map[entry.ID]uint64, error) {
	wanted := map[entry.ID]bool{}
	for _, r := range records {
		wanted[entry.ID(r[1:17])] = true
	}
	got := map[entry.ID]uint64{}
	for end := time.Now().Add(in); len(got) < len(wanted); {
		f, err := l.Next(time.Until(end))
		if err != nil {
			return got, err
		}
		numbers(f, func(seq uint64, id entry.ID) {
			if wanted[id] {
				got[id] = seq
			}
		})
	}
	return got, nil
}

// numbers calls do for every entry that a frame shows as kept.
func numbers(f protocol.Frame, do func(seq uint64, id entry.ID)) {
	switch f := f.(type) {
	case *protocol.Entries:
		for i, r := range f.Records {
			do(f.Prev+1+uint64(i), entry.ID(r[1:17]))
		}
	case *protocol.Base:
		for i := range f.Tail {
			do(f.Tail[i].Seq, f.Tail[i].ID())
		}
	case *protocol.Kept:
		for _, k := range f.List {
			do(k.Seq, k.ID)
		}
	}
}

// Shown returns which entries a frame shows as kept, and their numbers.
func Shown(f protocol.Frame) map[entry.ID]uint64 {
	got := map[entry.ID]uint64{}
	numbers(f, func(seq uint64, id entry.ID) { got[id] = seq })
	return got
}

// Note makes the record of a note by a device.
func Note(device string, at stamp.Milli, count uint32, text string, chance [10]byte) []byte {
	e := entry.New(entry.NewID(at, chance), stamp.Stamp{At: at, Count: count, Device: device}, "", &entry.Note{Text: text})
	return entry.AppendRecord(nil, &e)
}
