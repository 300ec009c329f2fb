package kitchen

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

// DemandMark is what was told of a day's demand.
type DemandMark struct {
	entry.Demand
	By string // crew
}

// Told lists what was told of the demand of days, in the order in which it was told first.
func (s *State) Told() []DemandMark {
	var list []DemandMark
	for _, r := range s.RowsOf(toldKey) {
		var m DemandMark
		by, rest, err := wire.TakeBytes([]byte(r.Data))
		if err != nil || wire.Read(rest, &m.Demand) != nil {
			continue
		}
		copy(m.Demand.Demand[:], r.Key[len(toldKey):])
		m.By = string(by)
		list = append(list, m)
	}
	return list
}

// ToldBy returns what was told with an id, or nil.
func (s *State) ToldBy(id entry.ID) *DemandMark {
	list := s.Told()
	for i := range list {
		if list[i].Demand.Demand == id {
			return &list[i]
		}
	}
	return nil
}

// DaySales is what was asked for of an item on a day.
type DaySales struct {
	Day int32
	*SalesDay
}

// SalesOf lists what is known of an item's days, by day.
func (s *State) SalesOf(item string) (list []DaySales) {
	eachDay(s.Row(sellKey+item), func(day int32, packed []byte) { list = append(list, DaySales{day, unpack(packed)}) })
	return list
}

// SoldBefore is what is known of an item's days before one, packed: another text whenever any of it has changed. Days lists them.
func (s *State) SoldBefore(item string, before int32) (packed string, days []int32) {
	data, size := s.Row(sellKey+item), 0
	eachDay(data, func(day int32, row []byte) {
		if day < before {
			days = append(days, day)
			size += len(wire.AppendUvarint(nil, uint64(day))) + len(wire.AppendUvarint(nil, uint64(len(row)))) + len(row)
		}
	})
	return data[:size], days
}

// SoldItems lists the items of which anything is known.
func (s *State) SoldItems() (items []string) {
	for _, r := range s.RowsOf(sellKey) {
		items = append(items, r.Key[len(sellKey):])
	}
	return items
}

// SellingPrint is another one whenever what was asked for or told has changed.
func (s *State) SellingPrint() string {
	var all []byte
	for _, prefix := range []string{sellKey, toldKey} {
		for i := range s.RowsOf(prefix) {
			all = wire.Append(all, &s.RowsOf(prefix)[i])
		}
	}
	print := wire.Digest(all)
	return string(print[:])
}

// Offered marks what stands for sale now, which the state takes down only when it goes.
func (s *State) Offered(item string, day int32, d *SalesDay, now stamp.Milli) {
	for i := range s.Batches {
		b := &s.Batches[i]
		if b.Procedure != item || b.Status != Open {
			continue
		}
		for from, until := s.ForSale(b, now); from < until; from = from.Add(CellMinutes * stamp.Minute) {
			if on, clock := s.Wall(from); on == day {
				d[cellsAt+int(clock/(CellMinutes*stamp.Minute))] = 1
			}
		}
	}
}
