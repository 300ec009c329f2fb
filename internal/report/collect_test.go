package report

import (
	"encoding/json"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/probelog"
	"brinebell/internal/core/records"
	"brinebell/internal/core/safety"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
	"brinebell/internal/demo"
)

var made = stamp.Milli(time.Date(2026, 11, 24, 17, 20, 0, 0, time.UTC).UnixMilli())

// aDay is the demo kitchen's journal with more entries after it, and the day of its end.
func aDay(t testing.TB, more ...func(last stamp.Stamp) entry.Entry) ([]entry.Entry, int32) {
	t.Helper()
	all, err := demo.Entries(made, [32]byte{7})
	require.NoError(t, err)
	for i, m := range more {
		last := all[len(all)-1].At
		last.At = last.At.Add(stamp.Minute)
		last.Count = uint32(i)
		all = append(all, m(last))
	}
	s := kitchen.New()
	for i := range all {
		s.Apply(&all[i], kitchen.Amended{})
	}
	return all, s.WallDay(all[len(all)-1].At.At)
}

func itemsOf(all []entry.Entry) (items []records.Item) {
	for i := range all {
		items = append(items, records.Item{Entry: all[i], Seq: uint64(i + 1)})
	}
	return items
}

func collect(t testing.TB, all []entry.Entry, a Ask) *Book {
	t.Helper()
	a.At = made
	return Collect(a, kitchen.New(), itemsOf(all))
}

func says(id byte, crew string, body entry.Body) func(stamp.Stamp) entry.Entry {
	return func(at stamp.Stamp) entry.Entry { return entry.New(entry.NewID(at.At, [10]byte{id}), at, crew, body) }
}

func TestTheSameJournalAndInstantPrintTheSameBytes(t *testing.T) {
	all, day := aDay(t)
	for _, lang := range []string{"en", "es"} {
		ask := Ask{From: day, To: day, Lang: lang, By: "maren"}
		first := print(t, collect(t, all, ask))
		require.Equal(t, first, print(t, collect(t, all, ask)))
		check(t, first)
	}
}

// Both values of a correction stand on paper, and what was taken back stands there too.
func TestCorrectionsAndWithdrawalsShowBoth(t *testing.T) {
	wrong := &entry.Reading{Place: "cold-room", MilliC: 8_300, Probe: "p2", Note: "after the delivery"}
	right := &entry.Reading{Place: "cold-room", MilliC: 3_800, Probe: "p2", Note: "after the delivery"}
	var first, second entry.ID
	all, day := aDay(t,
		func(at stamp.Stamp) entry.Entry {
			e := says(1, "teo", wrong)(at)
			first = e.ID
			return e
		},
		func(at stamp.Stamp) entry.Entry {
			return says(2, "maren", &entry.Correction{Entry: first, To: right.Kind(), Ver: 1, Body: wire.Append(nil, right), Reason: "digits swapped"})(at)
		},
		func(at stamp.Stamp) entry.Entry {
			e := says(3, "teo", &entry.Reading{Place: "cold-room", MilliC: 2_900})(at)
			second = e.ID
			return e
		},
		func(at stamp.Stamp) entry.Entry { return says(4, "teo", &entry.Withdrawal{Entry: second})(at) })
	b := collect(t, all, Ask{From: day, To: day, Lang: "en"})
	i := slices.IndexFunc(b.Days[0].Rows, func(r Row) bool { return r.Entry == first.String() })
	require.GreaterOrEqual(t, i, 0)
	r := b.Days[0].Rows[i]
	require.Equal(t, "3.8", r.Number)
	require.Equal(t, Met, r.Verdict)
	require.Equal(t, "8.3\u00a0°C", r.Corrections[0].Was)
	text := squeeze(textOf(t, print(t, b)))
	for _, want := range []string{"by Maren Oduya, lead: was 8.3 °C. Reason: digits swapped", "3.8 °C", "2.9 °C", "TAKEN BACK"} {
		require.Contains(t, text, squeeze(want))
	}
}

func TestADeviationIsPrintedWithAllThatWasDone(t *testing.T) {
	var key string
	all, day := aDay(t, func(at stamp.Stamp) entry.Entry {
		e := says(1, "teo", &entry.Reading{Place: "cold-room", MilliC: 9_900})(at)
		key = e.ID.String() + "/6"
		return e
	})
	late := all[len(all)-1].At
	parts := []string{entry.PartCause, entry.PartHeld, entry.PartEvaluation, entry.PartDisposition, entry.PartCorrection, entry.PartPrevention, entry.PartVerification}
	for i, name := range parts { // a week later: it belongs to the day that it was about
		at := stamp.Stamp{At: late.At.Add(7*stamp.Day + stamp.Span(i)*stamp.Minute), Device: late.Device}
		all = append(all, says(byte(10+i), "maren", &entry.Part{Deviation: key, Part: name, Text: "text of " + name})(at))
	}
	at := stamp.Stamp{At: late.At.Add(7*stamp.Day + stamp.Hour), Device: late.Device}
	all = append(all, says(20, "maren", &entry.Answer{Deviation: key, Action: "compressor changed", Closes: true})(at))
	b := collect(t, all, Ask{From: day, To: day, Lang: "es"})
	i := slices.IndexFunc(b.Days[0].Deviations, func(d Deviation) bool { return d.Key == key })
	require.GreaterOrEqual(t, i, 0)
	v := b.Days[0].Deviations[i]
	require.NotNil(t, v.Closed)
	require.Equal(t, "Maren Oduya", v.Closed.Who.Name)
	text := squeeze(textOf(t, print(t, b)))
	for _, name := range parts {
		require.Contains(t, text, squeeze("text of "+name))
	}
	require.Contains(t, text, squeeze("compressor changed"))
}

func TestAPrintSaysWhatItLeavesOut(t *testing.T) {
	all, day := aDay(t)
	whole := collect(t, all, Ask{From: day, To: day, Lang: "en", All: true})
	kinds := map[string]int{}
	for _, r := range whole.Days[0].Rows {
		kinds[r.Kind]++
	}
	require.Greater(t, kinds[Step], 50)
	require.Greater(t, kinds[Cook], 2)
	usual := collect(t, all, Ask{From: day, To: day, Lang: "en"})
	require.True(t, slices.ContainsFunc(usual.Left, func(s string) bool { return strings.HasPrefix(s, "Steps: ") }), usual.Left)
	cook := collect(t, all, Ask{From: day, To: day, Lang: "en", Show: []string{Cook}})
	require.Len(t, cook.Days[0].Rows, kinds[Cook])
	text := textOf(t, print(t, cook))
	require.Contains(t, text, "only: Cook temperatures")
	require.NotContains(t, text, "Other readings (")
	lot := whole.Days[0].Rows[slices.IndexFunc(whole.Days[0].Rows, func(r Row) bool { return r.Kind == Cook })].Lots[0]
	one := collect(t, all, Ask{From: day, To: day, Lang: "en", Lot: lot, All: true})
	require.NotEmpty(t, one.Days[0].Rows)
	require.Less(t, len(one.Days[0].Rows), len(whole.Days[0].Rows))
	for _, r := range one.Days[0].Rows {
		require.Contains(t, r.Lots, lot)
	}
}

func TestSensorsStandByTheHour(t *testing.T) {
	var list []entry.Sensed
	for i := range 40 {
		list = append(list, entry.Sensed{After: stamp.Span(i) * 3 * stamp.Minute, MilliC: 2_000 + int64(i)*100})
	}
	all, day := aDay(t, says(1, "", &entry.Sensing{Place: "cold-room", Source: "logger", From: made.Add(-4 * stamp.Hour), List: list}))
	b := collect(t, all, Ask{From: day, To: day, Lang: "en", All: true})
	n := 0
	for _, r := range b.Days[0].Rows {
		if r.Kind == Sensor {
			n++
		}
	}
	require.Equal(t, 40, n)
	text := squeeze(textOf(t, print(t, b)))
	require.Contains(t, text, squeeze("2.0 °C"))
	require.Contains(t, text, squeeze("5.9 °C"))
	require.Contains(t, text, squeeze("NOT MET ("))
	out, err := CSV(b)
	require.NoError(t, err)
	require.Equal(t, 40, strings.Count(string(out), "\r\n"+isoDay(day)+",sensor,"))
}

// TestASensorsReadingIsHeldAgainstTheLimitOfItsTime: what was read before the equipment's limit changed stands beside the
// limit that was in force then, however late it was told.
func TestASensorsReadingIsHeldAgainstTheLimitOfItsTime(t *testing.T) {
	var was entry.Document
	tighter := func(last stamp.Stamp) entry.Entry {
		now := was
		now.Version++
		now.Text = strings.Replace(now.Text, `"version": `+strconv.Itoa(int(was.Version)), `"version": `+strconv.Itoa(int(now.Version)), 1)
		at := strings.Index(now.Text, `"name": "cold-room"`)
		require.Positive(t, at)
		now.Text = now.Text[:at] + strings.Replace(now.Text[at:], `"max": "4 Cel"`, `"max": "3 Cel"`, 1)
		require.NotEqual(t, len(was.Text), 0)
		return says(1, "", &now)(last)
	}
	all, _ := aDay(t)
	for i := range all {
		if b, err := all[i].Open(); err == nil {
			if d, ok := b.(*entry.Document); ok && d.What == kitchen.WhatEquipment {
				was = *d
			}
		}
	}
	var changed stamp.Milli
	all, day := aDay(t, func(last stamp.Stamp) entry.Entry { changed = last.At; return tighter(last) }, func(last stamp.Stamp) entry.Entry {
		return says(2, "", &entry.Sensing{Place: "cold-room", Source: "logger", From: changed.Add(-stamp.Hour),
			List: []entry.Sensed{{MilliC: 3500}, {After: stamp.Hour + stamp.Second, MilliC: 3500}}})(last)
	})
	b := collect(t, all, Ask{From: day, To: day, Lang: "en", All: true})
	var verdicts, limits []string
	for _, r := range b.Days[0].Rows {
		if r.Kind == Sensor {
			verdicts, limits = append(verdicts, r.Verdict), append(limits, r.Most)
		}
	}
	require.Equal(t, []string{Met, NotMet}, verdicts)
	require.Equal(t, []string{"4", "3"}, limits)
}

// TestACooksLogIsOnRecordWithAllThatItTakesToWorkItOutAgain: in the PDF, the CSV and the JSON; a correction shows what was.
func TestACooksLogIsOnRecordWithAllThatItTakesToWorkItOutAgain(t *testing.T) {
	var list []safety.Reading
	for i := range 90 {
		list = append(list, safety.Reading{At: stamp.Milli(int64(made) + int64(i)*1000), Heat: safety.Fahrenheit(int64(min(100+i, 160))) + safety.HeatF/10})
	}
	all, _ := aDay(t)
	var load entry.ID
	for i := range all {
		if b, err := all[i].Open(); err == nil {
			if p, ok := b.(*entry.Portioning); ok && p.In[0].Vessel == "load" {
				load = p.In[0].Batch
			}
		}
	}
	kept := &entry.CookLog{Batch: load, Source: entry.LogFile, Name: "run.csv", Rows: probelog.Pack(list), Degrees: "[degF]", Species: kitchen.Chicken,
		Fat: 9000, Probe: "P1", Error: int64(safety.HeatF / 2)}
	kitchen.AssessLog(kept)
	require.True(t, kept.Met)
	var first entry.ID
	all, day := aDay(t, func(at stamp.Stamp) entry.Entry {
		e := says(1, "maren", kept)(at)
		first = e.ID
		return e
	}, func(at stamp.Stamp) entry.Entry {
		fat := *kept
		fat.Fat = 12_000
		kitchen.AssessLog(&fat)
		return says(2, "maren", &entry.Correction{Entry: first, To: entry.CookAssessed, Ver: 1, Body: wire.Append(nil, &fat), Reason: "the label says 12"})(at)
	})
	b := collect(t, all, Ask{From: day, To: day, Lang: "en", All: true})
	var row *Row
	for i := range b.Days[0].Rows {
		if b.Days[0].Rows[i].CookLog != nil {
			row = &b.Days[0].Rows[i]
		}
	}
	require.NotNil(t, row)
	require.Equal(t, "12", row.CookLog.Fat)
	require.True(t, row.CookLog.Recomputed)
	require.Equal(t, "0.5", row.CookLog.Error)
	require.Len(t, row.CookLog.Readings, 90)
	require.Equal(t, [2]json.Number{"1795540800", "100.1"}, row.CookLog.Readings[0])
	require.Equal(t, kept.Digest, row.CookLog.Digest)
	require.Len(t, row.Corrections, 1)
	text := squeeze(textOf(t, print(t, b)))
	for _, want := range []string{"probe log against the published table", "run.csv", kept.Digest, "12 % fat, 0.5 °F taken off", "the label says 12", "the same."} {
		require.Contains(t, text, squeeze(want))
	}
	out, err := CSV(b)
	require.NoError(t, err)
	require.Contains(t, string(out), "Digest of the readings "+kept.Digest)
	found := collect(t, all, Ask{From: day, To: day, Lang: "en", Limit: "bone-in/lethality"})
	other := collect(t, all, Ask{From: day, To: day, Lang: "en", Limit: "thigh-strips/lethality"})
	require.Equal(t, 1, len(found.Days[0].Rows)+len(other.Days[0].Rows), "found by the limit that it is held against")
	es := collect(t, all, Ask{From: day, To: day, Lang: "es", All: true})
	require.Contains(t, squeeze(textOf(t, print(t, es))), squeeze("registro de sonda según la tabla publicada"))
}
