package kitchentest

import (
	"slices"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
)

// Fold folds entries that come in any order, some more than once: it sorts them, drops doubles, works out what amends
// what, and applies one after the other. It is slow and plain on purpose.
func Fold(entries []entry.Entry) *kitchen.State {
	list := slices.Clone(entries)
	slices.SortFunc(list, func(a, b entry.Entry) int { return entry.Compare(&a, &b) })
	list = slices.CompactFunc(list, func(a, b entry.Entry) bool { return a.ID == b.ID })
	s := kitchen.New()
	for i := range list {
		s.Apply(&list[i], amended(list, i))
	}
	return s
}

// amended says what later entries make of list[i], itself in canonical order.
func amended(list []entry.Entry, i int) kitchen.Amended {
	var a kitchen.Amended
	for j := i + 1; j < len(list); j++ {
		if target(&list[j]) != list[i].ID || withdrawn(list, j) {
			continue
		}
		if list[j].Kind == entry.EntryWithdrawn {
			a.Withdrawn = true
		} else {
			a.By = &list[j]
		}
	}
	return a
}

func withdrawn(list []entry.Entry, i int) bool {
	for j := i + 1; j < len(list); j++ {
		if list[j].Kind == entry.EntryWithdrawn && target(&list[j]) == list[i].ID && !withdrawn(list, j) {
			return true
		}
	}
	return false
}

// target returns what the entry amends; an id that names nothing when it amends nothing.
func target(e *entry.Entry) entry.ID {
	nothing := entry.ID{0xff}
	if e.Kind != entry.EntryWithdrawn && e.Kind != entry.EntryCorrected {
		return nothing
	}
	switch b, _ := e.Open(); b := b.(type) {
	case *entry.Withdrawal:
		return b.Entry
	case *entry.Correction:
		return b.Entry
	}
	return nothing
}
