package logfile

import (
	"strconv"
	"strings"

	"brinebell/internal/core/quantity"
)

// Words in the names of columns, in the languages that loggers' programs of this kitchen's crew write.
var (
	timeWords = []string{"timestamp", "datetime", "date/time", "date time", "fecha y hora", "fecha/hora", "time", "hora"}
	dateWords = []string{"date", "fecha", "day", "día", "dia"}
	tempWords = []string{"temp", "°c", "°f", "celsius", "fahrenheit", "degc", "degf", "grados"}
)

// columns finds the columns of the time and the temperature, or asks.
func (f *File) columns(t *table, o *Options) error {
	var err error
	find := func(at *int, name string) {
		if name != "" && err == nil {
			*at, err = f.column(name)
		}
	}
	find(&f.Time, o.Time)
	find(&f.Date, o.Date)
	find(&f.Temp, o.Temp)
	if err != nil {
		return err
	}
	first, _ := nextData(t.text, t.delimiter)
	field := func(i int) string {
		if i < len(first) {
			return strings.TrimSpace(first[i])
		}
		return ""
	}
	if f.Time < 0 {
		f.Time = f.likely(timeWords, nil, func(i int) bool { return looksTimed(field(i)) })
		if f.Time < 0 {
			f.Time = f.likely(dateWords, nil, func(i int) bool { return looksTimed(field(i)) && strings.Contains(field(i), ":") })
		}
		if f.Time < 0 {
			f.Time = only(len(f.Columns), func(i int) bool { return looksTimed(field(i)) })
		}
	}
	if f.Time >= 0 && f.Date < 0 && clockAlone(field(f.Time)) {
		f.Date = f.likely(dateWords, nil, func(i int) bool { return i != f.Time && looksTimed(field(i)) })
		if f.Date < 0 {
			f.Date = only(len(f.Columns), func(i int) bool { return i != f.Time && looksTimed(field(i)) })
		}
	}
	if f.Temp < 0 {
		numeric := func(i int) bool {
			_, bad := temperature(field(i), "Cel")
			return i != f.Time && i != f.Date && bad == nil
		}
		f.Temp = f.likely(tempWords, []string{"set", "alarm", "limit", "alarma", "límite"}, numeric)
		if f.Temp < 0 {
			f.Temp = only(len(f.Columns), func(i int) bool { return numeric(i) && !looksTimed(field(i)) && f.Columns[i] == strconv.Itoa(i+1) })
		}
	}
	if f.Time < 0 {
		f.ask("time", "Which column holds the time?", "¿Qué columna tiene la hora?", f.choices()...)
	} else if f.Date < 0 && clockAlone(field(f.Time)) {
		f.ask("date", "Which column holds the date?", "¿Qué columna tiene la fecha?", f.choices()...)
	}
	if f.Temp < 0 {
		f.ask("temp", "Which column holds the temperature?", "¿Qué columna tiene la temperatura?", f.choices()...)
	}
	return nil
}

// likely returns the only column whose name holds one of the words and whose first field fits, else -1.
func (f *File) likely(words, not []string, fits func(int) bool) int {
	for _, w := range words {
		at := only(len(f.Columns), func(i int) bool {
			name := strings.ToLower(f.Columns[i])
			for _, n := range not {
				if strings.Contains(name, n) {
					return false
				}
			}
			return strings.Contains(name, w) && fits(i)
		})
		if at >= 0 {
			return at
		}
	}
	return -1
}

// only returns the one index that fits, -1 when none does or several do.
func only(n int, fits func(int) bool) int {
	found := -1
	for i := range n {
		if fits(i) {
			if found >= 0 {
				return -1
			}
			found = i
		}
	}
	return found
}

// column finds a column by its name or number.
func (f *File) column(name string) (int, error) {
	for i, c := range f.Columns {
		if strings.EqualFold(c, strings.TrimSpace(name)) {
			return i, nil
		}
	}
	if n, err := strconv.Atoi(name); err == nil && n >= 1 && n <= len(f.Columns) {
		return n - 1, nil
	}
	return -1, fail2("No column of this file is called %s. It has: %s.", "Ninguna columna de este archivo se llama %s. Tiene: %s.", clip(name), strings.Join(clipped(f.Columns), ", "))
}

func (f *File) ask(name, en, es string, choices ...Choice) {
	f.Questions = append(f.Questions, Question{name, Phrase{en, es}, choices})
}

func (f *File) choices() []Choice {
	var list []Choice
	for i, c := range clipped(f.Columns) {
		list = append(list, Choice{strconv.Itoa(i + 1), Phrase{c, c}})
	}
	return list
}

// unit finds out in which unit the temperatures are.
func (f *File) unit(t *table, o *Options) {
	if f.Unit = o.Unit; f.Unit != "" || f.Temp < 0 {
		return
	}
	f.Unit = unitIn(f.Columns[f.Temp])
	for r := range t.rows() {
		if f.Unit != "" {
			return
		}
		if f.Unit = unitIn(r.at(f.Temp)); r.number > 20 {
			break
		}
	}
	if f.Unit == "" {
		f.ask("unit", "In which unit are the temperatures?", "¿En qué unidad están las temperaturas?",
			Choice{"Cel", Phrase{"degrees Celsius", "grados Celsius"}}, Choice{"[degF]", Phrase{"degrees Fahrenheit", "grados Fahrenheit"}})
	}
}

// unitIn returns the UCUM code of the unit that a text names, "" if it names none or both.
func unitIn(s string) string {
	s = strings.ToLower(s)
	has := func(marks ...string) bool {
		for _, m := range marks {
			if strings.Contains(s, m) {
				return true
			}
		}
		return false
	}
	ends := func(letter string) bool {
		for _, m := range []string{"(" + letter + ")", "[" + letter + "]", "_" + letter, " " + letter} {
			if strings.HasSuffix(s, m) || strings.Contains(s, m+" ") {
				return true
			}
		}
		return false
	}
	c := has("°c", "ºc", "celsius", "degc", "deg c", "[cel]", "(cel)") || ends("c")
	f := has("°f", "ºf", "fahrenheit", "degf", "deg f") || ends("f")
	switch {
	case c && !f:
		return "Cel"
	case f && !c:
		return "[degF]"
	}
	return ""
}

// Bounds of temperatures: no thermometer of a kitchen reads further, so what lies beyond is an error code.
const (
	coldest = -100_000 // mC
	hottest = 400_000
)

// temperature reads a temperature into thousandths of a degree Celsius, rounded once.
func temperature(s, unit string) (int64, *Phrase) {
	number := strings.TrimSpace(s)
	for _, mark := range []string{"°C", "°F", "ºC", "ºF", " C", " F"} {
		if cut, ok := strings.CutSuffix(number, mark); ok {
			if u := unitIn(" " + mark); u != "" && u != unit && unit != "" {
				return 0, because("the temperature %s is in another unit than the column", "la temperatura %s está en otra unidad que la columna", clip(s))
			}
			number = strings.TrimSpace(cut)
		}
	}
	number = strings.Replace(number, "\u2212", "-", 1)
	if !strings.Contains(number, ".") {
		number = strings.Replace(number, ",", ".", 1)
	}
	if number == "" {
		return 0, because("the temperature is missing", "falta la temperatura")
	}
	milliC, err := quantity.Typed(number, unit, quantity.MilliC)
	if err != nil || strings.ContainsAny(number, "eE") {
		return 0, because("%s is no temperature", "%s no es una temperatura", clip(s))
	}
	if milliC < coldest || milliC > hottest {
		return 0, because("%s is beyond what a kitchen's thermometer reads, %d to %d °C", "%s está fuera de lo que mide un termómetro de cocina, %d a %d °C", clip(s), coldest/1000, hottest/1000)
	}
	return milliC, nil
}
