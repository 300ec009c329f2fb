package hub

import (
	"fmt"
	"slices"

	"brinebell/internal/core"
	"brinebell/internal/core/journal"
	"brinebell/internal/core/protocol"
)

// How much of one device is set aside at most.
const (
	asideMost  = core.AsideMost
	asideBytes = core.AsideBytes
)

// tally is how much of a device is set aside.
type tally struct{ n, bytes int }

func (t tally) full() bool { return t.n >= asideMost || t.bytes >= asideBytes }

// asideFull tells whether no more of a device may be set aside. What it is counted by may count a record twice that came
// twice, so the store is asked before a device is refused.
func (h *Hub) asideFull(device string) bool {
	t, known := h.aside[device]
	if known && !t.full() {
		return false
	}
	n, bytes, err := h.cfg.Keeper.AsideOf(device)
	if err != nil {
		h.cfg.Log.Error("what is set aside cannot be counted", "device", device, "error", err)
		return true // the device keeps what it has
	}
	t = tally{n, bytes}
	h.aside[device] = t
	return t.full()
}

// setAside counts what was set aside.
func (h *Hub) setAside(list []journal.Aside) {
	for i := range list {
		if t, known := h.aside[list[i].Device]; known {
			h.aside[list[i].Device] = tally{t.n + 1, t.bytes + len(list[i].Record)}
		}
	}
}

// fullAside is what a device is told of which so much is set aside.
func fullAside() string {
	return fmt.Sprintf("At most %d entries or %d MiB of one device are set aside, and this one has reached that. What it still holds stays on it. "+
		"A lead should look at the device; joined anew with a code, it is trusted again.", asideMost, asideBytes>>20)
}

// refuseAside has the line of a device closed of which too much is set aside, and the lead told of it.
func (h *Hub) refuseAside(l *line) ([]core.Input, bool) {
	h.shut(l, protocol.ByeFull, fullAside())
	told := slices.Contains(h.told, l.device)
	if !told {
		h.told = append(h.told, l.device)
		h.cfg.Log.Warn("a device is not listened to any more: too much of it is set aside", "device", l.device,
			"entries_most", asideMost, "bytes_most", asideBytes)
	}
	tell := h.input(core.OpFull)
	tell.Device = l.device
	return []core.Input{tell}, !told
}
