package planner

// Places in the cold room have a price at every block: who stands in it then pays. What stands there between two starts of
// sessions is at most what stood there after the first of them, so places are never too few at any block.

// uses returns for each thing asked of an item the block at which the earliest of its pieces leaves its place, a session's
// being there no longer than that; it never falls.
func (p *pricing) uses(l, i int) []int {
	it := &p.items[i]
	use := make([]int, len(p.asks[i]))
	for n := range it.Demand {
		use[n] = p.blocks
		if l == coating {
			for k := range p.ticks {
				if int(it.first[k]) <= n && n <= int(it.last[k]) {
					use[n] = min(p.blocks, p.blockAt(p.Start+k*p.Tick))
					break
				}
			}
			continue
		}
		for b, in := range p.reach[coating][i] {
			if in.from <= n && n < in.to {
				use[n] = b
				break
			}
		}
	}
	slots := len(it.Demand)
	use[slots], use[slots+1] = p.blocks, p.blocks
	if c := p.carry[1][i]; c >= 0 && l == marinating {
		for b := range p.blocks {
			t := p.Start + b*p.Block
			if p.open[it.Coat.Station][b] > 0 && p.keeps(1, i, t, t+it.Coat.SetMax) {
				use[slots] = b
				break
			}
		}
	}
	for n := len(use) - 2; n >= 0; n-- {
		use[n] = min(use[n], use[n+1])
	}
	return use
}

// perPlace is how many pieces of a layer share a place.
func (p *pricing) perPlace(l, i int) int {
	it := &p.items[i]
	if l == coating {
		return it.Coat.UnitsPerPan * it.UnitPieces
	}
	return it.Marinate.TubUnits * it.UnitPieces
}

// shelving is what a piece pays for its place from one block on up to another.
func (p *pricing) shelving(l, i, from, to int) Money {
	if to <= from || !p.shelved {
		return 0
	}
	sum := p.shelf[l-coating]
	return (sum[to] - sum[from]) / Money(p.perPlace(l, i))
}

// sumShelves sums up the prices of places, so that sum[to]-sum[from] is what a place costs; it returns what all places come to.
func (p *pricing) sumShelves() (all Money) {
	p.shelved = false
	for l, row := range p.rent {
		sum := p.shelf[l]
		for b, x := range row {
			sum[b+1] = sum[b] + x
		}
		clear(p.stood[l])
		all += sum[len(row)] * Money([2]int{p.Pans, p.Tubs}[l])
		p.shelved = p.shelved || sum[len(row)] > 0
	}
	return all
}

// noteShelf notes that pieces stand in the cold room from one block on up to another.
func (p *pricing) noteShelf(l, i, from, to, pieces int) {
	row, per := p.stood[l-coating], int64(p.perPlace(l, i))
	for b := from; b < to; b++ {
		row[b] += int64(pieces) * shelfParts / per
	}
}

// shelfParts is the parts of a place in which places taken are counted.
const shelfParts = 256
