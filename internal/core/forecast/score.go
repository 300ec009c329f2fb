package forecast

// scored is of how many of the last days a score tells, and before the first of them a few must be known.
const (
	scored = 28
	begin  = 3
)

// Score forecasts each of the last days from what was known before it, and keeps for the outlooks made from now on how that would
// have done. It learns as often as there are days: not for a moment that somebody waits for.
func (m *Model) Score(ratios ...Ratio) []Score {
	m.scores = make([]Score, len(ratios))
	counts := make([]scoring, len(ratios))
	for i := max(begin, len(m.past)-scored); i < len(m.past); i++ {
		d := &m.past[i]
		if d.event || !d.told {
			continue
		}
		then := &Model{today: d.day, slots: m.slots, past: m.past[:i]}
		then.fit()
		if then.days < begin {
			continue
		}
		o := then.Day(d.day, uint8(d.weekday))
		for k, r := range ratios {
			counts[k].day(m, i, Demand(o, r.Short, r.Over), r.value())
		}
	}
	for k, r := range ratios {
		m.scores[k] = counts[k].Score
		m.scores[k].Ratio = r
		if n := counts[k].compared; n > 0 {
			for j, to := range [3]*int64{&m.scores[k].Loss, &m.scores[k].Week, &m.scores[k].Average} {
				*to = int64(counts[k].loss[j]/n*thousand + 0.5)
			}
		}
	}
	return m.scores
}

// scoring adds up a score. Where there was none it is only known whether an amount was too little.
type scoring struct {
	Score
	loss     [3]float64
	compared float64 // hours for which all three have an amount
}

func (s *scoring) day(m *Model, i int, ready []int, ratio float64) {
	d := &m.past[i]
	week := m.dayBefore(i, d.day-7)
	amount, sold, known := 0, 0.0, true
	for from := 0; from < m.slots; from += slotsOfHour {
		to := min(from+slotsOfHour, m.slots)
		q, x, open := 0, 0.0, true
		for n := from; n < to; n++ {
			q, x, open = q+ready[n], x+d.floor[n], open && !d.short[n]
		}
		amount, sold, known = amount+q, sold+x, known && (open || q == 0 && x == 0)
		if q == 0 && x == 0 {
			continue // closed
		}
		if open || x > float64(q) {
			s.Hours++
			if float64(q) >= x {
				s.Filled++
			}
		}
		if open && week != nil {
			s.compared++
			s.loss[0] += pinball(x, float64(q), ratio)
			s.loss[1] += pinball(x, total(week.floor[from:to]), ratio)
			s.loss[2] += pinball(x, m.usual(i, from, to), ratio)
		}
	}
	if known || sold > float64(amount) {
		s.Days++
		if float64(amount) >= sold {
			s.Enough++
		}
	}
}

func (m *Model) dayBefore(i int, day int32) *seen {
	for k := range i {
		if m.past[k].day == day && m.past[k].told {
			return &m.past[k]
		}
	}
	return nil
}

// usual is what the days of the four weeks before sold on the average between two slots.
func (m *Model) usual(i, from, to int) float64 {
	sold, days := 0.0, 0.0
	for k := range i {
		if p := &m.past[k]; p.told && p.day >= m.past[i].day-28 {
			sold, days = sold+total(p.floor[from:to]), days+1
		}
	}
	return sold / max(days, 1)
}

// pinball is the loss of an amount that should be enough as often as the ratio says.
func pinball(asked, amount, ratio float64) float64 {
	if asked > amount {
		return ratio * (asked - amount)
	}
	return (1 - ratio) * (amount - asked)
}
