package screen

import (
	"slices"

	"brinebell/internal/core/procedure"
)

// aid is one thing to do, or to leave, when somebody is hurt or oil burns: its words are "aid.NAME" and "aid.NAME.more".
type aid struct {
	name   string
	source string // a proper name
	memory bool
}

const (
	nhs       = "NHS (North Bristol NHS Trust)"
	burnsUnit = "Australian burns unit"
	osha      = "US OSHA"
)

// aids are the notes in their order: on burns, on oil that burns, and on what prevents both. Their figures are those of
// testdata/published/burn-first-aid.csv and hot-oil-cautions.csv.
var aids = [...]struct {
	title string
	list  []aid
}{
	{"aid.burn", []aid{
		{"cool", "UK burns campaign; " + burnsUnit + "; " + nhs + "; AHA/ARC", false},
		{"rings", nhs, false},
		{"ice", nhs + "; " + burnsUnit, false},
		{"film", nhs, false},
		{"doctor", burnsUnit, false},
		{"chem", "", false},
	}},
	{"aid.fire", []aid{
		{"nowater", osha, false},
		{"first", "NFPA 10/96, UL 300 FAQ; " + osha, false},
		{"move", osha, false},
	}},
	{"aid.before", []aid{
		{"lid", "", true},
		{"alone", osha, false},
		{"mitts", osha, false},
		{"drain", osha, false},
		{"shoes", osha, false},
	}},
}

// firstAidScreen is what to do at once when somebody is burnt or oil is on fire, in large words. It needs no network.
func (p *page) firstAidScreen() {
	p.open("firstaid", p.t("aid"), "")
	p.back("/", p.t("line"))
	p.add(&caution{key: "aid", title: p.t("aid.help"), lines: []string{p.t("aid.call"), p.t("aid.stand")}})
	for _, g := range aids {
		p.add(&group{title: p.t(g.title)})
		for _, a := range g.list {
			from := p.t("aid.common")
			if a.source != "" {
				from = p.t("aid.source", "source", a.source)
			}
			if a.memory {
				from = p.t("aid.memory")
			}
			p.add(&strip{key: "aid-" + a.name, state: "none", name: p.t("aid." + a.name),
				detail: line{{text: p.t("aid."+a.name+".more") + " "}, {text: from}}})
		}
	}
}

// aidHazards are those of which the first-aid notes speak.
var aidHazards = [...]string{"hot oil", "pressure", "hot surface", "chemicals"}

// aidFor leads from a caution to the first-aid notes, where they speak of its hazard.
func (p *page) aidFor(c *procedure.Caution) string {
	for _, h := range c.Hazards {
		if slices.Contains(aidHazards[:], h) {
			return p.t("aid")
		}
	}
	return ""
}
