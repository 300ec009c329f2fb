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

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/window"
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

// under returns which group of the line a strip stands in, and its action.
func under(d drawn, name string) (group, action string) {
	for _, p := range d["parts"].([]any) {
		switch o := p.(map[string]any); {
		case o["p"] == "group":
			group = o["title"].(string)
		case o["p"] == "strip" && o["name"] == name:
			if actions, ok := o["actions"].([]any); ok {
				action = actions[0].(map[string]any)["label"].(string)
			}
			return group, action
		}
	}
	return "", ""
}

// TestWorkStandsUnderNow: whoever is at work on a batch finds its next step on the line, and a short best is told of
// before it is over.
func TestWorkStandsUnderNow(t *testing.T) {
	w := midshift(t)
	w.tap("teo", &kitchen.Command{Do: kitchen.DoStart, Procedure: "bone-in", Grams: 9000, Lots: []string{"FR-2612"}})
	tub := newPage(w.ctx("teo", "/")).vessel(w.last.Body.(*entry.Start).Batch)
	group, action := under(draw(t, w.ctx("teo", "/")), tub)
	require.Equal(t, "Now", group, "mixing has its best from its first minute on")
	require.NotEmpty(t, action)

	w.on("ines", "load", w.load("fryer-1")) // the cook has ended: the pressure is let off
	group, action = under(draw(t, w.ctx("teo", "/")), "Fryer 1")
	require.Equal(t, "Now", group)
	require.NotEmpty(t, action)

	b := w.open("pan", 2)
	s := newPage(w.ctx("teo", "/")).standing(b)
	require.Equal(t, window.Best, s.state)
	w.gotAll()
	for _, early := range []stamp.Span{1, 0} {
		w.now = s.hand().Add(-soonHand - early*stamp.Second)
		w.gotAll()
		group, _ = under(draw(t, w.ctx("teo", "/")), "Pan 2")
		require.Equal(t, early == 0, group == "Now", "%d s before it is fetched: %s", early, group)
	}
}

// TestLineOffersFreeFryers: a fryer that is free, in use and rested can be loaded from the line, oldest pan first.
func TestLineOffersFreeFryers(t *testing.T) {
	w := midshift(t)
	offered := func() string {
		for _, p := range draw(t, w.ctx("teo", "/"))["parts"].([]any) {
			if o := p.(map[string]any); o["p"] == "buttons" {
				for _, a := range o["actions"].([]any) {
					if b := a.(map[string]any); b["to"] == "/load/fryer-1" {
						return b["small"].(string)
					}
				}
			}
		}
		return ""
	}
	require.Empty(t, offered(), "a load is in it")
	w.on("ines", "load", w.load("fryer-1"))
	w.wait(stamp.Minute)
	w.on("ines", "load", w.load("fryer-1"))
	w.wait(stamp.Minute)
	w.into("ines", "load", w.load("fryer-1"), kitchen.Command{Pieces: 20})
	require.Empty(t, offered(), "it needs its pause between loads")
	d := w.s.Equipment().Device("fryer-1")
	w.now = w.s.Place("fryer-1").EmptyAt.Add(d.Between)
	require.True(t, strings.HasPrefix(offered(), "Pan "), offered())
	w.tap("maren", &kitchen.Command{Do: kitchen.DoEquipment, Place: "fryer-1", Answer: "out", Reason: "no heat"})
	require.Empty(t, offered(), "it is out of use")
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
