package safety

// HoldLimit is a published limit on a temperature: at most, when Cold, else at least. Where codes differ each has a row of
// its own, and the kitchen chooses.
type HoldLimit struct {
	ID      string
	Limit   Heat
	Cold    bool
	Source  string
	Printed int64 // whole degrees Celsius as the code prints them beside the limit, rounded: 57 beside 135 °F
}

// holdLimits has the ids of testdata/published/food-code-numbers.csv.
var holdLimits = [...]struct {
	id                  string
	fahrenheit, celsius int64
	cold                bool
	source              string
}{
	{"hold-hot", 135, 57, false, "fc-hold-hot"},
	{"hold-hot-nyc", 140, 60, false, "nyc-hold-hot"},
	{"hold-hot-tm", 140, 60, false, "tm-hold-hot"},
	{"hold-cold", 41, 5, true, "fc-hold-cold"},
	{"recv-cold", 41, 5, true, "fc-receive-cold"},
	{"recv-hot", 135, 57, false, "fc-receive-hot"},
	{"slack", 41, 5, true, "fc-slack"},
	{"thaw-fridge", 41, 5, true, "fc-thaw-cold"},
	{"thaw-water", 70, 21, true, "fc-thaw-water"},
	{"thaw-rte", 41, 5, true, "fc-thaw-ready"},
}

// HoldLimits lists the limits.
func HoldLimits() []HoldLimit {
	list := make([]HoldLimit, len(holdLimits))
	for i := range list {
		list[i], _ = HoldLimitOf(holdLimits[i].id)
	}
	return list
}

// HoldLimitOf returns the limit with an id, and whether there is one.
func HoldLimitOf(id string) (HoldLimit, bool) {
	for i := range holdLimits {
		if l := &holdLimits[i]; l.id == id {
			return HoldLimit{l.id, Fahrenheit(l.fahrenheit), l.cold, l.source, l.celsius}, true
		}
	}
	return HoldLimit{}, false
}

// AsPrinted returns the limit as the code prints it in degrees Celsius, for thermometers that are read in them.
func (l HoldLimit) AsPrinted() HoldLimit {
	l.Limit = Celsius(l.Printed)
	return l
}

// Met tells whether a temperature is within the limit: at the limit itself it is.
func (l *HoldLimit) Met(h Heat) bool {
	if l.Cold {
		return h <= l.Limit
	}
	return h >= l.Limit
}

// Off returns by how much a temperature is off the limit, negative when there is room left.
func (l *HoldLimit) Off(h Heat) Heat {
	if l.Cold {
		return h - l.Limit
	}
	return l.Limit - h
}

// Finding holds one temperature against the limit.
func (l *HoldLimit) Finding(h Heat) Finding {
	f := Finding{
		Rule: l.ID, Source: l.Source, Formula: "reading >= limit", Verdict: Judge(l.Met(h)), By: max(l.Off(h), -l.Off(h)).MilliC(),
		Got: milliC("reading", h), Limit: milliC("limit", l.Limit),
	}
	if l.Cold {
		f.Formula = "reading <= limit"
	}
	return f
}

// FromKept returns what thousandths of a degree Celsius stand for in an entry. The nearest of them to a tenth of a degree
// Fahrenheit was typed as that tenth, since nobody types thousandths: 57222 is 135 °F, and at its limit.
func FromKept(mC int64) Heat {
	const tenth = HeatF / 10
	h := FromMilliC(max(min(mC, int64(HeatMost/heatM)), -int64(HeatMost/heatM)))
	near := h / tenth * tenth
	if h-near > tenth/2 {
		near += tenth
	} else if near-h > tenth/2 {
		near -= tenth
	}
	if near.MilliC() == mC {
		return near
	}
	return h
}
