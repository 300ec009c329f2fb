package screen

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/kitchen"
)

// tapsTo is how few taps lead from the Line to each deed that a screen offers; digits on the pad are not counted.
func tapsTo(t *testing.T, w *world, crew string, deepest int) map[string]int {
	t.Helper()
	best := map[string]int{}
	at := []string{"/"}
	seen := map[string]bool{"/": true}
	for taps := 1; taps <= deepest; taps++ {
		var next []string
		for _, path := range at {
			d := draw(t, w.ctx(crew, path))
			each(d, func(o map[string]any) {
				do, ok := o["do"].(map[string]any)
				if !ok {
					return
				}
				cost := taps
				if _, asked := o["ask"]; asked {
					cost++ // the sheet's own button
				}
				if _, sure := o["sure"]; sure {
					cost++
				}
				name := do["do"].(string)
				if old, ok := best[name]; !ok || cost < old {
					best[name] = cost
				}
			})
			for _, to := range d.links() {
				if !seen[to] {
					seen[to] = true
					next = append(next, to)
				}
			}
		}
		at = next
	}
	return best
}

// TestUsualActsTakeOneOrTwoTaps counts from the Line, in the middle of a shift. What throws away or takes off takes two at least.
func TestUsualActsTakeOneOrTwoTaps(t *testing.T) {
	w := midshift(t)
	w.gotAll()
	taps := tapsTo(t, w, "maren", 2)
	for _, do := range []string{kitchen.DoMove, kitchen.DoStep, kitchen.DoCount, kitchen.DoTimer, kitchen.DoTimerEnd, kitchen.DoFreeze} {
		require.Contains(t, taps, do, "two taps do not reach it: %v", taps)
		require.LessOrEqual(t, taps[do], 2, do)
	}
	require.Equal(t, 2, taps[kitchen.DoDiscard], "what is past its limit is thrown away by two taps, never by one")
	// What asks for a number is one tap away: its digits, and the tap that keeps them.
	links := draw(t, w.ctx("maren", "/")).links()
	for _, form := range []string{"/place/", "/start", "/timer/new"} {
		require.True(t, slices.ContainsFunc(links, func(to string) bool { return strings.HasPrefix(to, form) }), "%s in %v", form, links)
	}

	w.now = w.s.Timers[0].Due
	got := draw(t, w.ctx("maren", "/"))["ring"].(map[string]any)["got"].(map[string]any)
	require.Equal(t, kitchen.DoGot, got["do"].(map[string]any)["do"])
	require.NotContains(t, got, "sure", "what rings is answered by one tap")
	require.NotContains(t, got, "ask")
}
