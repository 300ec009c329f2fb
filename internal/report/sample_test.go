package report

import (
	"fmt"
	"strings"
	"time"
)

// The people and things of these tests are invented.
var (
	maren = Person{"maren", "Maren Oduya", "lead"}
	ines  = Person{"ines", "Inés Calloway", "cocinera"}
	teo   = Person{"teo", "Teo Lind", "cook"}
)

// sample is a book of so many days with so many rows a day, in which everything occurs that a record can hold.
func sample(lang string, days, rows int) *Book {
	zone := time.FixedZone("", -5*3600)
	b := &Book{
		Kitchen: "Halfmoon Ferry Canteen", Zone: "America/New_York", Country: "US", Lang: lang, From: "2026-11-01", To: fmt.Sprintf("2026-11-%02d", days),
		Span: "1 to 30 Nov 2026", At: time.Date(2026, 12, 1, 9, 30, 0, 0, zone), By: maren, Device: "pass phone",
		Chain: Chain{Entries: 91234, Head: strings.Repeat("3fa9c01be4d27788", 4)},
		Left:  []string{"412 steps and 96 moves of batches: they are in the CSV and the JSON.", "Photos: their hashes stand beside the rows."},
	}
	for d := range days {
		b.Days = append(b.Days, sampleDay(zone, d, rows))
	}
	return b
}

func sampleDay(zone *time.Location, d, rows int) Day {
	at := func(i int) time.Time { return time.Date(2026, 11, d+1, 5, 0, i*int(65000/max(rows, 1)), 0, zone) }
	day := Day{Day: fmt.Sprintf("2026-11-%02d", d+1), Title: fmt.Sprintf("Day %d November 2026", d+1)}
	for i := range rows {
		r := Row{Kind: Reading, Entry: fmt.Sprintf("entry-%d-%d", d, i), At: at(i), Who: teo, Subject: fmt.Sprintf("Cold room %d", i%4+1), Place: "cold-1",
			What: "read", Number: fmt.Sprintf("%d.%d", 2+i%3, i%10), Unit: "Cel", Value: fmt.Sprintf("%d.%d\u00a0°C", 2+i%3, i%10),
			Most: "5", Limit: "at most 5.0\u00a0°C", Verdict: Met, Probe: "P-2"}
		if i%3 == 0 {
			r.Kind, r.Subject, r.Batch, r.Lots, r.Stage, r.What = Cook, "Bone-in pieces, load 3", fmt.Sprintf("B%04d", i), []string{"FR-2611", "FR-2612"}, "fry", "core temperature of the thickest piece"
			r.Number, r.Value, r.Limit, r.Critical, r.Who = fmt.Sprintf("%d.2", 75+i%9), fmt.Sprintf("%d.2\u00a0°C", 75+i%9), "at least 75.0\u00a0°C", true, ines
		}
		day.Rows = append(day.Rows, r)
	}
	if rows < 6 {
		return day
	}
	day.Rows[0].Verdict, day.Rows[0].Value = NotMet, "71.8\u00a0°C"
	day.Rows[3].Corrections = []Correction{{Signed{teo, at(4)}, "e2", "57.7\u00a0°C", "digits swapped while typing", nil}}
	day.Rows[4].Withdrawn = &Signed{teo, at(5)}
	day.Rows[5].Note = "Door stood open for the delivery; «cámara 2» pitaba ½ min 🍗 " + strings.Repeat("muy despacio ", 12)
	day.Rows[5].Review = "probe P-2 failed its ice point on 3 Nov"
	day.Rows = append(day.Rows, Row{Kind: Probe, Entry: "p", At: at(9), Who: maren, Subject: "Probe P-2", What: "ice point", Value: "0.3\u00a0°C", Limit: "0.0\u00a0°C ± 1.0\u00a0°C", Verdict: Met},
		Row{Kind: Receiving, Entry: "r", At: at(10), Who: ines, Subject: "Whole chickens, FR-2611", Lots: []string{"FR-2611"}, What: "received from Northbank Farms", Value: "3.4\u00a0°C", Limit: "at most 5.0\u00a0°C", Verdict: Met})
	day.Deviations = []Deviation{{Key: "k/4", Title: "Core temperature off its limit", Lines: []string{"71.8 °C: 3.2 °C too cold.", "Limit: at least 75.0 °C."}, Critical: true,
		At: at(1), Who: ines, Subject: "Bone-in pieces, load 3", Batch: "B0000", Lots: []string{"FR-2611"}, Parts: []Part{
			{Signed{ines, at(2)}, "cause", "Cause", "Basket overfilled: 9 heads instead of 8."},
			{Signed{maren, at(3)}, "disposition", "What became of the product", strings.Repeat("Back into the fryer for 2 min, then 78.4 °C read in three pieces. ", 3)},
			{Signed{maren, at(4)}, "prevention", "Prevention", "Line at 8 heads drawn on the basket's scale card."}},
		Missing: []string{"verification"}}}
	day.Lists = []List{{Name: "closing", Title: "Closing", Done: 2, Of: 9, Missing: []string{"Write the temperature of cold room 1"}, Rows: []Row{
		{Kind: Step, Entry: "l1", At: at(20), Who: teo, Subject: "Closing", What: "Fryers off and covered", Value: "yes"},
		{Kind: Step, Entry: "l2", At: at(21), Who: teo, Subject: "Closing", What: "Floor drains rinsed", Value: "no", Note: "drain 2 blocked", Verdict: ""}}, Closed: &Signed{maren, at(22)}}}
	if d%2 == 0 {
		day.Closes = []Close{{Signed: Signed{maren, at(23)}, Entry: "c", Entries: uint64(3000 * (d + 1)), Seal: strings.Repeat("ab12", 8),
			Lines: []string{"What was signed is what is there now."}, Carried: []Carried{{"Deviation: core temperature off its limit", "verification after the next ten loads"}}}}
	}
	return day
}
