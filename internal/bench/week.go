package main

import (
	"cmp"
	"crypto/sha256"
	"slices"
	"time"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/stamp"
	"brinebell/internal/demo"
)

// week makes a data folder that holds a kitchen's books of the last seven days, for the tests in the browser: what its oil
// was measured at, its fryers' temperatures, its probes' checks and its deliveries. No test can wait for a week. Nothing is
// in its vessels. It stands in Germany, whose limit on polar compounds is 24 %. All numbers are invented.
func week(data string) error {
	now := stamp.Milli(time.Now().UnixMilli())
	begun := now.Add(-7 * stamp.Day)
	all, err := demo.Entries(begun, sha256.Sum256([]byte("week")))
	if err != nil {
		return err
	}
	furnished := all[0].At.At
	all = slices.DeleteFunc(all, func(e entry.Entry) bool { return e.At.At != furnished })
	var books []book
	say := func(ago stamp.Span, crew string, body entry.Body) {
		books = append(books, book{now.Add(-ago), crew, body})
	}
	zone, _, _ := demo.Zone(begun)
	say(7*stamp.Day, "", &entry.NamedKitchen{Name: "Halfmoon Ferry Canteen", Zone: zone, Country: "DE", Demo: true})
	weekOfOil(say)
	weekOfReadings(say)
	slices.SortStableFunc(books, func(a, b book) int { return cmp.Compare(a.at, b.at) })
	clock := stamp.Clock{Device: all[0].At.Device}
	for i, b := range books {
		id := entry.NewID(b.at, [10]byte{8: byte(i >> 8), 9: byte(i)})
		if came, ok := b.body.(*entry.Delivery); ok {
			came.Delivery = id
		}
		all = append(all, entry.New(id, clock.Next(b.at), b.crew, b.body))
	}
	return keep(data, all)
}

// book is something written down at an instant.
type book struct {
	at   stamp.Milli
	crew string
	body entry.Body
}

// weekOfOil: fryer 1 was filled a week ago and measured each day, fryer 2 three times.
func weekOfOil(say func(stamp.Span, string, entry.Body)) {
	for _, fryer := range []string{"fryer-1", "fryer-2"} {
		say(7*stamp.Day-stamp.Hour, "teo", &entry.Oil{Place: fryer, Deed: entry.OilChanged, Volume: 20_000})
	}
	for i, polar := range []int64{12_000, 13_500, 15_000, 16_500, 18_500, 19_500} {
		ago := stamp.Span(6-i) * stamp.Day
		say(ago, "teo", &entry.Oil{Place: "fryer-1", Deed: entry.OilMeasured, Polar: polar})
		say(ago-stamp.Hour, "teo", &entry.Oil{Place: "fryer-1", Deed: entry.OilFiltered})
		say(ago-2*stamp.Hour, "teo", &entry.Oil{Place: "fryer-1", Deed: entry.OilToppedUp, Volume: 1500})
		if i < 3 {
			say(ago, "teo", &entry.Oil{Place: "fryer-2", Deed: entry.OilMeasured, Polar: polar - 4000})
		}
	}
}

// weekOfReadings: fryer 1 has run hotter since somebody turned it up, fryer 2 runs steadily; what came in was weighed.
func weekOfReadings(say func(stamp.Span, string, entry.Body)) {
	const every = 10 * stamp.Hour
	turned := []int64{166_400, 166_900, 166_200, 166_800, 166_500, 167_000, 168_900, 169_000, 168_800, 169_200, 168_900, 169_100, 169_000, 169_300}
	for i, mC := range turned {
		ago := stamp.Span(len(turned)-i) * every
		say(ago, "ines", &entry.Reading{Place: "fryer-1", MilliC: mC, Probe: "probe-1"})
		say(ago-stamp.Minute, "ines", &entry.Reading{Place: "fryer-2", MilliC: 168_000 + int64(i*7%4)*400, Probe: "probe-1"})
	}
	for _, probe := range []string{"probe-1", "probe-2"} {
		say(5*stamp.Day, "maren", &entry.ProbeCheck{Probe: probe, Method: entry.IcePoint, Read: 200, Within: 1000})
	}
	for i, lot := range []string{"FR-2601", "FR-2604", "FR-2607"} {
		weights := []int64{1290, 1350, 1310, 1340}
		for j := range weights {
			weights[j] += int64(i*j%3) * 15
		}
		say(stamp.Span(6-2*i)*stamp.Day-3*stamp.Hour, "salma", &entry.Delivery{Supplier: "Marsh Farm", Lot: lot, Procedure: "bone-in",
			Grams: 60_000, Measured: true, MilliC: 2_400, Probe: "probe-2", Weights: weights, Place: "cold-room"})
	}
}
