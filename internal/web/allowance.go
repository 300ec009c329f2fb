package web

import (
	"fmt"
	"sync"
	"time"

	"brinebell/internal/fail"
)

// How many photos, and bytes of them, are taken from one device within photosIn. A phone that was shut out may still hand
// over what its entries speak of, and no more: that many in all, while the server runs.
const (
	photosMost     = 1000
	photosBytes    = 512 << 20
	photosOutMost  = 64
	photosOutBytes = 64 << 20
	photosIn       = 24 * time.Hour
)

// allowances count photos by device.
type allowances struct {
	mu   sync.Mutex
	used map[string]*allowance
}

type allowance struct {
	photos, bytes int
	since         time.Time
}

// take counts a photo of so many bytes, or says why it is not taken.
func (a *allowances) take(device string, out bool, bytes int, now time.Time) error {
	a.mu.Lock()
	defer a.mu.Unlock()
	if a.used == nil {
		a.used = map[string]*allowance{}
	}
	u := a.used[device]
	if u == nil || !out && now.Sub(u.since) >= photosIn {
		u = &allowance{since: now}
		a.used[device] = u
	}
	most, mostBytes, text := photosMost, photosBytes,
		"This device has sent the %d photos or %d MiB that are taken from one device in 24 hours. It keeps the others and sends them when there is room again; until then note steps without a photo."
	if out {
		most, mostBytes, text = photosOutMost, photosOutBytes,
			"This device was taken off the kitchen and has handed over the %d photos or %d MiB that are still taken from it. Show the lead what else it holds."
	}
	if u.photos+1 > most || u.bytes+bytes > mostBytes {
		return fail.E("web.putPhoto", fail.Busy, fmt.Sprintf(text, most, mostBytes>>20), nil)
	}
	u.photos, u.bytes = u.photos+1, u.bytes+bytes
	return nil
}

// giveBack takes back what was counted for a photo that was not kept after all.
func (a *allowances) giveBack(device string, bytes int) {
	a.mu.Lock()
	defer a.mu.Unlock()
	if u := a.used[device]; u != nil {
		u.photos, u.bytes = max(u.photos-1, 0), max(u.bytes-bytes, 0)
	}
}
