package planning

import (
	"cmp"
	"slices"
	"strings"

	"brinebell/internal/core/order"
	"brinebell/internal/core/stamp"
)

// Change is something that happened since a plan was taken on, and what of the plan it may have to do with.
type Change struct {
	Say
	Item    string // empty: all
	Fryer   string
	Station string
	Deeds   [3]bool // drops, coats, tubs
}

// act is a row of a plan as it is compared.
type act struct {
	deed          int // 0 drop, 1 coat, 2 tubs
	item, place   string
	at            stamp.Milli
	amount, grams int64 // pieces of a drop, else grams
}

func acts(p *Plan) (list []act) {
	for _, d := range p.Drops {
		list = append(list, act{0, d.Item, d.Fryer, d.Start, int64(d.Pieces), d.Grams})
	}
	for _, c := range p.Coats {
		list = append(list, act{1, c.Item, c.Station, c.Start, c.Grams, c.Grams})
	}
	for _, t := range p.Tubs {
		list = append(list, act{2, t.Item, t.Station, t.Start, t.Grams, t.Grams})
	}
	order.Stable(list, func(a, b act) int { return cmp.Compare(a.at, b.at) })
	return list
}

// moved is how far apart two rows may lie that are told as one that moved.
const moved = 2 * stamp.Hour

// nearby is how soon a drop must be for its fryer to matter: by then another may be free.
const nearby = stamp.Hour

// Difference tells in sentences, by time, what a plan does otherwise than the one before, and why as far as something that happened
// since has to do with it. What the one before did before the other begins is no difference.
func Difference(last, next *Plan, changes []Change) []Say {
	before, now := acts(last), acts(next)
	for i := len(before) - 1; i >= 0; i-- {
		if before[i].at < next.Made.Add(-moved) {
			before = append(before[:i], before[i+1:]...)
		}
	}
	pair := make([]int, len(now)) // of each row now, that before; -1: none
	gone := make([]bool, len(before))
	for i := range pair {
		pair[i] = -1
	}
	match := func(alike func(a, b *act) bool) {
		for i := range now {
			for k := range before {
				if pair[i] < 0 && !gone[k] && now[i].deed == before[k].deed && now[i].item == before[k].item && alike(&now[i], &before[k]) {
					pair[i], gone[k] = k, true
				}
			}
		}
	}
	match(func(a, b *act) bool { return a.at == b.at && a.amount == b.amount })
	match(func(a, b *act) bool { return a.at == b.at })
	match(func(a, b *act) bool { return a.amount == b.amount && far(a, b) <= moved/4 })
	match(func(a, b *act) bool { return far(a, b) <= moved })
	type told struct {
		at  stamp.Milli
		say Say
	}
	var list []told
	for i := range now {
		var old *act
		if pair[i] >= 0 {
			old = &before[pair[i]]
		}
		if say := differs(old, &now[i]); say.Text != "" && (old == nil || old.at != now[i].at || old.amount != now[i].amount || now[i].at.Since(next.Made) <= nearby) {
			list = append(list, told{now[i].at, because(say, old, &now[i], changes)})
		}
	}
	for k := range before {
		if !gone[k] {
			list = append(list, told{before[k].at, because(differs(&before[k], nil), &before[k], &before[k], changes)})
		}
	}
	order.Stable(list, func(a, b told) int { return cmp.Compare(a.at, b.at) })
	var out []Say
	for _, t := range list {
		out = append(out, t.say)
	}
	return out
}

func far(a, b *act) stamp.Span { return max(a.at.Since(b.at), b.at.Since(a.at)) }

// differs says how a row differs from the one before; nothing when it does not.
func differs(old, now *act) (s Say) {
	x := now
	if now == nil {
		x = old
	}
	much := func(name string, a *act) Arg {
		if a.deed == 0 {
			return Arg{Name: name, Kind: ArgPieces, N: a.amount, S: a.item}
		}
		return Arg{Name: name, Kind: ArgGrams, N: a.amount}
	}
	s.Args = []Arg{much("amount", x), {Name: "item", Kind: ArgItem, S: x.item}, {Name: "time", Kind: ArgTime, N: int64(x.at)}}
	deed := "pl.diff." + [3]string{"drop", "coat", "tub"}[x.deed]
	switch {
	case now == nil:
		s.Text = deed + ".gone"
	case old == nil:
		s.Text = deed + ".new"
	case old.at != now.at && old.amount != now.amount:
		s.Text = deed + ".both"
		s.Args = append(s.Args, Arg{Name: "was", Kind: ArgTime, N: int64(old.at)}, much("before", old))
	case old.at != now.at:
		s.Text = deed + ".time"
		s.Args = append(s.Args, Arg{Name: "was", Kind: ArgTime, N: int64(old.at)})
	case old.amount != now.amount:
		s.Text = deed + ".size"
		s.Args = append(s.Args, much("before", old))
	case old.place != now.place && now.deed == 0:
		s.Text = deed + ".place"
		s.Args = append(s.Args, Arg{Name: "place", Kind: ArgPlace, S: now.place}, Arg{Name: "was", Kind: ArgPlace, S: old.place})
	}
	return s
}

// because puts behind a sentence the first change that has to do with it: what is about this very fryer, station or item before what is
// about all.
func because(s Say, old, now *act, changes []Change) Say {
	best, reason := 0, (*Say)(nil)
	for i := range changes {
		c := &changes[i]
		if !c.Deeds[now.deed] || c.Item != "" && c.Item != now.item || c.Station != "" && c.Station != now.place {
			continue
		}
		score := 1
		if c.Item != "" || c.Station != "" {
			score = 2
		}
		if c.Fryer != "" {
			if score = 1; old != nil && old.place == c.Fryer {
				score = 3
			}
		}
		if score > best {
			best, reason = score, &c.Say
		}
	}
	s.Why = reason
	return s
}

// Told is what a plan does otherwise for one reason.
type Told struct {
	Why  *Say // nil: none is known
	Says []Say
}

// Sum tells differences in few sentences, by reason: rows of one deed that change alike are told in one, with their number and the first of
// them.
func Sum(list []Say) (all []Told) {
	for _, s := range list {
		k := slices.IndexFunc(all, func(t Told) bool { return t.Why.is(s.Why) })
		if k < 0 {
			k, all = len(all), append(all, Told{Why: s.Why})
		}
		t := &all[k]
		s.Why = nil
		m := slices.IndexFunc(t.Says, func(o Say) bool { return manner(&o) == manner(&s) })
		if m < 0 {
			t.Says = append(t.Says, s)
			continue
		}
		o := &t.Says[m]
		if strings.HasPrefix(o.Text, "pl.diff.") {
			deed, how, _ := strings.Cut(o.Text[len("pl.diff."):], ".")
			if how == "both" {
				how = "time"
			}
			o.Text, o.Args = "pl.sum."+deed+"."+how, append([]Arg{{Name: "n", N: 1}}, o.Args...)
		}
		o.Args[0].N++
	}
	return all
}

// manner is what differences that are told together have in common: the deed and how it changes, and the fryer that others go into.
func manner(s *Say) string {
	name := strings.TrimPrefix(strings.TrimPrefix(s.Text, "pl.diff."), "pl.sum.")
	for _, a := range s.Args {
		if a.Name == "place" {
			name += " " + a.S
		}
	}
	return strings.Replace(name, ".both", ".time", 1)
}

// is tells whether two sentences are one.
func (s *Say) is(o *Say) bool {
	return s == o || s != nil && o != nil && s.Text == o.Text && slices.Equal(s.Args, o.Args)
}
