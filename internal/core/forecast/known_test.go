package forecast

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// known is an invented kitchen of which everything is known: means by weekday and slot with four rushes a day, a trend, and how much
// days and hours vary beyond chance.
type known struct {
	r       *rand.Rand
	mean    float64
	trend   float64
	factor  [7]float64
	profile []float64
}

const (
	knownSlots = 44
	knownDay   = 30.0
	knownHour  = 20.0
)

func newKnown(seed uint64) *known {
	k := &known{r: rand.New(rand.NewPCG(seed, 7)), profile: make([]float64, knownSlots)}
	k.mean = 40 + 300*k.r.Float64()
	k.trend = 0.004 * k.r.NormFloat64()
	for w := range k.factor {
		k.factor[w] = math.Exp(0.25 * k.r.NormFloat64())
	}
	for s := range k.profile {
		k.profile[s] = 0.4
		for _, rush := range []float64{3, 18, 30, 38} {
			k.profile[s] += 4 * math.Exp(-(float64(s)-rush)*(float64(s)-rush)/5)
		}
	}
	all := total(k.profile)
	for s := range k.profile {
		k.profile[s] /= all
	}
	return k
}

// gamma draws with mean 1 and one over k as its variance (Marsaglia and Tsang's method, k above 1).
func gamma(r *rand.Rand, k float64) float64 {
	d := k - 1.0/3
	c := 1 / math.Sqrt(9*d)
	for {
		x := r.NormFloat64()
		v := math.Pow(1+c*x, 3)
		if v > 0 && math.Log(r.Float64()) < 0.5*x*x+d-d*v+d*math.Log(v) {
			return d * v / k
		}
	}
}

func poisson(r *rand.Rand, mean float64) int32 {
	least, n, p := math.Exp(-mean), int32(0), r.Float64()
	for p > least {
		p *= r.Float64()
		n++
	}
	return n
}

func (k *known) day(d int32) ([]float64, Past) {
	p := Past{Day: d, Weekday: uint8((d + 700) % 7), Sold: make([]int32, knownSlots), Short: make([]bool, knownSlots)}
	means := make([]float64, knownSlots)
	busy, hour := gamma(k.r, knownDay), 1.0
	for s := range means {
		if s%slotsOfHour == 0 {
			hour = gamma(k.r, knownHour)
		}
		means[s] = k.mean * math.Exp(k.trend*float64(d)) * k.factor[p.Weekday] * k.profile[s]
		p.Sold[s] = poisson(k.r, means[s]*busy*hour)
	}
	return means, p
}

// runOut is what a kitchen sells that has in each span of slots no more than a part of their mean.
func runOut(means []float64, p *Past, span int, part float64) {
	have := 0.0
	for s := range means {
		if s%span == 0 {
			have = math.Round(part * total(means[s:min(s+span, len(means))]))
		}
		if float64(p.Sold[s]) >= have {
			p.Sold[s], p.Short[s] = int32(have), true
		}
		have -= float64(p.Sold[s])
	}
}

// pastOf is so many days before day 0.
func (k *known) pastOf(days int, short bool) []Past {
	var past []Past
	for d := -days; d < 0; d++ {
		means, p := k.day(int32(d))
		if short {
			runOut(means, &p, 8, 1)
		}
		past = append(past, p)
	}
	return past
}

// Amounts made from weeks of history lose little against those of whoever knows the truth, and much less than last week's sales do.
func TestKnownKitchens(t *testing.T) {
	for _, c := range []struct {
		days  int
		short bool
		most  float64 // of the loss of who knows the truth
	}{{3, false, 1.6}, {7, false, 1.4}, {28, false, 1.2}, {56, false, 1.15}, {3, true, 1.6}, {28, true, 1.2}, {56, true, 1.15}} {
		var ours, truth, week, hours, enough, forecast, means float64
		for seed := range uint64(40) {
			k := newKnown(seed)
			past := k.pastOf(c.days, c.short)
			m := Fit(past, 0, knownSlots)
			for d := range int32(4) {
				mean, p := k.day(d)
				o := m.Day(d, p.Weekday)
				ready := Demand(o, 3, 1)
				forecast, means = forecast+float64(sum(o.Mean))/thousand, means+total(mean)
				for from := 0; from < knownSlots; from += slotsOfHour {
					x, q, before := 0.0, 0.0, 0.0
					for s := from; s < from+slotsOfHour; s++ {
						x, q = x+float64(p.Sold[s]), q+float64(ready[s])
						if c.days >= 7 {
							before += float64(past[c.days-7+int(d)].Sold[s])
						}
					}
					ours += pinball(x, q, 0.75)
					week += pinball(x, before, 0.75)
					truth += pinball(x, float64(quantile(total(mean[from:from+slotsOfHour]), 1/(1/knownDay+1/knownHour), 0.75)), 0.75)
					hours++
					if q >= x {
						enough++
					}
				}
			}
		}
		t.Logf("%2d days, short %v: %.3f of the truth's loss (last week's sales %.3f), enough in %.3f of hours, mean %.3f", c.days, c.short,
			ours/truth, week/truth, enough/hours, forecast/means)
		require.Less(t, ours, truth*c.most)
		require.Less(t, ours, week*0.85)
		require.InDelta(t, 0.75, enough/hours, 0.06)
		require.InDelta(t, 1, forecast/means, 0.1)
	}
}

// BenchmarkFit learns eight weeks of quarters of an hour in which there was often none left.
func BenchmarkFit(b *testing.B) {
	past := newKnown(3).pastOf(56, true)
	for b.Loop() {
		Fit(past, 0, knownSlots).Day(0, 1)
	}
}

func BenchmarkScore(b *testing.B) {
	m := Fit(newKnown(3).pastOf(56, true), 0, knownSlots)
	for b.Loop() {
		m.Score(Ratio{3, 1})
	}
}

// However little a kitchen has ready, what would have been asked for is found again but for a few in a hundred.
func TestKitchensThatOftenRunOut(t *testing.T) {
	for _, c := range []struct {
		span int
		part float64
	}{{8, 1}, {4, 1}, {4, 0.8}, {2, 0.9}, {1, 1}} {
		found, sold, asked := 0.0, 0.0, 0.0
		for seed := range uint64(30) {
			k := newKnown(seed)
			var past []Past
			for d := int32(-42); d < 0; d++ {
				means, p := k.day(d)
				asked += float64(sumOf(p.Sold))
				runOut(means, &p, c.span, c.part)
				sold += float64(sumOf(p.Sold))
				past = append(past, p)
			}
			m := Fit(past, 0, knownSlots)
			for d := range int32(7) {
				mean, p := k.day(d)
				found += float64(sum(m.Day(d, p.Weekday).Mean)) / thousand / total(mean) / 7 / 30
			}
		}
		t.Logf("ready for %v of %d slots: sold %.3f of what was asked for, found %.3f", c.part, c.span, sold/asked, found)
		require.InDelta(t, 1, found, 0.08)
		require.Less(t, math.Abs(1-found), 0.4*(1-sold/asked))
	}
}

func sumOf(list []int32) (all int32) {
	for _, x := range list {
		all += x
	}
	return all
}
