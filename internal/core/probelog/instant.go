package probelog

import "brinebell/internal/core/stamp"

// instant reads a time in RFC 3339, in milliseconds; cut tells that it was finer.
func instant(text []byte) (at stamp.Milli, cut bool, problem Problem) {
	year, ok1 := digits(text, 0, 4, '-')
	month, ok2 := digits(text, 5, 2, '-')
	day, ok3 := digits(text, 8, 2, 'T')
	hour, ok4 := digits(text, 11, 2, ':')
	minute, ok5 := digits(text, 14, 2, ':')
	second, ok6 := digits(text, 17, 2, 0)
	if !ok1 || !ok2 || !ok3 || !ok4 || !ok5 || !ok6 || month < 1 || month > 12 || day < 1 || day > daysIn(year, month) ||
		hour > 23 || minute > 59 || second > 59 {
		return 0, false, Time
	}
	rest, milli := text[19:], int64(0)
	if len(rest) > 1 && rest[0] == '.' {
		n := 1
		for unit := int64(100); n < len(rest) && rest[n] >= '0' && rest[n] <= '9'; n++ {
			milli += int64(rest[n]-'0') * unit
			cut = cut || unit == 0 && rest[n] != '0' && n < 10 // finer than a billionth counts as nothing
			unit /= 10
		}
		if n == 1 {
			return 0, false, Time
		}
		rest = rest[n:]
	}
	offset, ok := zone(rest)
	if !ok {
		return 0, false, Time
	}
	if year < 1970 || year > 2200 {
		return 0, false, Year
	}
	days := dayOf(year, month, day)
	return stamp.Milli((((days*24+hour)*60+minute-offset)*60+second)*1000 + milli), cut, 0
}

// digits reads n digits at a place, which end in a mark unless that is 0.
func digits(text []byte, at, n int, end byte) (v int64, ok bool) {
	if len(text) < at+n || end != 0 && (len(text) == at+n || text[at+n] != end) {
		return 0, false
	}
	for _, c := range text[at : at+n] {
		if c < '0' || c > '9' {
			return 0, false
		}
		v = v*10 + int64(c-'0')
	}
	return v, true
}

// zone reads an offset in minutes: Z, or a sign, hours and minutes.
func zone(text []byte) (minutes int64, ok bool) {
	if string(text) == "Z" {
		return 0, true
	}
	if len(text) != 6 || text[0] != '+' && text[0] != '-' {
		return 0, false
	}
	h, ok1 := digits(text, 1, 2, ':')
	m, ok2 := digits(text, 4, 2, 0)
	if h = h*60 + m; text[0] == '-' {
		h = -h
	}
	return h, ok1 && ok2 && h > -24*60 && h < 24*60 && m < 60
}

func daysIn(year, month int64) int64 {
	switch month {
	case 2:
		if year%4 == 0 && (year%100 != 0 || year%400 == 0) {
			return 29
		}
		return 28
	case 4, 6, 9, 11:
		return 30
	}
	return 31
}

// dayOf counts the days since 1970-01-01 in the Gregorian calendar.
func dayOf(year, month, day int64) int64 {
	if month <= 2 {
		year, month = year-1, month+12
	}
	return 365*year + year/4 - year/100 + year/400 + (153*(month-3)+2)/5 + day - 1 - 719468
}
