package hub

import (
	"brinebell/internal/core"
	"brinebell/internal/core/protocol"
	"brinebell/internal/fail"
)

// Ailment is what keeps the hub from keeping entries.
type Ailment struct {
	Since    int64 // wall time
	Sentence string
	Down     bool // not even reading works
}

// helloNow is the hello of a line. While the hub is read-only it announces no entries, so that the device gets what it
// lacks at once; what it pushes waits until it comes back.
func (h *Hub) helloNow(j *job) core.Input {
	in := j.in
	if h.ails.Load() == nil {
		return in
	}
	if hello, err := protocol.ReadHello(in.Frame); err == nil && hello.Unsent > 0 {
		hello.Unsent = 0
		h.owes[j.line.peer] = true
		in.Frame = protocol.Make(hello)
	}
	return in
}

func (h *Hub) refuse(j *job) {
	if j.done != nil {
		j.done <- h.ailing()
	}
	if j.line != nil && !j.shuts {
		j.line.close(protocol.ByeFull, "")
	}
}

func (h *Hub) ailing() error {
	if a := h.ails.Load(); a != nil {
		return fail.E("hub.Do", fail.Storage, a.Sentence, nil)
	}
	return stopped()
}

// broken forgets what could not be committed and goes on from what is on disk.
func (h *Hub) broken(err error) {
	sentence := fail.Sentence(err)
	h.cfg.Log.Error("entries could not be kept; going on read-only", "error", err)
	now := h.cfg.Clock.Wall()
	h.ails.Store(&Ailment{Since: now, Sentence: sentence})
	h.probe = now + probeEvery.Milliseconds()
	h.cutAll(protocol.ByeFull, sentence)
	h.core, h.wake = nil, 0
	err = h.cfg.Keeper.Refresh()
	if err == nil {
		err = h.load()
	}
	if err != nil {
		h.core = nil
		h.cfg.Log.Error("the journal cannot be read; no device is let in until it can", "error", err)
		h.ails.Store(&Ailment{Since: now, Sentence: fail.Sentence(err), Down: true})
	}
}

// tryAgain looks whether the disk takes entries again.
func (h *Hub) tryAgain() {
	h.probe = h.cfg.Clock.Wall() + probeEvery.Milliseconds()
	err := h.cfg.Keeper.Probe()
	if err == nil {
		err = h.cfg.Keeper.Refresh()
	}
	if err != nil {
		return
	}
	was := h.ails.Swap(nil)
	if h.core == nil {
		if err := h.load(); err != nil {
			h.core = nil
			h.ails.Store(&Ailment{Since: was.Since, Sentence: fail.Sentence(err), Down: true})
			return
		}
	}
	h.cfg.Log.Info("entries can be kept again", "after_ms", h.cfg.Clock.Wall()-was.Since)
	h.wake = h.cfg.Clock.Wall() // checkpoints were put off
	for peer := range h.owes {
		if l := h.peers[peer]; l != nil {
			h.shut(l, protocol.ByeRestart, "")
		}
	}
	clear(h.owes)
}

// shut cuts a line and tells the core.
func (h *Hub) shut(l *line, reason, text string) {
	h.forget(l)
	l.close(reason, text)
	if h.core != nil {
		in := h.input(core.OpShut)
		in.Peer, in.Device, in.Mute = l.peer, l.device, h.ails.Load() != nil
		out := h.core.Step(in)
		if err := h.keep(&out); err == nil {
			h.act(&out)
		}
	}
}

func (h *Hub) cutAll(reason, text string) {
	for _, l := range h.peers {
		h.forget(l)
		l.close(reason, text)
	}
}
