// Package order sorts lists and puts things into them with one small piece of machine code for all kinds of elements.
//
// The standard library's slices package does both faster, with code of its own for every kind: some 150 KB of the
// WebAssembly that every phone downloads and compiles before it shows its first screen. Lists that are sorted on the
// way of every entry use it all the same.
package order

import "sort"

// Stable sorts a list; elements that compare as equal keep their order.
func Stable[T any](list []T, compare func(a, b T) int) {
	sort.Stable(&by[T]{list, compare})
}

type by[T any] struct {
	list    []T
	compare func(a, b T) int
}

func (b *by[T]) Len() int           { return len(b.list) }
func (b *by[T]) Less(i, j int) bool { return b.compare(b.list[i], b.list[j]) < 0 }
func (b *by[T]) Swap(i, j int)      { b.list[i], b.list[j] = b.list[j], b.list[i] }

// Insert returns the list with v at index i, from 0 to len(list).
func Insert[T any](list []T, i int, v T) []T {
	list = append(list, v)
	copy(list[i+1:], list[i:])
	list[i] = v
	return list
}
