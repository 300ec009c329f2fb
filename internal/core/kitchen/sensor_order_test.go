package kitchen_test

import (
	"cmp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
)

// sensedAt is a reading of the cold room's sensor.
type sensedAt struct {
	at     stamp.Milli
	milliC int64
}

// tell puts what a sensor read into the journal, each group of readings as one entry, in this order.
func (k *kit) tell(groups ...[]sensedAt) {
	for _, g := range groups {
		b := &entry.Sensing{Place: "cold-room", Source: "cold-a", From: g[0].at}
		for _, r := range g {
			b.List = append(b.List, entry.Sensed{After: r.at.Since(g[0].at), MilliC: r.milliC})
		}
		k.count++
		k.list = append(k.list, entry.New(k.id(), stamp.Stamp{At: k.now, Count: k.count, Device: "cold-a"}, "", b))
	}
	k.s = fold(k.list)
}

// offs is what was found, without which entry showed it.
type offs struct {
	Excursions []kitchen.Excursion
	Deviations []kitchen.Deviation
	Feeds      []kitchen.Feed
}

func (k *kit) offs() offs {
	o := offs{slices.Clone(k.s.Excursions), slices.Clone(k.s.Deviations), slices.Clone(k.s.Feeds)}
	for i := range o.Excursions {
		require.NotNil(k.t, k.s.Deviation(o.Excursions[i].Key))
		o.Excursions[i].Key = ""
	}
	for i := range o.Deviations {
		o.Deviations[i].Key = ""
	}
	for i := range o.Feeds {
		o.Feeds[i].Run.Key = ""
	}
	slices.SortFunc(o.Excursions, func(a, b kitchen.Excursion) int { return cmp.Compare(a.From, b.From) })
	slices.SortFunc(o.Deviations, func(a, b kitchen.Deviation) int {
		return cmp.Or(cmp.Compare(a.Number, b.Number), cmp.Compare(a.Limit, b.Limit))
	})
	return o
}

// TestOrderOfPostingChangesNothing: any order and any batching of the same readings gives the same excursions, the same
// deviations and the same of what each batch had of them, through a change of the limit and of the allowance.
func TestOrderOfPostingChangesNothing(t *testing.T) {
	found, split := 0, 0
	for seed := range uint64(120) {
		chance := chance(seed)
		start := func() *kit {
			k := newKit(t)
			k.tub()
			k.wait(2 * stamp.Hour)
			k.tub()
			eq := equipmentDoc(2)
			eq.Text = strings.Replace(eq.Text, `"every": "PT4H"`, `"every": "PT4H", "allow": "PT10M"`, 1)
			eq.Text = strings.Replace(eq.Text, `"max": "4 Cel"`, `"max": "3 Cel"`, 1)
			if seed%2 == 1 {
				k.say(&eq)
			}
			k.wait(4 * stamp.Hour)
			return k
		}
		once := start()
		var all []sensedAt
		at := once.now.Add(-6 * stamp.Hour)
		for range 2 + chance.Below(40) {
			at = at.Add(stamp.Span(chance.Below(15)) * stamp.Minute) // two may be of one instant
			if at > once.now {
				break
			}
			all = append(all, sensedAt{at, int64(chance.Below(6000) + 1000)})
		}
		once.tell(all)
		want := once.offs()
		found += len(want.Excursions)

		backwards := start()
		for i := range all {
			backwards.tell(all[len(all)-1-i : len(all)-i])
		}
		require.Equal(t, want, backwards.offs(), "seed %d, newest first", seed)

		mixed, left := start(), slices.Clone(all)
		var groups [][]sensedAt
		for len(left) > 0 {
			var g []sensedAt
			for range min(1+chance.Below(4), len(left)) {
				i := chance.Below(len(left))
				g, left = append(g, left[i]), slices.Delete(left, i, i+1)
			}
			groups = append(groups, g)
			if chance.One(4) {
				groups = append(groups, g) // told twice
			}
		}
		longest := stamp.Span(0)
		for _, g := range groups {
			mixed.tell(g)
			for _, x := range mixed.s.Excursions {
				longest = max(longest, x.Until.Since(x.From))
			}
		}
		for _, x := range want.Excursions {
			longest -= min(longest, x.Until.Since(x.From))
		}
		if longest > 0 {
			split++
		}
		require.Equal(t, want, mixed.offs(), "seed %d, in any order", seed)
	}
	require.Greater(t, found, 300)
	require.Positive(t, split, "on the way some were longer than all that there were in the end")
}

// TestAnswersOutliveWhatIsToldLater: what somebody has written about an excursion stays, even where later readings show
// that there was none; and an answered one stays as it was answered.
func TestAnswersOutliveWhatIsToldLater(t *testing.T) {
	k := newKit(t)
	k.wait(4 * stamp.Hour)
	ago := func(minutes int) stamp.Milli { return k.now.Add(-stamp.Span(minutes) * stamp.Minute) }
	hot := []sensedAt{{ago(120), 9000}, {ago(60), 3000}, {ago(50), 3000}, {ago(20), 8000}, {ago(0), 8000}}
	within := []sensedAt{{ago(119), 3000}, {ago(19), 3000}}
	k.tell(hot)
	require.Len(t, k.s.Deviations, 2)
	k.crew = "ann"
	for _, d := range k.s.Deviations {
		switch k.s.Excursion(d.Key).From {
		case ago(120):
			k.do(kitchen.Command{Do: kitchen.DoAnswer, Deviation: d.Key, Text: "door shut", Closes: true})
		default:
			k.do(kitchen.Command{Do: kitchen.DoAnswer, Deviation: d.Key, Text: "looked at"})
		}
	}
	was := slices.Clone(k.s.Excursions)
	k.tell(within)
	require.Len(t, k.s.Deviations, 3, "8 degrees before and after the reading within the limit: one goes on, one is new")
	for _, x := range was {
		now := k.s.Excursion(x.Key)
		require.NotNil(t, now)
		if x.From == ago(120) {
			require.Equal(t, x, *now, "it was answered for as it was")
		} else {
			require.Equal(t, ago(19), now.Until)
		}
	}
	k.tell([]sensedAt{{ago(49), 3000}, {ago(20), 7000}})
	require.Len(t, k.s.Deviations, 3)
}

// TestBacklogOfADayNewestFirst: a sensor that was out of touch for a day tells its newest reading first, then one by one.
func TestBacklogOfADayNewestFirst(t *testing.T) {
	k := newKit(t)
	k.wait(24 * stamp.Hour)
	var groups [][]sensedAt
	for i := range 288 {
		c := int64(3000)
		if i >= 100 && i < 112 {
			c = 7000
		}
		groups = append(groups, []sensedAt{{k.now.Add(-stamp.Span(i) * 5 * stamp.Minute), c}})
	}
	k.tell(groups...)
	x := k.s.Excursion(k.off(kitchen.DevExcursion).Key)
	require.Equal(t, k.now.Add(-112*5*stamp.Minute), x.From)
	require.Equal(t, k.now.Add(-99*5*stamp.Minute), x.Until)
	require.Len(t, k.s.Feeds, 1)
}

// TestWhatIsOlderThanAllThatIsKeptStandsByItself: beyond as many readings as a feed keeps, others are looked at by themselves
// and take nothing away.
func TestWhatIsOlderThanAllThatIsKeptStandsByItself(t *testing.T) {
	k := newKit(t)
	k.wait(60 * stamp.Hour)
	var list []sensedAt
	for i := range 2000 {
		list = append(list, sensedAt{k.now.Add(-stamp.Span(2000-i) * stamp.Minute), 9000})
	}
	k.tell(list)
	x := *k.s.Excursion(k.off(kitchen.DevExcursion).Key)
	require.Equal(t, list[0].at, x.From)
	require.Less(t, len(k.s.Append(nil)), 30_000)
	k.tell([]sensedAt{{list[1500].at + 1, 3000}}, []sensedAt{{list[10].at + 1, 3000}, {list[11].at + 1, 9000}, {list[30].at + 1, 9000}})
	require.Equal(t, x, *k.s.Excursion(x.Key), "it began before the readings that are kept")
	require.Len(t, k.s.Feeds, 2)
	require.Len(t, k.s.Excursions, 2)
	k.tell([]sensedAt{{list[20].at + 1, 9500}})
	require.Equal(t, x, *k.s.Excursion(x.Key), "each feed finds its own")
	require.Len(t, k.s.Excursions, 2)
}

// TestReadingsAreHeldAgainstTheLimitOfTheirTime: a backlog that was read before the limit changed is held against the one
// that was in force when it was read.
func TestReadingsAreHeldAgainstTheLimitOfTheirTime(t *testing.T) {
	k := newKit(t)
	k.wait(2 * stamp.Hour)
	eq := equipmentDoc(2)
	eq.Text = strings.Replace(eq.Text, `"max": "4 Cel"`, `"max": "8 Cel"`, 1)
	k.say(&eq)
	changed := k.now
	k.wait(2 * stamp.Hour)
	k.tell([]sensedAt{{changed.Add(-40 * stamp.Minute), 6000}, {changed.Add(-20 * stamp.Minute), 6000},
		{changed.Add(20 * stamp.Minute), 6000}, {changed.Add(40 * stamp.Minute), 9000}, {changed.Add(50 * stamp.Minute), 9000}})
	require.Len(t, k.s.Excursions, 2)
	for _, x := range k.s.Excursions {
		if x.Limit == 4000 {
			require.Equal(t, changed.Add(-20*stamp.Minute), x.Until)
		} else {
			require.Equal(t, int64(8000), x.Limit)
			require.Equal(t, changed.Add(20*stamp.Minute), x.From)
		}
	}
}

// TestACopyKeepsItsOwnReadings: what a sensor tells the copy of a state, the state itself does not hear, nor the other way.
func TestACopyKeepsItsOwnReadings(t *testing.T) {
	k := newKit(t)
	k.wait(4 * stamp.Hour)
	ago := func(minutes int) stamp.Milli { return k.now.Add(-stamp.Span(minutes) * stamp.Minute) }
	k.tell([]sensedAt{{ago(60), 3000}, {ago(50), 3000}, {ago(40), 3000}})
	hears := func(s *kitchen.State, at stamp.Milli, milliC int64) {
		e := entry.New(k.id(), stamp.Stamp{At: k.now, Count: 900, Device: "cold-a"}, "",
			&entry.Sensing{Place: "cold-room", Source: "cold-a", From: at, List: []entry.Sensed{{MilliC: milliC}}})
		s.Apply(&e, kitchen.Amended{})
	}
	for range 3 { // whatever room the list had
		own, other := k.s, k.s.Clone()
		hears(own, ago(30), 1000)
		hears(other, ago(30), 2000)
		hears(own, ago(20), 1001)
		hears(other, ago(20), 2001)
		last := func(s *kitchen.State) []kitchen.Told {
			kept := s.Feed("cold-room", "cold-a").Kept
			return kept[len(kept)-2:]
		}
		require.Equal(t, []kitchen.Told{{At: ago(30), MilliC: 1000}, {At: ago(20), MilliC: 1001}}, last(own))
		require.Equal(t, []kitchen.Told{{At: ago(30), MilliC: 2000}, {At: ago(20), MilliC: 2001}}, last(other))
		k.now = k.now.Add(stamp.Hour)
	}
}

// TestADeviationThatWasNoneGoesUnlessSomebodyWroteAboutIt: a reading that comes late shows that the room was within its limit
// for most of the time.
func TestADeviationThatWasNoneGoesUnlessSomebodyWroteAboutIt(t *testing.T) {
	for _, written := range []bool{false, true} {
		k := newKit(t)
		eq := equipmentDoc(2)
		eq.Text = strings.Replace(eq.Text, `"every": "PT4H"`, `"every": "PT4H", "allow": "PT20M"`, 1)
		k.say(&eq)
		k.wait(4 * stamp.Hour)
		ago := func(minutes int) stamp.Milli { return k.now.Add(-stamp.Span(minutes) * stamp.Minute) }
		k.tell([]sensedAt{{ago(60), 3000}, {ago(50), 9000}, {ago(20), 3000}})
		d := k.off(kitchen.DevExcursion)
		was := *k.s.Excursion(d.Key)
		if k.crew = "ann"; written {
			k.do(kitchen.Command{Do: kitchen.DoAnswer, Deviation: d.Key, Text: "looked into it"})
		}
		k.tell([]sensedAt{{ago(49), 3000}})
		if !written {
			require.Empty(t, k.s.Deviations)
			require.Empty(t, k.s.Excursions)
			continue
		}
		require.Equal(t, int64(40*stamp.Minute), k.off(kitchen.DevExcursion).Number)
		require.Equal(t, was, *k.s.Excursion(d.Key))
	}
}

// TestWhatABatchHadStaysWhenItsHistoryIsGone: hours after a tub was thrown away the state no longer knows where it stood; a
// reading that comes then, of the time when it did, takes nothing of what it had away.
func TestWhatABatchHadStaysWhenItsHistoryIsGone(t *testing.T) {
	k := newKit(t)
	tub := k.tub()
	k.wait(stamp.Hour)
	began := k.now.Add(-stamp.Hour)
	k.tell([]sensedAt{{began, 3000}, {began.Add(10 * stamp.Minute), 9000}, {began.Add(50 * stamp.Minute), 9000}, {k.now, 3000}})
	had := k.s.Excursion(k.off(kitchen.DevExcursion).Key).Used
	require.Len(t, had, 1)
	k.do(kitchen.Command{Do: kitchen.DoDiscard, Batch: tub, Reason: "warm"})
	for range 10 {
		k.wait(stamp.Hour)
		k.say(&entry.Note{Place: "cold-room", Text: "an hour later"})
	}
	if b := k.s.Batch(tub); b != nil {
		require.True(t, b.Thin)
	}
	k.tell([]sensedAt{{began.Add(30 * stamp.Minute), 9000}})
	x := k.s.Excursion(k.off(kitchen.DevExcursion).Key)
	require.Equal(t, had, x.Used)
	require.False(t, x.Before, "it was told of in time")
}
