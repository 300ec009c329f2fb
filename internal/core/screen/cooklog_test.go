package screen

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/probelog"
	"brinebell/internal/core/safety"
	"brinebell/internal/core/stamp"
)

// probeFile is a probe's file: a reading a second, the tenths of a degree Fahrenheit given.
func probeFile(tenths ...int) []byte {
	text := "time,temp_f\n"
	for i, n := range tenths {
		text += fmt.Sprintf("%s,%d.%d\n", time.UnixMilli(int64(evening)+int64(i)*1000).UTC().Format(time.RFC3339), n/10, n%10)
	}
	return []byte(text)
}

const evening = 1_795_646_400_000

func steadily(from, to, n, held int) (list []int) {
	for i := range n {
		list = append(list, from+(to-from)*i/n)
	}
	for range held {
		list = append(list, to)
	}
	return list
}

func handed(name string, file []byte) *Log {
	l := NewLog(name, "")
	for len(file) > 1000 {
		l.Add(file[:1000], false)
		file = file[1000:]
	}
	l.Add(file, true)
	return l
}

// cooking is a shift with a load in fryer 1, its probe checked.
func cooking(t testing.TB) (*world, *kitchen.Batch, string) {
	w := midshift(t)
	w.make("ines", &entry.ProbeCheck{Probe: "P1", Method: entry.IcePoint, Read: -300, Within: 1000})
	b := w.open("load", w.load("fryer-1"))
	return w, b, "/cook?b=" + b.ID.String() + "&p=P1"
}

// TestACooksLogBeginsFromWhatTheKitchenKnows: the fat of its procedure, the error of the probe's check, what was read of the
// load already; what somebody types stands instead.
func TestACooksLogBeginsFromWhatTheKitchenKnows(t *testing.T) {
	w, b, path := cooking(t)
	d := draw(t, w.ctx("maren", path))
	pads := map[string]any{}
	for _, p := range partsOf(d, "pad") {
		pads[p["name"].(string)] = p["text"]
	}
	require.Equal(t, "11", pads["f"], "as the procedure says")
	require.Equal(t, "0.3", pads["e"], "however it is off, it counts against the cook")
	text := said(d)
	require.Contains(t, text, "P1: off by 0.3 °C at its last check")
	require.Contains(t, text, "Of "+strings.ReplaceAll(w.nameOf(b), "\u00a0", " ")+", loaded 11:25")
	f := (&page{}).cookFormOf(w.ctx("maren", path+"&f=&e=1"))
	require.False(t, f.fat, "what was taken out stays out")
	from, until := w.s.CookSpan(b)
	require.Equal(t, []stamp.Milli{at(11, 25), 0}, []stamp.Milli{from.Add(-from.Since(at(11, 25))), until})

	w.wait(stamp.Minute)
	w.on("ines", "load", b.Number)
	w.steps("ines", "load", b.Number)
	b = w.s.Batch(b.ID)
	f = (&page{}).cookFormOf(w.ctx("maren", path))
	require.Len(t, f.rows, 1, "the core temperature that ends the cook")
	require.NotNil(t, f.out)
	c := CookLog(w.ctx("maren", path))
	require.NotNil(t, c)
	require.Equal(t, []any{b.ID, entry.LogTyped, "P1", int64(11_000), "Cel"}, []any{c.Batch, c.Source, c.Probe, c.Fat, c.Degrees})
}

func (w *world) nameOf(b *kitchen.Batch) string { p := newPage(w.ctx("maren", "/")); return p.name(b) }

// cookFormOf is what a page makes of an address.
func (*page) cookFormOf(ctx *Context) cookForm { return newPage(ctx).cookForm() }

func TestAFileIsAssessedOnlyWhenAllOfItCanBeRead(t *testing.T) {
	w, b, path := cooking(t)
	ctx := w.ctx("maren", path+"&src=csv")
	require.Contains(t, said(draw(t, ctx)), "times in RFC 3339")
	ctx.Log = NewLog("run.csv", "")
	ctx.Log.Add([]byte("time,temp_f\n"), false)
	require.Contains(t, said(draw(t, ctx)), "Reading the file")
	require.Nil(t, CookLog(ctx))

	ctx.Log = handed("run.csv", append(probeFile(steadily(400, 1600, 300, 60)...), "yesterday,160\n2026-11-25T23:00:00Z,hot\n"...))
	text := spoken(t, ctx)
	require.Contains(t, text, "2 rows cannot be read: nothing is assessed")
	require.Contains(t, text, `row 361 (line 362): the time \"yesterday\" is not in RFC 3339`)
	require.Contains(t, text, "row 362 (line 363): temp_f is")
	require.Nil(t, CookLog(ctx))
	require.Empty(t, partsOf(draw(t, ctx), "plot"))

	ctx.Log = handed("none.csv", []byte("when;warm\n"))
	require.Contains(t, spoken(t, ctx), "columns are separated by commas")

	file := probeFile(steadily(400, 1600, 300, 60)...)
	ctx.Log = handed("run.csv", file)
	d := draw(t, ctx)
	require.Contains(t, said(d), "Limit met. ")
	require.LessOrEqual(t, len(partsOf(d, "plot")[0]["rows"].([]any)), 70, "as many as can be heard")
	c := CookLog(ctx)
	require.Equal(t, []any{"run.csv", entry.LogFile, "[degF]"}, []any{c.Name, c.Source, c.Degrees})
	require.Equal(t, int64(54*safety.HeatF/100), c.Error, "0.3 °C are 0.54 °F, in the file's degrees")
	for _, p := range partsOf(d, "pad") {
		if p["name"] == "e" {
			require.Equal(t, []any{"0.54", "°F"}, []any{p["text"], p["unit"]})
		}
	}
	typed := *ctx
	typed.Path += "&e=1"
	require.Equal(t, int64(safety.HeatF), CookLog(&typed).Error, "typed in the file's degrees")
	typed.Path = ctx.Path + "&e=15"
	require.Contains(t, said(draw(t, &typed)), "Limit not met. ", "the same file against another error")
	require.Contains(t, said(draw(t, ctx)), "Limit met. ")
	require.Equal(t, probelog.Read(file).Readings, probelog.Unpack(c.Rows))
	ctx.Path = strings.Replace(ctx.Path, "b=", "x=", 1) + "&f=11"
	require.Contains(t, said(draw(t, ctx)), "Say which batch it is")
	require.Nil(t, CookLog(ctx))

	ctx.Path = path + "&src=csv"
	ctx.Log = handed("long.csv", probeFile(steadily(400, 1600, 7000, 300)...))
	require.Contains(t, said(draw(t, ctx)), "7300 readings are more than the 7200 that a record keeps")
	_ = b
}

// TestWhatASensorPostedOfALoad: from when it was loaded on, or of a span that somebody types.
func TestWhatASensorPostedOfALoad(t *testing.T) {
	w, b, path := cooking(t)
	w.make("maren", &entry.SensorPairing{Sensor: "rf", Name: "Probe by radio", Every: stamp.Minute, Places: []string{"fryer-1"}})
	from, _ := w.s.CookSpan(b)
	body := &entry.Sensing{Place: "fryer-1", Source: "rf", From: from.Add(-2 * stamp.Minute)}
	for i := range 60 {
		c := int64(75_000)
		if i < 30 {
			c = 20_000 + int64(i)*1500
		}
		body.List = append(body.List, entry.Sensed{After: stamp.Span(i) * 10 * stamp.Second, MilliC: c})
	}
	w.make("", body)
	require.Contains(t, said(draw(t, w.ctx("maren", path))), "48 readings that a sensor posted", "not what was before the load")
	ctx := w.ctx("maren", path+"&src="+escape("fryer-1|rf"))
	text := said(draw(t, ctx))
	require.Contains(t, text, "Only a probe in the thickest part counts.")
	require.Contains(t, text, "Limit met. ")
	c := CookLog(ctx)
	require.Equal(t, []any{entry.LogPosted, "Fryer 1, Probe by radio"}, []any{c.Source, c.Name})
	require.Len(t, probelog.Unpack(c.Rows), 48)
	ctx.Path += "&a=1&z=2"
	require.Len(t, probelog.Unpack(CookLog(ctx).Rows), 7)
	require.Contains(t, said(draw(t, ctx)), "Limit not met. ")
}

// TestAKeptLogIsShownAsItWasKept: on its batch, in its history, in the records, by itself with its chart, and it can be put right.
func TestAKeptLogIsShownAsItWasKept(t *testing.T) {
	w, b, path := cooking(t)
	ctx := w.ctx("maren", path+"&src=csv")
	ctx.Log = handed("run.csv", probeFile(steadily(400, 1500, 300, 60)...))
	w.tap("maren", &kitchen.Command{Do: kitchen.DoCookLog, Cook: CookLog(ctx)})
	kept := keptLogs(w.s.Batch(b.ID))
	require.Len(t, kept, 1)
	page := "/cook/" + b.ID.String() + "/" + kept[0].event.Entry.String()
	d := draw(t, w.ctx("maren", toBatch(b)))
	require.Contains(t, said(d), "Limit not met: 1 min at 149 °F or hotter, 4 min 54 s asked for")
	require.Contains(t, d.links(), page)
	require.Contains(t, said(d), "the cook log does not meet its limit")
	require.Contains(t, said(draw(t, w.ctx("maren", toBatch(b)+"/history"))), "Cook log: Limit not met: ")
	require.Contains(t, said(draw(t, w.ctx("maren", fmt.Sprintf("/records/day/%d?show=cook", w.s.WallDay(w.now))))), "Cook log: Limit not met: ")
	text := said(draw(t, w.ctx("maren", page)))
	for _, want := range []string{"run.csv, 360 readings kept", kept[0].Digest, "Recomputed now from the kept readings: the same.", "11.0 %", "Limit not met. "} {
		require.Contains(t, text, want)
	}
	require.Contains(t, said(draw(t, w.ctx("ines", page))), "Recalculado ahora con las lecturas guardadas: lo mismo.")
	fixed := 0
	for _, c := range draw(t, w.ctx("maren", page)).commands(t) {
		if c.Do == kitchen.DoCorrect {
			w.tap("maren", c)
			fixed++
		}
	}
	require.Equal(t, 3, fixed, "the fat, the probe's error and the table")
	require.Equal(t, "missing", draw(t, w.ctx("maren", "/cook/"+b.ID.String()+"/x"))["kind"])
}

// TestTheDayOfASensorIsDrawn: a line of means, a field from least to most, the limits, and what was beyond them shaded.
func TestTheDayOfASensorIsDrawn(t *testing.T) {
	w := midshift(t)
	w.sensorDay()
	d := draw(t, w.ctx("maren", "/sensors"))
	plots := partsOf(d, "plot")
	require.Len(t, plots, 1)
	tones := map[string]int{}
	for _, it := range plots[0]["items"].([]any) {
		o := it.(map[string]any)
		tones[fmt.Sprint(o["sort"], " ", o["tone"])]++
	}
	require.Equal(t, 96, tones["3 reach"])
	require.Equal(t, 1, tones["0 value"])
	require.Equal(t, 1, tones["3 signal"])
	require.Equal(t, 2, tones["0 limit"], "the highest and the lowest")
	rows := plots[0]["rows"].([]any)
	require.Len(t, rows, 96)
	require.Equal(t, []any{"2.0\u00a0°C", "2.5\u00a0°C", "3.0\u00a0°C"}, rows[0].([]any)[1:])
	require.Contains(t, said(d), "96 quarter hours: line the mean, field from lowest to highest, 2.0 °C to 8.0 °C in all. 1 time beyond the limit, shaded.")
	require.Contains(t, said(draw(t, w.ctx("ines", "/sensors"))), "1 vez fuera de límite, sombreada.")
}

// sensorDay has the cold room every five minutes of the last day.
func (w *world) sensorDay() {
	w.make("maren", &entry.SensorPairing{Sensor: "cold-a", Name: "Cold room, back", Every: 5 * stamp.Minute, Places: []string{"cold-room"}})
	const n = 288
	body := &entry.Sensing{Place: "cold-room", Source: "cold-a", Probe: "air",
		From: (w.now - w.now%stamp.Milli(kitchen.QuarterHour)).Add(-n * 5 * stamp.Minute)}
	for i := range n {
		c := 2000 + int64(i%3)*500
		if i >= 200 && i < 220 {
			c = 5000 + int64(i%4)*1000
		}
		body.List = append(body.List, entry.Sensed{After: stamp.Span(i) * 5 * stamp.Minute, MilliC: c})
	}
	w.make("", body)
}

// cookFixtures are the screens of a probe's file, kept as fixtures.
func cookFixtures(w *world) []kept {
	path := "/cook?b=" + w.open("load", w.load("fryer-1")).ID.String() + "&src=csv"
	file := func(bytes []byte) func(*world, *Context) {
		return func(_ *world, ctx *Context) { ctx.Log = handed("fryer 1.csv", bytes) }
	}
	good := probeFile(steadily(400, 1600, 300, 60)...)
	return []kept{
		{"cookfile", fixed(path), file(good)},
		{"sensorday", fixed("/sensors"), func(w *world, _ *Context) { w.sensorDay() }},
		{"cookfilebad", fixed(path), file(append(good, "yesterday,160\n2026-11-25T23:00:00Z,hot\n"...))},
	}
}
