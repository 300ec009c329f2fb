package core_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/stamp"
)

// TestAnOlderCopyUnderTheSameName: somebody puts an older copy of the journal back by hand, generation and all, and the
// kitchen goes on until its numbers are past those that a phone knows. The phone knows entries that the journal lacks
// under numbers that are others' by now: it brings them back, and in the end all hold the same.
func TestAnOlderCopyUnderTheSameName(t *testing.T) {
	for _, c := range []struct {
		name        string
		lost, after int // entries that the copy lacks, and that were made since
	}{{"numbers still behind", 8, 3}, {"numbers the same", 8, 8}, {"numbers past what the phone knows", 8, 40}, {"a whole tail", 300, 700}} {
		t.Run(c.name, func(t *testing.T) {
			b, anna, bea := twoInTouch(t, "anna", "bea")
			b.grow(bea, 20)
			copied := b.keeper.Backup(b.keeper.Generation())
			b.grow(bea, c.lost-2)
			anna.note("seen by anna")
			bea.note("seen by bea")
			b.pass(3*stamp.Second, stamp.Second)
			lost := []entry.ID{b.note("anna", "seen by anna"), b.note("bea", "seen by bea")}
			anna.hang()
			bea.hang()
			b.now += 3_600_000

			b.keeper = copied
			b.boot()
			for _, id := range lost {
				require.False(t, b.holds(id))
			}
			cleo := b.phone("cleo") // joins the restored kitchen and knows nothing of before
			cleo.dial()
			b.grow(cleo, c.after)
			again(b, anna, cleo)
			for _, id := range lost {
				require.True(t, b.holds(id), "anna knew it")
			}
			again(b, b.phones...)
			for range 2 {
				for _, p := range b.phones {
					require.Equal(t, string(b.server.StateBytes()), string(p.core.StateBytes()), p.name)
					require.Zero(t, p.waitingCount(), p.name)
					p.boot()
				}
				b.boot()
				for _, p := range b.phones {
					p.dial()
				}
				b.pass(15*stamp.Second, stamp.Second)
			}
			require.Contains(t, strings.Join(b.notes, "\n"), "brings back what it holds")
			pasts, told := b.pastsOf("anna")
			require.Zero(t, pasts+told, "a copy of the same kitchen's journal is no other past")
		})
	}
}

// again lets phones dial and hang up as their shells do: whoever says that its line is no good dials anew.
func again(b *bench, phones ...*phone) {
	for range 3 {
		for _, p := range phones {
			if p.peer != "" {
				p.hang()
			}
			p.dial()
		}
		b.pass(30*stamp.Second, stamp.Second)
	}
}
