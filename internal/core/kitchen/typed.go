package kitchen

import "brinebell/internal/core/quantity"

// untyped returns the command with the number that was typed in its field, in base units. Pages hand numbers on as
// they were typed: units are a rule, and rules live here.
func (m *Command) untyped() (*Command, *Refusal) {
	if m.Into == "" && m.Typed == "" {
		return m, nil
	}
	c := *m
	field, base := c.into()
	if field == nil {
		return nil, &Refusal{Code: RefBadCommand, Name: c.Into}
	}
	n, err := quantity.Typed(c.Typed, c.TypedIn, base)
	if err != nil {
		return nil, &Refusal{Code: RefNeedNumber, Step: c.Step, Place: c.Place, Name: c.Typed, Unit: string(base)}
	}
	*field = n
	c.Typed, c.TypedIn, c.Into = "", "", ""
	return &c, nil
}

// Untyped is what a tap comes to: itself, with the number that was typed, if one was, in base units.
func Untyped(m *Command) (*Command, *Refusal) { return m.untyped() }

// into returns the field that a typed number goes into, and its base unit.
func (m *Command) into() (*int64, quantity.Unit) {
	switch m.Into {
	case "value":
		return &m.Value, quantity.Unit(m.Unit)
	case "grams":
		return &m.Grams, quantity.Gram
	case "pieces":
		return &m.Pieces, quantity.Piece
	case "count":
		return &m.Count, quantity.Piece
	case "wasted":
		return &m.Wasted, quantity.Piece
	}
	return nil, ""
}
