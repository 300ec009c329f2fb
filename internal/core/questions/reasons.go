package questions

import (
	"slices"

	"brinebell/internal/core/procedure"
	"brinebell/internal/core/quantity"
	"brinebell/internal/core/words"
)

// steps asks what a stage's steps are for, what follows when one is not so, what it must read, what comes after it, and what
// can hurt there.
func (m *maker) steps(p *procedure.Procedure, i int) {
	m.stage = &p.Stages[i]
	for j := range m.stage.Steps {
		s := &m.stage.Steps[j]
		said := m.text(s.Text)
		see := m.t("quiz.see", "stage", m.text(m.stage.Title), "step", said)
		m.reason(p, "why", "quiz.why", s, see, func(s *procedure.Step) procedure.Text { return s.Why })
		m.reason(p, "ifnot", "quiz.ifnot", s, see, func(s *procedure.Step) procedure.Text { return s.IfNot })
		if s.Unit != "" {
			m.limit(s.Name+"/limit", s.Name, m.about("quiz.limit", "step", said), s.Limit, quantity.Unit(s.Unit), words.Shown(s.Unit, s.TypedIn), limitsLike(p, s))
		}
		m.afterStep(j, said)
	}
	m.hurts(p)
	m.inVessel(p)
}

// reason asks for a text of a step; mistaken for it are those of other steps, of this stage first.
func (m *maker) reason(p *procedure.Procedure, key, id string, s *procedure.Step, see string, of func(*procedure.Step) procedure.Text) {
	right := of(s)
	if right.EN == "" {
		return
	}
	a := ask{key: s.Name + "/" + key, step: s.Name, text: m.about(id, "step", m.text(s.Text)), right: m.text(right), value: right.EN, why: see}
	for _, own := range [...]bool{true, false} {
		for i := range p.Stages {
			if stage := &p.Stages[i]; (stage.Name == m.stage.Name) == own {
				for j := range stage.Steps {
					if other := &stage.Steps[j]; other.Text != s.Text {
						a.wrong = append(a.wrong, m.text(of(other)))
					}
				}
			}
		}
	}
	m.add(a)
}

// limitsLike returns the limits of other steps that are read in the same unit.
func limitsLike(p *procedure.Procedure, s *procedure.Step) []procedure.Limit {
	var list []procedure.Limit
	for i := range p.Stages {
		for j := range p.Stages[i].Steps {
			if other := &p.Stages[i].Steps[j]; other.Unit == s.Unit && (other.Limit.Min != nil || other.Limit.Max != nil) {
				list = append(list, other.Limit)
			}
		}
	}
	return list
}

// afterStep asks which step of a stage comes next.
func (m *maker) afterStep(j int, said string) {
	steps := m.stage.Steps
	if j+1 >= len(steps) {
		return
	}
	a := ask{key: steps[j].Name + "/next", step: steps[j+1].Name, text: m.about("quiz.afterstep", "step", said),
		right: m.text(steps[j+1].Text), value: steps[j+1].Name, why: m.inOrder()}
	for k := range steps {
		if k != j {
			a.wrong = append(a.wrong, m.text(steps[k].Text))
		}
	}
	m.add(a)
}

// inOrder lists the steps of the stage.
func (m *maker) inOrder() string {
	out := m.text(m.stage.Title) + ": "
	for i := range m.stage.Steps {
		if i > 0 {
			out += "; "
		}
		out += m.text(m.stage.Steps[i].Text)
	}
	return out
}

// comesNext asks which stage comes after one. Only a stage whose title is its own can be asked for.
func (m *maker) comesNext(p *procedure.Procedure, i int) {
	m.stage = &p.Stages[i]
	if i+1 >= len(p.Stages) {
		return
	}
	next := &p.Stages[i+1]
	a := ask{key: "next", text: m.about("quiz.next"), right: m.text(next.Title), value: next.Name}
	for j := range p.Stages {
		if j > 0 {
			a.why += ", "
		}
		a.why += m.text(p.Stages[j].Title)
		if j != i {
			a.wrong = append(a.wrong, m.text(p.Stages[j].Title))
		}
	}
	m.add(a)
}

// hurts asks what can hurt at a stage: none of the wrong answers is a hazard of its cautions.
func (m *maker) hurts(p *procedure.Procedure) {
	var hazards []string
	take := func(c *procedure.Caution) {
		if c != nil {
			hazards = append(hazards, c.Hazards...)
		}
	}
	for i := range p.Stages {
		if s := &p.Stages[i]; s.Title == m.stage.Title { // who reads the question cannot tell them apart
			take(s.Caution)
			for j := range s.Steps {
				take(s.Steps[j].Caution)
			}
		}
	}
	if len(hazards) == 0 {
		return
	}
	right := hazards[int(m.turn)%len(hazards)]
	a := ask{key: "hurts", text: m.about("quiz.hurts"), right: m.t("hazard." + right), why: m.cautions()}
	for _, h := range procedure.Hazards {
		if !slices.Contains(hazards, h) {
			a.wrong = append(a.wrong, m.t("hazard."+h))
		} else {
			a.value += h + ","
		}
	}
	m.add(a)
}

// cautions says the stage's cautions by their titles.
func (m *maker) cautions() string {
	out := m.text(m.stage.Title) + ":"
	say := func(c *procedure.Caution) {
		if c == nil {
			return
		}
		out += " " + m.text(c.Title) + "."
		for _, line := range c.Lines {
			out += " " + m.text(line)
		}
	}
	say(m.stage.Caution)
	for i := range m.stage.Steps {
		say(m.stage.Steps[i].Caution)
	}
	return out
}

// inVessel asks how many pieces or how much go into one vessel.
func (m *maker) inVessel(p *procedure.Procedure) {
	e := m.stage.Enter
	vessel := m.l.Vessels(m.stage.Vessel, 1)
	m.amount("pieces", m.about("quiz.invessel", "vessel", vessel), e.MostPiece, "1", m.text(m.stage.Title)+": "+m.l.Amount(e.MostPiece, "1")+".")
	m.amount("grams", m.about("quiz.invessel.grams", "vessel", vessel), e.MostGrams, "g", m.text(m.stage.Title)+": "+m.l.Amount(e.MostGrams, "g")+".")
}
