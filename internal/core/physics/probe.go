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

// CheckDue returns when a probe must be checked again: so long after its last good check; 0 where it never had one, which
// is now. Both are in milliseconds.
func CheckDue(lastGood, every int64) int64 {
	if lastGood <= 0 || every <= 0 {
		return 0
	}
	return lastGood + every
}
