// Package importrules holds the tests that keep the tree as it is described: who may import whom, what the ring may
// not touch, how long a function may be, and what no file may mention.
package importrules
