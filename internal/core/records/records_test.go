package records_test

import (
	"encoding/csv"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/records"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
	"brinebell/internal/journaltest"
)

const (
	day     = int32(20_782) // 2026-11-25
	morning = stamp.Milli(day)*stamp.Milli(stamp.Day) + 8*stamp.Milli(stamp.Hour)
)

// items numbers entries in the order in which they stand.
func items(list []entry.Entry) []records.Item {
	out := make([]records.Item, len(list))
	for i := range list {
		out[i] = records.Item{Entry: list[i], Seq: uint64(i + 1)}
	}
	return out
}

// bare is the book without its state, whose memory of documents differs from fold to fold.
func bare(b *records.Book) records.Book {
	out := *b
	out.State = nil
	return out
}

// TestAnyOrderGivesTheSameBook folds random journals as they are, shuffled, with doubles, and from a state in the middle.
func TestAnyOrderGivesTheSameBook(t *testing.T) {
	rows := 0
	for seed := range uint64(40) {
		list := items(journaltest.Random(seed, 500))
		first := kitchen.New().WallDay(list[0].Entry.At.At)
		want := records.Fold(nil, list, first, first+30)
		var log journal.Log
		for i := range list {
			_, err := log.Add(journal.Numbered{Seq: list[i].Seq, Record: entry.AppendRecord(nil, &list[i].Entry)})
			require.NoError(t, err)
		}
		require.Equal(t, log.Bytes(), want.State.Append(nil), "seed %d: the state is that of the journal", seed)
		mixed := append(slices.Clone(list), list[:99]...)
		r := rand.New(rand.NewPCG(seed, 5))
		r.Shuffle(len(mixed), func(i, j int) { mixed[i], mixed[j] = mixed[j], mixed[i] })
		require.Equal(t, bare(want), bare(records.Fold(nil, mixed, first, first+30)), "seed %d", seed)
		rows += len(want.Rows)
		for i := range want.Rows {
			require.False(t, i > 0 && want.Rows[i].At < want.Rows[i-1].At)
		}
	}
	require.Greater(t, rows, 5000)
}

// TestSplittingTheSpanChangesNoRow: a day's record is the same whether it is folded alone or with its neighbours.
func TestSplittingTheSpanChangesNoRow(t *testing.T) {
	for seed := range uint64(10) {
		list := items(journaltest.Random(seed, 500))
		first := kitchen.New().WallDay(list[0].Entry.At.At)
		whole := records.Fold(nil, list, first-1, first+9)
		for d := first - 1; d <= first+9; d++ {
			one, part := records.Fold(nil, list, d, d), whole.Find(records.Query{From: d, To: d})
			require.Equal(t, one.Rows, part.Rows, "seed %d, day %d", seed, d)
			require.Equal(t, one.Deviations, part.Deviations, "seed %d, day %d", seed, d)
			require.Equal(t, one.Lists, part.Lists, "seed %d, day %d", seed, d)
			require.Equal(t, one.Closes, part.Closes, "seed %d, day %d", seed, d)
		}
	}
}

// kit writes a small kitchen's journal: a procedure with a critical limit, a list, a probe.
type kit struct {
	t    *testing.T
	now  stamp.Milli
	n    byte
	crew string
	list []records.Item
}

func newKit(t *testing.T) *kit {
	k := &kit{t: t, now: morning, crew: "ann"}
	k.say(&entry.NamedKitchen{Name: "Halfmoon Ferry Canteen", Zone: "UTC", Country: "US", Demo: true})
	k.say(&entry.Member{Crew: "ann", Name: "Ann", Role: entry.Lead})
	k.say(&entry.Member{Crew: "ben", Name: "Ben"})
	for what, text := range map[string]string{kitchen.WhatProcedure: procedureText} {
		k.say(&entry.Document{What: what, Name: "fried", Version: 1, Text: text})
	}
	k.say(&entry.Document{What: kitchen.WhatEquipment, Name: "kitchen", Version: 1, Text: equipmentText})
	k.say(&entry.Document{What: kitchen.WhatList, Name: "opening", Version: 1, Text: listText})
	k.say(&entry.ProbeCheck{Probe: "p1", Method: entry.IcePoint, Within: 1000})
	return k
}

func (k *kit) say(body entry.Body) entry.ID { return k.sayAt(k.now, body) }

func (k *kit) sayAt(at stamp.Milli, body entry.Body) entry.ID {
	k.n++
	k.now = max(k.now, at).Add(stamp.Minute)
	id := entry.NewID(at, [10]byte{k.n})
	e := entry.New(id, stamp.Stamp{At: at, Device: "d1"}, k.crew, body)
	k.list = append(k.list, records.Item{Entry: e, Seq: uint64(len(k.list) + 1)})
	return id
}

func (k *kit) book() *records.Book { return records.Fold(nil, k.list, day, day) }

func (k *kit) row(id entry.ID) *records.Row {
	k.t.Helper()
	b := k.book()
	for i := range b.Rows {
		if b.Rows[i].Entry == id {
			return &b.Rows[i]
		}
	}
	require.Fail(k.t, "no such row")
	return nil
}

// load is a batch of a lot in the fryer.
func (k *kit) load(lot string) entry.ID {
	return k.say(&entry.Start{Code: "C" + lot, Procedure: "fried", Version: 1, Stage: "cook", Vessel: "load", Place: "fryer-1",
		Grams: 4000, Pieces: 24, Lots: []string{lot}})
}

func (k *kit) core(batch entry.ID, mC int64) entry.ID {
	return k.say(&entry.Step{Batch: batch, Stage: "cook", Step: "core", Value: mC, Unit: "mC", Probe: "p1"})
}

func TestACorrectionShowsBothValues(t *testing.T) {
	k := newKit(t)
	id := k.core(k.load("L1"), 71_000)
	fix := func(mC int64, reason string) entry.ID {
		return k.say(&entry.Correction{Entry: id, To: entry.StepDone, Ver: 2, Reason: reason, Body: wire.Append(nil, &entry.Step{
			Batch: k.row(id).Batch, Stage: "cook", Step: "core", Value: mC, Unit: "mC", Probe: "p1"})})
	}
	k.crew = "ben"
	fix(77_000, "read the wrong line")
	slip := fix(99_000, "slipped")
	k.say(&entry.Withdrawal{Entry: slip})
	fix(78_000, "read it again")
	r := k.row(id)
	require.Equal(t, int64(78_000), r.Value)
	require.Len(t, r.Corrections, 3)
	was := func(i int) int64 { return r.Corrections[i].Was.(*entry.Step).Value }
	require.Equal(t, []int64{71_000, 77_000, 77_000}, []int64{was(0), was(1), was(2)})
	require.Equal(t, "read the wrong line", r.Corrections[0].Reason)
	require.Equal(t, "Ben", r.Corrections[0].Name)
	require.NotNil(t, r.Corrections[1].Withdrawn, "a correction that was taken back stays readable")
	require.Empty(t, k.book().Deviations, "what counts now meets its limit")
	k.say(&entry.Withdrawal{Entry: id})
	r = k.row(id)
	require.Equal(t, "Ben", r.Withdrawn.Name)
	require.Equal(t, int64(78_000), r.Value, "what was taken back stays readable")
}

func TestWhatComesLateSaysSo(t *testing.T) {
	k := newKit(t)
	batch := k.load("L1")
	early := k.core(batch, 78_000)
	at := k.now
	k.now = k.now.Add(stamp.Hour)
	k.say(&entry.DayClose{Day: day, Entries: uint64(len(k.list)), Seal: k.book().State.Seal})
	require.False(t, k.row(early).Late)
	require.True(t, k.book().Closes[0].Same)
	after := k.say(&entry.Note{Batch: batch, Text: "wiped down"})
	late := k.sayAt(at, &entry.Step{Batch: batch, Stage: "cook", Step: "core", Value: 72_000, Unit: "mC"})
	c := k.book().Closes[0]
	require.Equal(t, []any{false, int64(1), int64(1), "Ann", entry.Lead}, []any{c.Same, c.Late, c.After, c.Name, c.Role})
	require.True(t, k.row(late).Late, "it belongs before the close, and came after it")
	require.True(t, k.row(after).Late)
	require.False(t, k.row(early).Late)
}

func TestAFailedProbeMarksItsReadings(t *testing.T) {
	k := newKit(t)
	batch := k.load("L1")
	one, two := k.core(batch, 76_000), k.core(batch, 77_000)
	k.say(&entry.ProbeCheck{Probe: "p1", Method: entry.IcePoint, Read: 1700, Within: 1000})
	three := k.core(batch, 78_000)
	k.say(&entry.ProbeCheck{Probe: "p1", Method: entry.IcePoint, Read: 300, Within: 1000})
	four := k.core(batch, 79_000)
	key := k.book().Deviations[0].Key
	require.Equal(t, []string{key, key, key, ""}, []string{k.row(one).Review, k.row(two).Review, k.row(three).Review, k.row(four).Review})
	require.Equal(t, int64(2), k.book().Deviations[0].Number, "of its last failed check")
	require.Positive(t, k.row(four).GoodAt)
}

// TestFind by batch, lot, person, limit, day and kind.
func TestFind(t *testing.T) {
	k := newKit(t)
	first := k.load("L1")
	one := k.core(first, 78_000)
	tray := entry.ID{7}
	k.say(&entry.Portioning{Out: []entry.Share{{Batch: first, Stage: "cook", All: true}}, In: []entry.Portion{
		{Batch: tray, Code: "TRAY", Stage: "hold", Vessel: "tray", Number: 1, Grams: 3900, Pieces: 24}}})
	sold := k.say(&entry.Count{Batch: tray, Sold: 3})
	second := k.load("L2")
	k.crew = "ben"
	two := k.core(second, 71_000)
	cold := k.say(&entry.Reading{Place: "cold-room", MilliC: 3000, Probe: "p1"})
	of := func(q records.Query) []entry.ID {
		var ids []entry.ID
		for _, r := range k.book().Find(q).Rows {
			if r.Kind != records.Probe {
				ids = append(ids, r.Entry)
			}
		}
		return ids
	}
	require.Contains(t, of(records.Query{Code: "TRAY"}), one, "what a tray came out of")
	require.Contains(t, of(records.Query{Batch: first}), sold, "what came out of a load")
	require.NotContains(t, of(records.Query{Batch: first}), two)
	require.Equal(t, []entry.ID{second, two}, of(records.Query{Lot: "L2"}))
	require.Equal(t, []entry.ID{two, cold}, of(records.Query{Crew: "ben"}))
	require.Equal(t, []entry.ID{one, two}, of(records.Query{Limit: "fried/cook/core"}))
	require.Equal(t, []entry.ID{one, two}, of(records.Query{Show: []records.Kind{records.Cook}}))
	require.Equal(t, []entry.ID{cold}, of(records.Query{Limit: "place/cold-room"}))
	require.Equal(t, []entry.ID{one, two}, of(records.Query{Critical: true}))
	require.Empty(t, of(records.Query{From: day + 1}))
	require.Len(t, k.book().Find(records.Query{Limit: "fried/cook/core"}).Deviations, 1)
	k.sayAt(morning.Add(stamp.Day), &entry.Count{Batch: tray, Sold: 1})
	next := records.Fold(nil, k.list, day+1, day+1)
	require.Len(t, next.Rows, 1)
	require.Len(t, next.Batches, 2, "the tray, and the load of the day before that it came out of")
	require.Len(t, k.book().Find(records.Query{Lot: "L1"}).Deviations, 0)
}

// TestTheKitchenAtAnInstant: as it was then, without what was corrected or taken back later.
func TestTheKitchenAtAnInstant(t *testing.T) {
	k := newKit(t)
	id := k.say(&entry.Reading{Place: "cold-room", MilliC: 3000})
	then := k.now - 1
	k.say(&entry.Reading{Place: "cold-room", MilliC: 8000})
	k.say(&entry.Withdrawal{Entry: id})
	require.Equal(t, int64(3000), records.At(nil, k.list, then).Place("cold-room").Reading)
	require.Equal(t, int64(8000), records.At(nil, k.list, k.now).Place("cold-room").Reading)
}

// TestAListThatNobodyDidIsOnRecord: it was due, and nothing of it was done.
func TestAListThatNobodyDidIsOnRecord(t *testing.T) {
	k := newKit(t)
	k.now = morning.Add(stamp.Day)
	k.say(&entry.Note{Text: "next day"})
	b := records.Fold(nil, k.list, day, day+1)
	require.Len(t, b.Lists, 2)
	require.Equal(t, []string{"hands", "cold"}, b.Lists[0].Missing)
	require.False(t, b.Lists[0].Complete)
	k.say(&entry.Step{List: "opening", Day: day + 1, Step: "hands"})
	k.say(&entry.Step{List: "opening", Day: day + 1, Step: "cold", Value: 3000, Unit: "mC", Probe: "p1"})
	k.say(&entry.ListClose{List: "opening", Day: day + 1})
	x := records.Fold(nil, k.list, day+1, day+1).Lists[0]
	require.True(t, x.Complete && x.Closed)
	require.Equal(t, "Ann", x.Closing.Name)
	require.Len(t, x.Rows, 2)
}

// TestEveryFieldOfTheRecordRules walks testdata/published/haccp-record-fields.csv: each field that a monitoring record and
// a corrective-action record must have stands in the book of a small kitchen.
func TestEveryFieldOfTheRecordRules(t *testing.T) {
	k := newKit(t)
	k.say(&entry.Delivery{Supplier: "Reed Farm", Lot: "L1", Procedure: "fried", Grams: 30_000, Measured: true, MilliC: 3000, Probe: "p1"})
	k.crew = "ben"
	id := k.core(k.load("L1"), 71_000)
	key := k.book().Deviations[0].Key
	for _, part := range kitchen.Parts {
		k.say(&entry.Part{Deviation: key, Part: part, Text: "so it was: " + part, Grams: 4000, Pieces: 24})
	}
	k.crew = "ann"
	k.say(&entry.Answer{Deviation: key, Action: "cooked on to 78", Closes: true})
	k.say(&entry.DayClose{Day: day, Entries: uint64(len(k.list)), Seal: k.book().State.Seal})
	b := k.book()
	r, d, c := k.row(id), b.Deviations[0], b.Closes[0]
	part := func(name string) any { // its words, signer and time, or nothing
		if p := d.PartOf(name); p != nil && p.Text != "" && p.By != "" && p.At != 0 {
			return p.Text
		}
		return ""
	}
	has := map[string][]any{
		"facility or establishment name and place":                {b.Kitchen, b.Zone, b.Country},
		"date and time of the observation":                        {r.Day, r.At},
		"product name or code and lot":                            {r.Item.EN, r.Code, r.Lots},
		"CCP or step being watched":                               {r.Stage, r.Step, r.Title.EN, r.Limit.Critical},
		"critical limit in force":                                 {r.Limit.Min, r.Limit.Source.EN, r.Limit.Critical},
		"actual measured value (not a tick)":                      {r.Value, r.Unit},
		"signature or initials of the person who measured":        {r.Crew, r.Name},
		"made at the time of the event":                           {r.At, r.Seq, r.Device, !r.Late},
		"reviewer signature and date":                             {c.Name, c.At, c.Role == entry.Lead},
		"instrument used and its calibration record":              {r.Probe, r.GoodAt},
		"identification of the deviation (what; when; which lot)": {d.Deviation.Code, d.Number, d.Limit, d.At, d.BatchCode, d.Lots},
		"amount of product held":                                  {part(entry.PartHeld), d.PartOf(entry.PartHeld).Grams},
		"product segregated and held":                             {part(entry.PartHeld)},
		"safety evaluation and who did it":                        {part(entry.PartEvaluation), d.PartOf(entry.PartEvaluation).By},
		"final disposition of the product":                        {part(entry.PartDisposition)},
		"cause found and removed":                                 {part(entry.PartCause)},
		"measure to stop recurrence":                              {part(entry.PartPrevention)},
		"control regained at the CCP":                             {part(entry.PartCorrection)},
		"date; time; name of person responsible":                  {d.Closing.At, d.Closing.Name, d.PartOf(entry.PartCause).At, d.PartOf(entry.PartCause).By},
	}
	rows := published(t, "haccp-record-fields.csv")
	for _, row := range rows {
		values, known := has[row[1]]
		require.True(t, known, "the book has no field for %q (%s, %s)", row[1], row[2], row[3])
		for i, v := range values {
			require.NotZero(t, v, "%q: value %d is empty", row[1], i)
		}
	}
	require.Len(t, rows, len(has))
	require.NotEmpty(t, part(entry.PartVerification), "21 CFR 120.10(b)(5)")
}

// TestEveryPrincipleHasItsPlace walks testdata/published/haccp-principles.csv. The first is the kitchen's own thinking;
// what it leads to stands in the documents.
func TestEveryPrincipleHasItsPlace(t *testing.T) {
	k := newKit(t)
	k.core(k.load("L1"), 71_000)
	b := k.book()
	p := b.State.Procedure("fried", 1)
	st, _ := p.Stage("cook")
	in := map[string]bool{
		"hazard analysis":                                          len(st.Caution.Hazards) > 0,
		"determine critical control points":                        st.Steps[0].Limit.Critical,
		"establish critical limits (validated in Codex 2020)":      st.Steps[0].Limit.Min != nil && st.Steps[0].Limit.Source.EN != "",
		"monitoring system":                                        len(b.Find(records.Query{Critical: true}).Rows) == 1,
		"corrective actions":                                       len(b.Deviations) == 1 && len(b.Deviations[0].Missing()) == len(kitchen.Parts),
		"verification (Codex 2020: validate the plan then verify)": len(b.Find(records.Query{Show: []records.Kind{records.Probe}}).Rows) == 1,
		"documentation and records":                                len(b.Rows) > 0,
	}
	for _, row := range published(t, "haccp-principles.csv") {
		require.True(t, in[row[2]], "principle %s: %s", row[0], row[2])
	}
}

func published(t *testing.T, name string) [][]string {
	f, err := os.Open("../../../testdata/published/" + name)
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	return rows[1:]
}
