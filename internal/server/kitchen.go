package server

import (
	"context"
	"fmt"

	"brinebell/internal/core"
	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
	"brinebell/internal/core/protocol"
	"brinebell/internal/fail"
	"brinebell/internal/pairing"
	"brinebell/internal/web"
)

// kitchenSite is what the web site sees of the server.
type kitchenSite struct{ *Server }

// About implements web.Kitchen.
func (k kitchenSite) About() web.About {
	name, _ := k.store.Named()
	return web.About{Kitchen: name, Generation: k.store.Generation(), Demo: k.cfg.Demo,
		Version: k.cfg.Version, Protocol: protocol.Version}
}

// Join implements web.Kitchen: the device is let in, and the journal tells of it.
func (k kitchenSite) Join(ctx context.Context, a pairing.Application) (pairing.Ticket, error) {
	if err := k.Ready(); err != nil {
		return pairing.Ticket{}, err
	}
	t, err := k.desk.Join(a, k.cfg.Clock.Wall())
	if err != nil {
		return t, err
	}
	err = k.write(ctx, &entry.Pairing{Device: t.Device.ID, Name: t.Device.Name, Wall: t.Device.Wall})
	if err != nil {
		return pairing.Ticket{}, err
	}
	k.cfg.Log.Info("device joined", "device", t.Device.ID, "name", t.Device.Name, "from", a.From, "free", a.Free)
	return t, nil
}

// Standing implements web.Kitchen.
func (k kitchenSite) Standing(device string, key []byte) (pairing.Standing, error) {
	return k.desk.Standing(device, key)
}

// Code implements web.Kitchen.
func (k kitchenSite) Code() (pairing.Code, error) { return k.desk.NewCode(k.cfg.Clock.Wall()) }

// paceMost is how many times as fast the demo's kitchen time can run.
const paceMost = 3600

// Pace implements web.Kitchen.
func (k kitchenSite) Pace(ctx context.Context, pace int) error {
	const op = "server.Pace"
	if !k.cfg.Demo {
		return fail.E(op, fail.Refused, "Only the demo kitchen's time can run faster.", nil)
	}
	if pace < 1 || pace > paceMost {
		return fail.E(op, fail.Invalid, fmt.Sprintf("The demo runs 1 to 3600 times as fast; %d is none of these.", pace), nil)
	}
	return k.hub.Do(ctx, func(in *core.Input) { in.Op, in.Pace = core.OpPace, int32(pace) })
}

// Ready implements web.Kitchen.
func (k kitchenSite) Ready() error {
	if a := k.hub.Ails(); a != nil {
		return fail.E("server.Ready", fail.Storage, a.Sentence, nil)
	}
	return nil
}

// write makes entries of the server's own and returns when they are committed.
func (s *Server) write(ctx context.Context, bodies ...entry.Body) error {
	return s.hub.Do(ctx, func(in *core.Input) { in.Op, in.Bodies = core.OpMake, bodies })
}

// kept hears of every entry that was committed, on the hub's loop: it must not wait for the hub.
func (s *Server) kept(list []journal.Numbered) {
	for _, n := range list {
		e, err := entry.ReadRecord(n.Record)
		if err != nil || e.Kind != entry.KitchenNamed {
			continue
		}
		// A body from a newer build is kept and passed on, not read.
		if body, err := e.Open(); err == nil {
			s.renamed(body.(*entry.NamedKitchen))
		}
	}
}

func (s *Server) renamed(b *entry.NamedKitchen) {
	if err := s.store.SetName(b.Name, b.Zone); err != nil {
		s.cfg.Log.Error("the kitchen's name could not be noted", "error", err)
	}
	select {
	case s.zones <- b.Zone:
	default: // the offsets' chore looks at the zone on record anyway
	}
}
