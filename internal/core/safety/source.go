package safety

// Status says how sure we are of a published figure.
type Status uint8

// Statuses.
const (
	Confirmed  Status = iota // the figure was read in a public text
	FromMemory               // only the standard and its section are remembered: build no release on it alone
	Common                   // common practice of the trade, no source
)

// String returns the status as it stands beside a figure.
func (s Status) String() string {
	switch s {
	case FromMemory:
		return "from memory"
	case Common:
		return "common practice, no source"
	}
	return "confirmed"
}

// Source is where a limit or a formula comes from. Titles are proper names: they stay as they are in every language.
type Source struct {
	ID      string
	Title   string
	Year    int // 0 if not known
	Section string
	Status  Status
}

// sources lists what findings may name; a test sees that none of them names another.
var sources = [...]Source{
	{"fsis-a-chicken", fsisA, 2021, "Table 3, p. 37", Confirmed},
	{"fsis-a-turkey", fsisA, 2021, "Table 4, p. 38", Confirmed},
	{"fsis-a-comeup", fsisA, 2021, "p. 23", Confirmed},
	{"fsis-a-probe", fsisA, 2021, "p. 20, p. 22", Confirmed},
}

const fsisA = "USDA FSIS Cooking Guideline for Meat and Poultry Products (Revised Appendix A), FSIS-GD-2021-0014"

// SourceOf returns the source with an id; one that is not known comes back with its id alone.
func SourceOf(id string) Source {
	for i := range sources {
		if sources[i].ID == id {
			return sources[i]
		}
	}
	return Source{ID: id, Status: FromMemory}
}
