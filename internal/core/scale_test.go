package core_test

import (
	"bytes"
	"compress/flate"
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core"
	"brinebell/internal/core/entry"
	"brinebell/internal/core/protocol"
	"brinebell/internal/core/stamp"
	"brinebell/internal/journaltest"
)

// kitchenOf returns a bench whose server has taken in n entries of orderly work, checkpoints included.
func kitchenOf(t *testing.T, n int) (*bench, []entry.Entry) {
	b := newBench(t)
	list := journaltest.Shift(1, n)
	for i := 0; i < n; i += 500 {
		var records [][]byte
		for j := i; j < min(i+500, n); j++ {
			records = append(records, entry.AppendRecord(nil, &list[j]))
		}
		b.now = int64(list[min(i+500, n)-1].At.At) + 1000
		b.give(core.Input{Op: core.OpTake, Records: records})
		b.now += 1000
		b.give(core.Input{Op: core.OpTick})
	}
	require.EqualValues(t, n, b.head())
	return b, list
}

func deflated(t *testing.T, src []byte) int {
	var out bytes.Buffer
	w, err := flate.NewWriter(&out, 6)
	require.NoError(t, err)
	_, err = w.Write(src)
	require.NoError(t, err)
	require.NoError(t, w.Close())
	return out.Len()
}

// join returns the bytes that a new device is sent, packed, and how long the server's core took to make them.
func join(t *testing.T, b *bench, name string) (int, time.Duration) {
	p := b.phone(name)
	began := time.Now()
	b.give(core.Input{Op: core.OpOpened, Peer: name})
	p.peer = name
	out := b.server.Step(core.Input{Op: core.OpFrame, Peer: name, Device: name, Wall: b.now, Mono: b.now,
		Frame: protocol.Make(&protocol.Hello{Version: protocol.Version, Device: name})})
	took := time.Since(began)
	var all []byte
	for _, m := range out.Send {
		all = append(all, m.Frame...)
	}
	return deflated(t, all), took
}

// TestAJoinCostsWhatIsOpenNotWhatWas compares joins of journals of 10,000 and of 60,000 entries.
func TestAJoinCostsWhatIsOpenNotWhatWas(t *testing.T) {
	small, _ := kitchenOf(t, 10_000)
	large, _ := kitchenOf(t, 60_000)
	smallBytes, smallTook := join(t, small, "new")
	largeBytes, largeTook := join(t, large, "new")
	t.Logf("10,000 entries: %d bytes packed, %v; 60,000: %d bytes packed, %v", smallBytes, smallTook, largeBytes, largeTook)
	require.Less(t, float64(largeBytes), 1.2*float64(smallBytes))
	require.Less(t, largeBytes, 150<<10)
}

// TestALateEntryIsCheap: an entry eight hours old comes into a large journal. Counted in entries folded, so that a busy
// machine makes no difference.
func TestALateEntryIsCheap(t *testing.T) {
	b, list := kitchenOf(t, 30_000)
	b.server.StateBytes()
	before := b.server.Folded()
	last := list[len(list)-1].At.At
	e := entry.New(entry.NewID(last.Add(-8*stamp.Hour), [10]byte{9}), stamp.Stamp{At: last.Add(-8 * stamp.Hour), Device: "late"}, "bo",
		&entry.Note{Text: "late"})
	b.give(core.Input{Op: core.OpTake, Records: [][]byte{entry.AppendRecord(nil, &e)}})
	b.server.StateBytes()
	late := b.server.Folded() - before
	between := uint64(0)
	for i := range list {
		if entry.Compare(&list[i], &e) > 0 {
			between++
		}
	}
	t.Logf("%d entries came after it, %d were folded", between, late)
	require.LessOrEqual(t, late, between+1200)
}

// BenchmarkLateEntry is an entry eight hours late into 30,000, against BenchmarkNewEntry.
func BenchmarkLateEntry(b *testing.B) { benchEntry(b, 8*stamp.Hour) }

// BenchmarkNewEntry is an entry made now.
func BenchmarkNewEntry(b *testing.B) { benchEntry(b, 0) }

func benchEntry(b *testing.B, ago stamp.Span) {
	k, list := kitchenOf(&testing.T{}, 30_000)
	last := list[len(list)-1].At.At
	k.server.StateBytes()
	for i := 0; b.Loop(); i++ {
		at := last.Add(stamp.Span(i) - ago)
		e := entry.New(entry.NewID(at, [10]byte{9, byte(i), byte(i >> 8), byte(i >> 16)}), stamp.Stamp{At: at, Count: uint32(i), Device: "late"},
			"bo", &entry.Note{Text: "late"})
		k.give(core.Input{Op: core.OpTake, Records: [][]byte{entry.AppendRecord(nil, &e)}})
		k.server.State()
	}
}

// BenchmarkMerge is twenty phones that come back with a thousand entries each, until all hold the same state: the cores'
// work alone, of the server and of all twenty phones.
func BenchmarkMerge(b *testing.B) {
	for b.Loop() {
		b.StopTimer()
		t := &testing.T{}
		k := newBench(t)
		k.furnish()
		for i := range 20 {
			p := k.phone(fmt.Sprintf("phone-%d", i))
			p.dial()
			p.hang()
		}
		for i := range 1000 {
			k.now += 28_800
			for j, p := range k.phones {
				if p.note("offline"); i == 0 && j == 0 {
					k.flow()
				}
			}
		}
		b.StartTimer()
		for _, p := range k.phones {
			k.dice++
			p.peer = fmt.Sprintf("%s#%d", p.name, k.dice)
			k.give(core.Input{Op: core.OpOpened, Peer: p.peer})
			p.step(core.Input{Op: core.OpOpened})
		}
		k.flow()
		k.pass(2*stamp.Second, 200*stamp.Span(1))
		want := k.server.StateBytes()
		for _, p := range k.phones {
			if !bytes.Equal(want, p.core.StateBytes()) {
				b.Fatal(p.name, " holds another state")
			}
		}
	}
}
