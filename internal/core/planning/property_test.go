package planning

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/planner"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
	"brinebell/internal/journaltest"
)

// wellFormed holds a problem against all that whoever plans may rest on.
func wellFormed(t require.TestingT, p *planner.Problem) {
	on := func(at, grid int) bool { return (at-p.Start)%grid == 0 }
	require.LessOrEqual(t, p.Start, p.Open)
	require.Less(t, p.Open, p.Close)
	require.Zero(t, (p.Close-p.Open)%p.Slot)
	require.Less(t, (p.Close-p.Start)/p.Tick, 4000)
	for _, g := range p.Groups {
		for k, w := range g.Windows {
			require.True(t, on(w.From, p.Tick) && on(w.To, p.Tick) && w.From <= w.To && w.Count >= 0, "%+v", w)
			require.True(t, k == 0 || g.Windows[k-1].To <= w.From)
		}
	}
	for _, s := range p.Stations {
		for k, w := range s.Windows {
			require.True(t, on(w.From, p.Block) && on(w.To, p.Block) && w.From < w.To, "%+v", w)
			require.True(t, k == 0 || s.Windows[k-1].To <= w.From, "two windows overlap: %+v", s.Windows)
		}
	}
	for i := range p.Items {
		it := &p.Items[i]
		require.Len(t, it.Demand, (p.Close-p.Open)/p.Slot)
		for _, n := range it.Demand {
			require.GreaterOrEqual(t, n, 0)
		}
		require.Positive(t, it.UnitPieces)
		require.True(t, it.Cook.MaxUnits > 0 && it.Cook.Busy >= it.Cook.Out && it.Cook.Out > 0 && it.Cook.Ready < it.Cook.Hold, "%+v", it.Cook)
		require.True(t, it.Marinate == nil || it.Coat != nil)
	}
	lots := func(list []planner.Lot, longest func(it *planner.Item) int) {
		for k, l := range list {
			require.Positive(t, l.Amount)
			require.LessOrEqual(t, l.Until, p.Start+longest(&p.Items[l.Item]))
			require.GreaterOrEqual(t, l.Until, p.Start)
			if k > 0 && list[k-1].Item == l.Item {
				o := list[k-1]
				require.True(t, o.Ready <= l.Ready && o.Until <= l.Until && o.Best <= l.Best, "out of order: %+v %+v", o, l)
			}
		}
	}
	lots(p.Hot, func(it *planner.Item) int { return it.Cook.Out + it.Cook.Hold })
	lots(p.Coated, func(it *planner.Item) int { return it.Coat.SetMax })
	lots(p.Marinated, func(it *planner.Item) int { return it.Marinate.Max + it.Marinate.Drain })
	seen := map[[2]int]bool{}
	for _, c := range p.Carry {
		stage := 0
		if c.Coated {
			stage = 1
		}
		require.False(t, seen[[2]int{c.Item, stage}])
		seen[[2]int{c.Item, stage}] = true
		require.GreaterOrEqual(t, c.At, p.Close)
		require.Positive(t, c.Units)
	}
}

// acting is a kitchen that does what a plan says, by entries, and asks Decide first.
type acting struct {
	t     require.TestingT
	s     *kitchen.State
	count uint32
	did   int
}

func (a *acting) say(at stamp.Milli, body entry.Body) {
	a.count++
	e := entry.New(entry.NewID(at, [10]byte{7: byte(a.count >> 16), 8: byte(a.count >> 8), 9: byte(a.count)}), stamp.Stamp{At: at, Count: a.count, Device: "z"}, "", body)
	a.s.Apply(&e, kitchen.Amended{})
}

// inTime asks whether the kitchen would let a tap pass as far as windows go.
func (a *acting) inTime(at stamp.Milli, c kitchen.Command) {
	a.did++
	_, r := kitchen.Decide(a.s, &c, kitchen.Who{Device: "z"}, at, func() entry.ID { return entry.ID{} })
	if r != nil {
		require.NotContains(a.t, []kitchen.RefusalCode{kitchen.RefTooSoon, kitchen.RefPastLimit}, r.Code, "%s: %+v", c.Do, *r)
	}
}

// move takes a batch to its next stage.
func (a *acting) move(at stamp.Milli, b entry.ID, to string) {
	x := a.s.Batch(b)
	a.inTime(at, kitchen.Command{Do: kitchen.DoMove, Batch: b, From: x.Stage})
	a.say(at, &entry.Move{Batch: b, From: x.Stage, To: to, Place: x.Place})
}

// takes brings the batches of a lot to where they are taken at an instant, and takes them.
func (a *acting) takes(b *building, shares []Share, at stamp.Milli, into string) {
	for _, share := range shares {
		x := a.s.Batch(share.Batch)
		c, k := b.where(x)
		end := c.coat
		if k >= c.coat {
			end = c.fry
		}
		now := b.now
		for ; k < end-1; k++ {
			next := max(now, x.Since.Add(c.usual(k)))
			switch {
			case k+1 == c.drainAt() && k < c.coat && c.drain > 0:
				next = at.Add(-c.drain)
			case c.p.Stages[k].Kind == procedure.Wait:
				next = max(now, x.Since.Add(c.least(k)))
			}
			a.move(next, x.ID, c.p.Stages[k+1].Name)
			now, x = next, a.s.Batch(share.Batch)
		}
		a.inTime(at, kitchen.Command{Do: kitchen.DoPortion, Batch: x.ID, Place: into})
	}
}

// follow does a plan's first use of each lot of the beginning, as late or as early as the plan has it, and sells what is hot.
func follow(t require.TestingT, s *kitchen.State, now stamp.Milli, day int32, p *planner.Problem, n *Names, x *planner.Plan) int {
	b := &building{s: s, now: now, day: day, eq: s.Equipment(), p: p, n: n}
	did := 0
	uses := func(names [][]Share, from []planner.From, at int, into string) {
		for _, f := range from {
			if !f.Own {
				a := &acting{t: t, s: s.Clone()}
				a.takes(b, names[f.Lot], n.At(at), into)
				did += a.did
			}
		}
	}
	for _, c := range x.Coats {
		uses(n.Marinated, c.From, c.Start, "")
	}
	for _, l := range x.Loads {
		uses(n.Coated, l.From, l.Start, "fryer-1")
	}
	for _, sale := range x.Hot {
		for _, share := range n.Hot[sale.Lot] {
			batch := s.Batch(share.Batch)
			c, k := b.where(batch)
			if k < c.out { // it is in a fryer still
				continue
			}
			a := &acting{t: t, s: s.Clone()}
			for ; k < c.hold; k++ {
				a.say(max(now, n.At(p.Hot[sale.Lot].Ready)), &entry.Move{Batch: batch.ID, From: batch.Stage, To: c.p.Stages[k+1].Name, Place: batch.Place})
				batch = a.s.Batch(batch.ID)
			}
			a.inTime(n.At(p.Open+(sale.Slot+1)*p.Slot), kitchen.Command{Do: kitchen.DoCount, Batch: batch.ID, Count: 1})
			did += a.did
		}
	}
	return did
}

func TestPlansOfRandomKitchensKeepEveryWindow(t *testing.T) {
	made, did, reasons := 0, 0, map[string]int{}
	for seed := range uint64(60) {
		now := noon.Add(stamp.Span(seed*37) * stamp.Minute)
		s := kitchenOf(t, seed, now)
		for _, day := range []int32{s.WallDay(now), s.WallDay(now) + 1} {
			p, n, missing := Problem(s, now, day, Options{})
			if p == nil {
				require.NotEmpty(t, missing)
				continue
			}
			made++
			wellFormed(t, p)
			v := planner.NewSolver(p, seed)
			v.Think(3000)
			x := v.Plan()
			_, broken := planner.Check(p, x)
			require.Empty(t, broken, "seed %d", seed)
			did += follow(t, s, now, day, p, n, x)
			for _, u := range sound(t, p, x, n).Unmet {
				reasons[u.Why.Text]++
			}
		}
	}
	t.Log(made, "plans", did, "taps", reasons)
	require.Greater(t, made, 90)
	require.Greater(t, did, 400)
	for _, why := range []string{"pl.why.late", "pl.why.pays", "pl.why.fryers", "pl.why.nobody", "pl.why.marinade", "pl.why.session"} {
		require.Positive(t, reasons[why], why)
	}
}

// Whatever a journal holds, the problem is one that a planner may rest on.
func TestProblemsOfWildJournals(t *testing.T) {
	made := 0
	for seed := range uint64(24) {
		s := folded(t, journaltest.Random(seed, 100+int(seed)*9))
		for _, after := range []stamp.Span{0, 7 * stamp.Minute, 3*stamp.Hour + 11*stamp.Minute} {
			now := s.Last.At.Add(after)
			for _, day := range []int32{s.WallDay(now), s.WallDay(now) + 1} {
				if p, n, _ := Problem(s, now, day, Options{}); p != nil {
					made++
					wellFormed(t, p)
					v := planner.NewSolver(p, seed)
					v.Think(500)
					sound(t, p, v.Plan(), n)
				}
			}
		}
	}
	require.Greater(t, made, 60)
}

// sound looks whether the rows of a plan say what the plan says.
func sound(t require.TestingT, p *planner.Problem, x *planner.Plan, n *Names) Plan {
	rows := Rows(p, x, n)
	require.Equal(t, x.Cost, rows.Cost)
	require.LessOrEqual(t, rows.Bound, rows.Cost)
	require.Len(t, rows.Drops, len(x.Loads))
	free := map[string]stamp.Milli{}
	for _, d := range rows.Drops {
		require.NotEmpty(t, d.Fryer, "a drop without a fryer")
		require.GreaterOrEqual(t, d.Start, free[d.Fryer], "two loads in %s", d.Fryer)
		free[d.Fryer] = d.Free
		require.True(t, d.Latest >= d.Start && d.Out < d.Ready && d.Ready < d.Until)
		grams := int64(0)
		for _, s := range d.From {
			require.True(t, s.Own >= 0 || !s.Batch.IsZero())
			grams += s.Grams
		}
		require.LessOrEqual(t, grams, d.Grams)
	}
	given := map[entry.ID]int64{}
	for _, c := range rows.Coats {
		for _, s := range c.From {
			given[s.Batch] += s.Grams
		}
	}
	for _, lots := range n.Marinated {
		for _, s := range lots {
			require.LessOrEqual(t, given[s.Batch], s.Grams, "more is coated out of a tub than is in it")
		}
	}
	for _, tub := range rows.Tubs {
		grams := int64(0)
		for _, v := range tub.Vessels {
			grams += v.Grams
			require.Positive(t, v.Water)
			require.Positive(t, v.Concentrate)
		}
		require.Equal(t, tub.Grams, grams)
		require.GreaterOrEqual(t, tub.Latest, tub.Start)
	}
	asked, missed := 0, 0
	for _, s := range rows.Sold {
		asked += s.Asked - s.Sold
	}
	for _, u := range rows.Unmet {
		require.NotEmpty(t, u.Why.Text)
		missed += u.Pieces
	}
	require.Equal(t, asked, missed)
	back := Accepted(Accept(&rows, n, true))
	require.Len(t, back.Drops, len(rows.Drops))
	require.Len(t, back.Coats, len(rows.Coats))
	require.Len(t, back.Tubs, len(rows.Tubs))
	require.Empty(t, Difference(&rows, &rows, nil))
	back.Made = rows.Made
	require.Empty(t, Difference(&back, &rows, nil))
	return rows
}
