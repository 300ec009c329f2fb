package server

import (
	"encoding/hex"
	"net/url"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/records"
	"brinebell/internal/core/screen"
	"brinebell/internal/core/stamp"
	"brinebell/internal/fail"
	paper "brinebell/internal/report"
	"brinebell/internal/web"
)

// training makes the training record of a crew member out of the whole journal.
func (a archive) training(q url.Values, device string) (web.File, *paper.Chain, error) {
	newest, err := a.store.Newest()
	if err != nil {
		return web.File{}, nil, err
	}
	now, err := stateOf(newest)
	if err != nil {
		return web.File{}, nil, err
	}
	crew := q.Get("crew")
	if err := mayCarry(now, q, device); err != nil {
		return web.File{}, nil, err
	}
	var items []records.Item
	walked, err := a.store.Walk(journal.Place{At: stamp.Stamp{At: -1 << 63}}, func(seq uint64, e *entry.Entry) {
		if ofTraining(e, crew) {
			items = append(items, records.Item{Entry: *e, Seq: seq})
		}
	})
	if err != nil {
		return web.File{}, nil, err
	}
	at := max(stamp.Milli(a.now()), now.Last.At)
	ctx := screen.Context{State: now, Now: at, Lang: q.Get("lang"), Saved: screen.Saved{Joined: true, Entries: true}}
	var standing []paper.Standing
	for _, s := range screen.StandingOf(&ctx, crew) {
		standing = append(standing, paper.Standing(s))
	}
	ask := paper.Ask{Lang: q.Get("lang"), By: q.Get("by"), ByName: "brinebell export", Device: device, At: at}
	t := paper.CollectTraining(ask, records.TrainingOf(crew, kitchen.New(), items), standing)
	if device != "" && !now.SeesAge(q.Get("by"), crew) {
		t.Born = ""
	}
	t.Chain = paper.Chain{Entries: walked.Entries, Head: hex.EncodeToString(walked.Head[:]), Faults: walked.Faults}
	if walked.First != nil {
		t.Chain.Fault = walked.First.Error()
	}
	out, err := t.PDF()
	return web.File{Name: "training-" + crew + ".pdf", Type: pdfType, Bytes: out}, &t.Chain, err
}

// May implements web.Records: only a training record is not for whoever holds a device of the kitchen.
func (a archive) May(address string, q url.Values, device string) error {
	if address != "/api/training" {
		return nil
	}
	newest, err := a.store.Newest()
	if err != nil {
		return err
	}
	now, err := stateOf(newest)
	if err != nil {
		return err
	}
	return mayCarry(now, q, device)
}

// mayCarry tells why somebody may not carry a training record away: who asks on a device is who holds it, as its screens are
// told, and the rule is theirs. The command line on the server's own machine, which has the whole journal, may.
func mayCarry(now *kitchen.State, q url.Values, device string) error {
	const op = "server.mayCarry"
	crew, by := q.Get("crew"), q.Get("by")
	of, who := now.Member(crew), now.Member(by)
	switch {
	case of == nil:
		return fail.E(op, fail.Invalid, "Nobody of the crew is called "+orElse(crew, "\"\"")+" in this kitchen.", nil)
	case by != "" && who == nil:
		return fail.E(op, fail.Invalid, "Nobody of the crew is called "+by+" in this kitchen.", nil)
	case device == "" || now.SeesRecord(by, crew):
		return nil
	case by == "":
		return fail.E(op, fail.Refused, "A training record needs to know who asks. Say first who holds this device: "+of.Name+", a trainer or a lead.", nil)
	}
	return fail.E(op, fail.Refused, "The training record of "+of.Name+" is not for "+who.Name+". "+of.Name+", a trainer or a lead can fetch it: hand the phone to one of them.", nil)
}

// ofTraining tells whether an entry can matter to a member's training record: what sensors read, and what others answered to
// questions, is most of a journal and cannot.
func ofTraining(e *entry.Entry, crew string) bool {
	return worksAtSteps(e.Kind) || e.Kind == entry.QuizAnswered && e.Crew == crew
}
