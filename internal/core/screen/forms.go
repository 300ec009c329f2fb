package screen

import (
	"strings"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/quantity"
)

// try asks what a command would do, without doing it: forms show names, amounts and refusals before the tap. It asks as
// of the whole second, so that a form changes once a second at most.
func (p *page) try(c *kitchen.Command) ([]kitchen.Draft, *kitchen.Refusal) {
	n := byte(0)
	return kitchen.Decide(p.State, c, kitchen.Who{Crew: p.Crew, Device: p.Device}, second(p.Now), func() entry.ID {
		n++
		return entry.NewID(p.Now, [10]byte{9: n})
	})
}

// typed reads what stands in the query as a number in a base unit, 0 when it is none.
func (p *page) typed(name string, unit quantity.Unit) int64 {
	code := map[quantity.Unit]string{quantity.Gram: "kg", quantity.Piece: "1", quantity.MilliC: "Cel", quantity.Milli: "min",
		quantity.Millilitre: "L"}[unit]
	text := p.path.get(name)
	if unit == quantity.Piece {
		n, ok := digits(text)
		if !ok {
			return 0
		}
		return n
	}
	n, err := quantity.Typed(text, code, unit)
	if err != nil {
		return 0
	}
	return n
}

func digits(s string) (int64, bool) {
	n := int64(0)
	for _, r := range s {
		if r < '0' || r > '9' || n > 1e12 {
			return 0, false
		}
		n = n*10 + int64(r-'0')
	}
	return n, s != ""
}

// splitList reads a list that somebody typed: commas, semicolons or spaces between.
func splitList(s string) []string {
	return strings.FieldsFunc(s, func(r rune) bool { return r == ',' || r == ';' || r == ' ' || r == '\n' })
}

// refusedPart says beforehand why a form's button would be refused.
func (p *page) refusedPart(c *kitchen.Command, r *kitchen.Refusal) part {
	off := p.l.Refusal(p.State, r, p.Now)
	return &fault{title: off.Title, lines: off.Lines, actions: p.waysOut(c, r)}
}

// aboutNumbers tells whether other numbers would undo a refusal.
func aboutNumbers(r *kitchen.Refusal) bool {
	switch r.Code {
	case kitchen.RefMoreThanThere, kitchen.RefVesselFull, kitchen.RefUnlikely, kitchen.RefPlaceFull:
		return true
	}
	return needsTyping(r)
}

// needsTyping tells whether a refusal only says that the form is not filled in yet.
func needsTyping(r *kitchen.Refusal) bool {
	switch r.Code {
	case kitchen.RefNeedAmount, kitchen.RefNeedGrams, kitchen.RefNeedPieces:
		return true
	}
	return false
}
