// Package journaltest is the examination that every keeper of a journal sits, and a maker of random journals.
package journaltest

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
	"brinebell/internal/core/stamp"
)

// Opener opens a keeper on the same storage each time it is called within one test: as after a restart. The first one
// is empty. It closes what it opened before.
type Opener func() journal.Keeper

// Keeper examines a keeper. fresh returns the opener of a storage of its own.
func Keeper(t *testing.T, fresh func(t *testing.T) Opener) {
	for name, exam := range map[string]func(*testing.T, Opener){
		"an empty journal":                            empty,
		"entries come back as they were kept":         comeBack,
		"entries come by number":                      byNumber,
		"a number that does not follow is refused":    numbers,
		"an entry kept twice is there once":           twice,
		"a refused change leaves nothing":             wholly,
		"memory is replaced, and only when given":     memory,
		"history before a place":                      before,
		"checkpoints that no longer hold are dropped": void,
		"the oldest checkpoint stays":                 oldest,
		"places are found by id":                      foundByID,
		"what is set aside is not lost":               aside,
		"the generation stays":                        generation,
		"the caller owns its slices":                  owned,
	} {
		t.Run(name, func(t *testing.T) { exam(t, fresh(t)) })
	}
}

// Note makes a record for tests: a note at ms milliseconds after Begun.
func Note(device string, ms int64, text string) []byte {
	at := Begun + stamp.Milli(ms)
	id := entry.NewID(at, [10]byte{0, byte(len(text)), byte(len(device)), byte(ms >> 8), byte(ms), 1})
	e := entry.New(id, stamp.Stamp{At: at, Device: device}, "bo", &entry.Note{Text: text})
	return entry.AppendRecord(nil, &e)
}

// run returns notes with the numbers first to last, one second apart.
func run(first, last uint64) []journal.Numbered {
	var list []journal.Numbered
	for seq := first; seq <= last; seq++ {
		list = append(list, journal.Numbered{Seq: seq, Record: Note("anna", int64(seq)*1000, "note")})
	}
	return list
}

func placeOf(t *testing.T, n journal.Numbered) journal.Place {
	e, err := entry.ReadRecord(n.Record)
	require.NoError(t, err)
	return journal.PlaceOf(&e)
}

func since(t *testing.T, k journal.Keeper, seq uint64) []journal.Numbered {
	var list []journal.Numbered
	for n, err := range k.Since(seq) {
		require.NoError(t, err)
		list = append(list, n)
	}
	return list
}

// keep keeps entries and checks that the head follows.
func keep(t *testing.T, k journal.Keeper, list ...journal.Numbered) {
	require.NoError(t, k.Keep(&journal.Change{Keep: list}))
	head, err := k.Head()
	require.NoError(t, err)
	require.Equal(t, list[len(list)-1].Seq, head)
}

func empty(t *testing.T, open Opener) {
	k := open()
	head, err := k.Head()
	require.NoError(t, err)
	require.Zero(t, head)
	s, err := k.Newest()
	require.NoError(t, err)
	require.Empty(t, s.Base)
	require.Empty(t, s.Tail)
	require.Empty(t, s.Memory)
	require.Empty(t, since(t, k, 0))
}

func comeBack(t *testing.T, open Opener) {
	list := run(1, 20)
	keep(t, open(), list[:7]...)
	k := open()
	keep(t, k, list[7:]...)
	same := func() journal.Keeper { return k }
	for _, get := range []Opener{same, open} {
		k := get()
		s, err := k.Newest()
		require.NoError(t, err)
		require.ElementsMatch(t, list, s.Tail)
		head, err := k.Head()
		require.NoError(t, err)
		require.EqualValues(t, 20, head)
	}
}

func byNumber(t *testing.T, open Opener) {
	list := run(1, 9)
	list[2].Record, list[5].Record = list[5].Record, list[2].Record // their places do not follow their numbers
	keep(t, open(), list...)
	k := open()
	require.Equal(t, list, since(t, k, 0))
	require.Equal(t, list[4:], since(t, k, 4))
	require.Empty(t, since(t, k, 9))
	require.Empty(t, since(t, k, 99))
}

func numbers(t *testing.T, open Opener) {
	k := open()
	keep(t, k, run(1, 3)...)
	for _, bad := range []uint64{0, 5, 2} {
		n := journal.Numbered{Seq: bad, Record: Note("bea", 77_000, "bad")}
		require.ErrorIs(t, k.Keep(&journal.Change{Keep: []journal.Numbered{n}}), journal.ErrNumber, "number %d", bad)
	}
	again := run(1, 1)[0]
	again.Seq = 4 // the id is kept under 1
	require.ErrorIs(t, k.Keep(&journal.Change{Keep: []journal.Numbered{again}}), journal.ErrNumber)
	keep(t, k, run(4, 4)...)
	require.Equal(t, run(1, 4), since(t, open(), 0))
}

func twice(t *testing.T, open Opener) {
	k := open()
	keep(t, k, run(1, 4)...)
	keep(t, k, run(3, 6)...)
	require.NoError(t, k.Keep(&journal.Change{Keep: run(1, 2)}))
	require.Equal(t, run(1, 6), since(t, open(), 0))
}

func wholly(t *testing.T, open Opener) {
	k := open()
	keep(t, k, run(1, 2)...)
	c := journal.Change{Keep: append(run(3, 4), journal.Numbered{Seq: 9, Record: Note("bea", 1, "gap")}),
		Memory: []byte("new"), Base: &journal.Base{State: []byte("state"), Last: placeOf(t, run(2, 2)[0])},
		Aside: []journal.Aside{{Device: "x", Reason: "revoked", Record: Note("x", 1, "x")}}}
	require.Error(t, k.Keep(&c))
	same := func() journal.Keeper { return k }
	for _, get := range []Opener{same, open} {
		k := get()
		require.Equal(t, run(1, 2), since(t, k, 0))
		s, err := k.Newest()
		require.NoError(t, err)
		require.Empty(t, s.Base)
		require.Empty(t, s.Memory)
		list, err := k.Aside()
		require.NoError(t, err)
		require.Empty(t, list)
	}
}

func memory(t *testing.T, open Opener) {
	k := open()
	require.NoError(t, k.Keep(&journal.Change{Memory: []byte("one")}))
	keep(t, k, run(1, 1)...)
	require.NoError(t, k.Keep(&journal.Change{Memory: []byte("two")}))
	keep(t, k, run(2, 2)...)
	s, err := open().Newest()
	require.NoError(t, err)
	require.Equal(t, "two", string(s.Memory))
}

// shelve keeps a checkpoint that ends at the entry with the number.
func shelve(t *testing.T, k journal.Keeper, seq uint64) {
	b := journal.Base{State: []byte{byte(seq)}, Last: placeOf(t, run(seq, seq)[0])}
	require.NoError(t, k.Keep(&journal.Change{Base: &b}))
}

func before(t *testing.T, open Opener) {
	k := open()
	keep(t, k, run(1, 30)...)
	late := journal.Numbered{Seq: 31, Record: Note("bea", 12_500, "late")} // stands between 12 and 13
	keep(t, k, late)
	shelve(t, k, 10)
	shelve(t, k, 20)
	for _, c := range []struct {
		at   journal.Place
		base []byte
		tail []journal.Numbered
	}{
		{placeOf(t, run(25, 25)[0]), []byte{20}, run(21, 30)},
		{placeOf(t, run(20, 20)[0]), []byte{10}, append(run(11, 30), late)},
		{placeOf(t, run(15, 15)[0]), []byte{10}, append(run(11, 30), late)},
		{placeOf(t, run(10, 10)[0]), nil, append(run(1, 30), late)},
		{placeOf(t, run(1, 1)[0]), nil, append(run(1, 30), late)},
	} {
		s, err := k.Before(c.at)
		require.NoError(t, err)
		require.Equal(t, string(c.base), string(s.Base))
		require.ElementsMatch(t, c.tail, s.Tail)
	}
	s, err := open().Newest()
	require.NoError(t, err)
	require.Equal(t, []byte{20}, s.Base)
	require.ElementsMatch(t, run(21, 30), s.Tail)
}

func void(t *testing.T, open Opener) {
	k := open()
	keep(t, k, run(1, 30)...)
	for seq := uint64(5); seq <= 25; seq += 5 {
		shelve(t, k, seq)
	}
	at := placeOf(t, run(15, 15)[0])
	b := journal.Base{State: []byte{77}, Last: placeOf(t, run(22, 22)[0])}
	require.NoError(t, k.Keep(&journal.Change{Void: &at, Base: &b})) // dropped first, then stored
	s, err := k.Newest()
	require.NoError(t, err)
	require.Equal(t, []byte{77}, s.Base)
	s, err = k.Before(b.Last)
	require.NoError(t, err)
	require.Equal(t, []byte{10}, s.Base, "a checkpoint that ends at the void place is void too")
}

func oldest(t *testing.T, open Opener) {
	k := open()
	keep(t, k, run(1, 400)...)
	for seq := uint64(2); seq <= 400; seq++ {
		shelve(t, k, seq)
	}
	s, err := open().Before(placeOf(t, run(3, 3)[0]))
	require.NoError(t, err)
	require.Equal(t, []byte{2}, s.Base)
}

func foundByID(t *testing.T, open Opener) {
	k := open()
	keep(t, k, run(1, 5)...)
	n := run(3, 3)[0]
	p, ok, err := k.Place(n.ID())
	require.NoError(t, err)
	require.True(t, ok)
	require.Equal(t, placeOf(t, n), p)
	_, ok, err = k.Place(entry.ID{1})
	require.NoError(t, err)
	require.False(t, ok)

	need := journal.Need{Entries: []entry.ID{{1}}}
	s, err := need.Fetch(k)
	require.NoError(t, err)
	require.Nil(t, s, "nothing of it is kept")
	need.Entries = append(need.Entries, n.ID())
	s, err = need.Fetch(k)
	require.NoError(t, err)
	require.Len(t, s.Tail, 5)
}

func aside(t *testing.T, open Opener) {
	list := []journal.Aside{{Device: "x", Reason: "revoked", Record: Note("x", 1, "one")},
		{Device: "y", Reason: "unreadable", Record: []byte{1, 2, 3}}}
	k := open()
	require.NoError(t, k.Keep(&journal.Change{Aside: list[:1]}))
	require.NoError(t, k.Keep(&journal.Change{Keep: run(1, 1), Aside: list[1:]}))
	got, err := open().Aside()
	require.NoError(t, err)
	require.Equal(t, list, got)
}

func generation(t *testing.T, open Opener) {
	k := open()
	id, err := entry.ParseID(k.Generation())
	require.NoError(t, err)
	require.EqualValues(t, 7, id[6]>>4, "a UUIDv7")
	require.Equal(t, k.Generation(), open().Generation())
}

func owned(t *testing.T, open Opener) {
	k := open()
	list := run(1, 1)
	memory := []byte("mine")
	require.NoError(t, k.Keep(&journal.Change{Keep: list, Memory: memory}))
	clear(list[0].Record)
	clear(memory)
	s, err := k.Newest()
	require.NoError(t, err)
	require.Equal(t, run(1, 1), s.Tail)
	require.Equal(t, "mine", string(s.Memory))
}
