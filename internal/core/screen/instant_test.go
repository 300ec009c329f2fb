package screen

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/words"
)

type sheetOf struct {
	Parts []struct {
		P, Title, Path, Text, Tone string
		Line                       []struct{ T string }
		Rows                       []struct{ Label, Detail, To, State, Word string }
	}
}

func drawnAt(t *testing.T, ctx *Context, path string) (string, sheetOf) {
	t.Helper()
	ctx.Path = path
	json1 := View(ctx)
	var s sheetOf
	require.NoError(t, json.Unmarshal(json1, &s))
	return strings.ReplaceAll(string(json1), `\u0026`, "&"), s
}

func TestAnInstantIsWorkedOutHereWhereThisPhoneReaches(t *testing.T) {
	w := midshift(t)
	ctx := w.ctx("maren", "")
	asked := stamp.Milli(0)
	past := w.s.Clone()
	ctx.Reach = w.now.Add(-6 * stamp.Hour)
	ctx.Past = func(at stamp.Milli) *kitchen.State {
		if asked = at; at < ctx.Reach {
			return nil
		}
		return past
	}
	gone := past.Batches[0].ID
	w.s = w.s.Clone()
	w.s.Batches = w.s.Batches[1:] // the kitchen has let go of it since
	ctx.State = w.s
	text, s := drawnAt(t, ctx, "/records/at?day=2026-11-26&time=11:05")
	day, clock := w.s.Wall(asked)
	require.Equal(t, "2026-11-26", words.ISODate(day))
	require.Equal(t, 11*stamp.Hour+5*stamp.Minute, clock)
	require.NotContains(t, text, `"far"`)
	for _, want := range []string{"Tub 3, bone-in", "Cold room", "In it: ", "last entry by ", "made ", "/api/state.pdf?day=2026-11-26&time=11%3A05"} {
		require.Contains(t, text, want)
	}
	require.NotContains(t, text, gone.String(), "a batch that has no page any more is no link")
	require.Contains(t, s.Parts[2].Title, "Thursday 26 Nov, 11:05")

	ctx.Saved.InTouch, ctx.Saved.OutSince = false, w.now.Add(-stamp.Hour)
	text, _ = drawnAt(t, ctx, "/records/at?day=2026-11-26&time=11:05")
	require.Contains(t, text, "has been out of touch since 10:38", "what others did meanwhile is not in it")
}

func TestAnOlderInstantIsTheServersOrIsSaidToBe(t *testing.T) {
	w := midshift(t)
	ctx := w.ctx("maren", "")
	ctx.Reach = w.now.Add(-6 * stamp.Hour)
	ctx.Past = func(stamp.Milli) *kitchen.State { return nil }
	_, s := drawnAt(t, ctx, "/records/at?day=2026-11-17&time=11:05")
	require.Equal(t, "far", s.Parts[2].P)
	require.Equal(t, "/api/state.page?day=2026-11-17&time=11%3A05&lang=en&by=maren", s.Parts[2].Path)

	ctx.Saved.InTouch = false
	text, _ := drawnAt(t, ctx, "/records/at?day=2026-11-17&time=11:05")
	require.NotContains(t, text, `"far"`)
	require.Contains(t, text, "own entries reach back to 05:38, 6")
	require.Contains(t, text, "out of touch")
}

func TestAWrongOrFutureInstantGetsASentence(t *testing.T) {
	w := midshift(t)
	ctx := w.ctx("ines", "")
	for query, want := range map[string]string{
		"day=2026-11-27&time=11:05": "aún no ha llegado",
		"day=2026-11-26&time=11:39": "aún no ha llegado",
		"day=2026-02-30&time=11:05": "no es un día y una hora",
		"day=yesterday&time=11:05":  "no es un día y una hora",
		"day=2026-11-26&time=24:00": "no es un día y una hora",
		"day=2026-11-26&time=1105":  "no es un día y una hora",
		"day=2026-11-26&time=-1:05": "no es un día y una hora",
	} {
		text, s := drawnAt(t, ctx, "/records/at?"+query)
		require.Contains(t, text, want, query)
		require.Len(t, s.Parts, 3, query)
		require.Equal(t, "bad", s.Parts[2].Tone)
	}
}

func TestBeforeTheJournalNothingWasOnRecord(t *testing.T) {
	w := midshift(t)
	list := InstantSections(w.ctx("maren", ""), kitchen.New(), 1000)
	require.Len(t, list, 1)
	require.Contains(t, list[0].Rows[0][0], "begins later")
}

func TestADayThatIsOverIsAskedOfTheServer(t *testing.T) {
	w := midshift(t)
	ctx := w.ctx("maren", "")
	yesterday := "/records/day/" + (&page{}).num(int(w.s.WallDay(w.now)-1))
	_, s := drawnAt(t, ctx, yesterday+"?show=cook")
	require.Equal(t, "far", s.Parts[len(s.Parts)-1].P)
	require.Equal(t, "/api/records.page?from=2026-11-25&to=2026-11-25&show=cook&lang=en&by=maren", s.Parts[len(s.Parts)-1].Path)
	ctx.Saved.InTouch = false
	text, _ := drawnAt(t, ctx, yesterday)
	require.NotContains(t, text, `"far"`)
	require.Contains(t, text, "Out of touch: this is only what this phone still holds.")

	ctx.Saved.InTouch = true
	text, _ = drawnAt(t, ctx, "/records/find?code=B7&days=31")
	require.Contains(t, text, "/records/found?code=B7&days=31")
	_, s = drawnAt(t, ctx, "/records/found?lot=FR-2611&days=31")
	require.True(t, strings.HasPrefix(s.Parts[1].Path, "/api/records.page?from=2026-10-27&to=2026-11-26&lot=FR-2611"), s.Parts[1].Path)
}

func TestISODatesAreReadAsTheyAreWritten(t *testing.T) {
	for day := int32(0); day < 90_000; day++ {
		got, ok := words.ReadISODate(words.ISODate(day))
		require.True(t, ok && got == day, words.ISODate(day))
	}
	for _, s := range []string{"", "2026-02-29", "2026-13-01", "2026-00-10", "2026-1-1", "20261124xx", "2026/11/24", "1969-12-31", "9999999999"} {
		_, ok := words.ReadISODate(s)
		require.False(t, ok, s)
	}
}
