package afterwards

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/planner"
)

// problems reads the public problems whose names begin so.
func problems(t *testing.T, names ...string) (list []*planner.Problem) {
	t.Helper()
	for _, name := range names {
		paths, err := filepath.Glob("../../../testdata/plan/" + name + "*.json")
		require.NoError(t, err)
		for _, path := range paths {
			text, err := os.ReadFile(path)
			require.NoError(t, err)
			p, err := planner.Read(text)
			require.NoError(t, err, path)
			list = append(list, p)
		}
	}
	require.NotEmpty(t, list)
	return list
}

// doneOf takes a plan for what was done: what it does not sell somebody asked for in vain.
func doneOf(p *planner.Problem, x *planner.Plan) *Day {
	d := &Day{Problem: p, Done: *WorkOf(x)}
	for i := range p.Items {
		it := Item{Sold: make([]int, len(p.Items[i].Demand)), Away: append([]int(nil), p.Items[i].Demand...), None: make([]int, len(p.Items[i].Demand))}
		sell := func(sells []planner.Sale) {
			for _, s := range sells {
				it.Sold[s.Slot] += s.Pieces
				it.Away[s.Slot] -= s.Pieces
			}
		}
		for _, l := range x.Loads {
			if l.Item == i {
				sell(l.Sells)
			}
		}
		for _, s := range x.Hot {
			if p.Hot[s.Lot].Item == i {
				sell([]planner.Sale{s})
			}
		}
		d.Items = append(d.Items, it)
	}
	return d
}

func think(p *planner.Problem, moves int, seed uint64) *planner.Plan {
	v := planner.NewSolver(p, seed)
	v.Think(moves)
	return v.Plan()
}

// TestHindsightNeverCostsMore takes half-thought plans for what was done. What they cost is what the planner's own check says;
// the best in hindsight never costs more, nor more than a plan thought about for longer; no change makes a plan cost less than
// nothing; and the order in which things were told makes no difference.
func TestHindsightNeverCostsMore(t *testing.T) {
	for _, p := range problems(t, "small", "medium-0001", "cold-room", "no-way") {
		for seed := range uint64(2) {
			x := think(p, 300, seed)
			costs, broken := planner.Check(p, x)
			require.Empty(t, broken)
			d := doneOf(p, x)
			r := LookBack(d, 4000)
			require.Equal(t, costs.Sum(), r.Cost, "%s: what was done", p.ID)
			require.LessOrEqual(t, r.Hindsight, r.Cost, p.ID)
			require.LessOrEqual(t, r.Hindsight, think(p, 4000, 1).Cost, p.ID)
			var all planner.Money
			for i := range r.Items {
				all += r.Items[i].Hindsight.Sum()
				require.Equal(t, p.Items[i].Demand, r.Items[i].Asked)
			}
			require.Equal(t, r.Hindsight, all)

			mixed := *d
			mixed.Done = Work{Loads: shuffled(d.Done.Loads), Coats: shuffled(d.Done.Coats), Marinades: shuffled(d.Done.Marinades)}
			require.Equal(t, r, LookBack(&mixed, 4000), "%s: told in another order", p.ID)
		}
	}
}

func shuffled[T any](list []T) []T {
	out := append([]T(nil), list...)
	rand.New(rand.NewPCG(1, 2)).Shuffle(len(out), func(a, b int) { out[a], out[b] = out[b], out[a] })
	return out
}

// TestAChangeSavesWhatItSays does each change that is named to the work itself and works out the changed day anew.
func TestAChangeSavesWhatItSays(t *testing.T) {
	seen := map[Sort]int{}
	for _, p := range problems(t, "small", "medium", "fryer-dies", "bus", "late-delivery", "cold-room") {
		for seed := range uint64(3) {
			d := doneOf(p, think(p, 60+200*int(seed), seed))
			if seed == 2 {
				tooMuch(p, &d.Done)
			}
			r := newReplay(p, &d.Done)
			before := r.sum()
			last := planner.Money(1 << 60)
			for _, c := range r.changes() {
				require.Positive(t, c.Saves)
				require.LessOrEqual(t, c.Saves, last, "those that save most come first")
				last = c.Saves
				work := changed(p, &d.Done, c)
				after := newReplay(p, work)
				require.Equal(t, c.Saves, before-after.sum(), "%s %+v", p.ID, c)
				for g := range p.Groups {
					for n, taken := range after.use(g) {
						require.LessOrEqual(t, taken, p.Room(g, p.Start+n), "%s %+v: fryers at %d", p.ID, c, p.Start+n)
					}
				}
				seen[c.Sort]++
			}
		}
	}
	for s := range sorts {
		require.NotZero(t, seen[s], "no change of sort %d was ever worth it", s)
	}
	t.Log(seen)
}

// tooMuch starts a tub more and coats more of it wherever that takes no longer.
func tooMuch(p *planner.Problem, w *Work) {
	fits := func(modes []planner.Mode, blocks, amount int) bool {
		for _, m := range modes {
			if m.Blocks == blocks && m.Most >= amount {
				return true
			}
		}
		return false
	}
	for n := range w.Marinades {
		s := &w.Marinades[n]
		if m := p.Items[s.Item].Marinate; fits(m.Modes, s.Blocks, s.Tubs+1) {
			s.Units, s.Tubs = s.Units+m.TubUnits, s.Tubs+1
		}
	}
	for n := range w.Coats {
		s := &w.Coats[n]
		if c := p.Items[s.Item].Coat; p.Items[s.Item].Marinate == nil && fits(c.Modes, s.Blocks, s.Units+1) {
			s.Units++
		}
	}
}

func (r *replay) sum() (m planner.Money) {
	for i := range r.base {
		m += r.base[i].costs.Sum()
	}
	return m
}

// changed does a change to work. What it then has too little of shrinks or goes, as a cook would.
func changed(p *planner.Problem, w *Work, c Change) *Work {
	x := &Work{Loads: append([]Load(nil), w.Loads...), Coats: append([]planner.Session(nil), w.Coats...),
		Marinades: append([]planner.Session(nil), w.Marinades...)}
	it := &p.Items[c.Item]
	session := func(list []planner.Session, at int) *planner.Session {
		for n := range list {
			if list[n].Item == c.Item && list[n].Start == at {
				return &list[n]
			}
		}
		panic("no such session")
	}
	blocks := func(modes []planner.Mode, amount int) int {
		least := 1 << 30
		for _, m := range modes {
			if m.Most >= amount {
				least = min(least, m.Blocks)
			}
		}
		return least
	}
	load := -1
	for n := range x.Loads {
		if x.Loads[n].Item == c.Item && x.Loads[n].Start == c.At {
			load = n
		}
	}
	switch c.Sort {
	case LoadMore, TubMore:
		x.Loads = append(x.Loads, Load{Item: c.Item, Start: c.At, Units: c.Units})
	case LoadLess:
		x.Loads = without(x.Loads, load)
	case LoadBigger:
		x.Loads[load].Units += c.Units
	case LoadSmaller:
		x.Loads[load].Units -= c.Units
	case LoadEarlier:
		x.Loads[load].Start -= c.By
	case LoadLater:
		x.Loads[load].Start += c.By
	case CoatLess:
		s := session(x.Coats, c.At)
		s.Units -= c.Units
		s.Blocks = min(s.Blocks, blocks(it.Coat.Modes, s.Units))
	case TubLess:
		s := session(x.Marinades, c.At)
		s.Units, s.Tubs = s.Units-c.Units, s.Tubs-1
		s.Blocks = min(s.Blocks, blocks(it.Marinate.Modes, s.Tubs))
	}
	if c.Coated > 0 {
		s := session(x.Coats, c.Coat)
		s.Units += c.Coated
		s.Blocks = max(s.Blocks, blocks(it.Coat.Modes, s.Units))
	}
	if c.Sort == TubMore {
		s := session(x.Marinades, c.Tub)
		s.Units, s.Tubs = s.Units+min(c.Coated, it.Marinate.TubUnits), s.Tubs+1
		s.Blocks = max(s.Blocks, blocks(it.Marinate.Modes, s.Tubs))
	}
	return supplied(p, x, c.Item)
}

type lot struct{ ready, until, left int }

// take takes one unit of the oldest lot that may be used.
func take(lots []lot, at int) bool {
	for n := range lots {
		if l := &lots[n]; l.left > 0 && l.ready <= at && at <= l.until {
			l.left--
			return true
		}
	}
	return false
}

// supplied makes sessions and loads of an item as small as what there is for them, by a way of its own: unit by unit.
func supplied(p *planner.Problem, x *Work, item int) *Work {
	it := &p.Items[item]
	var tubs, pans []lot
	for _, l := range p.Marinated {
		if l.Item == item {
			tubs = append(tubs, lot{l.Ready, l.Until, l.Amount})
		}
	}
	for _, s := range sorted(x.Marinades, item, func(s *planner.Session) int { return s.Item }, byStart) {
		end := s.Start + it.Marinate.Drain
		if s.Tubs > 0 {
			tubs = append(tubs, lot{end + s.Blocks*p.Block + it.Marinate.Min, end + it.Marinate.Max, s.Units})
		}
	}
	out := &Work{Thrown: x.Thrown}
	for _, s := range x.Marinades {
		if s.Tubs > 0 {
			out.Marinades = append(out.Marinades, s)
		}
	}
	for _, l := range p.Coated {
		if l.Item == item {
			pans = append(pans, lot{l.Ready, l.Until, l.Amount})
		}
	}
	for _, s := range x.Coats {
		if s.Item != item {
			out.Coats = append(out.Coats, s)
		}
	}
	for _, s := range sorted(x.Coats, item, func(s *planner.Session) int { return s.Item }, byStart) {
		got := s.Units
		if it.Marinate != nil {
			got = 0
			for got < s.Units && take(tubs, s.Start) {
				got++
			}
		}
		if s.Units = got; got > 0 {
			out.Coats = append(out.Coats, s)
			pans = append(pans, lot{s.Start + s.Blocks*p.Block + it.Coat.SetMin, s.Start + it.Coat.SetMax, got})
		}
	}
	for _, l := range x.Loads {
		if l.Item != item {
			out.Loads = append(out.Loads, l)
		}
	}
	for _, l := range sorted(x.Loads, item, func(l *Load) int { return l.Item }, loadsByStart) {
		got := l.Units
		if it.Coat != nil {
			got = 0
			for got < l.Units && take(pans, l.Start) {
				got++
			}
		}
		if l.Units = got; got > 0 {
			out.Loads = append(out.Loads, l)
		}
	}
	return out
}

// TestTheReplayIsNoDearerThanThePlan: guests who come one by one can be given all that a plan sells them by whole slots.
func TestTheReplayIsNoDearerThanThePlan(t *testing.T) {
	for _, p := range problems(t, "") {
		if strings.HasPrefix(p.ID, "friday") {
			continue // they take too long for what they would add
		}
		x := think(p, 2000, 3)
		require.LessOrEqual(t, newReplay(p, WorkOf(x)).sum(), x.Cost, p.ID)
	}
}
