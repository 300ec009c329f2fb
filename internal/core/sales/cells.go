package sales

import (
	"strconv"
	"strings"
)

// months are the first letters of months in English and Spanish.
var months = [12]string{"jan ene", "feb", "mar", "apr abr", "may", "jun", "jul", "aug ago", "sep set", "oct", "nov", "dec dic"}

// fields parts a text into runs of digits and runs of letters.
func fields(s string) (list []string) {
	kind := func(c byte) int {
		switch {
		case c >= '0' && c <= '9':
			return 1
		case c >= 'a' && c <= 'z' || c >= 0x80:
			return 2
		}
		return 0
	}
	s = strings.ToLower(s)
	for i := 0; i < len(s); {
		from := i
		for i < len(s) && kind(s[i]) == kind(s[from]) {
			i++
		}
		if kind(s[from]) > 0 {
			list = append(list, s[from:i])
		}
	}
	return list
}

// parted parts a text into a day and a time of the day: at a T or a space before a time.
func parted(s string) (day, clock string) {
	if i := strings.IndexByte(s, ':'); i > 0 {
		j := strings.LastIndexAny(s[:i], "T ")
		if j > 0 {
			return strings.TrimSpace(s[:j]), strings.TrimSpace(s[j+1:])
		}
	}
	return s, ""
}

// dayOf reads a day whose numbers stand in an order; four digits are a year wherever they stand.
func dayOf(s, order string) (int32, bool) {
	var parts []string
	for _, part := range fields(s) {
		if m := monthOf(part); m > 0 {
			part = "m" + strconv.Itoa(m)
		} else if part[0] < '0' || part[0] > '9' { // a weekday, or "de"
			continue
		}
		parts = append(parts, part)
	}
	if len(parts) == 1 && len(parts[0]) == 8 {
		parts = []string{parts[0][:4], parts[0][4:6], parts[0][6:]}
	}
	if len(parts) != 3 {
		return 0, false
	}
	if len(parts[0]) == 4 && parts[0][0] != 'm' {
		order = YMD
	} else if len(parts[2]) == 4 && order == YMD {
		order = DMY
	}
	if order == "" {
		return 0, false
	}
	for i, p := range parts { // a month by its name tells where it stands
		if p[0] == 'm' {
			parts[i] = p[1:]
			order = []string{MDY, strings.Replace(order, MDY, DMY, 1), order}[i]
		}
	}
	var n [3]int
	for i, p := range parts {
		var err error
		if n[i], err = strconv.Atoi(p); err != nil {
			return 0, false
		}
	}
	y, m, d := n[strings.IndexByte(order, 'y')], n[strings.IndexByte(order, 'm')], n[strings.IndexByte(order, 'd')]
	if y < 100 {
		y += 2000
	}
	return count(y, m, d)
}

func monthOf(word string) int {
	for i, names := range months {
		for name := range strings.SplitSeq(names, " ") {
			if strings.HasPrefix(word, name) {
				return i + 1
			}
		}
	}
	return 0
}

// count counts days since 1970-01-01.
func count(y, m, d int) (int32, bool) {
	long := [13]int{0, 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}
	leap := y%4 == 0 && (y%100 != 0 || y%400 == 0)
	if leap {
		long[2] = 29
	}
	if y < 2000 || y > 2100 || m < 1 || m > 12 || d < 1 || d > long[m] {
		return 0, false
	}
	days := d - 1
	for i := 1; i < m; i++ {
		days += long[i]
	}
	p := y - 1
	return int32(p*365 + p/4 - p/100 + p/400 + days - 719162), true
}

// spanOf reads a time of the day, or a span of two.
func spanOf(s string) (from, until int, ok bool) {
	first, second, two := strings.Cut(strings.ReplaceAll(s, "–", "-"), "-")
	if from, ok = minuteOf(first); ok && two {
		until, ok = minuteOf(second)
		if until < from {
			until += 24 * 60
		}
	}
	return from, until, ok
}

// minuteOf reads a time of the day: 12:05, 12.05, 12h05, 1205, 1:05 PM, 12.
func minuteOf(s string) (int, bool) {
	parts := fields(s)
	half, words := "", strings.Join(parts, "")
	if strings.HasSuffix(words, "pm") || strings.HasSuffix(words, "am") {
		half = words[len(words)-2:]
	}
	var n []int
	for _, p := range parts {
		if p[0] < '0' || p[0] > '9' {
			continue
		}
		if len(p) == 4 && len(n) == 0 {
			hour, _ := strconv.Atoi(p[:2])
			n, p = append(n, hour), p[2:]
		}
		x, err := strconv.Atoi(p)
		if err != nil {
			return 0, false
		}
		n = append(n, x)
	}
	if len(n) == 1 {
		n = append(n, 0)
	}
	if len(n) < 2 || len(n) > 4 || n[0] > 24 || n[1] > 59 || half != "" && (n[0] < 1 || n[0] > 12) {
		return 0, false
	}
	if half != "" {
		n[0] %= 12
	}
	if half == "pm" {
		n[0] += 12
	}
	return n[0]%24*60 + n[1], true
}

// numberOf reads a whole number with a decimal mark; the other mark, spaces and apostrophes part its thousands.
func numberOf(s string, decimal byte) (int64, Problem) {
	other := byte(',')
	if decimal == ',' {
		other = '.'
	}
	s = strings.Map(func(r rune) rune {
		switch r {
		case ' ', '\u00a0', '\'':
			return -1
		case '\u2212': // a minus as printers write it
			return '-'
		}
		return r
	}, s)
	whole, parts, _ := strings.Cut(s, string(decimal))
	groups := strings.Split(whole, string(other))
	for _, g := range groups[1:] {
		if len(g) != 3 {
			return 0, Number
		}
	}
	whole = strings.Join(groups, "")
	n, err := strconv.ParseInt(whole, 10, 64)
	switch _, bad := strconv.ParseUint("0"+parts, 10, 64); {
	case err != nil || bad != nil:
		return 0, Number
	case strings.Trim(parts, "0") != "":
		return 0, Parts
	case n > piecesMost || n < -piecesMost:
		return 0, Large
	}
	return n, 0
}
