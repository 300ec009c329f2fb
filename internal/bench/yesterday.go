package main

import (
	"crypto/sha256"
	"time"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
	"brinebell/internal/demo"
	"brinebell/internal/sqlite"
)

// yesterday makes a data folder that holds a kitchen's day of yesterday, closed by its lead, for the tests in the browser:
// what an inspector asks for is past, and no test can wait for a day.
func yesterday(data string) error {
	now := stamp.Milli(time.Now().UnixMilli()).Add(-stamp.Day)
	all, err := demo.Entries(now, sha256.Sum256([]byte("yesterday")))
	if err != nil {
		return err
	}
	s := kitchen.New()
	for i := range all {
		s.Apply(&all[i], kitchen.Amended{})
	}
	last := all[len(all)-1].At
	at := stamp.Stamp{At: last.At.Add(stamp.Hour), Device: last.Device}
	all = append(all, entry.New(entry.NewID(at.At, [10]byte{1}), at, "maren",
		&entry.DayClose{Day: s.WallDay(last.At), Entries: s.Folded, Seal: s.Seal, Note: "Boat of 12:05 served from the second fryer."}))
	for i := range journal.TailMost { // so much since that a phone which joins today is not sent yesterday's entries
		at := stamp.Stamp{At: at.At.Add(stamp.Minute).Add(stamp.Span(i) * stamp.Second), Device: last.Device}
		all = append(all, entry.New(entry.NewID(at.At, [10]byte{2, byte(i >> 8), byte(i)}), at, "maren", &entry.Note{Text: "Floor swept."}))
	}

	return keep(data, all)
}

// keep writes entries into a new data folder.
func keep(data string, all []entry.Entry) error {
	store, err := sqlite.Open(data, sqlite.Options{})
	if err != nil {
		return err
	}
	var records []journal.Numbered
	for i := range all {
		records = append(records, journal.Numbered{Seq: uint64(i + 1), Record: entry.AppendRecord(nil, &all[i])})
	}
	if err := store.Keep(&journal.Change{Keep: records}); err != nil {
		return err
	}
	return store.Close()
}
