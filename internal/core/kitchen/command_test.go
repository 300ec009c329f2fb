package kitchen_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

// TestCommandThereAndBack: a button carries a command as JSON and gets the same one back.
func TestCommandThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		word := rapid.StringN(0, 12, -1)
		number := rapid.Int64()
		id := rapid.Custom(func(t *rapid.T) entry.ID {
			return entry.ID(rapid.SliceOfN(rapid.Byte(), 16, 16).Draw(t, "id"))
		})
		c := kitchen.Command{
			Do: word.Draw(t, "do"), Batch: id.Draw(t, "batch"), From: word.Draw(t, "from"), To: word.Draw(t, "to"),
			Stage: word.Draw(t, "stage"), Step: word.Draw(t, "step"), List: word.Draw(t, "list"),
			Day: rapid.Int32().Draw(t, "day"), Place: word.Draw(t, "place"), Version: rapid.Uint32().Draw(t, "version"),
			Grams: number.Draw(t, "grams"), Value: number.Draw(t, "value"), Closes: rapid.Bool().Draw(t, "closes"),
			Span: stamp.Span(number.Draw(t, "span")), Lots: rapid.SliceOfN(word, 0, 3).Draw(t, "lots"),
			Reason: word.Draw(t, "reason"), Photo: word.Draw(t, "photo"), Number: number.Draw(t, "number"),
		}
		if rapid.Bool().Draw(t, "shares") {
			c.Shares = []kitchen.Wanted{{Batch: id.Draw(t, "share"), Pieces: number.Draw(t, "pieces"), All: true}}
			c.Portions = []kitchen.Vessel{{Grams: number.Draw(t, "g"), Place: word.Draw(t, "p")}}
			c.Lost = []entry.Loss{{Why: "trim", Grams: 7}}
		}
		if len(c.Lots) == 0 {
			c.Lots = nil
		}
		back, err := kitchen.ReadCommand(wire.AppendJSON(nil, &c))
		require.NoError(t, err)
		require.Equal(t, c, *back)
	})
}

func TestCommandIsSmall(t *testing.T) {
	c := kitchen.Command{Do: kitchen.DoCount, Batch: entry.ID{1}, Count: 1}
	require.Equal(t, `{"do":"count","batch":"01000000-0000-0000-0000-000000000000","count":1}`, string(wire.AppendJSON(nil, &c)))
	back, err := kitchen.ReadCommand([]byte(`{"do":"move","batch":"01000000000000000000000000000000","colour":"red"}`))
	require.NoError(t, err, "names that nobody knows are passed over; ids are read with and without dashes")
	require.Equal(t, entry.ID{1}, back.Batch)
}

func TestBadCommands(t *testing.T) {
	for _, text := range []string{
		``, `[]`, `{`, `{"do":3}`, `{"grams":1.5}`, `{"batch":"xyz"}`, `{"grams":"3"}`, `{"lots":"L1"}`, `{"closes":1}`,
	} {
		_, err := kitchen.ReadCommand([]byte(text))
		require.Error(t, err, "%s", text)
	}
}

// TestLongTextsAreCut: what is typed is bounded, in whole letters.
func TestLongTextsAreCut(t *testing.T) {
	k := newKit(t)
	id := k.tub()
	k.do(kitchen.Command{Do: kitchen.DoNote, Batch: id, Text: strings.Repeat("ñ", 3000) + "\xff"})
	text := k.batch(id).Events[1].Text
	require.LessOrEqual(t, len(text), 2000)
	require.Greater(t, len(text), 1990)
	require.Equal(t, strings.Repeat("ñ", len(text)/2), text)
}

// TestDecideNeverPanics: whatever a tap carries, it is done or refused.
func TestDecideNeverPanics(t *testing.T) {
	k := newKit(t)
	k.trays()
	deeds := []string{
		kitchen.DoStart, kitchen.DoMove, kitchen.DoPortion, kitchen.DoDiscard, kitchen.DoCount, kitchen.DoStep,
		kitchen.DoReading, kitchen.DoGot, kitchen.DoUndo, kitchen.DoCorrect, kitchen.DoTimer, kitchen.DoTimerEnd,
		kitchen.DoEquipment, kitchen.DoNote, kitchen.DoDeviate, kitchen.DoAnswer, kitchen.DoListClose, kitchen.DoCrew,
		kitchen.DoMember, kitchen.DoRevoke, kitchen.DoPost, kitchen.DoName, kitchen.DoPublish,
	}
	rapid.Check(t, func(t *rapid.T) {
		id := rapid.Custom(func(t *rapid.T) entry.ID {
			i := rapid.IntRange(-1, len(k.list)+len(k.s.Batches)-1).Draw(t, "which")
			switch {
			case i < 0:
				return entry.ID{}
			case i < len(k.list):
				return k.list[i].ID
			}
			return k.s.Batches[i-len(k.list)].ID
		})
		number := rapid.OneOf(rapid.Int64Range(-2, 60), rapid.Int64())
		word := rapid.SampledFrom([]string{"", "x", "pieces", "opening", "fryer-1", "set", "hold", "core", "mC", "1", "yes", "out"})
		c := kitchen.Command{
			Do: rapid.SampledFrom(deeds).Draw(t, "do"), Batch: id.Draw(t, "batch"), Entry: id.Draw(t, "entry"),
			From: word.Draw(t, "from"), To: word.Draw(t, "to"), Step: word.Draw(t, "step"), List: word.Draw(t, "list"),
			Place: word.Draw(t, "place"), Procedure: word.Draw(t, "procedure"), Version: uint32(rapid.IntRange(0, 2).Draw(t, "v")),
			Grams: number.Draw(t, "grams"), Pieces: number.Draw(t, "pieces"), Count: number.Draw(t, "count"),
			Wasted: number.Draw(t, "wasted"), Value: number.Draw(t, "value"), Unit: word.Draw(t, "unit"), Answer: word.Draw(t, "answer"),
			Text: word.Draw(t, "text"), Reason: word.Draw(t, "reason"), Name: word.Draw(t, "name"), Bell: word.Draw(t, "bell"),
			Span: stamp.Span(number.Draw(t, "span")), Number: number.Draw(t, "number"), Day: int32(number.Draw(t, "day")),
			Crew: word.Draw(t, "crew"), OverrideBy: rapid.SampledFrom([]string{"", "ann", "ben"}).Draw(t, "by"), OverrideReason: "x",
		}
		for range rapid.IntRange(0, 2).Draw(t, "shares") {
			c.Shares = append(c.Shares, kitchen.Wanted{Batch: id.Draw(t, "share"), Pieces: number.Draw(t, "n"), Grams: number.Draw(t, "g")})
			c.Portions = append(c.Portions, kitchen.Vessel{Pieces: number.Draw(t, "m"), Grams: number.Draw(t, "h")})
		}
		before := k.s.Append(nil)
		drafts, refused := k.try(c)
		require.Equal(t, before, k.s.Append(nil), "deciding changes nothing")
		if refused != nil {
			require.Empty(t, drafts)
			require.NotZero(t, refused.Code)
			return
		}
		for _, d := range drafts {
			e := entry.New(d.ID, stamp.Stamp{At: k.now.Add(1), Device: "phone"}, "ben", d.Body)
			_, err := entry.ReadRecord(entry.AppendRecord(nil, &e))
			require.NoError(t, err)
		}
	})
}

// TestUnlikelyPortions: amounts that nobody can mean are refused with their numbers, not folded.
func TestUnlikelyPortions(t *testing.T) {
	k := newKit(t)
	id := k.drained()
	for _, c := range []kitchen.Command{
		{Grams: 1 << 62}, {Pieces: -1}, {Number: 101}, {Portions: []kitchen.Vessel{{Grams: 1 << 62}, {Grams: 1 << 62}}},
		{Lost: []entry.Loss{{Why: "trim", Grams: -3}}}, {Shares: []kitchen.Wanted{{Batch: id, Grams: -3}}},
	} {
		c.Do, c.Batch = kitchen.DoPortion, id
		require.NotZero(t, k.refused(kitchen.RefUnlikely, c).Number)
	}
	c := kitchen.Command{Do: kitchen.DoPortion, Batch: id, Lost: []entry.Loss{{Why: "eaten", Grams: 3}}}
	require.Equal(t, "eaten", k.refused(kitchen.RefBadCommand, c).Name)
	k.refused(kitchen.RefVesselFull, kitchen.Command{Do: kitchen.DoPortion, Batch: id, Portions: []kitchen.Vessel{{Pieces: 49}}})
	k.refused(kitchen.RefMoreThanThere, kitchen.Command{Do: kitchen.DoPortion, Batch: id, Pieces: 97})
	k.refused(kitchen.RefMoreThanThere, kitchen.Command{Do: kitchen.DoPortion, Batch: id, Grams: 30_001, Number: 8})
	k.refused(kitchen.RefMoreThanThere, kitchen.Command{Do: kitchen.DoPortion, Shares: []kitchen.Wanted{{Batch: id, Pieces: 97}}})
}

// TestUnlikelyCounts: a count is refused with the number that is out and its limit, and so is a correction to one.
func TestUnlikelyCounts(t *testing.T) {
	k := newKit(t)
	tray := k.trays()[0]
	for _, c := range []kitchen.Command{{Count: 1 << 62}, {Wasted: 1 << 62}, {Count: -1, Wasted: 2}, {Count: 2, Wasted: -1}} {
		c.Do, c.Batch = kitchen.DoCount, tray.ID
		r := k.refused(kitchen.RefUnlikely, c)
		require.Contains(t, []int64{c.Count, c.Wasted}, r.Number)
		require.True(t, r.Number < 0 && r.Limit == 0 || r.Number > r.Limit && r.Limit > 0, "%+v", r)
	}
	id := k.do(kitchen.Command{Do: kitchen.DoCount, Batch: tray.ID, Count: 2})[0]
	r := k.refused(kitchen.RefUnlikely, kitchen.Command{Do: kitchen.DoCorrect, Entry: id, Count: 1 << 62, Reason: "misread"})
	require.EqualValues(t, 1<<62, r.Number)
	require.Positive(t, r.Limit)
}
