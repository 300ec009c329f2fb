package screen

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/afterwards"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/words"
	"brinebell/internal/demo"
)

// past is a context of the demo kitchen with its yesterday.
func pastDay(t *testing.T, lang, path string) (*Context, string) {
	now := stamp.Milli(1_795_711_080_000) // 2026-11-26 16:38 UTC
	entries, err := demo.Yesterdays(now, [32]byte{7})
	require.NoError(t, err)
	s := kitchen.New()
	for i := range entries {
		s.Apply(&entries[i], kitchen.Amended{})
	}
	day := words.ISODate(s.WallDay(now) - 1)
	return &Context{State: s, Now: now, Lang: lang, Path: path + day, Saved: Saved{Joined: true, Entries: true, InTouch: true}, Planned: new(Planned)}, day
}

// TestADayIsLookedBackOn: the page says what the day cost and what would have saved most, has a drawing for each item with its
// values as a table, asks for thought about hindsight, and tells it once it is known.
func TestADayIsLookedBackOn(t *testing.T) {
	for _, lang := range []string{"en", "es"} {
		ctx, day := pastDay(t, lang, "/plan/after/")
		d := draw(t, ctx)
		text, _ := json.Marshal(d)
		l := words.Of(lang)
		require.Contains(t, string(text), l.T("pl.after.change"))
		require.Contains(t, string(text), l.T("pl.after.thinks"))
		require.NotContains(t, string(text), "pl.after.", "every text is worded")
		plots, tables := 0, 0
		each(d, func(o map[string]any) {
			if o["p"] == "plot" {
				plots++
				if len(o["rows"].([]any)) > 2 && len(o["head"].([]any)) > 1 {
					tables++
				}
			}
		})
		require.GreaterOrEqual(t, plots, 4)
		require.Equal(t, plots, tables)

		tap, err := json.Marshal(d["plan"].(map[string]any)["tap"])
		require.NoError(t, err)
		c, err := kitchen.ReadCommand(tap)
		require.NoError(t, err)
		require.Equal(t, AfterText, c.Text)
		x := afterwards.Of(ctx.State, c.Day, ctx.Now)
		think := x.Thinker()
		think.Think(20_000)
		ctx.Planned.After.Key = c.Name
		for _, costs := range think.Best() {
			ctx.Planned.After.Costs = append(ctx.Planned.After.Costs, AfterCosts{costs})
		}
		d = draw(t, ctx)
		text, _ = json.Marshal(d)
		require.NotContains(t, string(text), l.T("pl.after.thinks"))
		x.Know(think.Best())
		require.Contains(t, string(text), l.Decimal(int64(x.Hindsight)/60_000, 3, 2))
		require.Nil(t, d["plan"], "nothing is left to think about")

		// what the server draws of the same day says the same
		p := string(AfterPage(ctx, x, nil, true))
		require.Contains(t, p, l.Decimal(int64(x.Cost)/60_000, 3, 2))
		require.Contains(t, p, l.Decimal(int64(x.Hindsight)/60_000, 3, 2))
		require.Contains(t, string(AfterDays(ctx, []*afterwards.Seen{nil, x, x})), "/plan/after/"+day)
	}
}

// TestOtherDaysAreAskedFor: what a phone no longer holds comes from the server, and a day to come is no page.
func TestOtherDaysAreAskedFor(t *testing.T) {
	ctx, day := pastDay(t, "en", "/plan/after/")
	old, _ := words.ReadISODate(day)
	ctx.Path = "/plan/after/" + words.ISODate(old-5)
	text, _ := json.Marshal(draw(t, ctx))
	require.Contains(t, string(text), "/api/after.page?day="+words.ISODate(old-5))
	ctx.Saved.InTouch = false
	text, _ = json.Marshal(draw(t, ctx))
	require.NotContains(t, string(text), "/api/after.page")
	require.Contains(t, string(text), words.EN.T("pl.after.away"))
	for _, wrong := range []string{words.ISODate(old + 2), "nonsense", "1970-01-01"} {
		ctx.Path = "/plan/after/" + wrong
		require.Equal(t, "missing", draw(t, ctx)["kind"], wrong)
	}
	ctx.Path = "/plan/after"
	text, _ = json.Marshal(draw(t, ctx))
	require.Equal(t, 2, strings.Count(string(text), `"to":"/plan/after/`), "today and yesterday")
}
