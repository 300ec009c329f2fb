package clock_test

import (
	"encoding/csv"
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"brinebell/internal/core/clock"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

const true0 = int64(1_795_582_800_000) // 2026-11-25T05:00:00Z

// TestOffsetAndDelayAreThoseOfTheStandard checks the examples of testdata/published/clock-exchange.csv, computed on the
// formulas of RFC 5905, section 8.
func TestOffsetAndDelayAreThoseOfTheStandard(t *testing.T) {
	f, err := os.Open("../../../testdata/published/clock-exchange.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	seen := 0
	for _, r := range rows[1:] {
		if !strings.HasPrefix(r[0], "ntp-ex") {
			continue
		}
		seen++
		var t1, t2, t3, t4 int64
		_, err := fmt.Sscanf(strings.ReplaceAll(r[2], ";", " "), "%d %d %d %d", &t1, &t2, &t3, &t4)
		require.NoError(t, err)
		var offset float64
		var delay int64
		_, err = fmt.Sscanf(strings.ReplaceAll(r[3], ";", ""), "offset %g delay %d", &offset, &delay)
		require.NoError(t, err)
		gotOffset, gotDelay := clock.Offset(t1, t2, t3, t4)
		require.Equal(t, offset, float64(gotOffset), r[0])
		require.EqualValues(t, delay, gotDelay, r[0])
	}
	require.Equal(t, 5, seen)
}

// device is a simulated device whose clocks are off and drift.
type device struct {
	clock.Device
	now, off, ppm int64
	asleep        int64
}

func (d *device) wall() int64 { return true0 + d.now + d.now*d.ppm/1_000_000 + d.off }
func (d *device) mono() int64 { p := d.now - d.asleep; return 5000 + p + p*d.ppm/1_000_000 }
func (d *device) step()       { d.Step(d.wall(), d.mono()) }
func (d *device) err() int64  { return int64(d.At(d.mono())) - (true0 + d.now) }

// exchange takes an exchange whose ways last so long.
func (d *device) exchange(up, down int64) {
	t1 := d.mono()
	d.now += up
	at := stamp.Milli(true0 + d.now)
	d.now += down
	d.Answer(t1, at, at, d.mono(), d.wall(), 1)
}

// TestTheBoundHolds: whatever the delays, drifts within 50 ppm and waits are, kitchen time is never further off than
// the bound says.
func TestTheBoundHolds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := &device{off: rapid.Int64Range(-26*3_600_000, 26*3_600_000).Draw(t, "off"),
			ppm: rapid.Int64Range(-clock.DriftPPM, clock.DriftPPM).Draw(t, "ppm")}
		d.step()
		require.Equal(t, clock.Unknown, d.Bound(d.mono()))
		for range rapid.IntRange(1, 40).Draw(t, "exchanges") {
			d.now += rapid.Int64Range(0, 400_000).Draw(t, "wait")
			d.step()
			d.exchange(rapid.Int64Range(0, 900).Draw(t, "up"), rapid.Int64Range(0, 900).Draw(t, "down"))
			bound := int64(d.Bound(d.mono())) + 2
			require.LessOrEqual(t, max(d.err(), -d.err()), bound)
			if rapid.IntRange(0, 9).Draw(t, "reload") == 0 {
				var again clock.Device
				require.NoError(t, wire.Read(wire.Append(nil, saved{d}), &again))
				d.now += rapid.Int64Range(0, 40_000_000).Draw(t, "away")
				d.Device = again
				d.Resume(d.wall(), d.mono())
				bound := int64(d.Bound(d.mono())) + 2
				require.LessOrEqual(t, max(d.err(), -d.err()), bound)
			}
		}
	})
}

// saved keeps a device's clock as the core does: moved to now first.
type saved struct{ d *device }

func (s saved) Fields(c *wire.Coder) {
	s.d.Rebase(s.d.wall(), s.d.mono())
	s.d.Device.Fields(c)
}

// TestABoundAfterANightAlone: two hours in touch tell a device how its clock drifts; eight hours later it knows kitchen time
// to a second, be its crystal what it may, and be the room it was carried to as cold as it may.
func TestABoundAfterANightAlone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ppm := rapid.Int64Range(-clock.DriftPPM+clock.WanderPPM, clock.DriftPPM-clock.WanderPPM).Draw(t, "ppm")
		d := &device{ppm: ppm}
		d.step()
		for range 240 {
			d.now += 30_000
			d.exchange(rapid.Int64Range(2, 40).Draw(t, "up"), rapid.Int64Range(2, 40).Draw(t, "down"))
		}
		wander := rapid.Int64Range(-clock.WanderPPM, clock.WanderPPM).Draw(t, "wander")
		before := d.now
		alone := func(now int64) int64 { return (now - before) * wander / 1_000_000 }
		for range 16 {
			d.now += 30 * 60_000
			d.Step(d.wall()+alone(d.now), d.mono()+alone(d.now))
			mono := d.mono() + alone(d.now)
			off := int64(d.At(mono)) - (true0 + d.now)
			require.LessOrEqual(t, max(off, -off), int64(d.Bound(mono))+2)
			require.LessOrEqual(t, d.Bound(mono), stamp.Second)
		}
		at := d.At(d.mono() + alone(d.now)).Add(8 * stamp.Hour)
		rings := d.WallAt(at) - (d.wall() + alone(d.now)) // what the wall clock, of the same crystal, will have gone on
		require.InDelta(t, 8*3_600_000, rings-rings*(ppm+wander)/1_000_000, 700)
	})
}

// TestADriftThatChangesIsLearnedAnew: the device got another clock, or the kitchen another server.
func TestADriftThatChangesIsLearnedAnew(t *testing.T) {
	d := &device{ppm: 150}
	d.step()
	for range 240 {
		d.now += 30_000
		d.exchange(3, 3)
	}
	d.off, d.asleep = d.now*300/1_000_000, -d.now*300/1_000_000 // the clocks go on from where they are, at another rate
	d.ppm = -150
	for range 480 {
		d.now += 30_000
		d.exchange(3, 3)
		require.LessOrEqual(t, max(d.err(), -d.err()), int64(d.Bound(d.mono()))+2)
	}
	d.now += 8 * 3_600_000
	d.step()
	require.LessOrEqual(t, max(d.err(), -d.err()), int64(d.Bound(d.mono()))+2)
}

func TestTheQuickestExchangeCounts(t *testing.T) {
	d := &device{}
	d.step()
	d.exchange(400, 20)
	require.EqualValues(t, 190, d.err())
	d.now += 2000
	d.exchange(3, 5)
	require.LessOrEqual(t, max(d.err(), -d.err()), int64(1))
	d.now += 2000
	d.exchange(10, 600)
	require.LessOrEqual(t, max(d.err(), -d.err()), int64(1), "a slow one does not spoil it")
	require.LessOrEqual(t, d.Bound(d.mono()), stamp.Span(6))
}

func TestSleepIsNoticed(t *testing.T) {
	d := &device{}
	d.step()
	d.exchange(3, 3)
	d.now += 40 * 60_000
	d.asleep += 40 * 60_000 // the steady clock stood still
	d.step()
	require.True(t, d.Doubtful())
	require.InDelta(t, 0, d.err(), 5, "what was slept through has passed")
	require.GreaterOrEqual(t, d.Bound(d.mono()), stamp.Span(40*60_000), "but it may have been a setting")
	d.exchange(2, 2)
	require.False(t, d.Doubtful())
	require.LessOrEqual(t, d.Bound(d.mono()), stamp.Span(5))
}

func TestAWallClockSetBackChangesNothing(t *testing.T) {
	d := &device{}
	d.step()
	d.exchange(3, 3)
	d.off = -26 * 3_600_000
	d.now += 1000
	d.step()
	require.InDelta(t, 0, d.err(), 5)
	require.LessOrEqual(t, d.Bound(d.mono()), stamp.Span(10))
}

func TestAReloadWithTheWallClockSetBackDoesNotGoBack(t *testing.T) {
	d := &device{}
	d.step()
	d.exchange(3, 3)
	var again clock.Device
	require.NoError(t, wire.Read(wire.Append(nil, saved{d}), &again))
	before := d.At(d.mono())
	d.off, d.Device = -26*3_600_000, again
	d.Resume(d.wall(), d.mono())
	require.GreaterOrEqual(t, d.At(d.mono()), before)
	require.True(t, d.Doubtful())
}

func TestKitchenTimeThatWasSetIsFollowed(t *testing.T) {
	d := &device{}
	d.step()
	for range 16 {
		d.now += 1500
		d.exchange(2, 2)
	}
	d.now += 1500
	t1 := d.mono()
	at := stamp.Milli(true0 + d.now + 3_600_000)
	d.Answer(t1, at, at, d.mono(), d.wall(), 1)
	require.Equal(t, at, d.At(d.mono()))
}

func TestAnswersToNothingAreIgnored(t *testing.T) {
	d := &device{}
	d.step()
	d.Answer(d.mono()+1, 5, 5, d.mono(), d.wall(), 1)
	d.Answer(d.mono(), 9, 5, d.mono(), d.wall(), 1)
	require.False(t, d.Known())
}

func TestPace(t *testing.T) {
	d := &device{}
	d.step()
	d.exchange(0, 0)
	d.SetPace(d.At(d.mono()), 60, d.wall(), d.mono())
	from := d.At(d.mono())
	d.now += 10_000
	require.Equal(t, from.Add(600*stamp.Second), d.At(d.mono()))
	require.Equal(t, d.wall()+1000, d.WallAt(d.At(d.mono()).Add(stamp.Minute)))
	d.Answer(d.mono(), 77_000_000, 77_000_000, d.mono(), d.wall(), 10)
	require.EqualValues(t, 10, d.Pace())
	d.now += 1000
	require.EqualValues(t, 77_010_000, d.At(d.mono()))
}

func TestTheServersClock(t *testing.T) {
	written := int64(clock.Written)
	var k clock.Kitchen
	require.Zero(t, k.Start(true0, 10, 0))
	require.EqualValues(t, true0, k.Now())
	require.Zero(t, k.Step(true0+500, 510))
	require.EqualValues(t, true0+500, k.Now())
	require.Positive(t, true0-written)
}

// TestAServerThatBootsIn1970 has no battery; its last commit was in 2026.
func TestAServerThatBootsIn1970(t *testing.T) {
	var k clock.Kitchen
	doubt := k.Start(40_000, 7, stamp.Milli(true0))
	require.Negative(t, doubt)
	require.EqualValues(t, true0+1, k.Now())
	k.Step(41_000, 1007)
	require.EqualValues(t, true0+1001, k.Now())
	require.Positive(t, k.Step(true0+3_600_000, 2007), "the wall clock was put right")
	require.EqualValues(t, true0+3_600_000, k.Now())

	require.Negative(t, new(clock.Kitchen).Start(40_000, 7, 0), "an empty one in 1970 is wrong too")
}

func TestAServerTenMinutesBehindItsLastEntry(t *testing.T) {
	var k clock.Kitchen
	require.EqualValues(t, -10*stamp.Minute, k.Start(true0-600_000, 7, stamp.Milli(true0)))
	require.EqualValues(t, true0+1, k.Now())
	require.Zero(t, new(clock.Kitchen).Start(true0, 7, stamp.Milli(true0+1500)), "a second and a half is nothing to speak of")
}

// TestTheServersClockIsSetWhileItRuns: back and ahead, by a little and by days, long after the last commit too. Kitchen
// time goes on with the steady clock, to the millisecond; the one who set it is told.
func TestTheServersClockIsSetWhileItRuns(t *testing.T) {
	var k clock.Kitchen
	k.Start(true0, 0, 0)
	k.Step(true0+1000, 1000)
	k.Committed()
	off, mono := int64(0), int64(1000)
	for _, by := range []int64{-3_600_000, -61_000, -59_000, 86_400_000, -2_000, -86_400_000, 7_200_000} {
		for range 200 { // long enough for whatever would follow the wall clock after a while
			mono += 1000
			require.Zero(t, k.Step(true0+off+mono, mono))
			require.EqualValues(t, true0+mono, k.Now())
		}
		off += by
		mono += 1000
		require.EqualValues(t, by, k.Step(true0+off+mono, mono), "it is said")
		require.EqualValues(t, true0+mono, k.Now(), "set by %d ms", by)
		require.Greater(t, k.Now(), k.Last())
	}
}

// TestARestartWithTheClockSetBack floors at the last commit, says so, and is put right once.
func TestARestartWithTheClockSetBack(t *testing.T) {
	var k clock.Kitchen
	require.EqualValues(t, -2*stamp.Hour, k.Start(true0-7_200_000, 7, stamp.Milli(true0)))
	require.EqualValues(t, true0+1, k.Now())
	k.Step(true0-7_200_000+60_000, 60_007)
	require.EqualValues(t, true0+60_001, k.Now())
	require.EqualValues(t, -1000, k.Now().Since(stamp.Milli(true0+61_001)))
	require.Zero(t, k.Step(true0-7_200_000+61_500, 61_007), "half a second is nobody's doing")
	require.EqualValues(t, true0+61_001, k.Now())
	require.Positive(t, k.Step(true0+900_000, 62_007), "put right")
	require.EqualValues(t, true0+900_000, k.Now(), "it goes ahead: waits must not look shorter than they are")
	require.Positive(t, k.Step(true0+9_000_000, 63_007), "set ahead again")
	require.EqualValues(t, true0+901_000, k.Now(), "a right clock is not followed")
}

func TestTheServersPace(t *testing.T) {
	var k clock.Kitchen
	k.Start(true0, 0, 0)
	k.SetPace(60)
	k.Step(true0+1000, 1000)
	require.EqualValues(t, true0+60_000, k.Now())
	require.EqualValues(t, true0+2000, k.WallAt(stamp.Milli(true0+120_000)))
	k.SetPace(1)
	k.Step(true0+2000, 2000)
	require.EqualValues(t, true0+61_000, k.Now())
}
