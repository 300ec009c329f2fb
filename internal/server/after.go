package server

import (
	"errors"
	"net/url"
	"time"

	"brinebell/internal/core/afterwards"
	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/records"
	"brinebell/internal/core/screen"
	"brinebell/internal/core/stamp"
	"brinebell/internal/fail"
	paper "brinebell/internal/report"
	"brinebell/internal/web"
)

// How long the planner thinks about what hindsight would have made of a day, in moves: as long as a phone does. That takes seconds a
// day: a file of more days than these, for a device or for the command line, is written without.
const (
	hindsightMoves = 150_000
	deviceDays     = 7
	commandDays    = 31
)

// weekBefore is how many days are drawn beside one.
const weekBefore = 6

// after looks back on planned days, as parts of a page or as a table.
func (a archive) after(form string, q url.Values, device string) (web.File, error) {
	newest, err := a.store.Newest()
	if err != nil {
		return web.File{}, err
	}
	now, err := stateOf(newest)
	if err != nil {
		return web.File{}, err
	}
	if q.Has("day") {
		q.Set("from", q.Get("day"))
		q.Set("to", q.Get("day"))
	}
	q.Del("show")
	ask, err := a.ask(q, device, now)
	if err != nil {
		return web.File{}, err
	}
	from := ask.From
	if q.Has("day") {
		from -= weekBefore
	}
	days, err := a.lookBack(now, ask.At, from, ask.To)
	if err != nil {
		return web.File{}, err
	}
	ctx := screen.Context{State: now, Now: ask.At, Crew: q.Get("by"), Lang: q.Get("lang"), Path: "/plan/after",
		Saved: screen.Saved{Joined: true, Entries: true, InTouch: true}}
	switch {
	case form == "csv":
		most := deviceDays
		if device == "" {
			most = commandDays
		}
		for _, x := range days {
			if len(days) <= most {
				think(x)
			}
		}
		out, err := paper.AfterCSV(days, now, ask.Lang)
		name := "days-" + isoDay(ask.From)
		if ask.To != ask.From {
			name += "_" + isoDay(ask.To)
		}
		return web.File{Name: name + ".csv", Type: csvType, Bytes: out}, err
	case q.Has("day"):
		x := days[len(days)-1]
		if q.Get("part") == "" {
			think(x)
		}
		return web.File{Name: "after.page", Type: jsonType, Bytes: screen.AfterPage(&ctx, x, days[:len(days)-1], q.Get("part") == "")}, nil
	}
	return web.File{Name: "after.page", Type: jsonType, Bytes: screen.AfterDays(&ctx, days)}, nil
}

func isoDay(day int32) string { return time.Unix(int64(day)*86400, 0).UTC().Format(time.DateOnly) }

func think(x *afterwards.Seen) {
	if x == nil || !x.Over {
		return
	}
	t := x.Thinker()
	t.Think(hindsightMoves)
	x.Know(t.Best())
}

// settled is how long after a day's end it is looked at: until then what was left over has been thrown away and written down. What
// stood there in its morning is known for a day more.
const settled = 12 * stamp.Hour

// lookBack looks back on each of some days; nil where there is nothing to look at.
func (a archive) lookBack(now *kitchen.State, at stamp.Milli, from, to int32) ([]*afterwards.Seen, error) {
	base, after, err := a.before(from-kitchen.DoneDays, now)
	if err != nil {
		return nil, err
	}
	var items []records.Item
	walked, err := a.store.Walk(after, func(seq uint64, e *entry.Entry) {
		if worksAtSteps(e.Kind) {
			items = append(items, records.Item{Entry: *e, Seq: seq})
		}
	})
	if err != nil {
		return nil, err
	}
	if walked.First != nil {
		return nil, fail.E("server.lookBack", fail.Damaged, "An entry of the journal is not as it was kept. Verify it before you rely on anything.",
			errors.New(walked.First.Error()))
	}
	var instants []stamp.Milli
	for day := from; day <= to; day++ {
		instants = append(instants, min(at, now.DayStart(day+1).Add(settled)))
	}
	days := make([]*afterwards.Seen, len(instants))
	records.Through(base, items, instants, func(n int, s *kitchen.State) { days[n] = afterwards.Of(s, from+int32(n), instants[n]) })
	return days, nil
}
