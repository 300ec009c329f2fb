package planner

// shiftSpell moves a session by a block or two, or changes its mode.
func (s *search) shiftSpell(list *[]spell, modes []Mode) bool {
	if len(*list) == 0 {
		return false
	}
	p := &(*list)[s.next(len(*list))]
	if s.next(3) == 0 {
		m := s.next(len(modes))
		if m == int(p.mode) {
			return false
		}
		if s.next(2) == 0 { // its end stays
			p.block += int16(modes[p.mode].Blocks - modes[m].Blocks)
		}
		p.mode = int16(m)
	} else {
		by := 1 + s.next(3)
		if s.next(2) == 0 {
			by = -by
		}
		p.block += int16(by)
	}
	return p.block >= 0 && int(p.block) < s.blocks
}

// addSpell adds a session wherever its station is free.
func (s *search) addSpell(list *[]spell, station int, modes []Mode) bool {
	for range 8 {
		b, m := s.next(s.blocks), s.next(len(modes))
		end := b + modes[m].Blocks
		if int(s.open[station][b]) < end {
			continue
		}
		free := true
		for k := b; k < end; k++ {
			free = free && s.busy[station][k] == 0
		}
		if free {
			*list = append(*list, spell{int16(b), int16(m), 0})
			return true
		}
	}
	return false
}

// retime puts a session somewhere else.
func (s *search) retime(list *[]spell, station int, modes []Mode) bool {
	if len(*list) == 0 {
		return false
	}
	k := s.next(len(*list))
	*list = append((*list)[:k], (*list)[k+1:]...)
	return s.addSpell(list, station, modes)
}

// dropSpell takes a session away and may lengthen another.
func (s *search) dropSpell(list *[]spell, modes []Mode) bool {
	if len(*list) == 0 {
		return false
	}
	k := s.next(len(*list))
	*list = append((*list)[:k], (*list)[k+1:]...)
	if len(*list) > 0 && s.next(3) > 0 {
		p := &(*list)[min(max(k-s.next(2), 0), len(*list)-1)]
		if m := int(p.mode) + 1; m < len(modes) {
			if s.next(2) == 0 {
				p.block -= int16(modes[m].Blocks - modes[p.mode].Blocks)
			}
			p.mode = int16(m)
		}
		return p.block >= 0
	}
	return true
}

// free lets sessions be as great as their modes again.
func (w *work) free() {
	for _, list := range [2][]spell{w.coats, w.salts} {
		for k := range list {
			list[k].most = 0
		}
	}
}

// limit lets a session do less than it could, so that the next does more.
func (s *search) limit(w *work) bool {
	list, lots := w.coats, w.coated
	if s.next(3) == 0 {
		list, lots = w.salts, w.salted
	}
	if len(list) == 0 {
		return false
	}
	k := s.next(len(list))
	p := &list[k]
	if p.most > 0 && s.next(2) == 0 {
		p.most = 0
		return true
	}
	for n := range lots {
		if lots[n].from == k {
			p.most = int16(max(0, lots[n].used-s.next(4))) + 1
		}
	}
	return true
}
