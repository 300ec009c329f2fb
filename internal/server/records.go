package server

import (
	"context"
	"encoding/hex"
	"errors"
	"fmt"
	"net/url"
	"path"
	"runtime/debug"
	"strings"
	"time"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/records"
	"brinebell/internal/core/stamp"
	"brinebell/internal/fail"
	paper "brinebell/internal/report"
	"brinebell/internal/sqlite"
	"brinebell/internal/web"
)

// archive makes files of a kitchen's records. It reads the journal beside whoever writes it.
type archive struct {
	store *sqlite.Store
	now   func() int64 // this machine's clock
}

// Make implements web.Records.
func (a archive) Make(_ context.Context, address string, q url.Values, device string) (web.File, error) {
	form := strings.TrimPrefix(path.Ext(address), ".")
	if strings.HasPrefix(address, "/api/state") {
		return a.instant(form, q, device)
	}
	if strings.HasPrefix(address, "/api/after") {
		return a.after(form, q, device)
	}
	switch address {
	case "/api/training":
		f, _, err := a.training(q, device)
		return f, err
	case "/api/steps.page":
		return a.steps(q)
	}
	f, _, err := a.file(orElse(form, "pdf"), q, device)
	return f, err
}

// forms are the kinds of files that records can be.
var forms = map[string]struct {
	kind  string
	write func(*paper.Book) ([]byte, error)
}{
	"pdf":  {pdfType, paper.PDF},
	"csv":  {csvType, paper.CSV},
	"json": {jsonType, paper.JSON},
	"page": {jsonType, paper.Sheet},
}

const (
	pdfType  = "application/pdf"
	csvType  = "text/csv; charset=utf-8; header=present"
	jsonType = "application/json; charset=utf-8"
)

// file makes a file, and tells whether the chain is whole.
func (a archive) file(form string, q url.Values, device string) (web.File, *paper.Chain, error) {
	b, err := a.book(q, device, form == "csv" || form == "json")
	if err != nil {
		return web.File{}, nil, err
	}
	out, err := forms[form].write(b)
	defer debug.FreeOSMemory() // a month takes much, and seldom
	name := b.From
	if b.To != b.From {
		name += "_" + b.To
	}
	return web.File{Name: "records-" + name + "." + form, Type: forms[form].kind, Bytes: out}, &b.Chain, err
}

// itemsAtOnce bounds for how many entries room is made before they are read: a year's.
const itemsAtOnce = 1 << 20

// book collects the records that a query asks for. They are those that the walk along the chain read, so that what it
// finds stands in the book and the print stands for the journal as it was then.
func (a archive) book(q url.Values, device string, all bool) (*paper.Book, error) {
	newest, err := a.store.Newest()
	if err != nil {
		return nil, err
	}
	now, err := stateOf(newest)
	if err != nil {
		return nil, err
	}
	ask, err := a.ask(q, device, now)
	if err != nil {
		return nil, err
	}
	// A logger's file may tell of a day before its entry's, never of one after it.
	base, after, err := a.before(ask.From, now)
	if err != nil {
		return nil, err
	}
	aside, err := a.store.Aside()
	if err != nil {
		return nil, err
	}
	ask.Aside, ask.All = len(aside), all && len(ask.Show) == 0
	var items []records.Item
	last, _ := a.store.Chain()
	walked, err := a.store.Walk(after, func(seq uint64, e *entry.Entry) {
		if items == nil {
			items = make([]records.Item, 0, min(max(last, seq)-seq, itemsAtOnce)+1)
		}
		items = append(items, records.Item{Entry: *e, Seq: seq})
	})
	if err != nil {
		return nil, err
	}
	b := paper.Collect(ask, base, items)
	b.Chain = paper.Chain{Entries: walked.Entries, Head: hex.EncodeToString(walked.Head[:]), Faults: walked.Faults}
	if walked.First != nil {
		b.Chain.Fault = walked.First.Error()
	}
	return b, nil
}

// before returns the state at the newest checkpoint before a day begins, and its place.
func (a archive) before(day int32, now *kitchen.State) (*kitchen.State, journal.Place, error) {
	base, place, err := a.store.Checkpoint(journal.Place{At: stamp.Stamp{At: now.DayStart(day)}})
	if err != nil {
		return nil, place, err
	}
	s := kitchen.New()
	if base != nil {
		last, state, err := journal.ReadBase(base)
		if err == nil {
			s, err = kitchen.Read(state)
		}
		if err != nil { // of a build that wrote states otherwise: the journal itself is read from its beginning
			return kitchen.New(), journal.Place{At: stamp.Stamp{At: -1 << 63}}, nil
		}
		place = last
	}
	return s, place, nil
}

// stateOf folds what a store holds.
func stateOf(stored journal.Stored) (*kitchen.State, error) {
	var log journal.Log
	if _, err := log.Load(&stored); err != nil {
		return nil, fail.E("server.stateOf", fail.Damaged, "A checkpoint of the journal cannot be read.", err)
	}
	return log.State(), nil
}

// daysMost bounds the days of one file: a quarter.
const daysMost = 93

// ask reads a query.
func (a archive) ask(q url.Values, device string, now *kitchen.State) (paper.Ask, error) {
	const op = "server.ask"
	at := max(stamp.Milli(a.now()), now.Last.At)
	today := now.WallDay(at)
	from, err := dayOf(q.Get("from"), today)
	if err != nil {
		return paper.Ask{}, err
	}
	to, err := dayOf(q.Get("to"), from)
	if err != nil {
		return paper.Ask{}, err
	}
	if q.Has("from") && !q.Has("to") && q.Get("to") == "" {
		to = from
	}
	switch {
	case to < from:
		return paper.Ask{}, fail.E(op, fail.Invalid, fmt.Sprintf("The last day, %s, is before the first, %s.", q.Get("to"), q.Get("from")), nil)
	case to-from >= daysMost:
		return paper.Ask{}, fail.E(op, fail.Invalid, fmt.Sprintf("These are %d days; at most %d stand in one file. Ask for them in parts.", to-from+1, daysMost), nil)
	}
	ask := paper.Ask{From: from, To: to, Lang: q.Get("lang"), By: q.Get("by"), Device: device, At: at, ByName: "brinebell export",
		Batch: q.Get("batch"), Lot: q.Get("lot"), Crew: q.Get("crew"), Limit: q.Get("limit"), Critical: q.Get("critical") != ""}
	if ask.By != "" && now.Member(ask.By) == nil {
		return ask, fail.E(op, fail.Invalid, "Nobody of the crew is called "+ask.By+" in this kitchen.", nil)
	}
	if id := ask.Batch; id != "" {
		if _, err := entry.ParseID(id); err != nil { // then it is the short code on the tape
			ask.Batch, ask.Code = "", id
		}
	}
	return ask, shows(&ask, q.Get("show"))
}

// shows reads which kinds of rows are asked for.
func shows(ask *paper.Ask, text string) error {
	known := append(append([]string(nil), paper.Kinds[:]...), paper.Deviations, paper.Lists)
	if text == "all" {
		ask.Show = known
		return nil
	}
	for name := range strings.SplitSeq(text, ",") {
		if name = strings.TrimSpace(name); name == "" {
			continue
		}
		found := ""
		for _, k := range known {
			if k == name || k+"s" == name { // readings, probes
				found = k
			}
		}
		if found == "" {
			return fail.E("server.shows", fail.Invalid, "There is no kind of record called "+name+". There are: all, "+strings.Join(known, ", ")+".", nil)
		}
		ask.Show = append(ask.Show, found)
	}
	return nil
}

// dayOf reads one of the kitchen's days.
func dayOf(text string, without int32) (int32, error) {
	if text == "" {
		return without, nil
	}
	t, err := time.Parse(time.DateOnly, text)
	if err != nil || t.Year() < 1970 || t.Year() > 9999 {
		return 0, fail.E("server.dayOf", fail.Invalid, fmt.Sprintf("%q is not a day. Write it as 2026-11-24.", text), err)
	}
	return int32(t.Unix() / 86400), nil
}

// Export makes a file of the records of a kitchen, running or stopped: form is pdf, csv or json; with "at" in the query it is
// the kitchen at that instant. The chain tells whether each entry is as it was kept; it is nil for an instant. With
// "training" in the query it is the training record of that crew member.
func Export(data, form string, q url.Values) (out []byte, chain *paper.Chain, err error) {
	const op = "server.Export"
	if _, ok := forms[form]; !ok || form == "page" {
		return nil, nil, fail.E(op, fail.Invalid, "The file's ending says what it is: .pdf, .csv or .json.", nil)
	}
	s, err := sqlite.Open(data, sqlite.Options{ReadOnly: true})
	if err != nil {
		return nil, nil, err
	}
	defer func() { err = errors.Join(err, s.Close()) }()
	a := archive{s, func() int64 { return time.Now().UnixMilli() }}
	var f web.File
	switch {
	case q.Has("training") && form != "pdf":
		return nil, nil, fail.E(op, fail.Invalid, "A training record is a PDF: let the file's name end with .pdf.", nil)
	case q.Has("training"):
		q.Set("crew", q.Get("training"))
		f, chain, err = a.training(q, "")
	case q.Has("at"):
		f, err = a.instant(form, q, "")
	case q.Has("days") && form != "csv":
		return nil, nil, fail.E(op, fail.Invalid, "What planned days cost is a table: let the file's name end with .csv.", nil)
	case q.Has("days"):
		f, err = a.after(form, q, "")
	default:
		f, chain, err = a.file(form, q, "")
	}
	return f.Bytes, chain, err
}
