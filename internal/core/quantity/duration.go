package quantity

import (
	"errors"
	"strconv"
	"strings"
)

// Errors of durations.
var (
	ErrDuration  = errors.New("quantity: not a duration such as PT7H, PT1H45M or P2D")
	ErrNoLength  = errors.New("quantity: years and months have no fixed length")
	ErrTooLong   = errors.New("quantity: longer than 400 days")
	errNoDecimal = errors.New("quantity: only whole numbers, of seconds up to thousandths")
)

// durationPart is a designator of an ISO 8601 duration and its length in milliseconds.
type durationPart struct {
	letter byte
	ms     int64
}

// Duration returns an ISO 8601 duration in milliseconds: P[nD]T[nH][nM][nS] or PnW. Only seconds may have decimals,
// up to thousandths. Years and months are refused: they have no fixed length. A day is 24 hours.
func Duration(text string) (int64, error) {
	rest, ok := strings.CutPrefix(text, "P")
	if !ok || rest == "" || len(text) > 32 {
		return 0, ErrDuration
	}
	if weeks, ok := strings.CutSuffix(rest, "W"); ok {
		return parts(weeks+"W", []durationPart{{'W', 7 * 24 * 3600000}})
	}
	days, clock, timed := strings.Cut(rest, "T")
	if timed && clock == "" || strings.ContainsAny(days, "YM") {
		if timed && clock == "" {
			return 0, ErrDuration
		}
		return 0, ErrNoLength
	}
	d, err := parts(days, []durationPart{{'D', 24 * 3600000}})
	if err != nil {
		return 0, err
	}
	t, err := parts(clock, []durationPart{{'H', 3600000}, {'M', 60000}, {'S', 1000}})
	if err != nil {
		return 0, err
	}
	if d+t > lengthMax {
		return 0, ErrTooLong
	}
	return d + t, nil
}

// parts adds up numbers and designators, which must come in the order given.
func parts(text string, order []durationPart) (int64, error) {
	var sum int64
	for text != "" {
		n := strings.IndexFunc(text, func(r rune) bool { return (r < '0' || r > '9') && r != '.' && r != ',' })
		if n <= 0 {
			return 0, ErrDuration
		}
		for len(order) > 0 && order[0].letter != text[n] {
			order = order[1:]
		}
		if len(order) == 0 {
			return 0, ErrDuration
		}
		ms, err := part(text[:n], order[0])
		if err != nil {
			return 0, err
		}
		if sum += ms; sum > lengthMax {
			return 0, ErrTooLong
		}
		text, order = text[n+1:], order[1:]
	}
	return sum, nil
}

func part(number string, p durationPart) (int64, error) {
	if strings.ContainsAny(number, ".,") {
		if p.letter != 'S' {
			return 0, errNoDecimal
		}
		d, err := parseDecimal(strings.Replace(number, ",", ".", 1))
		if err != nil || d.places > 3 {
			return 0, errNoDecimal
		}
		return d.times(1000, 1, HalfEven)
	}
	n, err := strconv.ParseInt(number, 10, 64)
	if err != nil || n > lengthMax/p.ms {
		return 0, ErrTooLong
	}
	return n * p.ms, nil
}

// AppendDuration appends ms, which is not negative, as an ISO 8601 duration in days, hours, minutes and seconds.
func AppendDuration(dst []byte, ms int64) []byte {
	dst = append(dst, 'P')
	if days := ms / (24 * 3600000); days > 0 {
		dst = append(strconv.AppendInt(dst, days, 10), 'D')
		if ms %= 24 * 3600000; ms == 0 {
			return dst
		}
	}
	dst = append(dst, 'T')
	start := len(dst)
	for _, p := range []durationPart{{'H', 3600000}, {'M', 60000}} {
		if n := ms / p.ms; n > 0 {
			dst = append(strconv.AppendInt(dst, n, 10), p.letter)
			ms %= p.ms
		}
	}
	if ms > 0 || len(dst) == start {
		dst = append(appendFixed(dst, ms, 3, 0, '.'), 'S')
	}
	return dst
}
