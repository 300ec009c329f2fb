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

	{"fc-cool", foodCode, 2022, "3-501.14(A)", Confirmed},
	{"fc-cool-ambient", foodCode, 2022, "3-501.14(B)", Confirmed},
	{"fc-cool-received", foodCode, 2022, "3-501.14(C)", Confirmed},
	{"fc-hold-hot", foodCode, 2022, "3-501.16(A)(1)", Confirmed},
	{"fc-hold-cold", foodCode, 2022, "3-501.16(A)(2)", Confirmed},
	{"fc-receive-cold", foodCode, 2022, "3-202.11(A)", Confirmed},
	{"fc-receive-hot", foodCode, 2022, "3-202.11(D)", Confirmed},
	{"fc-slack", foodCode, 2022, "3-501.12", Confirmed},
	{"fc-thaw-cold", foodCode, 2022, "3-501.13(A)", Confirmed},
	{"fc-thaw-water", foodCode, 2022, "3-501.13(B)(1)", Confirmed},
	{"fc-thaw-ready", foodCode, 2022, "3-501.13(B)(3)", Confirmed},
	{"fc-thaw-raw", foodCode, 2022, "3-501.13(B)(4)", Confirmed},
	{"fc-thaw-cook", foodCode, 2022, "3-501.13(C)", FromMemory},
	{"fc-date", foodCode, 2022, "3-501.17(A)", Confirmed},
	{"fc-date-combine", foodCode, 2022, "3-501.17(D)", FromMemory},
	{"fc-time-4", foodCode, 2022, "3-501.19(B)", Confirmed},
	{"fc-time-4-70", foodCode, 2022, "3-501.19(B)(1)(b)", Confirmed},
	{"fc-time-6", foodCode, 2022, "3-501.19(C)", Confirmed},
	{"nyc-hold-hot", "NYC Health Code", 0, "81.10, table 1", Confirmed},
	{"tm-hold-hot", "US Armed Forces TM-10-412", 2003, "General Information No. 32", Confirmed},
	{"fsis-b-1", fsisB, 1999, "option 1", Confirmed},
	{"fsis-b-2", fsisB, 1999, "option 2", Confirmed},
	{"fsis-b-3", fsisB, 1999, "option 3", FromMemory},
	{"osu-b-3", "Ohio State University, meat science summary of Appendix B", 1999, "option 3", Confirmed},
}

const foodCode = "FDA Food Code"

const fsisB = "USDA FSIS Compliance Guideline for Cooling Heat-Treated Meat and Poultry Products (Appendix B)"

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
