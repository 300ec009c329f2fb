package server

import (
	"net/url"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
	"brinebell/internal/core/records"
	"brinebell/internal/core/screen"
	"brinebell/internal/core/stamp"
	"brinebell/internal/web"
)

// stepDays is over how many days steps are looked at.
const stepDays = 30

// steps finds which steps made trouble in the last days, and how long people took to their signatures, as parts of a page.
func (a archive) steps(q url.Values) (web.File, error) {
	newest, err := a.store.Newest()
	if err != nil {
		return web.File{}, err
	}
	now, err := stateOf(newest)
	if err != nil {
		return web.File{}, err
	}
	at := max(stamp.Milli(a.now()), now.Last.At)
	today := now.WallDay(at)
	base, after, err := a.before(today-stepDays, now)
	if err != nil {
		return web.File{}, err
	}
	var items, learnt []records.Item
	_, err = a.store.Walk(journal.Place{At: stamp.Stamp{At: -1 << 63}}, func(seq uint64, e *entry.Entry) {
		i := records.Item{Entry: *e, Seq: seq}
		if records.Learns(e.Kind) {
			learnt = append(learnt, i)
		}
		if journal.PlaceOf(e).Compare(after) > 0 && worksAtSteps(e.Kind) {
			items = append(items, i)
		}
	})
	if err != nil {
		return web.File{}, err
	}
	book := records.FoldOf(base, items, today-stepDays, today, []records.Kind{records.Cook, records.Reading, records.Step})
	var signs []screen.SignTime
	for _, s := range records.SignTimes(learnt) {
		signs = append(signs, screen.SignTime{Crew: s.Crew, What: s.What, Document: s.Document, Competence: s.Competence, Took: s.At.Since(s.From), At: s.At})
	}
	ctx := screen.Context{State: now, Now: at, Crew: q.Get("by"), Lang: q.Get("lang"), Path: "/crew/steps", Saved: screen.Saved{Joined: true, Entries: true, InTouch: true}}
	return web.File{Name: "steps.page", Type: jsonType, Bytes: screen.StepsPage(&ctx, records.UsesOf(book, items), signs)}, nil
}

// worksAtSteps leaves out what sensors read and what was answered to questions: most of a journal, and nothing of steps.
func worksAtSteps(k entry.Kind) bool {
	return k != entry.SensorRead && k != entry.LoggerRead && k != entry.CookAssessed && k != entry.QuizAnswered
}
