package records

import (
	"slices"

	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
)

// Through folds a journal once and shows the kitchen as it was at each of some instants, the earliest first; what was corrected or
// taken back later is as it was put right. Base and items are as for Fold. What visit is shown changes when it has returned.
func Through(base *kitchen.State, items []Item, instants []stamp.Milli, visit func(n int, s *kitchen.State)) {
	f := begin(base, slices.Clone(items))
	n := 0
	for i := range f.items {
		for n < len(instants) && f.items[i].Entry.At.At > instants[n] {
			visit(n, f.s)
			n++
		}
		if n == len(instants) {
			return
		}
		f.s.Apply(&f.items[i].Entry, f.amended(i))
	}
	for ; n < len(instants); n++ {
		visit(n, f.s)
	}
}
