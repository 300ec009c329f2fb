package forecast

// Ratio is what running out costs beside what throwing away costs: of so many times, how many an amount should be enough.
// The newsvendor's rule: Short / (Short + Over).
type Ratio struct{ Short, Over int64 }

// value is between nothing and nearly always: where nothing is lost by throwing away, 9,999 times of 10,000 will do.
func (r Ratio) value() float64 {
	if r.Short <= 0 {
		return 0
	}
	return min(float64(r.Short)/(float64(r.Short)+float64(max(r.Over, 0))), 0.9999)
}

// Say is the ratio in words: n times of 10, or of 20 or 100 where 10 would say too much.
func (r Ratio) Say() (n, of int) { return say(r.value()) }

func say(p float64) (n, of int) {
	switch {
	case p >= 0.985:
		return 99, 100
	case p >= 0.945:
		return 19, 20
	}
	return max(int(p*10+0.5), 0), 10
}

// slotsOfHour is how many slots are an hour: about what a hot hold lets one cook ahead.
const slotsOfHour = 4

// thousand is the parts of a piece in which means and sizes are told.
const thousand = 1000

// Quantile is the smallest number of pieces that is enough as often as the ratio says. Mean and size are in thousandths; a size of
// nothing is a Poisson distribution.
func Quantile(mean, size int64, ratio Ratio) int {
	return quantile(float64(mean)/thousand, float64(size)/thousand, ratio.value())
}

// Demand is what to be ready for, by slot: of each hour, counted from the first slot, the quantile of the newsvendor's ratio, spread
// as its means are. What is ordered already comes on top.
func Demand(o Outlook, margin, waste int64) []int {
	ratio := Ratio{margin, waste}.value()
	out := make([]int, 0, len(o.Mean))
	for from := 0; from < len(o.Mean); from += slotsOfHour {
		hour := o.Mean[from:min(from+slotsOfHour, len(o.Mean))]
		d := quantile(float64(sum(hour))/thousand, float64(o.Size)/thousand, ratio)
		out = spread(out, d, hour)
	}
	return out
}

// spread puts d pieces into slots in proportion to their means: up to each slot the nearest whole number, a half upwards.
func spread(out []int, d int, means []int64) []int {
	all := sum(means)
	before, so := 0, int64(0)
	for _, m := range means {
		so += m
		n := 0
		if all > 0 {
			n = int((2*int64(d)*so + all) / (2 * all))
		}
		out = append(out, n-before)
		before = n
	}
	return out
}

func sum(list []int64) (all int64) {
	for _, x := range list {
		all += x
	}
	return all
}

// Span is how much is asked for in a span of time: a mean and the size of a negative binomial distribution, in thousandths.
type Span struct{ Mean, Size int64 }

// Span is what the outlook says of the slots from one up to another. Hours of one day are busy or idle together in part: that part
// is told from how days and hours vary.
func (o *Outlook) Span(from, to int) Span {
	from, to = max(from, 0), min(to, len(o.Mean))
	if from >= to {
		return Span{}
	}
	all, squares := 0.0, 0.0  // of the day
	part, squared := 0.0, 0.0 // of the span
	for n := 0; n < len(o.Mean); n += slotsOfHour {
		whole := float64(sum(o.Mean[n:min(n+slotsOfHour, len(o.Mean))]))
		all, squares = all+whole, squares+whole*whole
		if a, b := max(n, from), min(n+slotsOfHour, to); a < b {
			x := float64(sum(o.Mean[a:b]))
			part, squared = part+x, squared+x*x
		}
	}
	if part == 0 {
		return Span{}
	}
	hour, day := over(o.Size), over(o.DaySize)
	even := squares / (all * all) // how much of what hours do for themselves is left in the day
	common := day
	if even < 1 {
		common = min(max((day-even*hour)/(1-even), 0), hour)
	}
	vary := common + (hour-common)*squared/(part*part)
	return Span{int64(part), under(vary)}
}

// Enough is how often, in thousandths, so many pieces are enough for a span.
func (s Span) Enough(pieces int) int {
	return int(upTo(float64(s.Mean)/thousand, float64(s.Size)/thousand, pieces)*thousand + 0.5)
}

// Say is thousandths in words: n times of 10, or of 20 or 100 where 10 would say too much.
func Say(thousandths int) (n, of int) { return say(float64(thousandths) / thousand) }

// Amount is how many are enough for a span as often as the ratio says.
func (s Span) Amount(r Ratio) int { return Quantile(s.Mean, s.Size, r) }

// plus is two spans together, taken to be independent of each other.
func (s Span) plus(t Span) Span {
	a, b := float64(s.Mean), float64(t.Mean)
	if a+b == 0 {
		return Span{}
	}
	return Span{s.Mean + t.Mean, under((a*a*over(s.Size) + b*b*over(t.Size)) / ((a + b) * (a + b)))}
}

// Left is what comes of one too many.
type Left struct {
	Short   int64 // lost for each one that is asked for and not there
	Keep    int64 // lost for each one that the first span leaves over and a later one uses
	Discard int64 // lost for each one that is past its limit before anybody asks for it
}

// Keeping is how many should stand ready for the first of spans, when what it leaves can be used up to the last of them: a tray in the
// hot hold knows one span, a pan or a tub several. One more is ready as long as the chance that it is asked for in the first span is worth
// more than what it costs to keep it and, at last, to throw it away. With one span it is the newsvendor's rule.
func Keeping(spans []Span, c Left) int {
	if len(spans) == 0 || c.Short <= 0 {
		return 0
	}
	first, all := spans[0], spans[0]
	for _, s := range spans[1:] {
		all = all.plus(s)
	}
	sold, used := walkOf(first), walkOf(all)
	for n := range most {
		for sold != nil && int(sold.n) < n {
			sold.next()
			used.next()
		}
		left, never := 1.0, 1.0 // chance that piece n+1 is left by the first span; by all
		if sold != nil {
			left = min(sold.chance(), 1)
		}
		if used != nil {
			never = min(used.chance(), left)
		}
		if float64(c.Short)*(1-left) <= float64(c.Keep)*(left-never)+float64(c.Discard)*never+near || left > 0.9999 {
			return n
		}
	}
	return most
}

func walkOf(s Span) *walk {
	if s.Mean <= 0 {
		return nil
	}
	return newWalk(float64(s.Mean)/thousand, float64(s.Size)/thousand)
}

// over is one over a size in thousandths, under is the way back; no size at all is no more spread than chance alone makes.
func over(size int64) float64 {
	if size <= 0 {
		return 0
	}
	return thousand / float64(size)
}

func under(vary float64) int64 {
	if vary < 1e-9 {
		return 0
	}
	return int64(thousand/vary + 0.5)
}
