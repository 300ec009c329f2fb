package screen

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/cockroachdb/datadriven"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"brinebell/internal/core/stamp"
	"brinebell/internal/journaltest"
)

// TestOrderOfTheLine reads testdata/order: times of one shift, and what stands on the line then.
func TestOrderOfTheLine(t *testing.T) {
	datadriven.RunTest(t, "testdata/order", func(t *testing.T, d *datadriven.TestData) string {
		var clock string
		crew := "maren"
		d.ScanArgs(t, "at", &clock)
		d.MaybeScanArgs(t, "crew", &crew)
		w := midshift(t)
		var h, m, s int
		_, err := fmt.Sscanf(clock+":00", "%d:%d:%d", &h, &m, &s)
		require.NoError(t, err)
		w.now = at(h, m).Add(stamp.Span(s) * stamp.Second)
		switch d.Cmd {
		case "line":
			return listing(draw(t, w.ctx(crew, "/")))
		case "wall":
			return listing(draw(t, w.ctx(crew, "/wall")))
		}
		return bellsOf(t, w.ctx(crew, "/"))
	})
}

// listing writes the strips of a screen, one a line, under their groups.
func listing(d drawn) string {
	var out strings.Builder
	for _, p := range d["parts"].([]any) {
		switch o := p.(map[string]any); o["p"] {
		case "group":
			fmt.Fprintln(&out, o["title"])
		case "empty":
			fmt.Fprintln(&out, o["title"])
		case "strip":
			fmt.Fprintf(&out, "  %s: %s", o["name"], o["word"])
			if actions, ok := o["actions"].([]any); ok {
				fmt.Fprintf(&out, " [%s]", actions[0].(map[string]any)["label"])
			}
			fmt.Fprintln(&out)
		}
	}
	return strings.ReplaceAll(out.String(), "\u00a0", " ")
}

func bellsOf(t *testing.T, ctx *Context) string {
	var r struct {
		Now, Book []struct {
			At         stamp.Milli
			Level, Say string
		}
	}
	require.NoError(t, json.Unmarshal(Ring(ctx), &r))
	var out strings.Builder
	for _, b := range r.Now {
		fmt.Fprintf(&out, "now   %-9s %s\n", b.Level, b.Say)
	}
	for _, b := range r.Book[:min(6, len(r.Book))] {
		fmt.Fprintf(&out, "%s %-9s %s\n", ctx.State.OffsetAt(b.At).Name+" "+clockOf(b.At, -300), b.Level, b.Say)
	}
	return strings.ReplaceAll(out.String(), "\u00a0", " ")
}

// TestOrderHoldsOnRandomKitchens: in each group, good before past before the rest; good by loss, the rest by hand; and
// what needs no hand within the hour stands under Later.
func TestOrderHoldsOnRandomKitchens(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := fold(journaltest.Random(rapid.Uint64Range(0, 200).Draw(rt, "seed"), rapid.IntRange(50, 300).Draw(rt, "entries")))
		p := newPage(&Context{State: s, Now: s.Last.At.Add(stamp.Span(rapid.Int64Range(0, 80_000_000).Draw(rt, "later"))), Path: "/"})
		items := p.items()
		require.True(rt, slices.IsSortedFunc(items, compareItems))
		seen := map[string]bool{}
		for i, it := range items {
			require.False(rt, seen[it.key], "%s stands twice", it.key)
			seen[it.key] = true
			if it.rank == good {
				require.True(rt, it.now, it.key)
				if it.by < never && i > 0 {
					require.Equal(rt, good, items[i-1].rank, "nothing comes before what may still be lost")
				}
			}
			if it.rank == past {
				require.True(rt, it.now, it.key)
				require.Less(rt, it.by, p.Now, "past means past")
			}
		}
	})
}
