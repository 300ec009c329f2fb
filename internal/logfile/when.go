package logfile

import (
	"fmt"
	"strconv"
	"strings"
	"time"
)

// moment is a time as it is written in a row, before anybody says what its numbers mean.
type moment struct {
	a, b, c  int // the date's numbers in the order in which they stand; with named, day, month, year
	yearA    bool
	short    bool // the year has two digits
	named    bool // the month stands as a word
	dated    bool
	clock    time.Duration
	clocked  bool
	offset   int // seconds ahead of UTC
	absolute bool
	unix     int64 // milliseconds since 1970; with whole
	whole    bool
}

// looksTimed tells whether a field holds a time or a date.
func looksTimed(s string) bool {
	m, bad := parse(s)
	return bad == nil && (m.dated || m.clocked || m.whole)
}

// clockAlone tells whether a field holds a time of day without a date.
func clockAlone(s string) bool {
	m, bad := parse(s)
	return bad == nil && m.clocked && !m.dated
}

var months = map[string]int{"jan": 1, "feb": 2, "mar": 3, "apr": 4, "may": 5, "jun": 6, "jul": 7, "aug": 8, "sep": 9, "oct": 10,
	"nov": 11, "dec": 12, "ene": 1, "abr": 4, "ago": 8, "set": 9, "dic": 12}

var weekdays = map[string]bool{"mon": true, "tue": true, "wed": true, "thu": true, "fri": true, "sat": true, "sun": true,
	"lun": true, "mié": true, "mie": true, "jue": true, "vie": true, "sáb": true, "sab": true, "dom": true}

func three(s string) string {
	r := []rune(strings.ToLower(strings.Trim(s, ".")))
	return string(r[:min(3, len(r))])
}

// parse takes a time apart: a date and a time of day in either order, an offset if there is one; or seconds or
// milliseconds since 1970.
func parse(s string) (moment, *Phrase) {
	var m moment
	s = strings.TrimSpace(s)
	if s == "" {
		return m, because("the time is missing", "falta la hora")
	}
	no := because("%s is no time", "%s no es una hora", clip(s))
	if n, err := strconv.ParseInt(s, 10, 64); err == nil && (len(s) == 10 || len(s) == 13) {
		if m.unix, m.whole = n, true; len(s) == 10 {
			m.unix *= 1000
		}
		return m, nil
	}
	if i := strings.IndexByte(s, 'T'); i > 0 && i+1 < len(s) && digit(s[i-1]) && digit(s[i+1]) {
		s = s[:i] + " " + s[i+1:]
	}
	half := ""
	var loose []string
	for _, word := range strings.Fields(s) {
		if word = strings.TrimSuffix(word, ","); word == "" {
			return m, no
		}
		low := strings.ToLower(strings.ReplaceAll(word, ".", ""))
		ok := true
		switch {
		case strings.Contains(word, ":") && !m.clocked:
			half, ok = m.clockOf(word, half)
		case strings.Contains(word, ":"), low == "utc", low == "gmt", low == "z", (word[0] == '+' || word[0] == '-') && m.clocked:
			ok = m.offsetOf(strings.TrimPrefix(strings.TrimPrefix(word, "UTC"), "GMT"), low)
		case low == "am" || low == "pm" || low == "a" || low == "p":
			half = low[:1]
		case low == "m" && half != "", low == "de", weekdays[three(word)] && months[three(word)] == 0:
		case strings.ContainsAny(word, "-/."):
			ok = m.dateOf(strings.FieldsFunc(word, func(r rune) bool { return r == '-' || r == '/' || r == '.' }))
		default:
			loose = append(loose, word)
		}
		if !ok {
			return m, no
		}
	}
	if len(loose) > 0 && (m.dated || !m.dateOf(loose)) {
		return m, no
	}
	if !m.dated && !m.clocked || !m.noon(half) {
		return m, no
	}
	return m, nil
}

func digit(c byte) bool { return c >= '0' && c <= '9' }

// noon applies am or pm.
func (m *moment) noon(half string) bool {
	if half == "" || !m.clocked {
		return half == ""
	}
	if m.clock < time.Hour || m.clock >= 13*time.Hour {
		return false
	}
	m.clock %= 12 * time.Hour
	if half == "p" {
		m.clock += 12 * time.Hour
	}
	return true
}

// clockOf reads 5:00, 05:00:00, 05:00:00.250, with what may hang on it: am, pm, Z, an offset.
func (m *moment) clockOf(word, half string) (string, bool) {
	low := strings.ToLower(word)
	for _, end := range []string{"am", "pm"} {
		if cut, ok := strings.CutSuffix(low, end); ok {
			low, half = cut, end[:1]
		}
	}
	if cut, ok := strings.CutSuffix(low, "z"); ok {
		low, m.absolute = cut, true
	} else if i := strings.LastIndexAny(low, "+-"); i > 0 {
		if !m.offsetOf(low[i:], low[i:]) {
			return half, false
		}
		low = low[:i]
	}
	low, frac, _ := strings.Cut(strings.Replace(low, ",", ".", 1), ".")
	var n [3]int
	for i, part := range strings.Split(low, ":") {
		v, err := strconv.Atoi(part)
		if err != nil || i > 2 || len(part) > 2 || v < 0 {
			return half, false
		}
		n[i] = v
	}
	if n[0] > 23 || n[1] > 59 || n[2] > 60 || len(frac) > 9 {
		return half, false
	}
	m.clocked = true
	m.clock = time.Duration(n[0])*time.Hour + time.Duration(n[1])*time.Minute + time.Duration(min(n[2], 59))*time.Second
	if frac != "" {
		v, err := strconv.ParseUint((frac + "000")[:3], 10, 32)
		if err != nil {
			return half, false
		}
		m.clock += time.Duration(v) * time.Millisecond
	}
	return half, true
}

// offsetOf reads +01:00, -0500, +2, utc.
func (m *moment) offsetOf(word, low string) bool {
	m.absolute = true
	if low == "utc" || low == "gmt" || low == "z" || word == "" {
		return true
	}
	sign := 1
	if word[0] == '-' {
		sign = -1
	}
	digits := strings.ReplaceAll(strings.TrimLeft(word, "+-"), ":", "")
	n, err := strconv.Atoi(digits)
	if err != nil || len(digits) > 4 {
		return false
	}
	if len(digits) <= 2 {
		n *= 100
	}
	m.offset = sign * (n/100*3600 + n%100*60)
	return n/100 <= 14 && n%100 < 60
}

// dateOf reads three parts of a date, numbers or a month's name between.
func (m *moment) dateOf(parts []string) bool {
	if len(parts) != 3 || m.dated {
		return false
	}
	var n [3]int
	word := -1
	for i, p := range parts {
		v, err := strconv.Atoi(p)
		if err != nil {
			if v = months[three(p)]; v == 0 || word >= 0 {
				return false
			}
			word = i
		}
		n[i] = v
	}
	m.a, m.b, m.c, m.dated = n[0], n[1], n[2], true
	m.yearA = len(parts[0]) == 4 && word != 0
	m.short = !m.yearA && len(parts[2]) <= 2
	if word < 0 {
		return m.yearA || len(parts[2]) == 4 || m.short
	}
	m.named = true
	switch {
	case word == 0: // Nov 25 2026
		m.a, m.b = n[1], n[0]
	case m.yearA: // 2026 Nov 25
		m.a, m.b, m.c = n[2], n[1], n[0]
	}
	m.yearA = false
	return word < 2
}

// ymd returns the date by an order of its numbers.
func (m *moment) ymd(order string) (y, mo, d int, ok bool) {
	switch {
	case m.yearA:
		y, mo, d = m.a, m.b, m.c
	case m.named || order == "dmy":
		y, mo, d = m.c, m.b, m.a
	case order == "mdy":
		y, mo, d = m.c, m.a, m.b
	default:
		y, mo, d = m.a, m.b, m.c
		if !m.short {
			return 0, 0, 0, false
		}
	}
	if m.short {
		y += 2000
	}
	return y, mo, d, y >= 2000 && y < 2200 && mo >= 1 && mo <= 12 && d >= 1 && d <= time.Date(y, time.Month(mo)+1, 0, 0, 0, 0, 0, time.UTC).Day()
}

// order finds out whether days or months stand first: an order holds if no row contradicts it. Where more than one holds,
// it is asked.
func (f *File) order(t *table, o *Options) {
	if f.Order = o.Order; f.Order != "" || f.Time < 0 {
		return
	}
	orders := [3]string{"dmy", "mdy", "ymd"}
	holds := [3]bool{true, true, true}
	var first *moment
	for r := range t.rows() {
		m, bad := parse(f.when(r))
		if bad != nil || !m.dated || m.yearA || m.named {
			continue
		}
		if first == nil {
			first = &m
		}
		for i, order := range orders {
			_, _, _, ok := m.ymd(order)
			holds[i] = holds[i] && ok
		}
	}
	if first == nil {
		f.Order = "ymd"
		return
	}
	var list []Choice
	for i, order := range orders {
		if y, mo, d, ok := first.ymd(order); ok && (holds[i] || holds == [3]bool{}) {
			list = append(list, Choice{order, say("%d %s %d", "%d %s %d", d, monthEN[mo-1], y)})
			list[len(list)-1].Text.ES = fmt.Sprintf("%d %s %d", d, monthES[mo-1], y)
		}
	}
	if len(list) == 1 && holds != [3]bool{} {
		f.Order = list[0].Value
		return
	}
	f.ask("order", "Which day does the first row tell of?", "¿De qué día habla la primera fila?", list...)
}

var (
	monthEN = [12]string{"Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"}
	monthES = [12]string{"ene", "feb", "mar", "abr", "may", "jun", "jul", "ago", "sep", "oct", "nov", "dic"}
)

// clock turns times as written into instants.
type clock struct {
	order string
	zone  *time.Location
	twice bool
	now   time.Time
	last  time.Time // the instant of the row before
}

func (c *clock) read(s string) (int64, *Phrase) {
	m, bad := parse(s)
	if bad != nil {
		return 0, bad
	}
	at, bad := c.instant(&m, s)
	if bad != nil {
		return 0, bad
	}
	if at.After(c.now) {
		return 0, because("%s is still to come: set the logger's clock", "%s aún no ha llegado: pon en hora el registrador", clip(s))
	}
	c.last = at
	return at.UnixMilli(), nil
}

func (c *clock) instant(m *moment, s string) (time.Time, *Phrase) {
	if m.whole {
		return time.UnixMilli(m.unix), nil
	}
	if !m.dated || !m.clocked {
		return time.Time{}, because("%s has no date, or no time of day", "%s no tiene fecha, o no tiene hora", clip(s))
	}
	y, mo, d, ok := m.ymd(c.order)
	if !ok {
		return time.Time{}, because("%s is no day of the calendar", "%s no es un día del calendario", clip(s))
	}
	utc := time.Date(y, time.Month(mo), d, 0, 0, 0, 0, time.UTC).Add(m.clock)
	if m.absolute {
		return utc.Add(-time.Duration(m.offset) * time.Second), nil
	}
	const far = 26 * time.Hour // further than any zone is ahead
	var found [2]time.Time
	n := 0
	for _, near := range []time.Duration{-far, far} {
		_, offset := utc.Add(near).In(c.zone).Zone()
		at := utc.Add(-time.Duration(offset) * time.Second)
		if _, back := at.In(c.zone).Zone(); back == offset && (n == 0 || !found[0].Equal(at)) {
			found[n] = at
			n++
		}
	}
	switch {
	case n == 0:
		return time.Time{}, because("%s never was: the clocks in %s were set forward over it", "%s no existió: los relojes de %s se adelantaron y la saltaron", clip(s), c.zone)
	case n == 2 && !c.twice:
		return time.Time{}, because("%s came twice in %s, where the clocks were set back: say that the rows stand in order, or write the offset",
			"%s se repitió en %s, donde los relojes se atrasaron: di que las filas van en orden, o escribe el desfase", clip(s), c.zone)
	case n == 2 && !found[0].After(c.last):
		return found[1], nil
	}
	return found[0], nil
}
