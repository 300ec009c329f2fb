package screen

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
)

// began returns the log that was begun last.
func (w *world) began() *kitchen.Log { return w.s.Log(w.last.Entry) }

// cools puts what is left of tray B to cool.
func (w *world) cools() *kitchen.Log {
	w.tap("ines", &kitchen.Command{Do: kitchen.DoLog, Answer: entry.LogCool, Batch: w.open("tray", 2).ID, Value: 58_400, Unit: "mC"})
	return w.began()
}

func (w *world) reads(l *kitchen.Log, later stamp.Span, milliC int64) {
	w.wait(later)
	w.tap("ines", &kitchen.Command{Do: kitchen.DoLogRead, Log: l.ID, Value: milliC, Unit: "mC"})
}

// frozen freezes pan 2.
func (w *world) frozen() *kitchen.Batch {
	b := w.open("pan", 2)
	w.tap("ines", &kitchen.Command{Do: kitchen.DoFreeze, Batch: b.ID})
	w.wait(5 * stamp.Hour)
	return w.s.Batch(b.ID)
}

// thaws takes pan 2 out of the frost, under running water.
func (w *world) thaws() *kitchen.Log {
	b := w.frozen()
	w.tap("ines", &kitchen.Command{Do: kitchen.DoFreeze, Batch: b.ID, Answer: entry.ThawWater})
	return w.began()
}

// cooled is tray B when it has come to the cold, and perhaps been frozen on its third day.
func (w *world) cooled(frozen bool) *kitchen.Batch {
	l := w.cools()
	w.reads(l, stamp.Hour, 20_000)
	w.reads(l, stamp.Hour, 4_800)
	if frozen {
		w.wait(2 * stamp.Day)
		w.tap("ines", &kitchen.Command{Do: kitchen.DoFreeze, Batch: l.Batch})
		w.wait(20 * stamp.Day)
	}
	return w.s.Batch(l.Batch)
}

// timed lets time alone keep pan 2, out of the cold room.
func (w *world) timed() *kitchen.Log {
	w.tap("ines", &kitchen.Command{Do: kitchen.DoLog, Answer: entry.LogTime, Procedure: "tphc4", Batch: w.open("pan", 2).ID, Value: 4_200, Unit: "mC"})
	return w.began()
}

// logs returns the commands of a screen that are about logs.
func (w *world) logs(path string) (list []*kitchen.Command) {
	for _, c := range draw(w.t, w.ctx("ines", path)).commands(w.t) {
		if strings.HasPrefix(c.Do, kitchen.DoLog) {
			list = append(list, c)
		}
	}
	return list
}

// shows returns all words of a screen in one text.
func (w *world) shows(path string) string { return w.showsTo("maren", path) }

func (w *world) showsTo(crew, path string) string {
	w.t.Helper()
	out, err := json.Marshal(draw(w.t, w.ctx(crew, path)))
	require.NoError(w.t, err)
	return strings.ReplaceAll(string(out), "\u00a0", " ")
}

func TestAFrozenPanSaysSoEverywhere(t *testing.T) {
	w := midshift(t)
	b := w.frozen()
	head := partOf(draw(t, w.ctx("maren", toBatch(b))), "head")
	require.Equal(t, "Frozen", head["word"])
	require.Equal(t, "none", head["state"])
	require.Nil(t, head["rail"], "no window runs")
	for _, path := range []string{"/", "/mark/" + b.ID.String(), toBatch(b) + "/history"} {
		require.Contains(t, w.shows(path), "rozen", path)
	}
	ways := 0
	for _, c := range draw(t, w.ctx("maren", toBatch(b))).commands(t) {
		if c.Do == kitchen.DoFreeze {
			require.Nil(t, w.decide("maren", &kitchen.Command{Do: kitchen.DoNote, Batch: b.ID, Text: "looked"}))
			ways++
		}
		require.NotEqual(t, kitchen.DoPortion, c.Do)
	}
	require.Equal(t, len(kitchen.ThawWays), ways)
	require.NotContains(t, w.shows("/load/fryer-1"), b.ID.String(), "nobody loads it")
}

// Food Code 3-501.17 and 3-501.18: made on Thursday, frozen on Saturday with four of seven days left.
func TestTheMarkOfAFrozenTrayStops(t *testing.T) {
	w := midshift(t)
	b := w.cooled(true)
	m := partOf(draw(t, w.ctx("maren", "/mark/"+b.ID.String())), "mark")
	require.Equal(t, "Frozen", m["useLabel"])
	require.Equal(t, "FROZEN. Left when thawed: 4 days.", m["kind"])
	require.Contains(t, m["date"], "Saturday")
	require.Contains(t, w.shows("/mark/"+b.ID.String()), "left on the day it is thawed: 4 days, that day counted")
	w.tap("ines", &kitchen.Command{Do: kitchen.DoFreeze, Batch: b.ID, Answer: entry.ThawCold}) // a Friday
	m = partOf(draw(t, w.ctx("maren", "/mark/"+b.ID.String())), "mark")
	require.Equal(t, "Use by", m["useLabel"])
	require.Contains(t, m["date"], "Monday", "Friday, Saturday, Sunday, Monday")
	require.Contains(t, w.shows(toBatch(b)), "Kept cold")
}

func TestTheLogOfACooling(t *testing.T) {
	w := midshift(t)
	l := w.cools()
	require.NotContains(t, w.shows("/hold"), "batch/"+l.Batch.String(), "it is no longer for sale")
	require.Contains(t, w.shows("/"), "21.1 °C by 13:38")
	w.reads(l, 40*stamp.Minute, 38_400)
	d := draw(t, w.ctx("maren", toLog(l)+"?v=21"))
	require.Len(t, partOf(d, "plot")["rows"], 2)
	require.Equal(t, kitchen.DoLogRead, drawn{"d": d["dock"]}.commands(t)[0].Do)
	require.Nil(t, partOf(d, "fault"))
	w.reads(l, 85*stamp.Minute, 26_000)
	d = draw(t, w.ctx("maren", toLog(l)))
	require.Contains(t, fmt.Sprint(partOf(d, "fault")["lines"]), "Reheat it to its limit at once, then cool it again, once only.")
	require.Contains(t, w.shows("/deviations"), "over the time to cool down")
	require.Contains(t, w.shows(toLog(l)), "3-501.14(A)")
	require.NotContains(t, w.shows(toLog(l)), "log-end", "a log with a limit missed does not end as if nothing were")
	bells := 0
	for _, b := range kitchen.Bells(w.s, w.now, 0) {
		if b.Log == l.ID {
			bells++
			require.Equal(t, kitchen.Danger, b.Level)
		}
	}
	require.Equal(t, 1, bells)
	w.gotAll()
	require.Contains(t, w.shows(toLog(l)), "Inés has it")
	require.Contains(t, w.shows("/logs"), "log-"+l.ID.String())
}

func TestTimeAloneHasItsMarkAndNoWayBack(t *testing.T) {
	w := midshift(t)
	l := w.timed()
	m := partOf(draw(t, w.ctx("maren", "/mark/"+l.Batch.String())), "mark")
	require.Equal(t, "Discard by", m["useLabel"])
	require.Equal(t, "15:38", m["time"])
	require.NotContains(t, w.shows(toBatch(w.s.Batch(l.Batch))), "/log/new/")
	w.wait(4*stamp.Hour + 1)
	require.Equal(t, "past", partOf(draw(t, w.ctx("maren", toBatch(w.s.Batch(l.Batch)))), "head")["state"])
	require.Contains(t, w.shows("/"), "discard 2.8 kg")
}

// TestBeginsByTaps: from a tray's own page into each log, by what stands on the screens.
func TestBeginsByTaps(t *testing.T) {
	for what, v := range map[string]string{entry.LogCool: "58.4", entry.LogTime: "4.2"} {
		w := midshift(t)
		b := w.open(map[string]string{entry.LogCool: "tray", entry.LogTime: "pan"}[what], 2)
		to := "/log/new/" + what + "?b=" + b.ID.String()
		require.Contains(t, draw(t, w.ctx("ines", toBatch(b))).links(), to)
		require.Empty(t, w.logs(to), "not before it is read")
		c := w.logs(to + "&v=" + v)
		require.Len(t, c, 1)
		w.tap("ines", c[0])
		require.Equal(t, what, w.began().What)
	}
	w := midshift(t)
	require.Contains(t, w.shows("/log/new/time?b="+w.open("tray", 2).ID.String()+"&v=40"), "does not let time as a control begin")
	require.Empty(t, w.logs("/log/new/thaw"), "it asks for the food")
	c := w.logs("/log/new/thaw?n=Prawns&r=thaw-ready")
	require.Len(t, c, 1)
	w.tap("ines", c[0])
	require.Equal(t, entry.RuleThawReady, w.began().Rule)
	require.Contains(t, w.shows("/"), "Prawns")
}

// TestThePhoneReadsInItsProbesUnit: a probe in °F types and shows °F, and 135 °F is the limit itself.
func TestThePhoneReadsInItsProbesUnit(t *testing.T) {
	w := midshift(t)
	doc := w.s.Documents[slices.IndexFunc(w.s.Documents, func(d kitchen.Published) bool { return d.What == kitchen.WhatEquipment })].Document
	doc.Text = strings.Replace(strings.Replace(doc.Text, `"version": 3`, `"version": 4`, 1), `"Sonda 2"}, "unit": "Cel"`, `"Sonda 2"}, "unit": "[degF]"`, 1)
	doc.Version = 4
	w.make("", &doc)
	w.make("ines", &entry.Reading{Place: "cold-room", MilliC: 3000, Probe: "probe-2"})
	require.Contains(t, w.showsTo("ines", "/log/new/cool"), "a 70,0 °F en 2 h, a 41,0 °F en 6 h")
	c := w.logs("/log/new/cool?n=Rice&v=135")
	require.Len(t, c, 1)
	w.tap("ines", c[0])
	l := w.began()
	require.Equal(t, w.now.Add(2*stamp.Hour), l.Judge(w.now).Until)
	require.NotContains(t, w.shows(toLog(l)), "what was before is not counted")
}

// logFixtures are the screens of frost and of logs.
func logFixtures() []kept {
	return []kept{
		{"frozen", func(w *world) string { return toBatch(w.frozen()) }, nil},
		{"markfrozen", func(w *world) string { return "/mark/" + w.cooled(true).ID.String() }, nil},
		{"marktime", func(w *world) string { return "/mark/" + w.timed().Batch.String() }, nil},
		{"logs", func(w *world) string {
			w.cools()
			w.thaws()
			w.wait(80 * stamp.Minute)
			return "/logs"
		}, nil},
		{"lognew", func(w *world) string { return "/log/new/time?b=" + w.open("tray", 2).ID.String() + "&r=tphc6&v=4.2" }, nil},
		{"lognewcool", fixed("/log/new/cool?n=Gravy&v=62.5"), nil},
		{"lognewthaw", fixed("/log/new/thaw?n=Prawns&r=thaw-ready"), nil},
		{"logcool", func(w *world) string {
			l := w.cools()
			w.reads(l, 40*stamp.Minute, 38_400)
			w.reads(l, 35*stamp.Minute, 24_600)
			return toLog(l) + "?v=22.5"
		}, nil},
		{"logmissed", func(w *world) string {
			l := w.cools()
			w.reads(l, 70*stamp.Minute, 40_200)
			w.reads(l, 55*stamp.Minute, 26_100)
			return toLog(l)
		}, nil},
		{"ringlog", func(w *world) string {
			w.cools()
			w.wait(95 * stamp.Minute)
			for _, b := range kitchen.Bells(w.s, w.now, 0) {
				if b.Ringing && b.Log.IsZero() {
					w.tap("teo", &kitchen.Command{Do: kitchen.DoGot, Bell: b.Key})
				}
			}
			return "/"
		}, func(w *world, ctx *Context) { ctx.Last = nil }},
		{"linelogs", func(w *world) string {
			w.cools()
			w.tap("ines", &kitchen.Command{Do: kitchen.DoFreeze, Batch: w.open("pan", 2).ID})
			w.wait(95 * stamp.Minute)
			return "/"
		}, nil},
		{"logthaw", func(w *world) string { return toLog(w.thaws()) + "?of=water&v=22" }, nil},
	}
}
