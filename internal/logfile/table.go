package logfile

import (
	"iter"
	"strconv"
	"strings"
)

// table is a file cut into lines, with what parts its columns.
type table struct {
	text      string // from the first row of data on
	delimiter byte
	names     []string
	line      int // of the first row of data, from 1
}

// row is one row of data.
type row struct {
	number, line int
	fields       []string
	bad          *Phrase
}

// at returns a field, "" beyond the last.
func (r *row) at(i int) string {
	if i < 0 || i >= len(r.fields) {
		return ""
	}
	return strings.TrimSpace(r.fields[i])
}

// headMost is how many lines may stand before the one that names the columns: loggers write their serial number there.
const headMost = 60

// cut finds the delimiter and the line that names the columns.
func cut(text string) (*table, error) {
	if strings.TrimSpace(text) == "" {
		return nil, fail2("This file is empty. Export the readings from the logger again.", "Este archivo está vacío. Exporta otra vez las medidas del registrador.")
	}
	delimiter, columns := delimiterOf(text)
	if columns < 2 {
		if n, long := longLine(text); long > 0 {
			return nil, fail2("Line %d has %d bytes; at most %d are taken, which is room for %d columns and more.",
				"La línea %d tiene %d bytes; se admiten %d, que dan para %d columnas y más.", n, long, lineMax, columnsMax)
		}
		return nil, fail2("No columns were found in this file: a row needs a time and a temperature, parted by a comma, a semicolon, a tab or a bar.",
			"No se encontraron columnas en este archivo: cada fila necesita una hora y una temperatura, separadas por coma, punto y coma, tabulador o barra.")
	}
	t := &table{delimiter: delimiter, line: 1}
	rest := text
	for n := 1; rest != "" && n <= headMost; n++ {
		var line string
		here := rest
		line, rest = nextLine(rest)
		fields, bad := split(line, delimiter)
		if bad != nil || len(fields) < columns {
			continue
		}
		if len(fields) > columnsMax {
			return nil, fail2("Line %d has %d columns; at most %d are taken.", "La línea %d tiene %d columnas; se admiten %d.", n, len(fields), columnsMax)
		}
		if holdsData(fields) {
			t.text, t.line, t.names = here, n, numbered(len(fields))
			return t, nil
		}
		t.text, t.line, t.names = rest, n+1, fields
		if data, _ := nextData(rest, delimiter); len(data) >= columns && holdsData(data) {
			break
		}
	}
	if t.names == nil {
		return nil, fail2("No line of this file names its columns, and none holds a time and a temperature.",
			"Ninguna línea de este archivo nombra sus columnas, y ninguna tiene una hora y una temperatura.")
	}
	for i := range t.names {
		t.names[i] = strings.TrimSpace(t.names[i])
	}
	return t, nil
}

// longLine finds the first line that is too long to be cut into columns, and how long it is.
func longLine(text string) (number, bytes int) {
	for line := ""; text != "" && number < headMost; {
		number++
		if line, text = nextLine(text); len(line) > lineMax {
			return number, len(line)
		}
	}
	return 0, 0
}

func numbered(n int) []string {
	names := make([]string, n)
	for i := range names {
		names[i] = strconv.Itoa(i + 1)
	}
	return names
}

// nextData returns the fields of the next line that is not empty.
func nextData(text string, delimiter byte) ([]string, *Phrase) {
	for line := ""; text != ""; {
		if line, text = nextLine(text); strings.TrimSpace(line) != "" {
			return split(line, delimiter)
		}
	}
	return nil, nil
}

// holdsData tells whether a line is a row of data: it has a field that is a time or a date, and one that is a number.
func holdsData(fields []string) bool {
	times, numbers := 0, 0
	for _, s := range fields {
		s = strings.TrimSpace(s)
		if looksTimed(s) {
			times++
		} else if _, bad := temperature(s, "Cel"); bad == nil {
			numbers++
		}
	}
	return times > 0 && numbers > 0
}

// nextLine cuts a line off, whatever ends it.
func nextLine(text string) (line, rest string) {
	i := strings.IndexAny(text, "\r\n")
	if i < 0 {
		return text, ""
	}
	if text[i] == '\r' && i+1 < len(text) && text[i+1] == '\n' {
		return text[:i], text[i+2:]
	}
	return text[:i], text[i+1:]
}

// delimiterOf returns what parts columns: of the four candidates the one that gives most lines the same number of
// columns, more than one.
func delimiterOf(text string) (delimiter byte, columns int) {
	var lines []string
	for line := ""; text != "" && len(lines) < 2*headMost; {
		if line, text = nextLine(text); strings.TrimSpace(line) != "" && len(line) <= lineMax {
			lines = append(lines, line)
		}
	}
	best := 0
	for _, d := range []byte{';', '\t', '|', ','} {
		counts := map[int]int{}
		for _, line := range lines {
			if fields, bad := split(line, d); bad == nil && len(fields) > 1 {
				counts[len(fields)]++
			}
		}
		for n, lines := range counts {
			if lines > best || lines == best && delimiter == d && n > columns {
				best, delimiter, columns = lines, d, n
			}
		}
	}
	return delimiter, columns
}

// split cuts a line into fields; quotes keep a delimiter in a field, doubled quotes are one.
func split(line string, delimiter byte) ([]string, *Phrase) {
	if len(line) > lineMax {
		return nil, because("this row has %d bytes; at most %d are taken", "esta fila tiene %d bytes; se admiten %d", len(line), lineMax)
	}
	if strings.IndexByte(line, 0) >= 0 {
		return nil, because("this row holds a zero byte: it was not written whole", "esta fila tiene un byte cero: no se escribió entera")
	}
	var fields []string
	for {
		field, rest, more, ok := nextField(line, delimiter)
		if !ok {
			return nil, because("a quote is opened and never closed", "se abren unas comillas y no se cierran")
		}
		if fields = append(fields, field); len(fields) > 10*columnsMax {
			return nil, because("this row has more than %d columns", "esta fila tiene más de %d columnas", 10*columnsMax)
		}
		if !more {
			return fields, nil
		}
		line = rest
	}
}

func nextField(line string, delimiter byte) (field, rest string, more, ok bool) {
	if !strings.HasPrefix(line, `"`) {
		field, rest, more = strings.Cut(line, string(delimiter))
		return field, rest, more, true
	}
	for i := 1; i < len(line); i++ {
		if line[i] != '"' {
			continue
		}
		if i+1 < len(line) && line[i+1] == '"' {
			i++
			continue
		}
		field = strings.ReplaceAll(line[1:i], `""`, `"`)
		tail, rest, more := strings.Cut(line[i+1:], string(delimiter))
		return field + tail, rest, more, true
	}
	return "", "", false, false
}

func because(en, es string, a ...any) *Phrase {
	p := say(en, es, a...)
	return &p
}

// rows goes through the rows of data, empty lines left out.
func (t *table) rows() iter.Seq[*row] {
	return func(yield func(*row) bool) {
		r := row{line: t.line - 1}
		for line, rest := "", t.text; rest != ""; {
			line, rest = nextLine(rest)
			if r.line++; strings.TrimSpace(line) == "" {
				continue
			}
			r.number++
			if r.fields, r.bad = split(line, t.delimiter); !yield(&r) {
				return
			}
		}
	}
}

func (t *table) count() int {
	n := 0
	for line, rest := "", t.text; rest != ""; {
		if line, rest = nextLine(rest); strings.TrimSpace(line) != "" {
			n++
		}
	}
	return n
}
