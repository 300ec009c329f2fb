package hub

import (
	"context"

	"brinebell/internal/core"
)

// Ask has look read the kitchen as it is now. It runs on the loop: it must neither wait nor keep what it was shown.
func (h *Hub) Ask(ctx context.Context, look func(*core.Core)) error {
	return h.hand(ctx, job{look: look, done: make(chan error, 1)})
}

// hand gives the loop a job and returns when it is done.
func (h *Hub) hand(ctx context.Context, j job) error {
	select {
	case h.in <- j:
	case <-h.done:
		return stopped()
	case <-ctx.Done():
		return ctx.Err()
	}
	select {
	case err := <-j.done:
		return err
	case <-h.done:
		return stopped()
	case <-ctx.Done():
		return ctx.Err()
	}
}

// show lets a job look, at a core that knows what time it is.
func (h *Hub) show(j *job) {
	err := h.follow([]core.Input{h.input(core.OpTick)})
	if err != nil {
		h.broken(err)
	}
	if h.core == nil {
		h.refuse(j)
		return
	}
	j.look(h.core)
	j.done <- nil
}
