package main

import (
	"fmt"
	"os"
	"time"

	"brinebell/internal/core"
	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
	"brinebell/internal/core/stamp"
	"brinebell/internal/journaltest"
	"brinebell/internal/sqlite"
)

// late measures what an entry costs that comes eight hours late into a long journal, against an entry made now: until the
// server's core has the state that follows from it, older history that it must fetch from the disk included. The commit
// itself costs both the same and is left out.

const (
	lateBy     = 8 * stamp.Hour
	lateRounds = 60
)

// shop is a server's core on a store.
type shop struct {
	core  *core.Core
	store *sqlite.Store
	now   stamp.Milli
	made  int
}

// openShop opens a shop with so many entries behind it, some 3,000 a day.
func openShop(data string, entries int) (*shop, error) {
	store, err := sqlite.Open(data, sqlite.Options{})
	if err != nil {
		return nil, err
	}
	list := journaltest.Shift(1, entries)
	group := make([]journal.Numbered, 0, 1000)
	for i := range list {
		group = append(group, journal.Numbered{Seq: uint64(i + 1), Record: entry.AppendRecord(nil, &list[i])})
		if len(group) == cap(group) || i == len(list)-1 {
			if err := store.Keep(&journal.Change{Keep: group}); err != nil {
				return nil, err
			}
			group = group[:0]
		}
	}
	s := &shop{store: store, now: list[len(list)-1].At.At}
	for range 2 { // the first start folds the whole past and leaves a checkpoint, the second begins from it
		s.core = core.NewServer(core.Config{Device: "kitchen", Generation: store.Generation()})
		stored, err := store.Newest()
		if err != nil {
			return nil, err
		}
		if err := s.step(core.Input{Op: core.OpStart, Stored: &stored}); err != nil {
			return nil, err
		}
		s.now = s.now.Add(stamp.Second)
		if err := s.step(core.Input{Op: core.OpTick}); err != nil {
			return nil, err
		}
	}
	s.core.State()
	return s, nil
}

// step hands an input to the core, fetches what it needs, and keeps what comes of it.
func (s *shop) step(in core.Input) error {
	out, err := s.reckon(in)
	if err != nil {
		return err
	}
	for _, o := range out {
		if c := o.Change(); c != nil {
			if err := s.store.Keep(c); err != nil {
				return err
			}
		}
	}
	return nil
}

func (s *shop) reckon(in core.Input) ([]core.Outcome, error) {
	in.Wall, in.Mono = int64(s.now), int64(s.now)
	out := []core.Outcome{s.core.Step(in)}
	if need := out[0].Need; need != nil {
		stored, err := need.Fetch(s.store)
		if err != nil {
			return nil, err
		}
		out = append(out, s.core.Step(core.Input{Wall: in.Wall, Mono: in.Mono, Op: core.OpHistory, Stored: stored}))
	}
	return out, nil
}

// takes takes in a note that was made some time ago, and returns how long that took until the state was right.
func (s *shop) takes(ago stamp.Span) (time.Duration, error) {
	s.made++
	s.now = s.now.Add(stamp.Second)
	at := s.now.Add(-ago)
	id := entry.NewID(at, [10]byte{8, byte(s.made), byte(s.made >> 8)})
	e := entry.New(id, stamp.Stamp{At: at, Device: "late"}, "bo", &entry.Note{Text: "late"})
	record := entry.AppendRecord(nil, &e)
	before := s.core.State().Folded
	began := time.Now()
	out, err := s.reckon(core.Input{Op: core.OpTake, Records: [][]byte{record}})
	if err != nil {
		return 0, err
	}
	after := s.core.State().Folded
	took := time.Since(began)
	if after != before+1 {
		return 0, fmt.Errorf("an entry %d ms late made the count of entries folded go from %d to %d", ago, before, after)
	}
	for _, o := range out {
		if c := o.Change(); c != nil {
			if err := s.store.Keep(c); err != nil {
				return 0, err
			}
		}
	}
	return took, nil
}

func lates() ([]figure, error) {
	return inFolder(func(data string) ([]figure, error) {
		s, err := openShop(data, longPast)
		if err != nil {
			return nil, err
		}
		var late, fresh []time.Duration
		for range lateRounds {
			l, err := s.takes(lateBy)
			if err != nil {
				return nil, err
			}
			f, err := s.takes(0)
			if err != nil {
				return nil, err
			}
			late, fresh = append(late, l), append(fresh, f)
		}
		fmt.Fprintf(os.Stderr, "  late: %.2f ms, the worst %.2f ms; made now: %.1f us\n", ms(median(late)), ms(percentile(late, 100)),
			1000*ms(median(fresh)))
		return []figure{
			most("entry 8 h late into 100,000 entries", ms(median(late)), "ms", 20),
			most("entry 8 h late into 100,000 entries", median(ratios(millis(late), millis(fresh))), "x one made now", 50),
		}, s.store.Close()
	})
}
