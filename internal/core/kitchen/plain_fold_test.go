package kitchen_test

import (
	"slices"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
)

// fold folds entries that come in any order, some more than once: it sorts them, drops doubles, works out what amends
// what, and applies one after the other. It is slow and plain on purpose.
func fold(entries []entry.Entry) *kitchen.State {
	list := slices.Clone(entries)
	slices.SortFunc(list, func(a, b entry.Entry) int { return entry.Compare(&a, &b) })
	list = slices.CompactFunc(list, func(a, b entry.Entry) bool { return a.ID == b.ID })
	targets := make([]entry.ID, len(list))
	for i := range list {
		targets[i] = target(&list[i])
	}
	s := kitchen.New()
	for i := range list {
		s.Apply(&list[i], amended(list, targets, i))
	}
	return s
}

// amended says what later entries make of list[i], itself in canonical order.
func amended(list []entry.Entry, targets []entry.ID, i int) kitchen.Amended {
	var a kitchen.Amended
	for j := i + 1; j < len(list); j++ {
		if targets[j] != list[i].ID || withdrawn(list, targets, j) {
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

func withdrawn(list []entry.Entry, targets []entry.ID, i int) bool {
	for j := i + 1; j < len(list); j++ {
		if targets[j] == list[i].ID && list[j].Kind == entry.EntryWithdrawn && !withdrawn(list, targets, j) {
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
