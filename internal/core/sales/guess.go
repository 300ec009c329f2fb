package sales

import "strings"

// column is one of those that are looked for: by what it is called, else by what stands in it.
type column struct {
	words string
	at    func(*Map) *int
	is    func(cell string) bool
}

var columns = [4]column{
	{"date fecha day día dia datum", func(m *Map) *int { return &m.Day }, isDay},
	{"time hora hour slot franja uhrzeit", func(m *Map) *int { return &m.Time }, isTime},
	{"pieces quantity qty count sold units cantidad unidades piezas uds ud vendid menge", func(m *Map) *int { return &m.Pieces }, isNumber},
	{"item product article name description artículo articulo producto nombre descripción plato artikel", func(m *Map) *int { return &m.Item }, isName},
}

func isDay(s string) bool {
	s, _ = parted(s)
	for _, o := range []string{YMD, DMY, MDY} {
		if _, ok := dayOf(s, o); ok {
			return true
		}
	}
	return false
}

func isTime(s string) bool { _, _, ok := spanOf(s); return ok && strings.ContainsAny(s, ":h") }

func isNumber(s string) bool {
	_, p := numberOf(s, '.')
	_, c := numberOf(s, ',')
	return p == 0 || p == Parts || c == 0
}

func isName(s string) bool { return strings.Trim(s, "0123456789.,:-/ ") != "" }

// looked is how many rows a guess looks at.
const looked = 200

// Guess says how a file seems to be meant. What can't be told stays open: Order "" and Decimal 0 when both would do, columns None.
func Guess(text []byte) Map {
	m := Map{Sep: separator(text), Day: None, Time: None, Item: None, Pieces: None}
	var rows [][]string
	walk(text, m.Sep, func(_ int, cells []string, ok bool) bool {
		if ok {
			rows = append(rows, cells)
		}
		return len(rows) < looked
	})
	if len(rows) == 0 {
		return m
	}
	m.head(rows[0], rows[1:])
	body := rows
	if m.Head {
		body = rows[1:]
	}
	for _, look := range []column{columns[0], columns[1], columns[3], columns[2]} {
		for i := 0; *look.at(&m) == None && len(body) > 0 && i < len(body[0]); i++ {
			if !m.taken(i) && part(body, i, 9, look.is) {
				*look.at(&m) = i
			}
		}
	}
	if m.Time == None && m.Day != None && part(body, m.Day, 9, func(s string) bool { _, clock := parted(s); return clock != "" }) {
		m.Time = m.Day
	}
	m.Order, m.Decimal = order(body, m.Day), decimal(body, m.Pieces)
	return m
}

// separator is the one by which the first lines have the same number of columns, the more the better.
func separator(text []byte) byte {
	best, most := byte(','), 0
	for _, sep := range []byte(";\t,|") {
		first, n, alike := 0, 0, 0
		walk(text, sep, func(_ int, cells []string, _ bool) bool {
			if n++; n == 1 {
				first = len(cells)
			}
			if len(cells) == first {
				alike++
			}
			return n < looked
		})
		if score := (first - 1) * alike; n > 0 && score > most {
			best, most = sep, score
		}
	}
	return best
}

// head takes columns by their names, if the first line has any, where what stands below is such in every other row.
func (m *Map) head(cells []string, body [][]string) {
	for _, look := range columns {
		for i, cell := range cells {
			if at := look.at(m); *at == None && named(cell, look.words) && !m.taken(i) && (len(body) == 0 || part(body, i, 5, look.is)) {
				*at, m.Head = i, true
			}
		}
	}
	if !m.Head { // a line without any number is one of names, whatever they are
		m.Head = !strings.ContainsAny(strings.Join(cells, ""), "0123456789")
	}
}

func (m *Map) taken(i int) bool { return i == m.Day || i == m.Time || i == m.Item || i == m.Pieces }

func named(cell, words string) bool {
	cell = strings.ToLower(cell)
	for w := range strings.SplitSeq(words, " ") {
		if strings.HasPrefix(cell, w) || strings.Contains(cell, " "+w) || strings.Contains(cell, "_"+w) {
			return !strings.ContainsAny(cell, "0123456789")
		}
	}
	return false
}

// part tells whether a column is so in as many of ten rows.
func part(rows [][]string, i, tenths int, is func(string) bool) bool {
	n := 0
	for _, row := range rows {
		if i < len(row) && is(row[i]) {
			n++
		}
	}
	return n > 0 && n*10 >= len(rows)*tenths
}

// order is the one by which most days are days, "" when there are several that differ.
func order(body [][]string, i int) string {
	if i == None {
		return ""
	}
	var fit []string
	most := 1
	for _, o := range []string{YMD, DMY, MDY} {
		n := 0
		for _, row := range body {
			if i < len(row) {
				s, _ := parted(row[i])
				if _, ok := dayOf(s, o); ok {
					n++
				}
			}
		}
		if n > most {
			fit, most = nil, n
		}
		if n == most {
			fit = append(fit, o)
		}
	}
	alike := func(a, b string) bool {
		for _, row := range body {
			if i < len(row) {
				s, _ := parted(row[i])
				x, okX := dayOf(s, a)
				if y, okY := dayOf(s, b); x != y || okX != okY {
					return false
				}
			}
		}
		return true
	}
	for _, o := range fit {
		if !alike(fit[0], o) {
			return ""
		}
	}
	if len(fit) == 0 {
		return ""
	}
	return fit[0]
}

// decimal is the mark by which numbers are whole, 0 when "1.000" or "1,000" may be one or a thousand.
func decimal(body [][]string, i int) byte {
	if i == None {
		return 0
	}
	point, comma, differ := true, true, false
	for _, row := range body {
		if i < len(row) {
			x, p := numberOf(row[i], '.')
			y, c := numberOf(row[i], ',')
			point, comma, differ = point && p == 0, comma && c == 0, differ || p == 0 && c == 0 && x != y
		}
	}
	switch {
	case point && comma && differ:
		return 0
	case comma && !point:
		return ','
	}
	return '.'
}
