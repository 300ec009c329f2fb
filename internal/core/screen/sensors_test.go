package screen

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
)

// spoken is all that a screen says, as one text with plain spaces.
func spoken(t *testing.T, ctx *Context) string {
	t.Helper()
	var words []string
	each(draw(t, ctx), func(o map[string]any) {
		text, err := json.Marshal(o)
		require.NoError(t, err)
		words = append(words, string(text))
	})
	return strings.ReplaceAll(strings.Join(words, "\n"), "\u00a0", " ")
}

// beyondTheLimit is a shift whose cold room was at 9 °C for twenty minutes, with a batch in it.
func beyondTheLimit(t *testing.T) (w *world, inside *kitchen.Batch, key string) {
	w = midshift(t)
	w.make("maren", &entry.SensorPairing{Sensor: "cold-a", Name: "Cold room, back", Every: 5 * stamp.Minute, Places: []string{"cold-room"}})
	for i := range w.s.Batches {
		if b := &w.s.Batches[i]; b.Status == kitchen.Open && b.Place == "cold-room" {
			inside = b
		}
	}
	require.NotNil(t, inside)
	w.wait(20 * stamp.Minute)
	w.make("", &entry.Sensing{Place: "cold-room", Source: "cold-a", Probe: "air", From: w.now.Add(-20 * stamp.Minute),
		List: []entry.Sensed{{MilliC: 9000}, {After: 10 * stamp.Minute, MilliC: 9000}, {After: 20 * stamp.Minute, MilliC: 9000}}})
	require.Len(t, w.s.Excursions, 1)
	return w, inside, w.s.Excursions[0].Key
}

func TestAnExcursionIsShownWithWhatEachBatchHadOfIt(t *testing.T) {
	w, inside, key := beyondTheLimit(t)
	page := spoken(t, w.ctx("maren", "/deviation/"+key))
	for _, words := range []string{"Cold room was beyond its limit for 20 min", "Read by Cold room, back", "9.0 °C", "4.0 °C", "100.0 °C·min",
		"20 min of it, 100.0 °C·min", toBatch(inside), "the straight line from reading to reading", "Follow your local code"} {
		require.Contains(t, page, words)
	}
	require.NotContains(t, strings.ToLower(page), "safe")
	page = spoken(t, w.ctx("maren", toBatch(inside)))
	require.Contains(t, page, "Its place was beyond its limit")
	require.Contains(t, page, "20 min of it, 100.0 °C·min")
	require.Contains(t, page, "/deviation/"+escape(key))
	require.Contains(t, spoken(t, w.ctx("ines", "/deviation/"+key)), "estuvo fuera de límite 20 min")
}

func TestSensorsAreListedAndOnlyALeadPairsThem(t *testing.T) {
	w, _, _ := beyondTheLimit(t)
	w.make("", &entry.Sensing{Place: "cabinet-1", Source: "logger A", From: w.now, List: []entry.Sensed{{MilliC: 60_000}}})
	lead, cook := spoken(t, w.ctx("maren", "/sensors")), spoken(t, w.ctx("teo", "/sensors"))
	for _, page := range []string{lead, cook} {
		require.Contains(t, page, "Cold room: 9.0 °C at")
		require.Contains(t, page, "in a day 9.0 °C to 9.0 °C")
		require.Contains(t, page, "Hold cabinet, logger A")
	}
	require.Contains(t, lead, `"p":"sensors"`)
	require.NotContains(t, cook, `"p":"sensors"`)
}

func TestASilentSensorRingsByItsName(t *testing.T) {
	w, _, _ := beyondTheLimit(t)
	w.wait(15 * stamp.Minute)
	require.Contains(t, spoken(t, w.ctx("maren", "/sensors")), "silent since")
	ring := string(Ring(w.ctx("maren", "/")))
	require.Contains(t, ring, `"key":"sensor/cold-a/0"`)
	require.Contains(t, ring, "Cold room, back: no reading, look at it")
	require.Contains(t, ring, "Maren", "it is the lead's")
	w.tap("maren", &kitchen.Command{Do: kitchen.DoGot, Bell: "sensor/cold-a/0"})
	require.NotContains(t, string(Ring(w.ctx("maren", "/")))[:200], "sensor/cold-a")
}
