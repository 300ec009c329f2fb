package kitchen

// OilMeasure says what a discard limit is set on.
type OilMeasure uint8

// What discard limits are set on.
const (
	PolarCompounds OilMeasure = iota // total polar compounds, % by mass
	AcidValue                        // mg KOH per g
	FreeAcids                        // free fatty acids, %
	Polymers                         // polymerised (and dimer) triglycerides, %
	NoOilLimit                       // no figure in the law
)

// OilLimit is a published limit beyond which frying oil is thrown away.
type OilLimit struct {
	Country string // ISO 3166-1 alpha-2; EU: a range over its members
	Measure OilMeasure
	Limit   int64 // tenths of its unit
	Below   bool  // the oil must stay below it; else at most at it
	Source  string
	Memory  bool // remembered, not read
}

// Sources of limits. What has a dot in it is the id of a text.
const (
	oilList = "oil.list" // one list of national limits of 2023
	oilRule = "oil.rule" // a national rule
	oilDGF  = "DGF"
)

// oilLimits are the published limits, by country: testdata/published/oil-discard-limits.csv.
var oilLimits = [...]OilLimit{
	{"AT", PolarCompounds, 270, false, oilList, false},
	{"BE", PolarCompounds, 250, false, oilList, false},
	{"BR", PolarCompounds, 250, false, oilList, false},
	{"CL", PolarCompounds, 250, false, oilList, false},
	{"CN", PolarCompounds, 270, false, oilList, false},
	{"CR", PolarCompounds, 250, false, oilList, false},
	{"CZ", PolarCompounds, 250, false, oilList, false},
	{"FI", PolarCompounds, 250, false, oilList, false},
	{"FR", PolarCompounds, 250, false, oilList, false},
	{"DE", PolarCompounds, 240, false, oilList, false},
	{"HU", PolarCompounds, 300, false, oilList, false},
	{"IN", PolarCompounds, 250, false, oilList, false},
	{"IT", PolarCompounds, 250, false, oilList, false},
	{"PA", PolarCompounds, 250, true, oilList, false},
	{"PL", PolarCompounds, 250, false, oilList, false},
	{"PT", PolarCompounds, 250, false, oilList, false},
	{"JP", AcidValue, 30, false, oilList, false},
	{"FR", PolarCompounds, 250, false, "DGCCRF, Decree 2008-184", false},
	{"ES", PolarCompounds, 250, false, "BOE 26/1989", false},
	{"EU", PolarCompounds, 240, false, "24-27 %", false},
	{"DE", FreeAcids, 10, false, oilDGF, false},
	{"DE", Polymers, 120, false, oilDGF + " 2000/2012", true},
	{"DE", AcidValue, 20, false, oilDGF + " 2012", true},
	{"AT", AcidValue, 25, false, "Codex", true},
	{"NL", Polymers, 160, false, "Warenwet", true},
	{"NL", AcidValue, 45, false, "Warenwet", true},
	{"CH", PolarCompounds, 270, false, oilRule, true},
	{"US", NoOilLimit, 0, false, oilRule, true},
}

// OilLimits lists the published limits of a country, and apart from them the one on polar compounds that the kitchen's oil is held
// against: the country's own where there is one, else the strictest of all.
func OilLimits(country string) (own []OilLimit, polar OilLimit) {
	for _, l := range oilLimits {
		mine := l.Country == country
		if mine {
			own = append(own, l)
		}
		if l.Measure != PolarCompounds || polar.Limit != 0 && polar.Country == country {
			continue
		}
		if mine || polar.Limit == 0 || l.Limit < polar.Limit {
			polar = l
		}
	}
	return own, polar
}

// Beyond tells whether thousandths of a per cent of polar compounds are beyond the limit.
func (l *OilLimit) Beyond(polar int64) bool {
	return polar > l.Limit*100 || l.Below && polar == l.Limit*100
}

// FreeAcidsOf returns the free fatty acids, as oleic acid, in thousandths of a per cent, of an acid value in thousandths of a mg KOH per g:
// the acid value divided by 1.99 (AOCS).
func FreeAcidsOf(acid int64) int64 { return (acid*100 + 99) / 199 }
