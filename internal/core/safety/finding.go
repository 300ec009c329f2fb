// Package safety measures a kitchen's logs and events against published limits, and names the source of each.
//
// It never calls food safe: it says which limit is met or not and by how much, and the local code stands above it.
package safety

import "brinebell/internal/core/quantity"

// Verdict is what came of holding something against a limit.
type Verdict uint8

// Verdicts.
const (
	Unknown Verdict = iota // what was seen is not enough to tell
	Met
	NotMet
)

// Judge returns Met or NotMet.
func Judge(met bool) Verdict {
	if met {
		return Met
	}
	return NotMet
}

// String returns the word for documents and tests; people read those of package words.
func (v Verdict) String() string {
	switch v {
	case Met:
		return "met"
	case NotMet:
		return "not met"
	}
	return "unknown"
}

// Amount is a named value in base units.
type Amount struct {
	Name  string
	Value int64
	Unit  quantity.Unit
}

// Finding is one limit held against what was measured, with all that is needed to work it out again by hand.
type Finding struct {
	Rule    string   // what was asked, such as "cook.dwell": names of rules are for ever, records keep them
	Inputs  []Amount // what went in, in the order in which the formula names it
	Got     Amount   // what was measured
	Limit   Amount   // what it was held against
	Verdict Verdict
	By      int64  // by how much, in the limit's unit: the room left when met, what is missing or over when not met
	Formula string // in signs, not in words: "end - start <= limit"
	Source  string // the id of a Source
}
