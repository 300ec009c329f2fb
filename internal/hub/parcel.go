package hub

import (
	"bytes"
	"compress/flate"
	"errors"
	"io"
	"sync"

	"github.com/gorilla/websocket"

	"brinebell/internal/core/protocol"
)

// parcel is a frame on its way to one or many lines. It is packed and framed once, by the first line that sends it.
type parcel struct {
	raw     []byte
	size    int // of raw
	closes  int // not 0: the line is closed with this code instead of sending anything
	once    sync.Once
	message *websocket.PreparedMessage
}

func newParcel(frame []byte) *parcel { return &parcel{raw: frame, size: len(frame)} }

// prepared returns the message to write.
func (p *parcel) prepared() *websocket.PreparedMessage {
	p.once.Do(func() {
		// A prepared message of bytes cannot fail.
		p.message, _ = websocket.NewPreparedMessage(websocket.BinaryMessage, pack(p.raw))
		p.raw = nil
	})
	return p.message
}

var packers = sync.Pool{New: func() any {
	w, _ := flate.NewWriter(io.Discard, flate.DefaultCompression) // fails only for a level that does not exist
	return w
}}

// pack packs a frame that is large enough to be worth it.
func pack(frame []byte) []byte {
	if len(frame) < protocol.PackFrom {
		return frame
	}
	w := packers.Get().(*flate.Writer)
	defer packers.Put(w)
	out := bytes.NewBuffer(make([]byte, 0, len(frame)/3))
	out.WriteByte(byte(protocol.Packed))
	w.Reset(out)
	_, err := w.Write(frame)
	if err = errors.Join(err, w.Close()); err != nil || out.Len() >= len(frame) {
		return frame
	}
	return out.Bytes()
}

var errTooBig = errors.New("hub: a packed frame grows beyond the largest that is read")

// unpack returns the frame within a packed one, and others as they are. It never grows beyond most bytes; only a base
// that a device offers may, up to protocol.OfferMax, where whole frames are read at all.
func unpack(frame []byte, most int) ([]byte, error) {
	if len(frame) == 0 || protocol.Type(frame[0]) != protocol.Packed {
		return frame, nil
	}
	r := flate.NewReader(bytes.NewReader(frame[1:]))
	out := make([]byte, 1, 4<<10)
	if _, err := io.ReadFull(r, out); err == io.EOF {
		return nil, nil // packed nothing
	} else if err != nil {
		return nil, err
	}
	if most >= protocol.UpMax && protocol.Type(out[0]) == protocol.TypeOffer {
		most = max(most, protocol.OfferMax)
	}
	rest, err := io.ReadAll(io.LimitReader(r, int64(most)))
	if out = append(out, rest...); err != nil {
		return nil, err
	}
	if len(out) > most {
		return nil, errTooBig
	}
	return out, nil
}
