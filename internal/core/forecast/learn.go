package forecast

// learn fits the model to days, and fits it again as often as it takes until what was asked for where there was none agrees with it.
func (m *Model) learn(days []seen) {
	use := m.choose(days)
	if len(use) == 0 {
		return
	}
	m.hour, m.day = hourFirst, dayFirst
	floors := m.guess(use)
	for n := range rounds {
		m.levels(use)
		m.shares(use)
		m.spreads(use)
		if !floors && n > 0 {
			break
		}
		if n < rounds-1 {
			m.fill(use)
		}
	}
}

// choose takes the days that something can be learnt from and weighs them by age. A weekday on which it never was on offer, twice or
// more, is not forecast: there was none, nothing was sold and nobody was turned away.
func (m *Model) choose(days []seen) []*seen {
	var use []*seen
	var never [7]int
	m.days, m.same = 0, [7]int{}
	for i := range days {
		d := &days[i]
		if !d.told {
			never[d.weekday]++
		}
		if d.event || !d.told {
			continue
		}
		d.x = float64(d.day - m.today)
		d.weight = exp(ln2 * (d.x + 1) / halfLife)
		use = append(use, d)
		m.days++
		m.same[d.weekday]++
	}
	for w := range m.offered {
		m.offered[w] = m.same[w] > 0 || never[w] < 2
	}
	return use
}

// guess fills what is not known with what other days sold in that slot, to have somewhere to begin. Where no day knows anything of a
// slot between others, as when nothing ever stood in the hold then, it lies between them; before and after them there was no sale.
func (m *Model) guess(use []*seen) (floors bool) {
	m.factor = [7]float64{1, 1, 1, 1, 1, 1, 1}
	usual := make([]float64, m.slots)
	last := -1
	m.first, m.end = m.slots, 0
	for n := range usual {
		known, days, sold := 0.0, 0.0, 0.0
		for _, d := range use {
			if d.short[n] {
				sold, floors = sold+d.floor[n], true
			} else {
				known, days = known+d.floor[n], days+1
			}
		}
		if days > 0 {
			usual[n] = known / days
		} else if sold > 0 {
			usual[n] = sold / float64(len(use))
		} else {
			continue
		}
		for k := last + 1; last >= 0 && k < n; k++ {
			usual[k] = usual[last] + (usual[n]-usual[last])*float64(k-last)/float64(n-last)
		}
		last, m.first, m.end = n, min(m.first, n), n+1
	}
	for _, d := range use {
		copy(d.asked, d.floor)
		for n := range usual {
			if d.short[n] {
				d.asked[n] = max(d.floor[n], usual[n])
			}
		}
	}
	return floors
}

func total(list []float64) (all float64) {
	for _, x := range list {
		all += x
	}
	return all
}

// levels finds the line that the days follow, and how weekdays stand to it. Both are drawn towards "nothing special" where there is
// little to tell it from.
func (m *Model) levels(use []*seen) {
	for range 3 {
		m.line(use)
		m.compare(use)
	}
}

// line is that of least squares through the days, each weighed by its age and its weekday's part.
func (m *Model) line(use []*seen) {
	var all, middle, sold float64
	for _, d := range use {
		v := d.weight * max(m.factor[d.weekday], 1e-6)
		all, middle, sold = all+v, middle+v*d.x, sold+d.weight*total(d.asked)
	}
	middle /= all
	mean := sold / all
	var squares, products float64
	for _, d := range use {
		f := max(m.factor[d.weekday], 1e-6)
		squares += d.weight * f * (d.x - middle) * (d.x - middle)
		products += d.weight * (d.x - middle) * (total(d.asked) - mean*f)
	}
	m.slope = products / (squares + m.noise(mean)/slopeFirst)
	m.level = min(max(mean-m.slope*middle, mean/2), mean*2)
}

// noise is how much a day varies: the square of it to its mean.
func (m *Model) noise(mean float64) float64 { return m.day + 1/max(mean, 1) }

func (m *Model) at(d *seen) float64 { return max(m.level+m.slope*d.x, m.level/4) }

// compare finds the factor of each weekday, and how much weekdays differ at all.
func (m *Model) compare(use []*seen) {
	var sold, level, weight [7]float64
	for _, d := range use {
		sold[d.weekday] += d.weight * total(d.asked)
		level[d.weekday] += d.weight * m.at(d)
		weight[d.weekday] += d.weight
	}
	noise := m.noise(m.level)
	vary, kinds := 2*weekdays, 2.0
	for w := range sold {
		if level[w] > 0 {
			off := sold[w]/level[w] - 1
			vary, kinds = vary+max(off*off-noise/weight[w], 0), kinds+1
		}
	}
	m.vary = max(vary/kinds, 0.001)
	pull := noise / m.vary // as how many days the thought counts that a weekday is like all others
	for w := range m.factor {
		m.factor[w] = 1
		if level[w] > 0 {
			m.factor[w] = (sold[w]/level[w]*weight[w] + pull) / (weight[w] + pull)
		}
		m.doubt[w] = m.vary * pull / (pull + weight[w])
	}
}

// shares finds which part of a day's sales falls into each slot: by weekday, drawn towards all days, and these towards the slots beside.
func (m *Model) shares(use []*seen) {
	all := make([]float64, m.slots)
	var own [7][]float64
	for w := range own {
		own[w] = make([]float64, m.slots)
	}
	for _, d := range use {
		for n, x := range d.asked {
			all[n] += d.weight * x
			own[d.weekday][n] += d.weight * x
		}
	}
	profile := make([]float64, m.slots)
	for n := m.first; n < m.end; n++ {
		sum, parts := 2*all[n], 2.0
		for _, k := range [2]int{n - 1, n + 1} {
			if k >= m.first && k < m.end {
				sum, parts = sum+all[k], parts+1
			}
		}
		profile[n] = sum / parts
	}
	draw(profile, nil, 1)
	draw(profile, all, smooth)
	for w := range own {
		m.share[w] = append(m.share[w][:0], profile...)
		draw(m.share[w], own[w], ownProfile)
	}
}

// draw makes shares of counts and of a profile that counts as so many pieces.
func draw(profile, counts []float64, pieces float64) {
	all := total(counts) + pieces*total(profile)
	for n := range profile {
		if all > 0 {
			profile[n] *= pieces
			if counts != nil {
				profile[n] += counts[n]
			}
			profile[n] /= all
		}
	}
}

// fill puts in place of what was sold while there was none what will have been asked for: no less than was sold, and as busy as the
// rest of that day.
func (m *Model) fill(use []*seen) {
	for _, d := range use {
		level := m.at(d) * m.factor[d.weekday]
		share := m.share[d.weekday]
		sold, thought := 1/m.day, 1/m.day
		for n := range share {
			if !d.short[n] {
				sold, thought = sold+d.floor[n], thought+level*share[n]
			}
		}
		for n := range share {
			if d.short[n] {
				d.asked[n] = atLeast(level*share[n]*sold/thought, 1/m.hour, d.floor[n])
			}
		}
	}
}

// spreads finds how much hours and days vary beyond chance, and how much is not known of the means themselves.
func (m *Model) spreads(use []*seen) {
	weight := [7]float64{}
	all := 0.0
	for _, d := range use {
		weight[d.weekday] += d.weight
		all += d.weight
	}
	hours, days := newVarying(hourFirst), newVarying(dayFirst)
	for _, d := range use {
		level := m.at(d) * m.factor[d.weekday]
		share := m.share[d.weekday]
		pull := m.noise(m.level) / m.vary
		lever := d.weight / (weight[d.weekday] + pull) // of the day on its own mean, and of its hours on their shares
		shape := total(d.asked) * d.weight / (weight[d.weekday]*level + ownProfile)
		whole := true
		for from := 0; from < m.slots; from += slotsOfHour {
			x, mean, known := 0.0, 0.0, true
			for n := from; n < min(from+slotsOfHour, m.slots); n++ {
				x, mean, known = x+d.asked[n], mean+level*share[n], known && !d.short[n]
			}
			if known {
				hours.add(x, mean, max(lever, shape))
			}
			whole = whole && (known || mean == 0)
		}
		if whole {
			days.add(total(d.asked), level, lever)
		}
	}
	m.hour, m.day = hours.value(), days.value()
	m.hour = max(m.hour, m.day/2)
	noise := m.noise(m.level)
	for w := range m.doubt {
		m.doubt[w] += noise / max(all, 0.01)
	}
}

// varying gathers how much counts vary around their means.
type varying struct{ first, sum, weight float64 }

func newVarying(first float64) varying { return varying{first: first} }

// add takes a count with its mean, on which it has itself had some leverage. What is far off counts as no more than three times what
// is usual, so that one strange day does not make all days strange.
func (s *varying) add(x, mean, lever float64) {
	if mean < 0.5 {
		return
	}
	usual := mean + mean*mean*s.first
	off := (x - mean) / (1 - min(lever, 0.8))
	square := min(off*off, 9*usual)
	weight := mean * mean / usual
	s.sum += weight * weight * (square - mean) / (mean * mean) / 2
	s.weight += weight * weight / 2
}

func (s *varying) value() float64 {
	trust := 4 / (s.first * s.first) // the thought before may be wrong by half
	return max((s.sum+trust*s.first)/(s.weight+trust), 0.002)
}
