package physics

// WithinLimit tells whether a probe that reads reading where expected is true is within the published accuracy:
// 1 degree Celsius, or 2 degrees Fahrenheit if its scale is in degrees Fahrenheit alone. Both are in thousandths of a
// degree Celsius, and compared without rounding. Source: FDA Food Code 4-203.11 (thermometers.csv).
func WithinLimit(reading, expected int64, fahrenheit bool) bool {
	off := reading - expected
	if off < 0 {
		off = -off
	}
	if fahrenheit {
		return off <= 1<<40 && off*9 <= 2*5000
	}
	return off <= 1000
}

// ProbeLimit is the limit of WithinLimit in thousandths of a degree Celsius, rounded down, for screens.
func ProbeLimit(fahrenheit bool) int64 {
	if fahrenheit {
		return 1111
	}
	return 1000
}

// ProbeEvent is what happened with one probe.
type ProbeEvent uint8

// What can happen with a probe.
const (
	ProbeRead   ProbeEvent = iota // something was read with it
	ProbeGood                     // it was checked and within its limit
	ProbeFailed                   // it was checked and off its limit
)

// UnderReview returns the places of the readings that a failed check puts in doubt, in their order: those since the
// probe's last good check, and those made with it until it is good again. The events are those of one probe in the order
// in which they happened; with no good check before the failed one, every reading before it is in doubt.
func UnderReview(events []ProbeEvent) []int {
	var doubtful []int
	since, failed := 0, false
	for i, e := range events {
		switch e {
		case ProbeGood:
			since, failed = i+1, false
		case ProbeFailed:
			for j := since; j < i && !failed; j++ {
				doubtful = append(doubtful, j)
			}
			failed = true
		default:
			if failed {
				doubtful = append(doubtful, i)
			}
		}
	}
	return doubtful
}

// CheckDue returns when a probe must be checked again: so long after its last good check; 0 where it never had one, which
// is now. Both are in milliseconds.
func CheckDue(lastGood, every int64) int64 {
	if lastGood <= 0 || every <= 0 {
		return 0
	}
	return lastGood + every
}
