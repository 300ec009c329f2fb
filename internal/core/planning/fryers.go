package planning

import (
	"strconv"

	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/planner"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
)

func itoa(n int) string { return strconv.Itoa(n) }

// group returns the number of the group of a kind of fryer, and makes it.
func (b *building) group(kind string) int {
	for i := range b.n.Groups {
		if b.n.Groups[i].Kind == kind {
			return i
		}
	}
	b.n.Groups = append(b.n.Groups, GroupName{Kind: kind})
	b.p.Groups = append(b.p.Groups, planner.Group{Name: kind})
	return len(b.n.Groups) - 1
}

// Minutes for which the fryers are there before the kitchen opens and after it has closed.
const (
	beforeOpen = 2 * 60
	afterClose = 3 * 60
)

// attended is when somebody is there to work at the fryers: at a station, or around the hours in which the kitchen is open.
func (b *building) attended() []span {
	var all []span
	for day := b.today() - 1; day <= b.day; day++ {
		for _, s := range b.hours(b.doc.Open, day) {
			all = append(all, span{s.from - beforeOpen, s.to + afterClose})
		}
		for k := range b.doc.Stations {
			all = append(all, b.manned(&b.doc.Stations[k], day)...)
		}
	}
	return merge(all)
}

// fryers sets which fryers there are, and until when those are taken that hold a load or have just let one go.
func (b *building) fryers() {
	from := b.onGrid(b.upTo(b.now), b.p.Tick)
	to := b.onGrid(b.p.Close+afterClose, b.p.Tick)
	attended := b.attended()
	for g := range b.n.Groups {
		count := 0
		for i := range b.eq.Devices {
			d := &b.eq.Devices[i]
			if d.Kind != b.n.Groups[g].Kind || !b.works(d) {
				continue
			}
			count++
			free := b.upTo(b.freeAt(d))
			if free > from {
				b.p.Busy = append(b.p.Busy, planner.Busy{Group: g, Until: free})
			}
			b.n.Groups[g].Fryers = append(b.n.Groups[g].Fryers, FryerName{Name: d.Name, Free: max(free, from)})
		}
		for n := range max(0, b.o.Fryers) {
			count++
			b.n.Groups[g].Fryers = append(b.n.Groups[g].Fryers, FryerName{Name: "+" + itoa(n+1), Free: from})
		}
		for ; b.o.Fryers < 0 && count > 0 && count > len(b.n.Groups[g].Fryers)+b.o.Fryers; count-- { // the last ones are thought away
			last := b.n.Groups[g].Fryers[count-1]
			if last.Free > from {
				b.unbusy(g, last.Free)
			}
		}
		b.n.Groups[g].Fryers = b.n.Groups[g].Fryers[:count]
		for _, s := range attended {
			if w := (planner.Window{From: max(from, b.onGrid(s.from, b.p.Tick)), To: min(to, b.onGrid(s.to, b.p.Tick)), Count: count}); w.From < w.To {
				b.p.Groups[g].Windows = append(b.p.Groups[g].Windows, w)
			}
		}
	}
}

func (b *building) unbusy(group, until int) {
	for i, x := range b.p.Busy {
		if x.Group == group && x.Until == until {
			b.p.Busy = append(b.p.Busy[:i], b.p.Busy[i+1:]...)
			return
		}
	}
}

// works tells whether a fryer can be counted on, and says so when it can't.
func (b *building) works(d *procedure.Device) bool {
	place := Arg{Name: "place", Kind: ArgPlace, S: d.Name}
	for _, name := range b.o.NoFryer {
		if name == d.Name {
			return false
		}
	}
	if x := b.s.Place(d.Name); x.Out {
		b.miss("pl.miss.out", Missing{Place: d.Name}, place, Arg{Name: "why", Kind: ArgText, S: x.Why})
		return false
	}
	switch r := b.s.Unchecked(d, b.now); {
	case r == nil:
	case r.Code == kitchen.RefReadingOff:
		b.miss("pl.miss.oil", Missing{Place: d.Name}, place, Arg{Name: "read", Kind: ArgDegrees, N: r.Number}, Arg{Name: "limit", Kind: ArgDegrees, N: r.Limit})
		return false
	default: // it is read before the next load
		b.miss("pl.miss.reading", Missing{Place: d.Name}, place)
	}
	return true
}

// freeAt is when a fryer can take the next load.
func (b *building) freeAt(d *procedure.Device) stamp.Milli {
	free := b.now
	for _, x := range b.s.In(d.Name) {
		out := b.now
		if c, k := b.where(x); c != nil && k >= c.fry && k < c.out {
			out = b.comesOut(x, c, k)
		}
		free = max(free, out.Add(d.Between))
	}
	if x := b.s.Place(d.Name); x.EmptyAt != 0 {
		free = max(free, x.EmptyAt.Add(d.Between))
	}
	return free
}

// comesOut is when what is in a fryer comes out of it.
func (b *building) comesOut(x *kitchen.Batch, c *chain, k int) stamp.Milli {
	return max(b.now, x.Since.Add(c.usual(k))).Add(c.sum(k+1, c.out, c.usual))
}
