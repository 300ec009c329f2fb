// Package clock works out kitchen time: on a device from exchanges with the server, on the server from its own clocks.
//
// Nobody's clock is trusted. A device sends its steady clock, t1; the server answers with kitchen time when the
// question came, t2, and when the answer left, t3; the device notes its steady clock, t4. From these follow offset and
// delay (RFC 5905 section 8), and the true offset lies within half the delay of the one found. Of the last sixteen
// exchanges, taken at least a second apart because those of one moment share its luck, the one with the least bound
// counts. Exchanges of hours apart tell how fast the two clocks drift apart (rate), which a device counts with when it is
// alone.
package clock

import (
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

// Limits of the estimate.
const (
	SampleMost  = 16           // exchanges that are remembered
	SampleApart = stamp.Second // how far apart they are taken
	DriftPPM    = 200          // how far two crystals may drift apart, in parts per million: 20 to 200 is usual, from memory
	JumpLeast   = 250          // ms by which two clocks of one device must part within a step to count as a jump
	Unknown     = stamp.Span(-1)
)

// Offset returns how far the other side's clock is ahead of ours, and the delay that the exchange took, from the four
// timestamps of RFC 5905 section 8: offset ((t2-t1)+(t3-t4))/2 and delay (t4-t1)-(t3-t2), all in milliseconds. Half a
// millisecond of offset is rounded down.
func Offset(t1, t2, t3, t4 int64) (offset, delay stamp.Span) {
	return stamp.Span(((t2 - t1) + (t3 - t4)) >> 1), stamp.Span((t4 - t1) - (t3 - t2))
}

// exchange is one reading of the server's clock.
type exchange struct {
	mono    int64 // steady clock in the middle of the exchange
	kitchen stamp.Milli
	half    stamp.Span // half its delay, in kitchen time
}

// Device is a device's idea of kitchen time. The zero value knows nothing and follows the wall clock.
type Device struct {
	pace     int32 // how fast kitchen time runs; 0 is 1
	kitchen  stamp.Milli
	wall     int64 // the clocks at kitchen
	mono     int64
	bound    stamp.Span // at kitchen
	known    bool       // there was an exchange, once
	jumped   bool       // a clock jumped since the last exchange
	samples  []exchange
	rate     rate
	lastWall int64 // the clocks at the last step
	lastMono int64
	started  bool
}

// Fields implements wire.Fielder: what is kept through a reload.
func (d *Device) Fields(c *wire.Coder) {
	wire.Int(c, "pace", &d.pace)
	wire.Int(c, "kitchen", &d.kitchen)
	wire.Int(c, "wall", &d.wall)
	wire.Int(c, "bound", &d.bound)
	c.Bool("known", &d.known)
}

// Pace returns how many times as fast as real time kitchen time runs.
func (d *Device) Pace() int32 { return max(d.pace, 1) }

// Known tells whether there ever was an exchange with the kitchen.
func (d *Device) Known() bool { return d.known }

// Doubtful tells whether a clock of this device jumped since the last exchange, so that a new one is needed.
func (d *Device) Doubtful() bool { return d.jumped }

// Resume begins again from kept fields after a reload: only the wall clock has gone on meanwhile.
func (d *Device) Resume(wall, mono int64) {
	if d.known {
		past := wall - d.wall
		if past < 0 { // the wall clock was set back; time was not
			d.bound += stamp.Span(-past)
			past, d.jumped = 0, true
		}
		d.bound += drift(past)
		d.kitchen = d.kitchen.Add(stamp.Span(past * int64(d.Pace())))
	} else {
		d.kitchen = stamp.Milli(wall)
	}
	d.wall, d.mono, d.lastWall, d.lastMono, d.started = wall, mono, wall, mono, true
}

// drift is what a clock may be off after a time when nothing is known of its rate.
func drift(past int64) stamp.Span { return new(rate).drift(past) }

// Step takes note of the device's clocks. Where they part, the steady clock stood still in sleep, or the wall clock
// was set. Ahead may be sleep, and what was slept through must ring, so the wall clock is followed and the bound grows
// by as much; back can only be a setting, so the steady clock is followed.
func (d *Device) Step(wall, mono int64) {
	if !d.started {
		d.Resume(wall, mono)
		return
	}
	if mono < d.lastMono { // the steady clock began anew
		d.Rebase(wall, d.lastMono+max(wall-d.lastWall, 0))
		d.mono, d.lastMono = mono, mono
		d.samples, d.jumped = nil, true
		d.rate.afresh()
		return
	}
	jump := (wall - d.lastWall) - (mono - d.lastMono)
	d.lastWall, d.lastMono = wall, mono
	if jump > JumpLeast {
		d.Rebase(wall, mono)
		d.kitchen = d.kitchen.Add(stamp.Span(jump * int64(d.Pace())))
		d.bound += stamp.Span(jump)
		d.samples, d.jumped = nil, true
		d.rate.afresh()
	} else if jump < -JumpLeast {
		d.Rebase(wall, mono)
		d.jumped = true
	}
}

// Rebase moves the reference to now without changing what kitchen time is.
func (d *Device) Rebase(wall, mono int64) {
	d.bound += d.rate.drift(mono - d.mono)
	d.kitchen = d.At(mono)
	d.wall, d.mono = wall, mono
}

// At returns kitchen time when the steady clock says mono.
func (d *Device) At(mono int64) stamp.Milli {
	return d.kitchen.Add(d.gone(mono - d.mono))
}

// gone returns how much kitchen time goes by within a time of the steady clock.
func (d *Device) gone(past int64) stamp.Span {
	return stamp.Span(past*int64(d.Pace())) + d.rate.run(past, d.Pace())
}

// Bound returns how far At(mono) may be off, Unknown if there never was an exchange.
func (d *Device) Bound(mono int64) stamp.Span {
	if !d.known {
		return Unknown
	}
	return d.bound + d.rate.drift(mono-d.mono)
}

// WallAt returns what the wall clock will say at an instant of kitchen time, if nobody sets it.
func (d *Device) WallAt(at stamp.Milli) int64 {
	past, pace := int64(at.Since(d.kitchen)), int64(d.Pace())
	if past > 0 {
		past += pace - 1
	}
	past /= pace
	return d.wall + past - int64(d.rate.run(past, 1))
}

// SetPace takes note that kitchen time is at, and runs pace times as fast from now on.
func (d *Device) SetPace(at stamp.Milli, pace int32, wall, mono int64) {
	if pace == d.Pace() {
		return
	}
	d.Rebase(wall, mono)
	d.pace, d.samples = pace, nil
	d.rate.afresh()
	if d.known {
		d.kitchen = at
	}
}

// Answer takes account of an exchange: t1 and t4 are this device's steady clock, t2 and t3 kitchen time.
func (d *Device) Answer(t1 int64, t2, t3 stamp.Milli, t4, wall int64, pace int32) {
	if t4 < t1 || t3 < t2 {
		return // not an answer to what was asked by this clock
	}
	if pace != d.Pace() {
		d.SetPace(t3, pace, wall, t4)
	}
	p := int64(d.Pace())
	delay := max((t4-t1)-int64(t3.Since(t2))/p, 0)
	x := exchange{mono: t1 + (t4-t1)/2, kitchen: t2.Add(t3.Since(t2) / 2), half: stamp.Span((delay*p + 1) / 2)}
	if off := x.kitchen.Since(d.At(x.mono)); d.known && !d.jumped && max(off, -off) > x.half+d.Bound(x.mono)+2 {
		d.rate = rate{} // it was not as it was learned
	}
	d.add(x)
	d.rate.learn(x, d.Pace())
	d.adopt(wall, t4)
}

func (d *Device) add(x exchange) {
	if n := len(d.samples); n > 0 {
		best := d.samples[d.best(x.mono)]
		off := x.kitchen.Since(best.kitchen.Add(d.gone(x.mono - best.mono)))
		if max(off, -off) > x.half+best.half+drift(2*(x.mono-best.mono))*stamp.Span(d.Pace())+2 {
			d.rate.afresh()
			d.samples = nil // both cannot be true: kitchen time was set
		} else if last := &d.samples[n-1]; x.mono-last.mono < int64(SampleApart) {
			if x.half < last.half {
				*last = x
			}
			return
		}
	}
	if len(d.samples) == SampleMost {
		d.samples = append(d.samples[:0], d.samples[1:]...)
	}
	d.samples = append(d.samples, x)
}

// best returns the sample with the least bound at mono.
func (d *Device) best(mono int64) int {
	best := 0
	for i, x := range d.samples {
		if x.half+d.rate.drift(mono-x.mono) <= d.samples[best].half+d.rate.drift(mono-d.samples[best].mono) {
			best = i
		}
	}
	return best
}

func (d *Device) adopt(wall, mono int64) {
	x := d.samples[d.best(mono)]
	d.kitchen = x.kitchen.Add(d.gone(mono - x.mono))
	d.bound = x.half + d.rate.drift(mono-x.mono) + 1 // clocks are read in whole milliseconds
	d.wall, d.mono, d.known, d.jumped = wall, mono, true, false
	d.lastWall, d.lastMono, d.started = wall, mono, true
}
