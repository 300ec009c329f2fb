package server

import (
	"encoding/json"
	"fmt"
	"net/url"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/screen"
	"brinebell/internal/core/stamp"
	"brinebell/internal/fail"
)

// SalesAsked says how a till's file is to be read: columns by their name or their number from 1, which of the kitchen's items each name
// in the file is. What is not said is guessed, as on a phone.
type SalesAsked struct {
	File                    string
	Columns                 map[string]string // day, time, item, pieces; "none" for no time
	Items                   map[string]string // a name in the file: a procedure's name, with *4 where one of it is 4 pieces, or "-" to leave it out
	Order, Decimal, Between string
	SkipBad, Dry            bool
	Lang                    string
}

// salesColumns are the columns by their names in the address of a phone's page.
var salesColumns = [...][2]string{{"day", "d"}, {"time", "t"}, {"item", "i"}, {"pieces", "q"}}

// ImportSales brings what a till says was sold into the kitchen of a folder, read as a phone's page reads it, and returns what that page
// says. Nothing comes in unless all of the file is right.
func ImportSales(data string, a *SalesAsked, file []byte) (said []string, err error) {
	const op = "server.ImportSales"
	state, err := readState(data)
	if err != nil {
		return nil, err
	}
	q, log := url.Values{}, screen.NewLog(filepath.Base(a.File), "/plan/import")
	for name, value := range map[string]string{"o": a.Order, "m": a.Decimal, "s": a.Between} {
		if value != "" {
			q.Set(name, value)
		}
	}
	if a.SkipBad {
		q.Set("skip", "1")
	}
	log.Add(file, true)
	ctx := screen.Context{State: state, Now: max(stamp.Milli(time.Now().UnixMilli()), state.Last.At), Lang: a.Lang, Log: log, Path: "/plan/import?" + q.Encode(),
		Saved: screen.Saved{Joined: true, Entries: true, InTouch: true}}
	if err := salesMap(&ctx, a, q); err != nil {
		return nil, err
	}
	ctx.Path = "/plan/import?" + q.Encode()
	list := screen.Sales(&ctx)
	said = pageText(screen.View(&ctx))
	if len(list) == 0 {
		return nil, fail.E(op, fail.Invalid, "Nothing was brought in.\n"+strings.Join(said, "\n"), nil)
	}
	o := own{}
	for i := range list {
		if !state.HasSales(&list[i]) {
			o.Sales = append(o.Sales, list[i])
		}
	}
	switch {
	case len(o.Sales) == 0:
		return said, nil // the page says that it was brought in before
	case a.Dry:
		return append(said, a.in("Would come in: ", "Se añadirían: ")+strconv.Itoa(len(o.Sales))), nil
	}
	return append(said, a.in("Came in: ", "Añadidas: ")+strconv.Itoa(len(o.Sales))), writeOwn(data, &o)
}

// in is what stands before a number of days, item by item.
func (a *SalesAsked) in(en, es string) string {
	if a.Lang == "es" {
		return es
	}
	return en
}

// salesMap puts what was said of columns and names into the page's address.
func salesMap(ctx *screen.Context, a *SalesAsked, q url.Values) error {
	const op = "server.ImportSales"
	columns, names := screen.SalesNames(ctx)
	find := func(list []string, what string) int {
		for i, name := range list {
			if strings.EqualFold(strings.TrimSpace(name), strings.TrimSpace(what)) {
				return i
			}
		}
		return -1
	}
	for name, column := range a.Columns {
		at := -1
		for i, c := range salesColumns {
			if c[0] == name {
				at = i
			}
		}
		n := find(columns, column)
		if k, err := strconv.Atoi(column); err == nil && n < 0 && k >= 1 && k <= len(columns) {
			n = k - 1
		}
		switch {
		case at < 0:
			return fail.E(op, fail.Invalid, fmt.Sprintf("There are columns for day, time, item and pieces; %q is none of these.", name), nil)
		case name == "time" && column == "none":
			q.Set("t", "-")
		case n < 0:
			return fail.E(op, fail.Invalid, fmt.Sprintf("The file has no column %q. It has: %s.", column, strings.Join(columns, ", ")), nil)
		default:
			q.Set(salesColumns[at][1], strconv.Itoa(n))
		}
	}
	ctx.Path = "/plan/import?" + q.Encode()
	if len(a.Items) > 0 {
		_, names = screen.SalesNames(ctx) // by the columns that were said
	}
	for name, item := range a.Items {
		n := find(names, name)
		of, each, times := strings.Cut(item, "*")
		pieces, err := strconv.Atoi(each)
		switch {
		case n < 0:
			return fail.E(op, fail.Invalid, fmt.Sprintf("Nothing in the file is called %q. There is: %s.", name, strings.Join(names, ", ")), nil)
		case of != "-" && ctx.State.Procedure(of, 0) == nil:
			return fail.E(op, fail.Invalid, fmt.Sprintf("No item of this kitchen is called %q. There is: %s.", of, strings.Join(itemNames(ctx.State), ", ")), nil)
		case times && (err != nil || pieces < 1):
			return fail.E(op, fail.Invalid, fmt.Sprintf("%q is no number of pieces in one %s.", each, name), nil)
		}
		q.Set("n"+strconv.Itoa(n), of)
		if times {
			q.Set("x"+strconv.Itoa(n), each)
		}
	}
	return nil
}

func itemNames(s *kitchen.State) (list []string) {
	for _, p := range s.Procedures() {
		list = append(list, p.Name)
	}
	return list
}

// pageText is what a page says, in lines: no buttons, and nothing of what was brought in before.
func pageText(page []byte) (lines []string) {
	type text struct{ T string }
	var v struct {
		Parts []struct {
			P, Title, Text string
			Line           []text
			Lines          []json.RawMessage
			Rows           []struct {
				Label, Detail, K string
				V                []text
			}
		}
	}
	if json.Unmarshal(page, &v) != nil {
		return nil
	}
	joined := func(list []text) (s string) {
		for _, t := range list {
			s += t.T
		}
		return s
	}
	add := func(s string) {
		if s = strings.ReplaceAll(strings.TrimSpace(s), "\u00a0", " "); s != "" {
			lines = append(lines, s)
		}
	}
	for _, part := range v.Parts {
		if part.P == "logfile" || part.P == "history" || part.P == "buttons" {
			continue
		}
		add(part.Title)
		add(joined(part.Line))
		for _, raw := range part.Lines {
			var s string
			var list []text
			if json.Unmarshal(raw, &s) == nil || json.Unmarshal(raw, &list) == nil {
				add(s + joined(list))
			}
		}
		for _, r := range part.Rows {
			add("  " + r.Label + r.K + ": " + r.Detail + joined(r.V))
		}
	}
	return lines
}
