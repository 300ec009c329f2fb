package report

import (
	"encoding/json"
	"slices"
	"strings"
	"time"
)

// A Book is what is printed: a kitchen's records of some days, in words and in numbers. Whoever fills it has decided
// everything; this package only sets it.
type Book struct {
	Kitchen string `json:"kitchen"`
	Zone    string `json:"zone"`    // IANA
	Country string `json:"country"` // ISO 3166-1 alpha-2: it decides the paper
	Lang    string `json:"lang"`    // en or es
	Demo    bool   `json:"demo,omitempty"`

	From   string    `json:"from"` // the kitchen's days, 2026-11-24
	To     string    `json:"to"`
	Span   string    `json:"span,omitempty"`   // the same in words
	At     time.Time `json:"at"`               // kitchen time of the print, in the kitchen's own offset
	By     Person    `json:"by,omitempty"`     // who printed it
	Device string    `json:"device,omitempty"` // on what
	Chosen []string  `json:"chosen,omitempty"` // what was asked for, in words, when it is not everything

	Chain Chain    `json:"chain"`
	Days  []Day    `json:"days"`
	Left  []string `json:"left,omitempty"` // sentences: what is not in it

	Without []string `json:"without,omitempty"` // kinds of rows, "deviations", "lists", that were not asked for
}

// Chain is what the walk along the journal found before anything was printed.
type Chain struct {
	Entries uint64 `json:"entries"`
	Head    string `json:"head"`            // hexadecimal
	Fault   string `json:"fault,omitempty"` // the first entry that is off, and why; empty: each is as it was kept
	Faults  int    `json:"faults,omitempty"`
}

// Person is somebody of the crew. Name is as the kitchen lists them; Role is in words.
type Person struct {
	ID   string `json:"id,omitempty"`
	Name string `json:"name,omitempty"`
	Role string `json:"role,omitempty"`
}

// String is how a person signs: the name and what they answer for.
func (p Person) String() string {
	switch {
	case p.Name == "":
		return p.ID
	case p.Role == "":
		return p.Name
	}
	return p.Name + ", " + p.Role
}

// A Day is one of the kitchen's days.
type Day struct {
	Day        string      `json:"day"`             // 2026-11-24
	Title      string      `json:"title,omitempty"` // the same in words
	Rows       []Row       `json:"rows,omitempty"`
	Deviations []Deviation `json:"deviations,omitempty"`
	Lists      []List      `json:"lists,omitempty"`
	Closes     []Close     `json:"closes,omitempty"` // the first signature first; none: nobody closed it
}

// Kinds of rows, in the order in which a day shows them.
const (
	Cook      = "cook"      // a temperature that a critical limit asks for
	Reading   = "reading"   // any other number that was read
	Sensor    = "sensor"    // what a sensor or a logger read
	Step      = "step"      // something done or answered, without a number
	Receiving = "receiving" // product that came in
	Probe     = "probe"     // a thermometer held against what is known
	Oil       = "oil"       // something done with a fryer's oil
	Log       = "log"       // frost, cooling, time as a control, thawing
	Other     = "other"     // starts, moves, discards, notes: what happened to product and equipment
)

// Kinds lists the kinds of rows in their order.
var Kinds = [...]string{Cook, Reading, Log, Sensor, Receiving, Probe, Oil, Step, Other}

// What a book shows beside rows.
const (
	Deviations = "deviations"
	Lists      = "lists"
)

// Verdicts on a number. A limit is met or not; a record never says more than that.
const (
	Met    = "met"
	NotMet = "not met"
)

// A Row is one thing on record.
type Row struct {
	Kind    string    `json:"kind"`
	Entry   string    `json:"entry"` // id of the entry
	At      time.Time `json:"at"`
	Late    bool      `json:"late,omitempty"` // it came to the kitchen's server long after it was made
	Who     Person    `json:"who,omitempty"`
	Device  string    `json:"device,omitempty"`
	Subject string    `json:"subject,omitempty"` // product, vessel or equipment, in words
	Batch   string    `json:"batch,omitempty"`   // its code
	BatchID string    `json:"batchId,omitempty"`
	Lots    []string  `json:"lots,omitempty"`
	Place   string    `json:"place,omitempty"` // equipment id
	Stage   string    `json:"stage,omitempty"` // in words
	What    string    `json:"what,omitempty"`  // the step or deed, in words

	Number   string `json:"number,omitempty"` // what was read, a plain decimal in Unit, as it was typed
	Unit     string `json:"unit,omitempty"`   // UCUM
	Value    string `json:"value,omitempty"`  // the same in words: "77.6 °C", or the answer
	Least    string `json:"least,omitempty"`  // limits, plain decimals in Unit
	Most     string `json:"most,omitempty"`
	Limit    string `json:"limit,omitempty"` // the same in words
	Critical bool   `json:"critical,omitempty"`
	Verdict  string `json:"verdict,omitempty"` // Met, NotMet or empty
	Probe    string `json:"probe,omitempty"`
	Review   string `json:"review,omitempty"` // why it is in doubt, in words; empty: it is not
	Note     string `json:"note,omitempty"`
	Photo    string `json:"photo,omitempty"` // SHA-256

	CookLog     *CookLog     `json:"cookLog,omitempty"`     // what a cook's log was held against, with its readings
	Corrections []Correction `json:"corrections,omitempty"` // oldest first
	Withdrawn   *Signed      `json:"withdrawn,omitempty"`   // it was taken back; it stays readable
}

// A CookLog is a probe's log of a cook, with all that is needed to work it out again.
type CookLog struct {
	Source     string           `json:"source"`         // typed, file or posted
	Name       string           `json:"name,omitempty"` // of the file or the sensor
	Species    string           `json:"species"`
	Fat        string           `json:"fat_pct"`
	Error      string           `json:"probe_error"` // degrees of Unit, taken off every reading
	Unit       string           `json:"unit"`        // UCUM, of Error and Readings
	Met        bool             `json:"met"`
	Instant    bool             `json:"instant"`
	HeldAt     int64            `json:"held_at_f,omitempty"`
	RowAt      int64            `json:"row_f"`
	Held       json.Number      `json:"held_seconds"`
	Dwell      json.Number      `json:"dwell_seconds"`
	Lower      json.Number      `json:"log10_reduction"`
	Linear     json.Number      `json:"log10_reduction_linear"`
	ComeUp     string           `json:"comeup"` // met, not met or unknown
	Up         json.Number      `json:"comeup_seconds"`
	Table      string           `json:"table"`
	Digest     string           `json:"digest"`
	Recomputed bool             `json:"recomputed"` // worked out again from the readings when this was made, it came out the same
	Readings   [][2]json.Number `json:"readings"`   // seconds since 1970 UTC, or since the first where they were typed; degrees of Unit
}

// A Correction replaced what an entry said. The row holds what counts now; this holds what stood there before.
type Correction struct {
	Signed
	Entry     string  `json:"entry"`
	Was       string  `json:"was,omitempty"`
	Reason    string  `json:"reason,omitempty"`
	Withdrawn *Signed `json:"withdrawn,omitempty"` // the correction itself was taken back
}

// Signed is who, and when.
type Signed struct {
	Who Person    `json:"who,omitempty"`
	At  time.Time `json:"at"`
}

// A Deviation is something that was off, and what was done about it.
type Deviation struct {
	Key      string    `json:"key"`
	Title    string    `json:"title,omitempty"`
	Lines    []string  `json:"lines,omitempty"` // the number, the limit, what to do
	Critical bool      `json:"critical,omitempty"`
	At       time.Time `json:"at"`
	Who      Person    `json:"who,omitempty"`
	Subject  string    `json:"subject,omitempty"`
	Batch    string    `json:"batch,omitempty"`
	BatchID  string    `json:"batchId,omitempty"`
	Lots     []string  `json:"lots,omitempty"`
	Parts    []Part    `json:"parts,omitempty"`
	Missing  []string  `json:"missing,omitempty"` // names of parts that nobody has written, in words
	Closed   *Signed   `json:"closed,omitempty"`
}

// A Part is one part of what was done about a deviation, with its signer.
type Part struct {
	Signed
	Name  string `json:"name,omitempty"`  // cause, held, disposition...
	Title string `json:"title,omitempty"` // the same in words
	Text  string `json:"text,omitempty"`
}

// A List is one day's run of a checklist.
type List struct {
	Name    string   `json:"name,omitempty"`
	Title   string   `json:"title,omitempty"`
	Rows    []Row    `json:"rows,omitempty"`
	Done    int      `json:"done"`
	Missing []string `json:"missing,omitempty"` // required steps that nobody did, in words
	Of      int      `json:"of,omitempty"`      // steps that it has
	Closed  *Signed  `json:"closed,omitempty"`
}

// last returns the signature that stands under the day, nil if nobody closed it.
func (d *Day) last() *Close {
	if len(d.Closes) == 0 {
		return nil
	}
	return &d.Closes[len(d.Closes)-1]
}

// byTime sorts rows whose entries tell of earlier times, as a logger's file does.
func byTime(rows []Row) {
	slices.SortStableFunc(rows, func(a, b Row) int { return a.At.Compare(b.At) })
}

const hexDigits = "0123456789abcdef"

func hexOf(b []byte) string {
	var s strings.Builder
	for _, x := range b {
		s.WriteByte(hexDigits[x>>4])
		s.WriteByte(hexDigits[x&15])
	}
	return s.String()
}

// A Close is a lead's signature under a day.
type Close struct {
	Signed
	Entry   string    `json:"entry"`
	Entries uint64    `json:"entries"`
	Seal    string    `json:"seal,omitempty"`  // hexadecimal
	Lines   []string  `json:"lines,omitempty"` // what it says of the record now, in words
	Carried []Carried `json:"carried,omitempty"`
	Note    string    `json:"note,omitempty"`
}

// Carried is something open that was handed on to the next day.
type Carried struct {
	Subject string `json:"subject"`
	Reason  string `json:"reason"`
}

// counts tells how many of a day's rows are shown, and how many limits were not met in them.
func (d *Day) counts(shows func(kind string) bool) (rows, notMet int) {
	each := func(list []Row, all bool) {
		for i := range list {
			if !all && !shows(list[i].Kind) {
				continue
			}
			rows++
			if list[i].Verdict == NotMet && list[i].Withdrawn == nil {
				notMet++
			}
		}
	}
	each(d.Rows, false)
	for i := range d.Lists {
		if shows(Lists) {
			each(d.Lists[i].Rows, true)
		}
	}
	return rows, notMet
}
