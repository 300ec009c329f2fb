package words

import (
	"brinebell/internal/core/quantity"
	"brinebell/internal/core/safety"
)

// actionTable holds what can be done about something off, by the id that records keep. Sorted by id.
var actionTable = []text{
	{"calllead", "Call the lead, who decides.", "Llama al jefe de turno: decide."},
	{"chill", "Chill it to the cold limit now.", "Enfríalo ya hasta el límite de frío."},
	{"discard", "Discard it and count it as waste.", "Deséchalo y cuéntalo como desperdicio."},
	{"elsewhere", "Move it into equipment that holds its limit.", "Pásalo a un equipo que mantenga su límite."},
	{"faster", "Cool it faster: smaller portions, shallow pans, ice bath.", "Enfríalo más rápido: porciones menores, bandejas bajas, baño de hielo."},
	{"hotagain", "Bring it back above the hot limit now.", "Vuelve a llevarlo ya sobre el límite de calor."},
	{"readagain", "Read again with a second, checked probe.", "Mide otra vez con otra sonda comprobada."},
	{"reheat", "Reheat it to its limit at once, then cool it again, once only.", "Recaliéntalo ya hasta su límite y enfríalo de nuevo, una sola vez."},
	{"repair", "Take the equipment out of use until it is repaired.", "Retira el equipo hasta que se repare."},
	{"usefirst", "Use it first.", "Úsalo primero."},
	{"writemark", "Write the time by which it must be gone on it.", "Escríbele la hora límite."},
}

// Action says what can be done about something off; the lead and the local code decide what is.
func (l Lang) Action(a safety.Action) string {
	if row := find(actionTable, string(a)); row != nil {
		return row.in(l)
	}
	return string(a)
}

// Apart prints how far a temperature is from its limit, in a unit of Shown: what is missing is rounded up, so that it never
// looks like nothing, and what is to spare is rounded down.
func (l Lang) Apart(f safety.Finding, unit string) string {
	_, style := l.style(unit)
	if f.Verdict == safety.Met {
		return quantity.PrintApart(f.By, style, quantity.Down)
	}
	return quantity.PrintApart(f.By, style, quantity.Up)
}

// Held says of a temperature whether a limit is met, by how much, and where the limit stands; in a unit of Shown.
func (l Lang) Held(f safety.Finding, unit string) string {
	_, style := l.style(unit)
	limit, id := quantity.PrintMost, "held.met"
	if f.Verdict != safety.Met {
		id = "held.notmet"
	}
	if f.Formula == "reading >= limit" {
		limit = quantity.PrintLeast
	}
	return l.T(id, "by", l.Apart(f, unit), "limit", limit(f.Limit.Value, quantity.MilliC, style), "source", l.Source(f.Source))
}
