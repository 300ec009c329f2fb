package procedure

import (
	"errors"
	"slices"
	"strconv"
	"strings"

	"brinebell/internal/core/jsontext"
	"brinebell/internal/core/quantity"
	"brinebell/internal/core/stamp"
)

// parser collects the faults of one document.
type parser struct {
	text   []byte
	faults []Fault
	more   bool
	heads  bool // of a plan only what it is called is read
}

// node is a value of the document and the way to it. The value of what is missing is nil.
type node struct {
	p    *parser
	up   *node
	name string
	v    *jsontext.Value
}

func (n *node) path() string {
	if n.up == nil {
		return ""
	}
	return n.up.path() + "/" + pointer(n.name)
}

// at returns the value that stands nearest: its own, else that of what it is missing from.
func (n *node) at() int {
	for ; n != nil; n = n.up {
		if n.v != nil {
			return n.v.Offset
		}
	}
	return 0
}

func (n *node) fault(t Text) {
	if len(n.p.faults) == FaultsMax {
		n.p.more = true
		return
	}
	n.p.faults = append(n.p.faults, Fault{Path: n.path(), Line: jsontext.Line(n.p.text, n.at()), Text: t})
}

func (n *node) there() bool { return n.v != nil }

func (n *node) get(name string) *node { return &node{p: n.p, up: n, name: name, v: n.v.Get(name)} }

// need is get, and a fault if nothing is there.
func (n *node) need(name string) *node {
	m := n.get(name)
	if n.v != nil && n.v.Kind == jsontext.Object && !m.there() {
		m.fault(say("{0} is missing.", "Falta {0}.", strconv.Quote(name)))
	}
	return m
}

// is tells whether the value is there and of the kind, with a fault if it is there and of another.
func (n *node) is(kind jsontext.Kind, en, es string) bool {
	if !n.there() {
		return false
	}
	if n.v.Kind != kind {
		n.fault(say("Here should stand "+en+".", "Aquí debería ir "+es+"."))
		return false
	}
	return true
}

// object tells whether the value is an object, with a fault for each member that is not among those known.
func (n *node) object(known ...string) bool {
	if !n.is(jsontext.Object, "an object in braces", "un objeto entre llaves") {
		return false
	}
	for _, name := range n.v.Names {
		if !slices.Contains(known, name) {
			n.get(name).fault(say("There is no member {0} here. Known are: {1}.",
				"Aquí no hay ningún miembro {0}. Se conocen: {1}.", clip(name), strings.Join(known, ", ")))
		}
	}
	return true
}

// list returns the elements of a list of at least least and at most most elements.
func (n *node) list(least, most int) []*node {
	if !n.is(jsontext.List, "a list in brackets", "una lista entre corchetes") {
		return nil
	}
	count := len(n.v.Items)
	if count < least || count > most {
		n.fault(say("The list has {0} entries; it may have {1} to {2}.",
			"La lista tiene {0} entradas; puede tener de {1} a {2}.",
			strconv.Itoa(count), strconv.Itoa(least), strconv.Itoa(most)))
	}
	items := n.elements()
	return items[:min(count, most)]
}

// line returns a plain text of 1 to most characters.
func (n *node) line(most int) string {
	if !n.is(jsontext.String, "a text in double quotes", "un texto entre comillas dobles") {
		return ""
	}
	s := n.v.Text
	count := 0
	for _, r := range s {
		if count++; !plain(r) {
			n.fault(say("The character U+{0} may not stand in a text: texts are plain words in one line.",
				"El carácter U+{0} no puede ir en un texto: los textos son palabras sencillas en una línea.", hex(r)))
			return ""
		}
	}
	switch {
	case count > most:
		n.fault(say("The text has {0} characters; at most {1} fit on the screen.",
			"El texto tiene {0} caracteres; en la pantalla caben {1} como máximo.", strconv.Itoa(count), strconv.Itoa(most)))
	case strings.TrimSpace(s) == "":
		n.fault(say("The text is empty.", "El texto está vacío."))
	}
	return s
}

func hex(r rune) string {
	h := strings.ToUpper(strconv.FormatInt(int64(r), 16))
	return strings.Repeat("0", max(0, 4-len(h))) + h
}

// words returns a text in each language.
func (n *node) words(most int) Text {
	if !n.object("en", "es") {
		return Text{}
	}
	en, es := n.get("en"), n.get("es")
	if !en.there() {
		en.fault(say("The English text is missing.", "Falta el texto en inglés."))
	}
	if !es.there() {
		es.fault(say("The Spanish text is missing.", "Falta el texto en español."))
	}
	return Text{EN: en.line(most), ES: es.line(most)}
}

// id returns a short name that stays the same for ever.
func (n *node) id() string {
	if !n.is(jsontext.String, "a short name in double quotes", "un nombre corto entre comillas dobles") {
		return ""
	}
	s := n.v.Text
	ok := s != "" && len(s) <= 40 && s[0] >= 'a' && s[0] <= 'z'
	for _, b := range []byte(s) {
		ok = ok && (b >= 'a' && b <= 'z' || b >= '0' && b <= '9' || b == '-')
	}
	if !ok {
		n.fault(say("{0} is no short name: lower-case letters a to z, digits and hyphens, a letter first, at most 40.",
			"{0} no es un nombre corto: letras minúsculas de la a a la z, cifras y guiones, primero una letra, 40 como máximo.", clip(s)))
	}
	return s
}

// oneOf returns the place of the text in list, 0 with a fault if it is none of them.
func (n *node) oneOf(list ...string) int {
	if !n.is(jsontext.String, "a word in double quotes", "una palabra entre comillas dobles") {
		return 0
	}
	i := slices.Index(list, n.v.Text)
	if i < 0 {
		n.fault(say("{0} is not known here. Known are: {1}.", "{0} no se conoce aquí. Se conocen: {1}.",
			clip(n.v.Text), strings.Join(list, ", ")))
		return 0
	}
	return i
}

func (n *node) flag() bool {
	return n.is(jsontext.Bool, "true or false", "true o false") && n.v.Bool
}

// whole returns a whole number from least to most.
func (n *node) whole(least, most int64) int64 {
	if !n.is(jsontext.Number, "a whole number", "un número entero") {
		return 0
	}
	v, ok := n.v.Whole()
	if !ok || v < least || v > most {
		n.fault(say("{0} is not a whole number from {1} to {2}.", "{0} no es un número entero de {1} a {2}.",
			clip(n.v.Text), strconv.FormatInt(least, 10), strconv.FormatInt(most, 10)))
		return 0
	}
	return v
}

// amount returns an amount such as "75 Cel" in base units.
func (n *node) amount(base quantity.Unit, r quantity.Rounding) int64 {
	if !n.is(jsontext.String, `an amount with its unit, such as "75 Cel" or "1.5 kg"`,
		`una cantidad con su unidad, como "75 Cel" o "1.5 kg"`) {
		return 0
	}
	v, err := quantity.Written(n.v.Text, base, r)
	if err != nil {
		n.fault(amountFault(n.v.Text, base, err))
	}
	return v
}

// positive is amount for what must be more than nothing.
func (n *node) positive(base quantity.Unit, r quantity.Rounding) int64 {
	before := len(n.p.faults)
	v := n.amount(base, r)
	if n.there() && v <= 0 && len(n.p.faults) == before {
		n.fault(say("{0} must be more than nothing.", "{0} debe ser más que nada.", clip(n.v.Text)))
	}
	return v
}

func amountFault(text string, base quantity.Unit, err error) Text {
	switch {
	case errors.Is(err, quantity.ErrLarge):
		return say("The number in {0} is too large.", "El número de {0} es demasiado grande.", clip(text))
	case errors.Is(err, quantity.ErrNumber):
		return say("The number in {0} is not plain: digits, and a point before decimals.",
			"El número de {0} no es sencillo: cifras, y un punto antes de los decimales.", clip(text))
	case errors.Is(err, quantity.ErrKind):
		return say("{0} has a unit of another kind. Here go {1}.", "{0} tiene una unidad de otra clase. Aquí van {1}.",
			clip(text), codes(base))
	}
	return say("{0} is not a number, one space and a unit. Here go {1}.",
		"{0} no es un número, un espacio y una unidad. Aquí van {1}.", clip(text), codes(base))
}

// codes names the UCUM codes of a base unit.
func codes(base quantity.Unit) string {
	switch base {
	case quantity.MilliC:
		return "Cel, [degF]"
	case quantity.Gram:
		return "g, kg, [lb_av], [oz_av]"
	case quantity.Millilitre:
		return "mL, L, [gal_us], [foz_us]"
	case quantity.Milli:
		return "s, min, h"
	case quantity.Millimetre:
		return "m, [ft_i]"
	case quantity.MilligramPerLitre:
		return "g/L, kg/L, [lb_av]/[gal_us]"
	case quantity.MilliPercent:
		return "%"
	case quantity.MicrolitrePerLitre:
		return "mL/L, [foz_us]/[gal_us]"
	}
	return "1"
}

// span returns an ISO 8601 duration that is longer than nothing.
func (n *node) span() stamp.Span {
	if !n.is(jsontext.String, `a duration such as "PT7H" or "PT1H45M"`, `una duración como "PT7H" o "PT1H45M"`) {
		return 0
	}
	ms, err := quantity.Duration(n.v.Text)
	switch {
	case errors.Is(err, quantity.ErrNoLength):
		n.fault(say("{0} counts years or months, which have no fixed length: write days or hours.",
			"{0} cuenta años o meses, que no tienen una duración fija: escriba días u horas.", clip(n.v.Text)))
	case errors.Is(err, quantity.ErrTooLong):
		n.fault(say("{0} is longer than 400 days.", "{0} es más de 400 días.", clip(n.v.Text)))
	case err != nil:
		n.fault(say("{0} is not a duration such as PT7H, PT1H45M, PT30S or P2D.",
			"{0} no es una duración como PT7H, PT1H45M, PT30S o P2D.", clip(n.v.Text)))
	case ms == 0:
		n.fault(say("{0} is no time at all: leave it out.", "{0} no dura nada: quítelo.", clip(n.v.Text)))
	}
	return stamp.Span(ms)
}

// clock returns a wall time of day, "06:40".
func (n *node) clock() stamp.Span {
	if !n.is(jsontext.String, `a time of day such as "06:40"`, `una hora del día como "06:40"`) {
		return 0
	}
	s := n.v.Text
	if len(s) == 5 && s[2] == ':' {
		h, err1 := strconv.ParseUint(s[:2], 10, 8)
		m, err2 := strconv.ParseUint(s[3:], 10, 8)
		if err1 == nil && err2 == nil && h < 24 && m < 60 {
			return stamp.Span(h)*stamp.Hour + stamp.Span(m)*stamp.Minute
		}
	}
	n.fault(say("{0} is not a time of day from 00:00 to 23:59.", "{0} no es una hora del día de 00:00 a 23:59.", clip(s)))
	return 0
}
