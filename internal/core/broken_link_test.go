package core_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core"
	"brinebell/internal/core/entry"
	"brinebell/internal/core/protocol"
	"brinebell/internal/core/stamp"
)

// breaks opens a line that carries so many frames of the phone and then breaks, with or without the last answer. It returns how many
// records crossed it.
func (p *phone) breaks(frames int, answered bool) (crossed int) {
	b := p.b
	b.dice++
	p.peer = fmt.Sprintf("%s#%d", p.name, b.dice)
	b.give(core.Input{Op: core.OpOpened, Peer: p.peer})
	p.step(core.Input{Op: core.OpOpened})
	for n := 0; n < frames && len(p.waiting) > 0; n++ {
		frame := p.waiting[0]
		p.waiting = p.waiting[1:]
		f, err := protocol.Read(frame)
		require.NoError(b.t, err)
		if push, ok := f.(*protocol.Push); ok {
			crossed += len(push.Records)
		}
		b.lost = !answered && n == frames-1
		b.give(core.Input{Op: core.OpFrame, Peer: p.peer, Device: p.name, Frame: frame})
		b.lost = false
	}
	p.hang()
	return crossed
}

// TestALinkThatBreaksTwentyTimes: what was kept before a break is not brought again, so that a bad link is slow and never
// without end; what was tapped first stays first, taps in the middle of it included.
func TestALinkThatBreaksTwentyTimes(t *testing.T) {
	for _, answered := range []bool{true, false} {
		b, anna, _ := twoInTouch(t, "anna", "bea")
		b.pass(3*stamp.Second, stamp.Second)
		anna.hang()
		total := 0
		tap := func() {
			anna.note(fmt.Sprintf("note %04d", total))
			total++
			b.now += 40
		}
		for total < 8*protocol.PushRecords {
			tap()
		}
		crossed := 0
		for range 20 {
			crossed += anna.breaks(2, answered) // the hello, and one frame of entries
			tap()
		}
		left := anna.waitingCount()
		crossed += left
		anna.dial()
		b.pass(3*stamp.Second, stamp.Second)
		require.Zero(t, anna.waitingCount())
		if answered {
			require.LessOrEqual(t, crossed, total*11/10, "%d of %d entries crossed the link", crossed, total)
		} else {
			require.LessOrEqual(t, crossed, total+20*protocol.PushRecords, "at most what the break left without an answer comes again")
		}
		b.same()
		next := 0
		for n := range b.keeper.Since(0) {
			e, err := entry.ReadRecord(n.Record)
			require.NoError(t, err)
			if e.Kind == entry.NoteMade {
				body, err := e.Open()
				require.NoError(t, err)
				require.Equal(t, fmt.Sprintf("note %04d", next), body.(*entry.Note).Text, "each once, in the order in which they were tapped")
				next++
			}
		}
		require.Equal(t, total, next)
	}
}

// TestAKitchenPutBackUnderABrokenPush: the phone knows late numbers of its own before it has what came between. A copy that is
// put back by hand then lacks them although it has all that the phone said to have.
func TestAKitchenPutBackUnderABrokenPush(t *testing.T) {
	b, anna, bea := twoInTouch(t, "anna", "bea")
	b.pass(3*stamp.Second, stamp.Second)
	anna.hang()
	for i := range 40 {
		bea.note(fmt.Sprintf("bea %d", i))
	}
	b.flow()
	copied := b.keeper.Backup(b.keeper.Generation())
	for i := range 2 * protocol.PushRecords {
		anna.note(fmt.Sprintf("anna %d", i))
		b.now += 40
	}
	bea.hang() // she hears nothing of it
	anna.breaks(2, true)
	require.Equal(t, protocol.PushRecords, anna.waitingCount(), "half of it is kept")

	b.keeper = copied
	b.boot()
	anna.boot() // its page is opened anew, too
	anna.dial()
	bea.dial()
	b.pass(5*stamp.Second, stamp.Second)
	require.Zero(t, anna.waitingCount())
	notes := 0
	for n := range b.keeper.Since(0) {
		if e, _ := entry.ReadRecord(n.Record); e.Kind == entry.NoteMade {
			notes++
		}
	}
	require.Equal(t, 40+2*protocol.PushRecords, notes, "nothing that was said to be kept is lost")
}
