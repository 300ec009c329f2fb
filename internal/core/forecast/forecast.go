// Package forecast tells from what was sold how much will be asked for: by slot of a day, as a distribution and not a number, and how
// little is known. What was not sold because there was none is no low demand, but a floor.
//
// It reckons with floating-point numbers, as no other package of the ring; what it is handed and what it answers are whole numbers.
package forecast

// Past is one day of one item. Slots are of one length (15 minutes) and counted from the same time of every day.
type Past struct {
	Day     int32 // any count of days
	Weekday uint8 // 0 to 6
	Sold    []int32
	Short   []bool  // there was none at some time of the slot: what was sold is a floor
	Away    []int32 // asked for while there was none
	Event   bool    // the day was not like others: it is left out
}

// Outlook is what a day may bring. Means are in thousandths of pieces by slot.
type Outlook struct {
	Mean    []int64
	Size    int64 // of an hour's negative binomial distribution, in thousandths
	DaySize int64 // of the whole day's
	Days    int   // days behind it
	Same    int   // of them of the same weekday
	Thin    bool  // little is known: fewer than two weeks, or not two days of this weekday
	Scores  []Score
}

// Score is how amounts would have done on days that were not yet known: what this package says beside what the same weekday sold
// a week before and what the average of the days before says.
type Score struct {
	Ratio         Ratio
	Days, Enough  int   // days that can be told; on how many the day's amount was enough
	Hours, Filled int   // the same by hours
	Loss          int64 // pinball loss at the ratio, in thousandths of pieces an hour
	Week, Average int64 // the same of last week's sales and of the average day's
}

// Model is what was learnt of an item.
type Model struct {
	today   int32
	plain   *Model // that takes floors for what was asked for: no floor makes a forecast lower
	slots   int
	past    []seen
	scores  []Score
	days    int
	same    [7]int
	offered [7]bool // false where it was never on offer on that weekday
	first   int     // slot of which anything is known, and the one after the last
	end     int
	vary    float64    // how much weekdays differ: the square of it
	level   float64    // pieces of a usual day, today
	slope   float64    // and how they change with a day
	factor  [7]float64 // of a weekday
	share   [7][]float64
	hour    float64 // one over the size of an hour, and of a day
	day     float64
	doubt   [7]float64 // and what is added for how little is known
}

// seen is a day as it is reckoned with.
type seen struct {
	day     int32
	weekday int
	x       float64   // day, counted from today: below 0
	weight  float64   // less, the longer ago
	asked   []float64 // by slot: what was asked for, as far as it is known
	floor   []float64
	short   []bool
	event   bool
	told    bool // there is something to learn from it
}

// What is thought before anything is known. Common practice, no source: days of a kitchen vary by a fifth, weekdays by a quarter.
const (
	halfLife   = 28.0    // days after which a day counts half
	weekdays   = 0.0625  // square of how much weekdays vary
	dayFirst   = 0.04    // one over the size of a day
	hourFirst  = 0.08    // of an hour
	slopeFirst = 0.00003 // square of how much the level changes in a day
	damp       = 0.9     // of that change, what is left of it a day later
	ownProfile = 300.0   // pieces before a weekday's own profile counts as much as that of all days
	smooth     = 40.0    // pieces before a slot counts as much as its neighbours
	rounds     = 6
)

// Fit learns from past days, in any order. Days from today on are not looked at.
func Fit(past []Past, today int32, slots int) *Model {
	m := &Model{today: today, slots: slots}
	for i := range past {
		p := &past[i]
		if p.Day >= today {
			continue
		}
		m.past = append(m.past, read(p, slots))
		for n := len(m.past) - 1; n > 0 && m.past[n].day < m.past[n-1].day; n-- {
			m.past[n], m.past[n-1] = m.past[n-1], m.past[n]
		}
	}
	m.fit()
	return m
}

// fit learns from m.past. Where something is known as a floor only it learns a second time, taking floors at their word.
func (m *Model) fit() {
	m.learn(m.past)
	short := false
	bare := make([]seen, len(m.past))
	for i, d := range m.past {
		bare[i] = d
		bare[i].short = make([]bool, m.slots)
		for _, s := range d.short {
			short = short || s
		}
	}
	if short {
		m.plain = &Model{today: m.today, slots: m.slots}
		m.plain.learn(bare)
	}
}

func read(p *Past, slots int) seen {
	s := seen{day: p.Day, weekday: int(p.Weekday % 7), event: p.Event, asked: make([]float64, slots), floor: make([]float64, slots),
		short: make([]bool, slots)}
	for n := range slots {
		if n < len(p.Sold) {
			s.floor[n] = float64(min(max(p.Sold[n], 0), most))
		}
		if n < len(p.Away) {
			s.floor[n] += float64(min(max(p.Away[n], 0), most))
		}
		s.short[n] = n < len(p.Short) && p.Short[n]
		s.told = s.told || !s.short[n] || s.floor[n] > 0
	}
	return s
}

// Day is what to expect of a day.
func (m *Model) Day(day int32, weekday uint8) Outlook {
	w := int(weekday % 7)
	o := Outlook{Mean: make([]int64, m.slots), Days: m.days, Same: m.same[w], Thin: m.days < 14 || m.same[w] < 2, Scores: m.scores}
	for n, x := range m.means(day, w) {
		o.Mean[n] = int64(x*thousand + 0.5)
	}
	o.Size, o.DaySize = under(m.hour+m.doubt[w]), under(m.day+m.doubt[w])
	return o
}

// means are those of a day by slot, or nothing where nothing is known.
func (m *Model) means(day int32, w int) []float64 {
	if m.days == 0 || !m.offered[w] {
		return nil
	}
	ahead, left := 0.0, damp
	for range min(max(int(day-m.today), 0), 60) {
		ahead, left = ahead+left, left*damp
	}
	level := min(max(m.level+m.slope*ahead, m.level/2), m.level*2) * m.factor[w]
	out := make([]float64, m.slots)
	for n := range out {
		out[n] = level * m.share[w][n]
	}
	if m.plain != nil {
		for n, x := range m.plain.means(day, w) {
			out[n] = max(out[n], x)
		}
	}
	return out
}
