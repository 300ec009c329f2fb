package stamp_test

import (
	"cmp"
	"encoding/csv"
	"os"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"brinebell/internal/core/stamp"
)

// TestTraceOfThePaper follows a trace computed by the algorithm of Kulkarni, Demirbas, Madappa, Avva and Leone,
// "Logical Physical Clocks" (OPODIS 2014), figure 5: testdata/published/hybrid-clock-trace.csv.
func TestTraceOfThePaper(t *testing.T) {
	f, err := os.Open("../../../testdata/published/hybrid-clock-trace.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	num := func(s string) int64 {
		n, err := strconv.ParseInt(s, 10, 64)
		require.NoError(t, err)
		return n
	}
	nodes := map[string]*stamp.Clock{}
	for _, r := range rows[1:] {
		step, name, event, now := r[0], r[1], r[2], stamp.Milli(num(r[3]))
		if nodes[name] == nil {
			nodes[name] = &stamp.Clock{Device: name}
		}
		if event == "recv" {
			nodes[name].Seen(stamp.Stamp{At: stamp.Milli(num(r[4])), Count: uint32(num(r[5])), Device: "other"}, now)
		} else {
			nodes[name].Next(now)
		}
		at, count := nodes[name].Last()
		require.EqualValues(t, num(r[6]), at, "step %s", step)
		require.EqualValues(t, num(r[7]), count, "step %s", step)
	}
	require.Len(t, rows, 15)
}

func TestStampsOfOneDeviceGrow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := stamp.Clock{Device: "a"}
		var last stamp.Stamp
		now := stamp.Milli(1_000_000)
		for range rapid.IntRange(1, 60).Draw(t, "events") {
			// A clock may stand still or fall back by up to LeadMax without stamps falling back.
			now += stamp.Milli(rapid.Int64Range(-int64(stamp.LeadMax)/60, 5000).Draw(t, "passes"))
			if rapid.Bool().Draw(t, "hears") {
				c.Seen(stamp.Stamp{At: now + stamp.Milli(rapid.Int64Range(-9e6, 9e6).Draw(t, "off")), Count: 3}, now)
			}
			s := c.Next(now)
			if s.At != now { // it was let go when it was far ahead
				require.Positive(t, stamp.Compare(s, last))
			}
			require.LessOrEqual(t, s.At, now.Add(stamp.LeadMax))
			last = s
		}
	})
}

// TestOneClockInTheFutureDragsNobody checks both sides of LeadMax.
func TestOneClockInTheFutureDragsNobody(t *testing.T) {
	c := stamp.Clock{Device: "a"}
	c.Next(1000)
	c.Seen(stamp.Stamp{At: stamp.Milli(1000).Add(stamp.LeadMax), Device: "b"}, 1000)
	at, _ := c.Last()
	require.EqualValues(t, 61_000, at, "a minute ahead is followed")
	c = stamp.Clock{Device: "a"}
	c.Next(1000)
	c.Seen(stamp.Stamp{At: stamp.Milli(1001).Add(stamp.LeadMax), Device: "b"}, 1000)
	at, _ = c.Last()
	require.EqualValues(t, 1000, at, "a millisecond more is not")
}

func TestAClockThatWasWrongIsLetGo(t *testing.T) {
	c := stamp.Clock{Device: "a"}
	day := stamp.Milli(stamp.Day)
	c.Next(day)
	require.EqualValues(t, day-stamp.Milli(stamp.LeadMax), c.Peek(day-stamp.Milli(stamp.LeadMax))-stamp.Milli(stamp.LeadMax))
	require.EqualValues(t, 5000, c.Next(5000).At)
}

func TestResumeGoesOnAfterTheLastStamp(t *testing.T) {
	c := stamp.Clock{Device: "a"}
	c.Next(70)
	last := c.Next(70)
	again := stamp.Clock{Device: "a"}
	again.Resume(c.Last())
	require.Positive(t, stamp.Compare(again.Next(60), last))
}

func TestOrderIsByTimeThenCountThenDevice(t *testing.T) {
	want := []stamp.Stamp{{At: 1, Count: 9, Device: "z"}, {At: 2, Device: "a"}, {At: 2, Device: "b"}, {At: 2, Count: 1, Device: "a"}}
	got := []stamp.Stamp{want[3], want[1], want[0], want[2]}
	slices.SortFunc(got, stamp.Compare)
	require.Equal(t, want, got)
	require.Equal(t, cmp.Compare(1, 2), stamp.Compare(want[0], want[1]))
}

func TestSpans(t *testing.T) {
	m := stamp.Milli(5000)
	require.EqualValues(t, 65_000, m.Add(stamp.Minute))
	require.Equal(t, stamp.Minute, m.Add(stamp.Minute).Since(m))
	require.Equal(t, 24*stamp.Hour, stamp.Day)
}
