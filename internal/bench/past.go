package main

import (
	"time"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
	"brinebell/internal/core/stamp"
	"brinebell/internal/journaltest"
	"brinebell/internal/sqlite"
)

// pasts measures what "the kitchen at 11:05 last Tuesday" costs: reading the checkpoint before it and folding up to the
// instant, a week back in a month and in a journal twice as long.

const (
	pastBack   = 7 * stamp.Day
	pastRounds = 15
)

// keepAll keeps entries in groups, with a checkpoint whenever a server would leave one.
func keepAll(data string, list []entry.Entry) (*sqlite.Store, error) {
	store, err := sqlite.Open(data, sqlite.Options{})
	if err != nil {
		return nil, err
	}
	var log journal.Log
	for i := 0; i < len(list); i += 500 {
		c := &journal.Change{}
		for k := i; k < min(i+500, len(list)); k++ {
			n := journal.Numbered{Seq: uint64(k + 1), Record: entry.AppendRecord(nil, &list[k])}
			if _, err := log.Add(n); err != nil {
				return nil, err
			}
			c.Keep = append(c.Keep, n)
		}
		c.Base = log.Advance(journal.KitchenLeast, journal.KitchenMost, list[len(list)-1].At.At)
		if err := store.Keep(c); err != nil {
			return nil, err
		}
	}
	return store, nil
}

// weekAgo returns the median time in which the kitchen of a week ago is there.
func weekAgo(entries int) (float64, error) {
	return inFolder(func(data string) (float64, error) {
		list := journaltest.Shift(1, entries)
		store, err := keepAll(data, list)
		if err != nil {
			return 0, err
		}
		var took []float64
		for i := range pastRounds {
			at := list[len(list)-1].At.At.Add(-pastBack - stamp.Span(i)*stamp.Hour)
			began := time.Now()
			stored, err := store.Past(at)
			if err != nil {
				return 0, err
			}
			var log journal.Log
			if _, err := log.Load(&stored); err != nil {
				return 0, err
			}
			log.State()
			took = append(took, ms(time.Since(began)))
		}
		return median(took), store.Close()
	})
}

func pasts() ([]figure, error) {
	short, err := weekAgo(monthPast)
	if err != nil {
		return nil, err
	}
	long, err := weekAgo(2 * monthPast)
	if err != nil {
		return nil, err
	}
	return []figure{
		most("the kitchen a week ago, of a month", short, "ms", 50),
		most("the same of two months", long, "ms", 50),
		scale("the same of two months", long/short, "x of a month"),
	}, nil
}
