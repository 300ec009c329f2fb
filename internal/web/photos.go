package web

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"image"
	_ "image/jpeg" // headers of photos
	_ "image/png"  // headers of photos
	"io"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"time"

	"brinebell/internal/fail"
	"brinebell/internal/pairing"
)

// Limits of photos. A phone shrinks a photo before it sends it; these only stop what no phone of ours sends.
const (
	PhotoBytesMax  = 8 << 20
	PhotoSideMax   = 8192       // pixels
	PhotoPixelsMax = 24_000_000 // in all
)

// Photos keeps photos by the SHA-256 of their bytes, in a folder of their own.
type Photos struct {
	root  *os.Root
	write func(path string, b []byte) error // whole or not at all
	dir   string
}

// OpenPhotos opens the folder of photos, making it if there is none. write stores a file whole or not at all.
func OpenPhotos(dir string, write func(path string, b []byte) error) (*Photos, error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, err
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, err
	}
	return &Photos{root: root, write: write, dir: dir}, nil
}

// Close lets go of the folder.
func (p *Photos) Close() error { return p.root.Close() }

// nameOf is the name of a photo.
func nameOf(b []byte) string {
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:])
}

// Has tells whether a photo is kept already.
func (p *Photos) Has(b []byte) bool {
	_, err := p.root.Stat(nameOf(b))
	return err == nil
}

// Keep stores a photo and returns its name. Keeping it twice is not an error.
func (p *Photos) Keep(b []byte) (string, error) {
	const op = "web.Photos.Keep"
	if _, err := examine(b); err != nil {
		return "", err
	}
	name := nameOf(b)
	if p.Has(b) {
		return name, nil
	}
	if err := p.write(filepath.Join(p.dir, name), b); err != nil {
		return "", fail.E(op, fail.Storage, "The photo could not be kept on the kitchen's server: its disk is full or not writable. The step can be noted without a photo.", err)
	}
	return name, nil
}

var hashForm = regexp.MustCompile(`^[0-9a-f]{64}$`)

// Open returns a photo and its type.
func (p *Photos) Open(name string) (io.ReadSeekCloser, string, error) {
	const op = "web.Photos.Open"
	missing := fail.E(op, fail.Missing, "There is no such photo in this kitchen.", nil)
	if !hashForm.MatchString(name) {
		return nil, "", missing
	}
	f, err := p.root.Open(name)
	if err != nil {
		return nil, "", missing
	}
	head := make([]byte, 64)
	n, _ := io.ReadFull(f, head)
	kind := sniff(head[:n])
	if _, err := f.Seek(0, io.SeekStart); err != nil || kind == "" {
		return nil, "", errors.Join(missing, f.Close())
	}
	return f, kind, nil
}

// sniff knows the three kinds of photos by their first bytes.
func sniff(b []byte) string {
	switch {
	case bytes.HasPrefix(b, []byte("\x89PNG\r\n\x1a\n")):
		return "image/png"
	case bytes.HasPrefix(b, []byte("\xff\xd8\xff")):
		return "image/jpeg"
	case len(b) > 12 && string(b[:4]) == "RIFF" && string(b[8:12]) == "WEBP":
		return "image/webp"
	}
	return ""
}

// examine reads the size out of a photo's header, without decoding a pixel.
func examine(b []byte) (image.Config, error) {
	const op = "web.examine"
	if len(b) > PhotoBytesMax {
		return image.Config{}, tooBig(op)
	}
	var c image.Config
	err := errors.New("not one of the three kinds")
	switch sniff(b) {
	case "image/png", "image/jpeg":
		c, _, err = image.DecodeConfig(bytes.NewReader(b))
	case "image/webp":
		c, err = webpSize(b)
	}
	if err != nil || c.Width <= 0 || c.Height <= 0 {
		return c, fail.E(op, fail.Invalid, "This is not a photo that the kitchen takes: send PNG, JPEG or WebP.", err)
	}
	if c.Width > PhotoSideMax || c.Height > PhotoSideMax || c.Width*c.Height > PhotoPixelsMax {
		return c, fail.E(op, fail.TooBig, fmt.Sprintf(
			"This photo is %d by %d pixels; at most %d a side and %d million in all are taken. Send it smaller.",
			c.Width, c.Height, PhotoSideMax, PhotoPixelsMax/1_000_000), nil)
	}
	return c, nil
}

func tooBig(op string) error {
	return fail.E(op, fail.TooBig, fmt.Sprintf("This photo is larger than %d MiB. Send it smaller.", PhotoBytesMax>>20), nil)
}

// webpSize reads the size of a WebP picture (RFC 9649, section 2): lossy, lossless or extended.
func webpSize(b []byte) (image.Config, error) {
	if len(b) < 30 {
		return image.Config{}, io.ErrUnexpectedEOF
	}
	le := func(at, n int) int {
		v := 0
		for i := range n {
			v |= int(b[at+i]) << (8 * i)
		}
		return v
	}
	switch string(b[12:16]) {
	case "VP8 ":
		if b[23] != 0x9d || b[24] != 0x01 || b[25] != 0x2a {
			break
		}
		return image.Config{Width: le(26, 2) & 0x3fff, Height: le(28, 2) & 0x3fff}, nil
	case "VP8L":
		if b[20] != 0x2f {
			break
		}
		bits := le(21, 4)
		return image.Config{Width: bits&0x3fff + 1, Height: bits>>14&0x3fff + 1}, nil
	case "VP8X":
		return image.Config{Width: le(24, 3) + 1, Height: le(27, 3) + 1}, nil
	}
	return image.Config{}, errors.New("no picture in this WebP file")
}

func (s *Site) putPhoto(w http.ResponseWriter, r *http.Request) error {
	device, standing, err := s.standing(r)
	if err == nil && standing == pairing.Stranger {
		err = notOurs("web.putPhoto")
	}
	if err != nil {
		drain(r.Body)
		return err
	}
	b, err := io.ReadAll(http.MaxBytesReader(w, r.Body, PhotoBytesMax))
	if _, big := errors.AsType[*http.MaxBytesError](err); big {
		return tooBig("web.putPhoto")
	}
	if err != nil {
		return fail.E("web.putPhoto", fail.Invalid, "The photo did not arrive whole. Send it again.", err)
	}
	if s.cfg.Photos.Has(b) { // sent again because the answer was lost
		writeJSON(w, http.StatusOK, map[string]string{"hash": nameOf(b)})
		return nil
	}
	if err := s.photos.take(device, standing == pairing.Revoked, len(b), time.Now()); err != nil {
		return err
	}
	name, err := s.cfg.Photos.Keep(b)
	if err != nil {
		s.photos.giveBack(device, len(b))
		return err
	}
	s.meter.photos.Inc()
	writeJSON(w, http.StatusOK, map[string]string{"hash": name})
	return nil
}

func (s *Site) getPhoto(w http.ResponseWriter, r *http.Request) error {
	f, kind, err := s.cfg.Photos.Open(r.PathValue("hash"))
	if err != nil {
		return err
	}
	defer func() { _ = f.Close() }() // only read
	h := w.Header()
	h.Set("Content-Type", kind)
	h.Set("Cache-Control", "private, max-age=31536000, immutable")
	h.Set("Content-Security-Policy", "default-src 'none'; sandbox; frame-ancestors 'none'")
	http.ServeContent(w, r, "", time.Time{}, f)
	return nil
}
