package journal_test

import (
	"flag"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/journaltest"
)

var journals = flag.Int("journals", 1000, "random journals whose order is shuffled")

// plain folds a journal the slowest way that cannot go wrong: all amendments known, canonical order, from nothing.
func plain(list []entry.Entry) []byte {
	amends := map[entry.ID][]*entry.Entry{}
	for i := range list {
		if target := journal.TargetOf(&list[i]); !target.IsZero() {
			amends[target] = append(amends[target], &list[i])
		}
	}
	s := kitchen.New()
	for i := range list {
		s.Apply(&list[i], amended(amends, &list[i]))
	}
	return s.Append(nil)
}

func amended(amends map[entry.ID][]*entry.Entry, e *entry.Entry) (a kitchen.Amended) {
	for _, m := range amends[e.ID] {
		if entry.Compare(m, e) <= 0 || amended(amends, m).Withdrawn {
			continue
		}
		if m.Kind == entry.EntryWithdrawn {
			a.Withdrawn = true
		} else {
			a.By = m // the latest, since the list is in order
		}
	}
	return a
}

// records returns the journal's records, numbered in the order given.
func records(list []entry.Entry) []journal.Numbered {
	var out []journal.Numbered
	for i := range list {
		out = append(out, journal.Numbered{Seq: uint64(i + 1), Record: entry.AppendRecord(nil, &list[i])})
	}
	return out
}

// TestAnyOrderGivesTheSameState folds random journals in shuffled order, with repeats, in bundles of any size, with a
// base that moves on whenever the dice say so, and reloads from what a device would hold in between.
func TestAnyOrderGivesTheSameState(t *testing.T) {
	n := *journals
	seen := map[entry.Kind]int{}
	for seed := range uint64(n) {
		r := rand.New(rand.NewPCG(seed, 7))
		list := journaltest.Random(seed, 20+r.IntN(381))
		want := plain(list)
		all := records(list)
		for i := range list {
			seen[list[i].Kind]++
		}
		stream := slices.Clone(all)
		for range len(all) / 4 {
			stream = append(stream, all[r.IntN(len(all))])
		}
		if seed%2 == 0 {
			r.Shuffle(len(stream), func(i, j int) { stream[i], stream[j] = stream[j], stream[i] })
		} else {
			nearly(r, stream)
		}
		require.Equal(t, want, inBundles(t, r, all, stream), "seed %d", seed)
	}
	for _, k := range entry.Kinds() {
		require.Positive(t, seen[k], "no random journal has an entry of kind %s", k)
	}
}

// nearly moves some entries a little or a lot, as late phones do.
func nearly(r *rand.Rand, stream []journal.Numbered) {
	for range len(stream) / 10 {
		i := r.IntN(len(stream))
		j := min(i+1+r.IntN(40), len(stream)-1)
		n := stream[i]
		copy(stream[i:j], stream[i+1:j+1])
		stream[j] = n
	}
}

// inBundles adds the stream in bundles to a log, and returns the bytes of its state. all is what a keeper would have
// when history is needed.
func inBundles(t *testing.T, r *rand.Rand, all, stream []journal.Numbered) []byte {
	var l journal.Log
	for len(stream) > 0 {
		n := min(1+r.IntN(60), len(stream))
		for _, rec := range stream[:n] {
			a, err := l.Add(rec)
			require.NoError(t, err)
			if a.Verdict == journal.Late || !a.Need.IsZero() {
				held := l.Tail() // go back to the beginning, as a server does for what its store has
				var s journal.Stored
				s.Tail = append(s.Tail, upTo(all, l.Last())...)
				for _, item := range held {
					s.Tail = append(s.Tail, item.Numbered())
				}
				s.Tail = append(s.Tail, rec)
				rest, err := l.Load(&s)
				require.NoError(t, err)
				require.Empty(t, rest)
			}
		}
		stream = stream[n:]
		switch r.IntN(4) {
		case 0:
			l.State()
		case 1:
			if b := l.Advance(30, 100, 1<<62); b != nil {
				reload(t, &l, b)
			}
		}
	}
	return l.Bytes()
}

// upTo returns the records whose place is at most p: those that a base that ends there holds.
func upTo(all []journal.Numbered, p journal.Place) (out []journal.Numbered) {
	for _, n := range all {
		if e, _ := entry.ReadRecord(n.Record); journal.PlaceOf(&e).Compare(p) <= 0 {
			out = append(out, n)
		}
	}
	return out
}

// reload puts a log through what a restart does.
func reload(t *testing.T, l *journal.Log, b *journal.Base) {
	s := journal.Stored{Base: b.State}
	for _, item := range l.Tail() {
		s.Tail = append(s.Tail, item.Numbered())
	}
	var again journal.Log
	rest, err := again.Load(&s)
	require.NoError(t, err)
	require.Empty(t, rest)
	require.Equal(t, l.Bytes(), again.Bytes())
	*l = again
}
