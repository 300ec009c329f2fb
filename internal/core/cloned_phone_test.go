package core_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/stamp"
)

// TestAPhoneThatWasCloned: a phone was set up from another's backup, so that two of them are the same device with the same
// store. What is tapped on each, out of touch and at the same moment, is kept once, and neither brings anything again and again.
func TestAPhoneThatWasCloned(t *testing.T) {
	b, one, _ := twoInTouch(t, "anna", "bea")
	b.pass(3*stamp.Second, stamp.Second)
	one.note("before the backup")
	b.flow()
	one.note("in the backup, and not yet sent")
	one.hang()

	two := b.phone("anna")
	two.stored = one.stored
	two.stored.Tail = append(two.stored.Tail[:0:0], one.stored.Tail...)
	two.boot()
	for i := range 20 {
		one.note(fmt.Sprintf("one %d", i))
		two.note(fmt.Sprintf("two %d", i)) // at the very same instant of the clock
		b.now += 7
	}
	one.dial()
	two.dial()
	b.pass(20*stamp.Second, stamp.Second)
	require.Zero(t, one.waitingCount())
	require.Zero(t, two.waitingCount())
	said := map[string]int{}
	ids := map[entry.ID]bool{}
	for n := range b.keeper.Since(0) {
		e, err := entry.ReadRecord(n.Record)
		require.NoError(t, err)
		require.False(t, ids[e.ID], "an id stands once")
		ids[e.ID] = true
		if e.Kind == entry.NoteMade {
			body, err := e.Open()
			require.NoError(t, err)
			said[body.(*entry.Note).Text]++
		}
	}
	require.Len(t, said, 42)
	for text, n := range said {
		require.Equal(t, 1, n, text)
	}
	aside, err := b.keeper.Aside()
	require.NoError(t, err)
	require.Empty(t, aside)
	b.same()

	head := b.head()
	b.pass(60*stamp.Second, 5*stamp.Second)
	require.Equal(t, head, b.head(), "nobody brings anything again")
}
