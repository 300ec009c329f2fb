package demo

import (
	"encoding/csv"
	"io/fs"
	"os"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/window"
	"brinebell/internal/document"
)

func fold(t require.TestingT, entries []entry.Entry) *kitchen.State {
	state := kitchen.New()
	for i := range entries {
		require.False(t, i > 0 && entry.Compare(&entries[i-1], &entries[i]) >= 0, "entries stand in canonical order")
		state.Apply(&entries[i], kitchen.Amended{})
	}
	return state
}

// noon is 11:38 in New York on the day of the pictures.
var noon = stamp.Milli(time.Date(2026, 11, 26, 16, 38, 0, 0, time.UTC).UnixMilli())

func TestEveryDocumentIsPublished(t *testing.T) {
	names, err := fs.Glob(Files(), "*.json")
	require.NoError(t, err)
	require.Len(t, names, 11)
	for _, name := range names {
		text, err := fs.ReadFile(Files(), name)
		require.NoError(t, err)
		require.Empty(t, document.Check(text, "en"), name)
		require.Empty(t, document.Check(text, "es"), name)
	}
	documents, err := Documents()
	require.NoError(t, err)
	require.Len(t, documents, len(names))
	state := fold(t, mustEntries(t, noon))
	require.Len(t, state.Procedures(), 4)
	require.Len(t, state.Lists(), 5)
	require.Len(t, state.Equipment().Devices, 4)
	require.Equal(t, []string{"06:40", "09:10", "12:05", "15:30", "17:50", "20:15"}, boats(state))
}

func boats(state *kitchen.State) []string {
	var list []string
	for _, b := range state.Equipment().Boats {
		list = append(list, time.UnixMilli(int64(b.At)).UTC().Format("15:04"))
	}
	return list
}

func mustEntries(t require.TestingT, now stamp.Milli) []entry.Entry {
	entries, err := Entries(now, [32]byte{7})
	require.NoError(t, err)
	return entries
}

// The demo's documents cover what a kitchen needs: every kind of stage and step, windows whole, critical steps, a caution
// before each hazard.
func TestDocumentsCoverTheJob(t *testing.T) {
	state := fold(t, mustEntries(t, noon))
	kinds, steps, hazards := map[procedure.StageKind]bool{}, map[procedure.StepKind]bool{}, map[string]bool{}
	seen := func(list []procedure.Step) {
		for _, s := range list {
			steps[s.Kind] = true
			if s.Caution != nil {
				for _, h := range s.Caution.Hazards {
					hazards[h] = true
				}
			}
		}
	}
	critical := 0
	for _, p := range state.Procedures() {
		for _, s := range p.Stages {
			kinds[s.Kind] = true
			seen(s.Steps)
			require.NotNil(t, s.Caution, "%s %s", p.Name, s.Name)
			require.Positive(t, s.Window.Patience, "%s %s", p.Name, s.Name)
			for _, h := range s.Caution.Hazards {
				hazards[h] = true
			}
			for _, step := range s.Steps {
				if step.Critical {
					critical++
				}
			}
		}
	}
	for _, l := range state.Lists() {
		seen(l.Steps)
	}
	require.Len(t, kinds, 3)
	require.Len(t, steps, 7)
	require.Greater(t, critical, 20)
	for _, h := range procedure.Hazards {
		require.True(t, hazards[h], h)
	}
}

func TestBoneInWindows(t *testing.T) {
	p := fold(t, mustEntries(t, noon)).Procedure("bone-in", 7)
	for stage, want := range map[string]procedure.Window{
		"marinate": {Floor: 7 * h, BestFrom: 9 * h, BestUntil: 13 * h, Ceiling: 20 * h},
		"drain":    {Floor: 40 * m, BestFrom: h, BestUntil: 105 * m, Ceiling: 2 * h},
		"set":      {Floor: 40 * m, BestFrom: h, BestUntil: 4 * h, Ceiling: 10 * h},
		"cook":     {Floor: 10 * m, BestFrom: 630 * s, BestUntil: 12 * m, Ceiling: 13 * m},
		"hold":     {BestUntil: 40 * m, Ceiling: 50 * m},
	} {
		got, _ := p.Stage(stage)
		require.NotNil(t, got, stage)
		w := got.Window
		require.Equal(t, want, procedure.Window{Floor: w.Floor, BestFrom: w.BestFrom, BestUntil: w.BestUntil, Ceiling: w.Ceiling}, stage)
	}
	hold, _ := p.Stage("hold")
	require.True(t, hold.Window.Hard && !hold.Override)
	require.EqualValues(t, 13_800, procedure.Share(27_600, p.Mix.Tubs(27_600), 0))
}

// Limits that name the Food Code hold it: testdata/published/food-code-limits.csv.
func TestLimitsAgainstTheFoodCode(t *testing.T) {
	f, err := os.Open("../../testdata/published/food-code-limits.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	celsius := map[string]string{}
	for _, row := range rows[1:] {
		celsius[row[0]] = row[4]
	}
	require.Equal(t, map[string]string{"cook-poultry-T": "74", "hold-hot": "57", "hold-cold": "5"}, celsius)
	state := fold(t, mustEntries(t, noon))
	for _, name := range []string{"bone-in", "thigh-strips"} {
		p := state.Procedure(name, 0)
		require.GreaterOrEqual(t, *step(t, p, "release", "core").Limit.Min, int64(74_000), name)
		require.True(t, step(t, p, "release", "core").Limit.Hard)
		require.LessOrEqual(t, *step(t, p, "mix", "meat-temp").Limit.Max, int64(5_000), name)
	}
	require.GreaterOrEqual(t, *state.Equipment().Device("cabinet-1").Reading.Min, int64(57_000))
	require.LessOrEqual(t, *state.Equipment().Device("cold-room").Reading.Max, int64(5_000))
}

func step(t *testing.T, p *procedure.Procedure, stage, name string) *procedure.Step {
	t.Helper()
	st, _ := p.Stage(stage)
	for i := range st.Steps {
		if st.Steps[i].Name == name {
			return &st.Steps[i]
		}
	}
	require.Fail(t, "no such step", "%s %s", stage, name)
	return nil
}

// in counts the open batches at a stage, and how many of them are in a state of its window.
func in(state *kitchen.State, now stamp.Milli, stage string, want window.State) (all, some int) {
	for i := range state.Batches {
		b := &state.Batches[i]
		if b.Status != kitchen.Open || b.Stage != stage {
			continue
		}
		all++
		w := state.Window(b)
		if window.At(&w, now.Since(b.Since)) == want {
			some++
		}
	}
	return all, some
}

// Whenever the demo is opened, it is the same moment of the shift.
func TestMidShiftWheneverItIsOpened(t *testing.T) {
	for i := range stamp.Span(25) { // every hour of the day, many days and minutes
		now := noon.Add((i - 12) * (15*24*h + h + 7*m + 13*s))
		state := fold(t, mustEntries(t, now))
		for stage, want := range map[string]struct {
			all, some int
			state     window.State
		}{
			"marinate": {2, 2, window.TooSoon}, "drain": {1, 1, window.Ready}, "set": {4, 3, window.Best},
			"cook": {2, 1, window.LastCall}, "hold": {4, 1, window.Past},
		} {
			all, some := in(state, now, stage, want.state)
			require.Equal(t, want.all, all, stage)
			require.Equal(t, want.some, some, stage)
		}
		for _, fryer := range []string{"fryer-1", "fryer-2"} {
			require.Len(t, state.In(fryer), 1, fryer)
		}
		open := 0
		for _, d := range state.Deviations {
			if !d.Closed {
				open++
				require.Equal(t, kitchen.DevReadingOff, d.Code)
				require.EqualValues(t, 54_800, d.Number)
			}
		}
		require.Equal(t, 1, open)
		require.Len(t, state.Timers, 1)
		for _, b := range kitchen.Bells(state, now, h) {
			require.False(t, b.Ringing, "the first look is at the line, not at a ring")
		}
		day, clock := state.Wall(now)
		require.GreaterOrEqual(t, clock, 11*h+5*m)
		require.Less(t, clock, 12*h+5*m)
		require.True(t, state.Run("opening", day).Closed)
		require.Empty(t, state.MissingOf(state.List("opening"), day))
		require.Len(t, state.Run("cleaning", day).Steps, 3)
		require.True(t, state.Run("closing", day-1).Closed)
	}
}

func TestSameSeedSameEntries(t *testing.T) {
	a, b := mustEntries(t, noon), mustEntries(t, noon)
	require.Equal(t, a, b)
	other, err := Entries(noon, [32]byte{8})
	require.NoError(t, err)
	require.Len(t, other, len(a))
	require.NotEqual(t, a[0].ID, other[0].ID)
	ids := map[entry.ID]bool{}
	for i := range a {
		require.False(t, ids[a[i].ID], "every entry has an id of its own")
		ids[a[i].ID] = true
		require.LessOrEqual(t, a[i].At.At, noon, "nothing is in the future")
		require.Equal(t, device, a[i].At.Device)
		back, err := entry.ReadRecord(entry.AppendRecord(nil, &a[i]))
		require.NoError(t, err)
		require.Equal(t, a[i], back)
	}
}

// A tray can be traced to the supplier's lot, and no gram or piece appears from nowhere.
func TestAncestryAndAmounts(t *testing.T) {
	state := fold(t, mustEntries(t, noon))
	traced := 0
	for i := range state.Batches {
		b := &state.Batches[i]
		require.LessOrEqual(t, b.Pieces+b.Sold+b.Wasted, b.InPieces, b.Code)
		if b.Stage != "hold" || b.Procedure != "bone-in" {
			continue
		}
		lots := map[string]bool{}
		for up := []entry.ID{b.ID}; len(up) > 0; up = up[1:] {
			p := state.Batch(up[0])
			require.NotNil(t, p)
			for _, lot := range p.Lots {
				lots[lot] = true
			}
			up = append(up, p.Parents...)
		}
		require.True(t, lots["FR-2609"], b.Code)
		traced++
	}
	require.Equal(t, 6, traced)
}

func TestZoneIsShortlyBeforeTheNoonBoat(t *testing.T) {
	for minute := range 24 * 60 {
		now := stamp.Milli(stamp.Span(minute) * m)
		name, offset, short := Zone(now)
		zone, err := time.LoadLocation(name)
		require.NoError(t, err)
		at := time.UnixMilli(int64(now)).In(zone)
		_, seconds := at.Zone()
		require.EqualValues(t, offset*60, seconds, "%s is what the time zone database says", name)
		require.NotEmpty(t, short)
		clock := at.Format("15:04")
		require.True(t, clock >= "11:05" && clock < "12:05", "%s in %s", clock, name)
	}
}

func TestEmptyKitchen(t *testing.T) {
	entries := Empty(noon, [32]byte{1}, entry.NamedKitchen{Name: "Own", Zone: "Europe/Berlin", Country: "DE"},
		entry.Offsets{Zone: "Europe/Berlin", List: []entry.Offset{{Minutes: 60, Name: "CET"}}})
	state := fold(t, entries)
	require.Equal(t, "Own", state.Name)
	require.False(t, state.Demo)
	require.Empty(t, state.Documents, "nobody cooks by invented numbers")
	require.EqualValues(t, 60, state.OffsetAt(noon).Minutes)
	ids := uint8(0)
	drafts, refusal := kitchen.Decide(state, &kitchen.Command{Do: kitchen.DoTimer, Name: "Eggs", Span: 7 * m},
		kitchen.Who{Device: "x"}, noon, func() entry.ID { ids++; return entry.ID{ids} })
	require.Nil(t, refusal, "a timer works at once")
	require.Len(t, drafts, 1)
}

func TestPublishedRefusesWhatIsNoDocument(t *testing.T) {
	_, err := Published([]byte(`{"format":"brinebell list 1"}`))
	require.Error(t, err)
}
