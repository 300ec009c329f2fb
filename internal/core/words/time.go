package words

import (
	"strconv"
	"strings"

	"brinebell/internal/core/stamp"
)

// Zone is how far the kitchen's wall time is ahead of UTC, in minutes.
type Zone int32

func (z Zone) wall(at stamp.Milli) int64 { return floor(int64(at), 1000) + int64(z)*60 }

// Day returns the kitchen's day on which at falls, in days since 1970-01-01.
func (z Zone) Day(at stamp.Milli) int32 { return int32(floor(z.wall(at), 86400)) }

func floor(a, b int64) int64 {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}

func two(n int64) string {
	if n < 10 {
		return "0" + strconv.FormatInt(n, 10)
	}
	return strconv.FormatInt(n, 10)
}

// Clock prints the wall time of at: "11:38".
func Clock(at stamp.Milli, z Zone) string {
	s := z.wall(at)
	s -= floor(s, 86400) * 86400
	return two(s/3600) + ":" + two(s/60%60)
}

// ClockSeconds prints the wall time of at with its seconds: "11:38:12".
func ClockSeconds(at stamp.Milli, z Zone) string {
	s := z.wall(at)
	return Clock(at, z) + ":" + two(s-floor(s, 60)*60)
}

// When prints at as seen from now: the clock alone on the same day, else the weekday too, "Thu 11:38", and the date
// when it is more than six days away.
func (l Lang) When(at, now stamp.Milli, z Zone) string {
	switch d := z.Day(at) - z.Day(now); {
	case d == 0:
		return Clock(at, z)
	case d > -7 && d < 7:
		return l.weekday(z.Day(at), true) + " " + Clock(at, z)
	}
	return l.Date(z.Day(at), true) + ", " + Clock(at, z)
}

// ISODate writes a day as ISO 8601 does: "2026-11-26".
func ISODate(day int32) string {
	y, m, d := stamp.Civil(day)
	return strconv.Itoa(y) + "-" + two(int64(m)) + "-" + two(int64(d))
}

// ReadISODate reads what ISODate writes.
func ReadISODate(s string) (day int32, ok bool) {
	n := 0
	for i := range len(s) {
		if c := s[i]; i != 4 && i != 7 && c >= '0' && c <= '9' {
			n = n*10 + int(c-'0')
		}
	}
	// Days of a month differ: the day that is written the same is the one. No month has more than 31.
	day = int32((n/10000-1970)*365 + (n/10000-1969)/4 + (n/100%100-1)*31 + n%100)
	for back := int32(0); len(s) == 10 && n >= 1970_00_00 && back < 16; back++ {
		if ISODate(day-back) == s {
			return day - back, true
		}
	}
	return 0, false
}

// Date prints a day: "Thursday 26 Nov", or short, "Thu 26 Nov".
func (l Lang) Date(day int32, short bool) string {
	_, m, d := stamp.Civil(day)
	names := strings.Fields(l.T("months"))
	return l.weekday(day, short) + " " + strconv.Itoa(d) + " " + names[m-1]
}

func (l Lang) weekday(day int32, short bool) string {
	id := "weekdays"
	if short {
		id = "weekdays.short"
	}
	names := strings.Fields(l.T(id))
	n := (int(day) + 3) % 7 // 1970-01-01 was a Thursday, the fourth day counted from Monday
	if n < 0 {
		n += 7
	}
	return names[n]
}
