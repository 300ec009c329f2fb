package kitchen

import (
	"cmp"
	"slices"
	"strings"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/order"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

// Sensor is a thing that posts readings by itself.
type Sensor struct {
	entry.SensorPairing
	At      stamp.Milli // when it was paired
	Revoked bool
}

// Feed is what the state keeps of one source's readings at one place: the newest of them, what goes on now, and a day in
// quarters of an hour. The journal keeps every reading. In whatever order the readings that are kept here were told, they
// give the same excursions; what is told of an instant before all of them goes into a feed of its own, marked Late.
type Feed struct {
	Place, Source string
	Late          bool
	Probe         string
	At            stamp.Milli // of the newest reading; 0: none yet
	MilliC        int64
	Seen          stamp.Milli // when it was last told of
	Run           Excursion   // what goes on beyond the limit; From 0: nothing
	Quarters      []Quarter   // by At
	Since         stamp.Milli // from here on all readings are kept; 0: all that were ever told
	Kept          []Told      // by At, then MilliC
}

// Told is a reading at its instant.
type Told struct {
	At     stamp.Milli
	MilliC int64
}

// Quarter is a quarter of an hour of readings.
type Quarter struct {
	At             stamp.Milli // when it begins
	Min, Max, Last int64       // mC
	LastAt         stamp.Milli
	Sum, N         int64 // of all of them, and how many there are
}

// Mean returns the mean of the quarter's readings, to the nearest thousandth.
func (q *Quarter) Mean() int64 {
	half := q.N / 2
	if q.Sum < 0 {
		half = -half
	}
	return (q.Sum + half) / max(q.N, 1)
}

// QuarterHour is how long a Quarter is.
const QuarterHour = 15 * stamp.Minute

// Excursion is a time in which a place was beyond its limit: from the last reading within it to the next one within it. How
// far it was beyond goes by the straight line from each reading to the next.
type Excursion struct {
	Key           string // of the deviation that it opened; empty while its place allows it
	Place, Source string
	From, Until   stamp.Milli
	Limit, Peak   int64 // mC
	Heat          int64 // degrees beyond the limit times length: mC times ms
	Used          []Had
	Before        bool // it began so long before it was told of that batches which ended since are only in the journal
	Late          bool // out of the feed of what was told late
}

// Had is what a batch that stood there had of an excursion.
type Had struct {
	Batch entry.ID
	Over  stamp.Span // beyond the limit
	Heat  int64      // mC times ms
}

const (
	feedsMost  = 64 // beyond, the feed that was silent longest gives way
	feedStays  = 3 * stamp.Day
	lateGap    = 30 * stamp.Minute
	quarters   = 96
	keptMost   = 1440      // readings of a feed: a day of one a minute
	sensedMost = 1_000_000 // mC either way: no thermometer of a kitchen reads further, and sums stay whole
	heatMost   = 1 << 61
)

func bySource(f Feed, k Feed) int {
	late := 0
	if f.Late != k.Late {
		late = boolFirst(k.Late)
	}
	return cmp.Or(cmp.Compare(f.Place, k.Place), cmp.Compare(f.Source, k.Source), late)
}

func bySensor(x Sensor, sensor string) int { return cmp.Compare(x.Sensor, sensor) }

func byExcursion(x Excursion, key string) int { return cmp.Compare(x.Key, key) }

// Sensor returns the sensor, or nil. Revoked sensors stay listed, marked as revoked.
func (s *State) Sensor(sensor string) *Sensor {
	if i, ok := slices.BinarySearchFunc(s.Sensors, sensor, bySensor); ok {
		return &s.Sensors[i]
	}
	return nil
}

// Feed returns what is known of a source's readings at a place, or nil.
func (s *State) Feed(place, source string) *Feed {
	if i, ok := slices.BinarySearchFunc(s.Feeds, Feed{Place: place, Source: source}, bySource); ok {
		return &s.Feeds[i]
	}
	return nil
}

// Excursion returns the excursion behind a deviation, or nil.
func (s *State) Excursion(key string) *Excursion {
	if i, ok := slices.BinarySearchFunc(s.Excursions, key, byExcursion); ok {
		return &s.Excursions[i]
	}
	return nil
}

func (f *folding) sensorPaired(b *entry.SensorPairing) {
	i, ok := slices.BinarySearchFunc(f.s.Sensors, b.Sensor, bySensor)
	if !ok {
		f.s.Sensors = order.Insert(f.s.Sensors, i, Sensor{})
	}
	f.s.Sensors[i] = Sensor{SensorPairing: *b, At: f.at}
	f.s.Sensors[i].Places = sortedWords(b.Places)
}

func (f *folding) sensorRevoked(b *entry.SensorRevocation) {
	if x := f.s.Sensor(b.Sensor); x != nil {
		x.Revoked = true
		f.s.dropPrefix(silentSubject(b.Sensor))
	}
}

// feed returns the feed of the key, making it if need be.
func (s *State) feed(k Feed) *Feed {
	i, ok := slices.BinarySearchFunc(s.Feeds, k, bySource)
	if ok {
		return &s.Feeds[i]
	}
	if len(s.Feeds) >= feedsMost {
		oldest := 0
		for n := range s.Feeds {
			if s.Feeds[n].Seen < s.Feeds[oldest].Seen {
				oldest = n
			}
		}
		s.Feeds = slices.Delete(s.Feeds, oldest, oldest+1)
		i, _ = slices.BinarySearchFunc(s.Feeds, k, bySource)
	}
	s.Feeds = order.Insert(s.Feeds, i, k)
	return &s.Feeds[i]
}

// sensed folds readings. None counts as later than the entry that tells of it.
func (f *folding) sensed(b *entry.Sensing) {
	key := Feed{Place: b.Place, Source: b.Source}
	list := make([]Told, 0, len(b.List))
	for _, r := range b.List {
		list = append(list, Told{f.when(b.From, r.After), min(max(r.MilliC, -sensedMost), sensedMost)})
	}
	order.Stable(list, byTold)
	main := f.s.feed(key)
	main.Seen = f.at
	newest := main.At
	if x := f.s.Sensor(b.Source); x != nil && f.at.Since(newest) >= Silence(x) {
		f.s.dropPrefix(silentSubject(b.Source))
	}
	n := 0
	for n < len(list) && list[n].At < main.Since {
		n++
	}
	fresh := list[:0:0]
	if n > 0 {
		key.Late = true
		fresh = f.feeds(f.s.feed(key), list[:n], b)
		key.Late = false
	}
	if n < len(list) {
		fresh = append(fresh, f.feeds(f.s.feed(key), list[n:], b)...)
		if p, last := f.s.place(b.Place), list[len(list)-1]; last.At > newest && last.At > p.ReadAt {
			p.Reading, p.ReadAt, p.ReadBy, p.ReadIn, p.Probe = last.MilliC, last.At, f.e.Crew, f.e.ID, cmp.Or(b.Probe, b.Source)
		}
	}
	for _, r := range fresh {
		f.s.feed(key).quarter(r)
	}
}

func byTold(x, y Told) int { return cmp.Or(cmp.Compare(x.At, y.At), cmp.Compare(x.MilliC, y.MilliC)) }

// when returns the instant of a reading, in bounds that sums of lengths stand.
func (f *folding) when(from stamp.Milli, after stamp.Span) stamp.Milli {
	at := min(max(from, -wallMost), wallMost).Add(min(max(after, -stamp.Span(wallMost)), stamp.Span(wallMost)))
	return max(min(at, f.at), 1)
}

// feeds takes readings into a feed, in the order of time, and returns those that it did not have.
func (f *folding) feeds(x *Feed, list []Told, b *entry.Sensing) []Told {
	x.Seen, x.Probe = f.at, b.Probe
	n := 0
	for n < len(list) && list[n].At <= x.At {
		n++
	}
	fresh := f.between(x, list[:n])
	for _, r := range list[n:] {
		from := r
		if x.At != 0 {
			from = Told{x.At, x.MilliC}
		}
		f.onward(x, from, r)
		x.Kept = append(x.Kept, r)
		x.At, x.MilliC = r.At, r.MilliC
	}
	if over := len(x.Kept) - keptMost; over > 0 {
		x.Kept = x.Kept[over:]
		x.Since = x.Kept[0].At
	}
	return append(fresh, list[n:]...)
}

// quarter takes a reading into the day's summary.
func (x *Feed) quarter(r Told) {
	at := r.At - r.At%stamp.Milli(QuarterHour)
	newest := at
	if n := len(x.Quarters); n > 0 {
		newest = max(newest, x.Quarters[n-1].At)
	}
	oldest := newest.Add(-QuarterHour * (quarters - 1))
	for len(x.Quarters) > 0 && x.Quarters[0].At < oldest {
		x.Quarters = x.Quarters[1:]
	}
	if at < oldest {
		return
	}
	i := len(x.Quarters)
	for i > 0 && x.Quarters[i-1].At >= at {
		i--
	}
	if i == len(x.Quarters) || x.Quarters[i].At != at {
		x.Quarters = order.Insert(x.Quarters, i, Quarter{At: at, Min: r.MilliC, Max: r.MilliC})
	}
	q := &x.Quarters[i]
	q.Min, q.Max = min(q.Min, r.MilliC), max(q.Max, r.MilliC)
	q.Sum, q.N = q.Sum+r.MilliC, q.N+1
	if r.At > q.LastAt || r.At == q.LastAt && r.MilliC > q.Last {
		q.Last, q.LastAt = r.MilliC, r.At
	}
}

// pruneSensors drops feeds of which nothing was heard for long, and excursions whose deviation is gone.
func (s *State) pruneSensors(at stamp.Milli) {
	s.Feeds = slices.DeleteFunc(s.Feeds, func(x Feed) bool {
		p := s.Sensor(x.Source)
		return x.Seen <= at.Add(-feedStays) && (x.Late || p == nil || p.Revoked)
	})
	s.Excursions = slices.DeleteFunc(s.Excursions, func(x Excursion) bool { return s.Deviation(x.Key) == nil })
}

// Silence is after how long without a reading a sensor is asked after.
func Silence(x *Sensor) stamp.Span { return 3 * max(min(x.Every, stamp.Day), stamp.Minute) }

func silentSubject(sensor string) string { return "sensor/" + sensor + "/" }

// SilentFrom returns when the sensor counts as silent unless a reading of each of its places comes before, 0 for one that
// was revoked.
func (s *State) SilentFrom(x *Sensor) stamp.Milli {
	if x.Revoked {
		return 0
	}
	oldest := stamp.Milli(0)
	for _, place := range x.Places {
		at := x.At
		if f := s.Feed(place, x.Sensor); f != nil {
			at = max(at, f.At)
		}
		if oldest == 0 || at < oldest {
			oldest = at
		}
	}
	return oldest.Add(Silence(x))
}

// sensors adds the bells of sensors from which nothing is heard.
func (b *belling) sensors() {
	for i := range b.s.Sensors {
		x := &b.s.Sensors[i]
		if from := b.s.SilentFrom(x); from > 0 {
			b.ring([]point{{PointSilent, Attention, from, silentSubject(x.Sensor)}}, silentPatience, Bell{Sensor: x.Sensor})
		}
	}
}

// silentPatience is how long after "got it" the bell of a silent sensor rings again.
const silentPatience = stamp.Hour

// Fields implements wire.Fielder.
func (x *Sensor) Fields(c *wire.Coder) {
	x.SensorPairing.Fields(c)
	wholes(c, "at", (*int64)(&x.At))
	c.Bool("revoked", &x.Revoked)
}

// Fields implements wire.Fielder.
func (x *Feed) Fields(c *wire.Coder) {
	wire.Str(c, "place", &x.Place)
	wire.Str(c, "source", &x.Source)
	c.Bool("late", &x.Late)
	wire.Str(c, "probe", &x.Probe)
	wholes(c, "at milliC seen", (*int64)(&x.At), &x.MilliC, (*int64)(&x.Seen))
	x.Run.fields(c)
	wire.List(c, "quarters", &x.Quarters, wire.Struct[Quarter])
	wire.Int(c, "since", &x.Since)
	var last Told
	wire.List(c, "kept", &x.Kept, func(c *wire.Coder, r *Told) { // each as what it is apart from the one before
		apart := Told{r.At - last.At, r.MilliC - last.MilliC}
		wholes(c, "at milliC", (*int64)(&apart.At), &apart.MilliC)
		last = Told{last.At + apart.At, last.MilliC + apart.MilliC}
		if c.Reading() {
			*r = last
		}
	})
	for i := range x.Quarters { // beside the quarters, which older states have without them
		wholes(c, "sum n", &x.Quarters[i].Sum, &x.Quarters[i].N)
	}
}

// Fields implements wire.Fielder.
func (q *Quarter) Fields(c *wire.Coder) {
	wholes(c, "at min max last lastAt", (*int64)(&q.At), &q.Min, &q.Max, &q.Last, (*int64)(&q.LastAt))
}

// Fields implements wire.Fielder.
func (x *Excursion) Fields(c *wire.Coder) {
	x.fields(c)
	c.Bool("late", &x.Late)
}

func (x *Excursion) fields(c *wire.Coder) {
	wire.Str(c, "key", &x.Key)
	wire.Str(c, "readBy", &x.Source)
	wire.Str(c, "where", &x.Place)
	wholes(c, "from until limit peak heat", (*int64)(&x.From), (*int64)(&x.Until), &x.Limit, &x.Peak, &x.Heat)
	wire.List(c, "used", &x.Used, wire.Struct[Had])
	c.Bool("before", &x.Before)
}

// Fields implements wire.Fielder.
func (u *Had) Fields(c *wire.Coder) {
	u.Batch.Walk(c, "batch")
	wholes(c, "over heat", (*int64)(&u.Over), &u.Heat)
}

// wholes walks whole numbers one after the other, in one place: walking each where it stands costs every phone some bytes.
//
//go:noinline
func wholes(c *wire.Coder, names string, list ...*int64) {
	for _, n := range list {
		name, rest, _ := strings.Cut(names, " ")
		wire.Int(c, name, n)
		names = rest
	}
}
