package forecast

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// drawn is a history of some days with a few slots, any counts, and now and then none left.
func drawn(t *rapid.T) (past []Past, slots int) {
	slots = rapid.IntRange(1, 9).Draw(t, "slots")
	days := rapid.IntRange(1, 30).Draw(t, "days")
	most := rapid.Int32Range(0, 60).Draw(t, "most")
	for d := range days {
		p := Past{Day: int32(d - days), Weekday: uint8(d % 7)}
		for range slots {
			p.Sold = append(p.Sold, rapid.Int32Range(0, most).Draw(t, "sold"))
			p.Short = append(p.Short, rapid.IntRange(0, 5).Draw(t, "short") == 0)
		}
		past = append(past, p)
	}
	return past, slots
}

func TestNothingIsKnownOfNothing(t *testing.T) {
	o := Fit(nil, 100, 4).Day(100, 3)
	require.Equal(t, Outlook{Mean: make([]int64, 4), Thin: true, Size: o.Size, DaySize: o.DaySize}, o)
	require.Equal(t, []int{0, 0, 0, 0}, Demand(o, 3, 1))
	// a day that is no usual one, and one of which nothing is known, are not learnt from
	o = Fit([]Past{{Day: 99, Sold: []int32{9, 9, 9, 9}, Event: true}, {Day: 98, Short: []bool{true, true, true, true}}}, 100, 4).Day(100, 3)
	require.Zero(t, sum(o.Mean))
	require.Zero(t, o.Days)
}

func TestThreeDaysAreLittleAndSaySo(t *testing.T) {
	past := []Past{{Day: 1, Weekday: 1, Sold: []int32{10, 20, 20, 10}}, {Day: 2, Weekday: 2, Sold: []int32{12, 22, 18, 9}}, {Day: 3, Weekday: 3, Sold: []int32{9, 19, 21, 11}}}
	o := Fit(past, 4, 4).Day(4, 4)
	require.True(t, o.Thin)
	require.Equal(t, 3, o.Days)
	require.Equal(t, 0, o.Same)
	require.InDelta(t, 60*thousand, sum(o.Mean), 4*thousand)
	ready := 0
	for _, n := range Demand(o, 3, 1) {
		ready += n
	}
	require.Greater(t, ready, 65, "one who knows little has more ready than the mean")
	// four weeks of the same make it surer
	var long []Past
	for d := range int32(28) {
		p := past[d%3]
		p.Day, p.Weekday = d-24, uint8((d+4)%7)
		long = append(long, p)
	}
	more := Fit(long, 4, 4).Day(4, 4)
	require.False(t, more.Thin)
	require.Greater(t, more.Size, 2*o.Size)
}

func TestWhatNeverWasOnOfferIsNotForecast(t *testing.T) {
	var past []Past
	for d := range int32(21) {
		p := Past{Day: d, Weekday: uint8(d % 7), Sold: []int32{0, 0}, Short: []bool{true, true}}
		if d%7 == 5 {
			p.Sold, p.Short = []int32{20, 30}, []bool{false, false}
		}
		past = append(past, p)
	}
	m := Fit(past, 21, 2)
	require.Zero(t, sum(m.Day(22, 1).Mean), "mushrooms on a Monday")
	friday := m.Day(26, 5)
	require.InDelta(t, 20*thousand, friday.Mean[0], thousand)
	require.InDelta(t, 30*thousand, friday.Mean[1], thousand)
	require.Equal(t, 3, friday.Days)
}

func TestRunningOutIsNoLowDemand(t *testing.T) {
	// forty are asked for at noon; on three days of four the kitchen had 25
	var past []Past
	for d := range int32(28) {
		p := Past{Day: d, Weekday: uint8(d % 7), Sold: []int32{20, 40, 20}, Short: []bool{false, false, false}}
		if d%4 != 0 {
			p.Sold, p.Short = []int32{20, 25, 20}, []bool{false, true, false}
		}
		past = append(past, p)
	}
	noon := Fit(past, 28, 3).Day(28, 0).Mean[1]
	require.InDelta(t, 40*thousand, noon, 4*thousand)
	// those who were turned away are known to have asked
	for d := range past {
		past[d].Short = nil
		if d%4 != 0 {
			past[d].Away = []int32{0, 15, 0}
		}
	}
	require.InDelta(t, 40*thousand, Fit(past, 28, 3).Day(28, 0).Mean[1], thousand)
}

func TestTrendIsDamped(t *testing.T) {
	var past []Past
	for d := range int32(56) {
		past = append(past, Past{Day: d, Weekday: uint8(d % 7), Sold: []int32{100 + d}})
	}
	m := Fit(past, 56, 1)
	at := func(day int32) int64 { return m.Day(day, uint8(day%7)).Mean[0] }
	require.InDelta(t, 156*thousand, at(56), 6*thousand)
	require.Greater(t, at(63), at(56))
	require.Less(t, at(56+364)-at(56), int64(12*thousand), "a year on it has not grown by a year")
}

func TestEventsAreLeftOut(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		past, slots := drawn(t)
		with := slices.Clone(past)
		with = append(with, Past{Day: -3, Weekday: 4, Sold: []int32{900, 900}, Event: true}, Past{Day: 0, Sold: []int32{900}}, Past{Day: 5, Sold: []int32{900}})
		require.Equal(t, Fit(past, 0, slots).Day(0, 3), Fit(with, 0, slots).Day(0, 3), "nor is what has not happened yet")
	})
}

func TestOrderIsNoMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		past, slots := drawn(t)
		mixed := rapid.Permutation(past).Draw(t, "mixed")
		require.Equal(t, Fit(past, 0, slots).Day(1, 2), Fit(mixed, 0, slots).Day(1, 2))
	})
}

func TestMoreOfTheSameIsNoLessSure(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		slots := rapid.IntRange(1, 9).Draw(t, "slots")
		var usual []int32
		for range slots {
			usual = append(usual, rapid.Int32Range(0, 60).Draw(t, "sold"))
		}
		last := Outlook{}
		for days := 1; days <= 56; days++ {
			var past []Past
			for d := -days; d < 0; d++ {
				past = append(past, Past{Day: int32(d), Weekday: uint8((d + 70) % 7), Sold: usual})
			}
			o := Fit(past, 0, slots).Day(0, 0)
			require.GreaterOrEqual(t, o.Size, last.Size, "%d days", days)
			require.GreaterOrEqual(t, o.DaySize, last.DaySize, "%d days", days)
			last = o
		}
	})
}

func TestFloorsNeverLowerAForecast(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		past, slots := drawn(t)
		bare := slices.Clone(past)
		for i := range bare {
			bare[i].Short = nil
		}
		for w := range uint8(7) {
			short, taken := Fit(past, 0, slots).Day(0, w), Fit(bare, 0, slots).Day(0, w)
			for n := range short.Mean {
				if short.Days == taken.Days { // a day of which nothing is known is none on which nothing was asked for
					require.GreaterOrEqual(t, short.Mean[n], taken.Mean[n])
				}
			}
		}
	})
}

func TestTwiceAsMuchIsTwiceAsMuch(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		past, slots := drawn(t)
		k := rapid.Int32Range(2, 6).Draw(t, "times")
		sold := 0
		more := slices.Clone(past)
		for i := range more {
			past[i].Short = nil
			more[i].Short = nil
			more[i].Sold = slices.Clone(more[i].Sold)
			for n := range more[i].Sold {
				sold += int(more[i].Sold[n])
				more[i].Sold[n] *= k
			}
		}
		if sold < 20*len(past) {
			return // what chance does to small counts is no matter of scale
		}
		a, b := sum(Fit(past, 0, slots).Day(0, 0).Mean), sum(Fit(more, 0, slots).Day(0, 0).Mean)
		require.InEpsilon(t, float64(a)*float64(k), float64(b), 0.25)
	})
}

func TestQuantilesAreInOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		mean, size := rapid.Int64Range(0, 900_000).Draw(t, "mean"), rapid.Int64Range(0, 200_000).Draw(t, "size")
		short, over := rapid.Int64Range(0, 1000).Draw(t, "short"), rapid.Int64Range(1, 1000).Draw(t, "over")
		q := Quantile(mean, size, Ratio{short, over})
		require.LessOrEqual(t, q, Quantile(mean, size, Ratio{short + rapid.Int64Range(0, 99).Draw(t, "more short"), over}))
		require.LessOrEqual(t, q, Quantile(mean+rapid.Int64Range(0, 9000).Draw(t, "more"), size, Ratio{short, over}))
		require.GreaterOrEqual(t, q, Quantile(mean, size, Ratio{short, over + rapid.Int64Range(0, 99).Draw(t, "more over")}))
		if short > 0 && mean > 0 {
			p := Ratio{short, over}.value()
			require.GreaterOrEqual(t, upTo(float64(mean)/thousand, float64(size)/thousand, q), p-near)
			require.Less(t, upTo(float64(mean)/thousand, float64(size)/thousand, q-1), p)
		}
	})
}

func TestDemandOfAnHourIsItsQuantile(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		past, slots := drawn(t)
		o := Fit(past, 0, slots).Day(0, 0)
		margin, waste := rapid.Int64Range(0, 900).Draw(t, "margin"), rapid.Int64Range(0, 900).Draw(t, "waste")
		ready := Demand(o, margin, waste)
		require.Len(t, ready, slots)
		for from := 0; from < slots; from += slotsOfHour {
			to := min(from+slotsOfHour, slots)
			all := 0
			for _, n := range ready[from:to] {
				require.GreaterOrEqual(t, n, 0)
				all += n
			}
			require.Equal(t, Quantile(sum(o.Mean[from:to]), o.Size, Ratio{margin, waste}), all)
		}
		whole := o.Span(0, slots)
		require.InDelta(t, sum(o.Mean), whole.Mean, 1)
		if whole.Mean > 1000 && slots > slotsOfHour {
			require.GreaterOrEqual(t, whole.Size, min(o.Size, o.DaySize)-1)
			require.LessOrEqual(t, whole.Size, max(o.Size, o.DaySize)+1)
			hour := o.Span(0, slotsOfHour)
			if hour.Mean > 0 {
				require.InEpsilon(t, float64(o.Size), float64(hour.Size), 0.02, "an hour is as sure as it says")
			}
		}
	})
}

func TestWhatKeepsMayBeMore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var spans []Span
		for range rapid.IntRange(1, 4).Draw(t, "spans") {
			spans = append(spans, Span{rapid.Int64Range(500, 90_000).Draw(t, "mean"), rapid.Int64Range(500, 50_000).Draw(t, "size")})
		}
		short, discard := rapid.Int64Range(1, 500).Draw(t, "short"), rapid.Int64Range(1, 500).Draw(t, "discard")
		keep := rapid.Int64Range(0, discard).Draw(t, "keep")
		n := Keeping(spans, Left{short, keep, discard})
		one := Keeping(spans[:1], Left{short, keep, discard})
		require.Equal(t, Quantile(spans[0].Mean, spans[0].Size, Ratio{short, discard}), one, "the newsvendor's rule")
		require.GreaterOrEqual(t, n, one, "what a later day can use costs less to have over")
		require.Equal(t, one, Keeping(spans, Left{short, discard, discard}), "unless keeping costs as much as throwing away")
		require.LessOrEqual(t, n, Keeping(spans, Left{short + 50, keep, discard}))
		require.GreaterOrEqual(t, n, Keeping(spans, Left{short, min(keep+20, discard), discard}))
	})
}

func TestServiceLevelInWords(t *testing.T) {
	for _, c := range []struct {
		r     Ratio
		n, of int
	}{{Ratio{3, 1}, 8, 10}, {Ratio{9, 1}, 9, 10}, {Ratio{1, 1}, 5, 10}, {Ratio{19, 1}, 19, 20}, {Ratio{99, 1}, 99, 100}, {Ratio{1, 0}, 99, 100}, {Ratio{0, 1}, 0, 10}} {
		n, of := c.r.Say()
		require.Equal(t, [2]int{c.n, c.of}, [2]int{n, of}, c.r)
	}
	o := Outlook{Mean: []int64{10_000, 10_000, 15_000, 15_000}, Size: 10_000, DaySize: 10_000}
	s := o.Span(0, 4)
	require.Equal(t, Span{50_000, 10_000}, s)
	require.Equal(t, 60, s.Amount(Ratio{3, 1})) // published: size 10, mean 50
	require.GreaterOrEqual(t, s.Enough(60), 750)
	require.Less(t, s.Enough(59), 750)
	n, of := Say(s.Enough(73))
	require.Equal(t, [2]int{9, 10}, [2]int{n, of})
}

func TestScores(t *testing.T) {
	ours, week, average, days, enough, hours, filled := int64(0), int64(0), int64(0), 0, 0, 0, 0
	for seed := range uint64(12) {
		k := newKnown(seed + 100)
		m := Fit(k.pastOf(56, seed%2 == 0), 0, knownSlots)
		require.Empty(t, m.Day(0, 0).Scores)
		s := m.Score(Ratio{3, 1}, Ratio{9, 1})
		require.Equal(t, s, m.Day(0, 0).Scores)
		require.Len(t, s, 2)
		require.Equal(t, Ratio{9, 1}, s[1].Ratio)
		require.GreaterOrEqual(t, s[1].Filled*s[0].Hours, s[0].Filled*s[1].Hours, "more is more often enough")
		require.LessOrEqual(t, s[0].Days, scored)
		require.LessOrEqual(t, s[0].Enough, s[0].Days)
		ours, week, average = ours+s[0].Loss, week+s[0].Week, average+s[0].Average
		days, enough, hours, filled = days+s[1].Days, enough+s[1].Enough, hours+s[1].Hours, filled+s[1].Filled
	}
	require.Less(t, float64(ours), float64(week)*0.8)
	require.Less(t, float64(ours), float64(average)*0.9)
	require.Greater(t, hours, 2000)
	require.InDelta(t, 0.9, float64(filled)/float64(hours), 0.06)
	require.Greater(t, enough*10, days*9)
	require.Zero(t, Fit(nil, 0, 4).Score(Ratio{3, 1})[0].Hours)
}

func TestAbsurdCountsDoNotHoldAnybodyUp(t *testing.T) {
	past := []Past{{Day: 1, Sold: []int32{1 << 30, 3}, Short: []bool{true, false}}, {Day: 2, Sold: []int32{4, -9}, Short: []bool{false, true}}, {Day: 3, Sold: []int32{4}}}
	o := Fit(past, 4, 2).Day(1<<30, 255)
	require.Len(t, Demand(o, 1, 1), 2)
	require.Less(t, Demand(o, 1<<60, 0)[0], most+1)
	require.GreaterOrEqual(t, o.Mean[1], int64(0))
}
