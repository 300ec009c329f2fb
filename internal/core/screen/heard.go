package screen

import (
	"slices"

	"brinebell/internal/core/kitchen"
)

// heardBy leaves of the bells those that are for this device: what somebody who learns asks rings on the trainer's phone,
// and on a lead's once the trainer's patience is over, or at once where no phone of the trainer's is in touch. A wall screen
// shows it; whoever asks knows it.
func heardBy(ctx *Context, bells []kitchen.Bell) []kitchen.Bell {
	kept := bells[:0]
	for _, b := range bells {
		if b.Ask.IsZero() || forDevice(ctx, &b) {
			kept = append(kept, b)
		}
	}
	return kept
}

func forDevice(ctx *Context, b *kitchen.Bell) bool {
	a := ctx.State.Ask(b.Ask)
	if a == nil || a.Device == ctx.Device || a.By == ctx.Crew && ctx.Crew != "" {
		return false
	}
	trainer := ""
	if g := ctx.State.Guide(a.Guide); g != nil {
		trainer = g.Trainer
	}
	d := ctx.State.Device(ctx.Device)
	switch {
	case ctx.Crew == trainer && trainer != "" || d != nil && d.Wall:
		return true
	case !ctx.State.IsLead(ctx.Crew):
		return false
	case !b.Escalated && ctx.State.Trains(trainer) && !away(ctx, trainer):
		b.At = b.At.Add(b.Patience)
		b.Ringing = b.At <= ctx.Now
	}
	return true
}

// away tells whether nobody in touch with the kitchen holds a phone as the crew member, as far as this device knows.
func away(ctx *Context, crew string) bool {
	return ctx.NearNow && !slices.ContainsFunc(ctx.Near, func(n Near) bool { return n.Crew == crew && n.Since == 0 })
}
