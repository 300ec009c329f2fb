package planner

// What stands there at the beginning costs when it is thrown away, so each layer would rather seem to use it. Therefore whoever
// fries a piece is paid a tie, and whoever gives it to be fried pays it: a piece that is taken and not fried saves no more than
// that. A piece that is fried and thrown away is paid a tie for nothing, so the tie is no greater than there is need for: it moves
// as prices do.

// tieParts is how many times smaller a tie's direction is than its pieces, which are those of a whole day.
const tieParts = 4

// ties works out how great ties may be.
func (p *pricing) ties() {
	n := len(p.items)
	p.tie, p.tieMost, p.slack, p.taut = make([]Money, n), make([]Money, n), make([]int64, n), make([]int64, n)
	for i := range p.items {
		it := &p.items[i]
		up := Money(it.UnitPieces)
		if len(it.coated) > 0 {
			p.tieMost[i] = it.Coat.DiscardCost / up
		}
		if len(it.marinated) > 0 {
			p.tieMost[i] = max(p.tieMost[i], it.Marinate.DiscardCost/up)
		}
		// a load that sells nothing must not seem to pay
		p.tieMost[i] = min(p.tieMost[i], it.Cook.WasteCost+it.Cook.LoadCost/Money(it.Cook.MaxUnits)/up)
	}
}

// fee is what a session pays for a piece that it gives to the next layer, less what the layer before gives to it.
func (p *pricing) fee(l, i int) Money {
	if l == coating && p.items[i].Marinate != nil {
		return 0
	}
	return p.tie[i]
}

// feeOf is what a lot of the beginning pays for it, in the layer that it stands in.
func (p *pricing) feeOf(l, i int, s *source) Money {
	if s.kind != l || l == frying {
		return 0
	}
	return p.tie[i]
}

// loss is what a piece of a lot costs that is not taken.
func (p *pricing) loss(l, i int, s *source) Money {
	if s.kind == frying {
		return s.full
	}
	return min(s.full, p.tie[i])
}

// spare notes that so many pieces of a lot are not taken.
func (p *pricing) spare(l, i int, s *source, pieces int) {
	if s.kind == l && l != frying && s.full > p.tie[i] {
		p.slack[i] += int64(pieces)
	}
}

// retie moves an item's tie by so much, and with it the prices of the layers that it is worth something to and that pay it.
func (p *pricing) retie(i int, by Money) {
	by = min(max(-p.tie[i], by), p.tieMost[i]-p.tie[i])
	if by == 0 {
		return
	}
	p.tie[i] += by
	payer := coating
	if p.items[i].Marinate != nil {
		payer = marinating
	}
	for n := range p.items[i].Demand {
		p.price[frying][i][n] -= by
		p.price[payer][i][n] += by
	}
}
