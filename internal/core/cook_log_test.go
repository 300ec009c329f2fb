package core_test

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core"
	"brinebell/internal/core/entry"
	"brinebell/internal/core/probelog"
	"brinebell/internal/core/stamp"
)

// TestAFileThatAPageWasHandedIsKeptByATap: pieces of a file go to the view that was handed it, a tap keeps what that view
// shows, and another view knows nothing of it.
func TestAFileThatAPageWasHandedIsKeptByATap(t *testing.T) {
	b := newBench(t)
	b.furnish()
	anna := b.phone("anna")
	anna.dial()
	b.pass(30*stamp.Second, stamp.Second)
	out := anna.tap(`{"do":"start","procedure":"bone-in","grams":9000,"pieces":60,"lots":["L1"],"place":"cold-room"}`)
	require.Len(t, out.Keep, 1, "%s", out.Draw)
	started, err := entry.ReadRecord(out.Keep[0].Record)
	require.NoError(t, err)
	path := "/cook?src=csv&f=7&b=" + started.ID.String()

	file := "time,temp_c\n"
	for i := range 90 {
		file += fmt.Sprintf("%s,%d\n", time.Unix(1_795_600_000+int64(i), 0).UTC().Format(time.RFC3339), min(10+i, 75))
	}
	hand := func(view string, piece string, first, last bool) core.Outcome {
		return anna.step(core.Input{Op: core.OpLog, View: view, Frame: []byte(piece), File: core.File{Name: "run.csv", First: first, Last: last}})
	}
	for _, view := range []string{"page", "two"} {
		anna.step(core.Input{Op: core.OpLook, View: view, Path: path})
	}
	require.Empty(t, hand("page", file[:100], false, false).Draw, "the end of a file whose beginning is not here")
	require.Len(t, hand("page", file[:700], true, false).Draw, 1)
	require.Empty(t, anna.tap(`{"do":"cook-log"}`).Keep, "not before all of it is here")
	require.Empty(t, hand("page", file[700:1500], false, false).Draw, "what is in the middle is not worth a drawing")
	require.Contains(t, string(hand("page", file[1500:], false, true).Draw[0].JSON), "cook-log")
	require.Empty(t, hand("page", file, false, true).Draw, "it is over")
	out = anna.step(core.Input{Op: core.OpTap, View: "two", Path: path, Tap: []byte(`{"do":"cook-log"}`)})
	require.Empty(t, out.Keep)
	require.Contains(t, string(out.Draw[0].JSON), `"refusal"`)

	out = anna.tap(`{"do":"cook-log"}`)
	require.Len(t, out.Keep, 1)
	e, err := entry.ReadRecord(out.Keep[0].Record)
	require.NoError(t, err)
	body, err := e.Open()
	require.NoError(t, err)
	log := body.(*entry.CookLog)
	require.Equal(t, []any{started.ID, "run.csv", int64(90), true, "Cel"}, []any{log.Batch, log.Name, log.Count, log.Met, log.Degrees})
	require.Equal(t, probelog.Read([]byte(file)).Readings, probelog.Unpack(log.Rows))
	require.Less(t, len(out.Keep[0].Record), 700)
	b.pass(5*stamp.Second, stamp.Second)
	found := false
	for _, v := range b.server.State().Batch(started.ID).Events {
		found = found || v.Kind == entry.CookAssessed
	}
	require.True(t, found, "the kitchen has it")
}
