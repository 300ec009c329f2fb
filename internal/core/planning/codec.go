package planning

import (
	"brinebell/internal/core/planner"
	"brinebell/internal/core/wire"
)

// A plan crosses from the instance of the rules that thinks to the one that draws. It is kept nowhere in this form.

// Fields implements wire.Fielder.
func (p *Plan) Fields(c *wire.Coder) {
	wire.Int(c, "day", &p.Day)
	wire.Int(c, "made", &p.Made)
	wire.Int(c, "until", &p.Until)
	wire.Uint(c, "version", &p.Version)
	wire.List(c, "tubs", &p.Tubs, wire.Struct[Tub])
	wire.List(c, "coats", &p.Coats, wire.Struct[Coat])
	wire.List(c, "drops", &p.Drops, wire.Struct[Drop])
	wire.List(c, "keeps", &p.Keeps, wire.Struct[Carried])
	wire.List(c, "unmet", &p.Unmet, wire.Struct[Unmet])
	wire.List(c, "sold", &p.Sold, wire.Struct[Sold])
	wire.List(c, "demand", &p.Demand, wire.Struct[Asked])
	wire.List(c, "hot", &p.Hot, wire.Struct[HotLot])
	wire.List(c, "notes", &p.Notes, wire.Struct[Say])
	for _, m := range [...]*planner.Money{&p.Cost, &p.Bound, &p.Saves, &p.KeptCost, &p.Costs.Unmet, &p.Costs.Load, &p.Costs.Waste, &p.Costs.Coat,
		&p.Costs.Marinate, &p.Costs.OverBest, &p.Costs.Discard, &p.Costs.Short} {
		wire.Int(c, "money", m)
	}
	c.Bool("proven", &p.Proven)
	wire.Int(c, "leaves", &p.Leaves)
}

// Fields implements wire.Fielder.
func (t *Tub) Fields(c *wire.Coder) {
	wire.Str(c, "item", &t.Item)
	wire.Int(c, "start", &t.Start)
	wire.Int(c, "end", &t.End)
	wire.Int(c, "latest", &t.Latest)
	wire.Str(c, "station", &t.Station)
	wire.Int(c, "units", &t.Units)
	wire.Int(c, "grams", &t.Grams)
	wire.List(c, "vessels", &t.Vessels, wire.Struct[Vessel])
	wire.Int(c, "water", &t.Water)
	wire.Int(c, "concentrate", &t.Concentrate)
	wire.Int(c, "ready", &t.Ready)
	wire.Int(c, "best", &t.BestUntil)
	wire.Int(c, "until", &t.Until)
	wire.Int(c, "drains", &t.Drains)
}

// Fields implements wire.Fielder.
func (v *Vessel) Fields(c *wire.Coder) {
	wire.Int(c, "grams", &v.Grams)
	wire.Int(c, "water", &v.Water)
	wire.Int(c, "concentrate", &v.Concentrate)
}

// Fields implements wire.Fielder.
func (t *Coat) Fields(c *wire.Coder) {
	wire.Str(c, "item", &t.Item)
	wire.Int(c, "start", &t.Start)
	wire.Int(c, "end", &t.End)
	wire.Int(c, "drain", &t.Drain)
	wire.Int(c, "latest", &t.Latest)
	wire.Str(c, "station", &t.Station)
	wire.Int(c, "units", &t.Units)
	wire.Int(c, "grams", &t.Grams)
	wire.Int(c, "pans", &t.Pans)
	wire.List(c, "from", &t.From, wire.Struct[Source])
	wire.Int(c, "ready", &t.Ready)
	wire.Int(c, "until", &t.Until)
}

// Fields implements wire.Fielder.
func (d *Drop) Fields(c *wire.Coder) {
	wire.Str(c, "item", &d.Item)
	wire.Str(c, "fryer", &d.Fryer)
	wire.Int(c, "start", &d.Start)
	wire.Int(c, "free", &d.Free)
	wire.Int(c, "out", &d.Out)
	wire.Int(c, "ready", &d.Ready)
	wire.Int(c, "until", &d.Until)
	wire.Int(c, "latest", &d.Latest)
	wire.Int(c, "units", &d.Units)
	wire.Int(c, "pieces", &d.Pieces)
	wire.Int(c, "grams", &d.Grams)
	wire.List(c, "from", &d.From, wire.Struct[Source])
	wire.Int(c, "waste", &d.Waste)
	wire.Int(c, "rush", &d.Rush)
}

// Fields implements wire.Fielder.
func (s *Source) Fields(c *wire.Coder) {
	s.Share.Fields(c)
	wire.Int(c, "own", &s.Own)
	wire.Int(c, "of", &s.Units)
}

// Fields implements wire.Fielder.
func (s *Share) Fields(c *wire.Coder) {
	c.Fixed("batch", s.Batch[:])
	wire.Str(c, "code", &s.Code)
	wire.Str(c, "vessel", &s.Vessel)
	wire.Uint(c, "number", &s.Number)
	wire.Str(c, "place", &s.Place)
	wire.Int(c, "grams", &s.Grams)
	wire.Int(c, "units", &s.Units)
}

// Fields implements wire.Fielder.
func (k *Carried) Fields(c *wire.Coder) {
	wire.Str(c, "item", &k.Item)
	c.Bool("coated", &k.Coated)
	wire.Int(c, "at", &k.At)
	wire.Int(c, "want", &k.Want)
	wire.Int(c, "units", &k.Units)
	wire.Int(c, "grams", &k.Grams)
	wire.Int(c, "short", &k.Short)
	wire.List(c, "from", &k.From, wire.Struct[Source])
}

// Fields implements wire.Fielder.
func (u *Unmet) Fields(c *wire.Coder) {
	wire.Str(c, "item", &u.Item)
	wire.Int(c, "from", &u.From)
	wire.Int(c, "to", &u.To)
	wire.Int(c, "pieces", &u.Pieces)
	wire.Int(c, "cost", &u.Cost)
	u.Why.Fields(c)
	u.Fix = optional(c, u.Fix)
	wire.Int(c, "gain", &u.Gain)
}

// Fields implements wire.Fielder.
func (s *Sold) Fields(c *wire.Coder) {
	wire.Str(c, "item", &s.Item)
	wire.Int(c, "asked", &s.Asked)
	wire.Int(c, "sold", &s.Sold)
	wire.Int(c, "wasted", &s.Wasted)
}

// Fields implements wire.Fielder.
func (a *Asked) Fields(c *wire.Coder) {
	wire.Str(c, "item", &a.Item)
	wire.Int(c, "from", &a.From)
	wire.Int(c, "each", &a.Each)
	wire.List(c, "by", &a.By, func(c *wire.Coder, n *int) { wire.Int(c, "", n) })
}

// Fields implements wire.Fielder.
func (h *HotLot) Fields(c *wire.Coder) {
	wire.Str(c, "item", &h.Item)
	wire.List(c, "from", &h.From, wire.Struct[Share])
	wire.Int(c, "ready", &h.Ready)
	wire.Int(c, "until", &h.Until)
	wire.Int(c, "pieces", &h.Pieces)
	wire.Int(c, "sold", &h.Sold)
}

// Fields implements wire.Fielder.
func (s *Say) Fields(c *wire.Coder) {
	wire.Str(c, "text", &s.Text)
	wire.List(c, "args", &s.Args, wire.Struct[Arg])
	s.Why = optional(c, s.Why)
}

// optional walks a sentence that need not be there.
func optional(c *wire.Coder, s *Say) *Say {
	there := s != nil
	c.Bool("there", &there)
	if !there {
		return nil
	}
	if s == nil {
		s = new(Say)
	}
	s.Fields(c)
	return s
}

// Fields implements wire.Fielder.
func (a *Arg) Fields(c *wire.Coder) {
	wire.Str(c, "name", &a.Name)
	wire.Uint(c, "kind", &a.Kind)
	wire.Int(c, "n", &a.N)
	wire.Str(c, "s", &a.S)
}

// Fields implements wire.Fielder.
func (m *Missing) Fields(c *wire.Coder) {
	m.Say.Fields(c)
	c.Fixed("batch", m.Batch[:])
	wire.Str(c, "place", &m.Place)
}

// Fields implements wire.Fielder.
func (i *ItemName) Fields(c *wire.Coder) {
	wire.Str(c, "procedure", &i.Procedure)
	wire.Uint(c, "version", &i.Version)
	wire.Int(c, "grams", &i.UnitGrams)
	wire.Int(c, "pieces", &i.Pieces)
	wire.List(c, "vessels", &i.Vessels, wire.Word[string])
}

// Fields implements wire.Fielder.
func (r *Rush) Fields(c *wire.Coder) {
	wire.Int(c, "at", &r.At)
	wire.Str(c, "en", &r.EN)
	wire.Str(c, "es", &r.ES)
}
