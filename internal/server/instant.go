package server

import (
	"fmt"
	"net/url"
	"strconv"
	"time"

	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/screen"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
	"brinebell/internal/fail"
	paper "brinebell/internal/report"
	"brinebell/internal/web"
)

// instant makes a file of the kitchen at an instant, by folding the entries up to it. What was corrected, taken back or
// brought in later is as it was known by its own stamp. The instant is "at", in RFC 3339, or "day" and "time" as the
// kitchen's clocks showed them; form is pdf, csv, page, or the whole state as JSON.
func (a archive) instant(form string, q url.Values, device string) (web.File, error) {
	newest, err := a.store.Newest()
	if err != nil {
		return web.File{}, err
	}
	now, err := stateOf(newest)
	if err != nil {
		return web.File{}, err
	}
	ctx := screen.Context{State: now, Now: max(stamp.Milli(a.now()), now.Last.At), Lang: q.Get("lang"), Path: "/records/at?" + q.Encode(),
		Saved: screen.Saved{Joined: true, Entries: true, InTouch: true}}
	at, err := instantOf(&ctx, q)
	if err != nil {
		return web.File{}, err
	}
	past, err := a.past(at)
	if err != nil {
		return web.File{}, err
	}
	when := time.UnixMilli(int64(at)).UTC().Format("20060102T150405Z")
	f := web.File{Name: "kitchen-" + when + "." + form, Type: jsonType}
	switch form {
	case "page":
		f.Bytes = screen.InstantPage(&ctx, past, at)
	case "pdf":
		f.Type = pdfType
		f.Bytes, err = a.print(&ctx, past, at, q, device).PDF()
	case "csv":
		f.Type = csvType
		f.Bytes, err = a.print(&ctx, past, at, q, device).CSV()
	default:
		shown := past.Clone()
		if shown.Pins = nil; device != "" {
			shown = now.Seen(past, q.Get("by"))
		}
		f.Name, f.Bytes = "kitchen-"+when+".json", append(wire.AppendJSON(nil, shown), '\n')
	}
	return f, err
}

// instantOf reads the instant of a query.
func instantOf(ctx *screen.Context, q url.Values) (stamp.Milli, error) {
	const op = "server.instantOf"
	if q.Has("day") || q.Has("time") {
		at, wrong := screen.Instant(ctx)
		if wrong != "" {
			return 0, fail.E(op, fail.Invalid, wrong, nil)
		}
		return at, nil
	}
	t, err := time.Parse(time.RFC3339, q.Get("at"))
	if err != nil {
		return 0, fail.E(op, fail.Invalid,
			fmt.Sprintf("%q is not an instant. Write it as 2026-11-24T11:05:00-05:00, in an address with %%2B for a plus.", q.Get("at")), err)
	}
	return stamp.Milli(t.UnixMilli()), nil
}

func (a archive) print(ctx *screen.Context, past *kitchen.State, at stamp.Milli, q url.Values, device string) *paper.Instant {
	s := ctx.State
	wall := func(at stamp.Milli) time.Time {
		return time.UnixMilli(int64(at)).In(time.FixedZone("", int(s.OffsetAt(at).Minutes)*60))
	}
	by := "brinebell export"
	if m := s.Member(q.Get("by")); m != nil {
		by = m.Name
	}
	if d := s.Device(device); d != nil {
		by += ", " + orElse(d.Name, device)
	}
	i := &paper.Instant{Kitchen: s.Name, Country: s.Country, Lang: q.Get("lang"), Demo: s.Demo, At: wall(at), Printed: wall(ctx.Now), By: by,
		Entries: strconv.FormatUint(past.Folded, 10)}
	for _, x := range screen.InstantSections(ctx, past, at) {
		i.Sections = append(i.Sections, paper.Section(x))
	}
	return i
}

// past returns the kitchen at an instant.
func (a archive) past(at stamp.Milli) (*kitchen.State, error) {
	stored, err := a.store.Past(at)
	if err != nil {
		return nil, err
	}
	return stateOf(stored)
}

func orElse(s, other string) string {
	if s == "" {
		return other
	}
	return s
}
