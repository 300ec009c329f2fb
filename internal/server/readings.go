package server

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"
	"sync"
	"time"

	"golang.org/x/time/rate"

	"brinebell/internal/core"
	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/quantity"
	"brinebell/internal/core/stamp"
	"brinebell/internal/fail"
	"brinebell/internal/logfile"
	"brinebell/internal/pairing"
	"brinebell/internal/web"
)

// Limits of readings that are posted.
const (
	postsEach   = 30          // at once from one sensor, then
	postsEvery  = time.Second // one
	ahead       = 2 * time.Minute
	behind      = 400 * 24 * time.Hour
	sensorsMost = 40 // that belong
	everyMost   = 24 * 60
	wordMost    = 40 // characters of a probe's or a logger's name
	coldest     = -100_000
	hottest     = 400_000 // mC: no thermometer of a kitchen reads further
)

// sensorSite is what the web site's routes of readings see of the server.
type sensorSite struct {
	*Server
	taking sync.Mutex // one at a time looks what is known and keeps what is not
	mu     sync.Mutex
	each   map[string]*rate.Limiter
}

// seen is what the kitchen knows at an instant.
type seen struct {
	now    stamp.Milli
	zone   string
	places []web.Named
	units  map[string]string
	sensor *kitchen.Sensor
	all    []web.Named
	lead   bool
	member bool
}

// look asks the running kitchen.
func (k *sensorSite) look(ctx context.Context, sensor, crew string) (seen, error) {
	v := seen{units: map[string]string{}}
	err := k.hub.Ask(ctx, func(c *core.Core) {
		s := c.State()
		v.now, v.zone = c.Now(), s.Zone
		v.lead = s.IsLead(crew)
		v.member = crew == "" || s.Member(crew) != nil
		devices := s.Equipment().Devices
		for i := range devices {
			d := &devices[i]
			v.places = append(v.places, web.Named{ID: d.Name, Name: logfile.Phrase{EN: d.Title.EN, ES: d.Title.ES}})
			v.units[d.Name] = d.TypedIn
		}
		for i := range s.Sensors {
			x := &s.Sensors[i]
			if !x.Revoked {
				v.all = append(v.all, web.Named{ID: x.Sensor, Name: logfile.Phrase{EN: x.Name, ES: x.Name}, Detail: strings.Join(x.Places, ", ")})
			}
			if x.Sensor == sensor {
				own := *x
				own.Places = slices.Clone(x.Places)
				v.sensor = &own
			}
		}
	})
	return v, err
}

func (v *seen) has(place string) bool {
	return slices.ContainsFunc(v.places, func(p web.Named) bool { return p.ID == place })
}

func (v *seen) named() string {
	var names []string
	for _, p := range v.places {
		names = append(names, p.ID)
	}
	return strings.Join(names, ", ")
}

// Facts implements web.Sensors.
func (k *sensorSite) Facts(ctx context.Context) (web.Facts, error) {
	v, err := k.look(ctx, "", "")
	return web.Facts{Places: v.places, Sensors: v.all}, err
}

// Pair implements web.Sensors.
func (k *sensorSite) Pair(ctx context.Context, w web.Wish) (web.Token, error) {
	const op = "server.Pair"
	v, err := k.look(ctx, "", w.Crew)
	if err != nil {
		return web.Token{}, err
	}
	name, err := pairing.CleanName(w.Name)
	switch {
	case err != nil:
		return web.Token{}, err
	case !v.lead:
		return web.Token{}, fail.E(op, fail.Refused, "Only a lead pairs sensors. Hand the phone to a lead.", nil)
	case name == "":
		return web.Token{}, fail.E(op, fail.Invalid, "The sensor needs a name, such as: Cold room, back.", nil)
	case w.Minutes < 1 || w.Minutes > everyMost:
		return web.Token{}, fail.E(op, fail.Invalid, fmt.Sprintf("A sensor reads every 1 to %d minutes; %d is none of these.", everyMost, w.Minutes), nil)
	case len(w.Places) == 0:
		return web.Token{}, fail.E(op, fail.Invalid, "Choose the places that the sensor reads.", nil)
	case len(v.all) >= sensorsMost:
		return web.Token{}, fail.E(op, fail.Refused, fmt.Sprintf("This kitchen has %d sensors, and takes no more. Take one off first.", sensorsMost), nil)
	}
	for _, p := range w.Places {
		if !v.has(p) {
			return web.Token{}, fail.E(op, fail.Invalid, fmt.Sprintf("No equipment of this kitchen is called %q. There is: %s.", p, v.named()), nil)
		}
	}
	if err := (kitchenSite{k.Server}).Ready(); err != nil {
		return web.Token{}, err
	}
	id, token, err := k.desk.NewSensor(k.store, k.cfg.Clock.Wall())
	if err != nil {
		return web.Token{}, err
	}
	body := &entry.SensorPairing{Sensor: id, Name: name, Every: stamp.Span(w.Minutes) * stamp.Minute, Places: w.Places}
	if err := k.writeAs(ctx, "", w.Crew, body); err != nil {
		return web.Token{}, err
	}
	k.cfg.Log.Info("sensor paired", "sensor", id, "name", name, "places", w.Places, "by", w.Crew)
	return web.Token{Sensor: id, Token: token}, nil
}

// Unpair implements web.Sensors.
func (k *sensorSite) Unpair(ctx context.Context, crew, sensor, reason string) error {
	const op = "server.Unpair"
	v, err := k.look(ctx, sensor, crew)
	switch {
	case err != nil:
		return err
	case !v.lead:
		return fail.E(op, fail.Refused, "Only a lead takes sensors off. Hand the phone to a lead.", nil)
	case v.sensor == nil:
		return fail.E(op, fail.Missing, fmt.Sprintf("No sensor of this kitchen is called %q.", sensor), nil)
	}
	if err := k.store.RevokeSensor(sensor, k.cfg.Clock.Wall()); err != nil {
		return err
	}
	return k.writeAs(ctx, "", crew, &entry.SensorRevocation{Sensor: sensor, Reason: short(reason)})
}

// short cuts a text that a journal keeps.
func short(s string) string {
	r := []rune(strings.ToValidUTF8(strings.Join(strings.Fields(s), " "), ""))
	return string(r[:min(len(r), 200)])
}

// writeAs makes entries in the name of a device and returns when they are committed.
func (s *Server) writeAs(ctx context.Context, device, crew string, bodies ...entry.Body) error {
	return s.hub.Do(ctx, func(in *core.Input) { in.Op, in.Device, in.Crew, in.Bodies = core.OpMake, device, crew, bodies })
}

// allowed counts a request of a sensor.
func (k *sensorSite) allowed(sensor string) bool {
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.each == nil {
		k.each = map[string]*rate.Limiter{}
	}
	if k.each[sensor] == nil { // only sensors of ours come here, so these are few
		k.each[sensor] = rate.NewLimiter(rate.Every(postsEvery), postsEach)
	}
	return k.each[sensor].AllowN(time.UnixMilli(k.cfg.Clock.Wall()), 1)
}

// posted is a reading that may be taken.
type posted struct {
	row          int
	place, probe string
	at, milliC   int64
}

// Post implements web.Sensors.
func (k *sensorSite) Post(ctx context.Context, token string, list []web.Posted) (web.Taken, error) {
	const op = "server.Post"
	id, err := pairing.SensorOf(k.store, token)
	if err != nil {
		return web.Taken{}, err
	}
	if !k.allowed(id) {
		return web.Taken{}, fail.E(op, fail.Busy, fmt.Sprintf("This sensor posts too often: %d times at once, then once in %s. Send several readings at a time.", postsEach, postsEvery), nil)
	}
	v, err := k.look(ctx, id, "")
	if err != nil {
		return web.Taken{}, err
	}
	if v.sensor == nil || v.sensor.Revoked {
		return web.Taken{}, fail.E(op, fail.Refused, "This sensor does not belong to the kitchen. A lead pairs it anew, under Sensors.", nil)
	}
	var taken web.Taken
	byFeed := map[[2]string][]posted{}
	for i, p := range list {
		r, why := v.judge(&p)
		if why != "" {
			taken.Refused = append(taken.Refused, web.Row{Row: i + 1, Text: why})
			continue
		}
		r.row = i + 1
		byFeed[[2]string{r.place, r.probe}] = append(byFeed[[2]string{r.place, r.probe}], r)
	}
	k.taking.Lock()
	defer k.taking.Unlock()
	var bodies []entry.Body
	told := map[string]map[int64]int64{} // in this very request, under whichever probe
	for _, key := range slices.SortedFunc(keys(byFeed), func(a, b [2]string) int { return cmp.Or(cmp.Compare(a[0], b[0]), cmp.Compare(a[1], b[1])) }) {
		if told[key[0]] == nil {
			told[key[0]] = map[int64]int64{}
		}
		body, err := k.fresh(id, key[0], key[1], byFeed[key], &taken, told[key[0]])
		if err != nil {
			return web.Taken{}, err
		}
		if body != nil {
			bodies = append(bodies, body)
		}
	}
	if len(bodies) > 0 {
		if err := k.writeAs(ctx, id, "", bodies...); err != nil {
			return web.Taken{}, err
		}
	}
	slices.SortFunc(taken.Refused, func(a, b web.Row) int { return cmp.Compare(a.Row, b.Row) })
	return taken, nil
}

func keys[K comparable, V any](m map[K]V) func(func(K) bool) {
	return func(yield func(K) bool) {
		for k := range m {
			if !yield(k) {
				return
			}
		}
	}
}

// fresh makes an entry of those readings that the journal does not know, nil when it knows all.
func (k *sensorSite) fresh(source, place, probe string, list []posted, taken *web.Taken, told map[int64]int64) (entry.Body, error) {
	slices.SortStableFunc(list, func(a, b posted) int { return cmp.Compare(a.at, b.at) })
	known, err := k.store.Readings(source, place, list[0].at, list[len(list)-1].at)
	if err != nil {
		return nil, err
	}
	body := &entry.Sensing{Place: place, Source: source, Probe: probe}
	for _, r := range list {
		was, ok := known[r.at]
		if !ok {
			was, ok = told[r.at]
		}
		switch {
		case ok && was == r.milliC:
			taken.Known++
		case ok:
			taken.Refused = append(taken.Refused, web.Row{Row: r.row, Text: fmt.Sprintf(
				"another reading of this time is kept already, %s; give a second probe a sensor of its own", celsius(was))})
		default:
			told[r.at] = r.milliC
			if len(body.List) == 0 {
				body.From = stamp.Milli(r.at)
			}
			body.List = append(body.List, entry.Sensed{After: stamp.Span(r.at - int64(body.From)), MilliC: r.milliC})
			taken.Kept++
		}
	}
	if len(body.List) == 0 {
		return nil, nil
	}
	return body, nil
}

func celsius(milliC int64) string {
	return quantity.Print(milliC, quantity.MilliC, quantity.Style{Lang: "en"})
}

// judge reads a posted reading, or says why it is not taken.
func (v *seen) judge(p *web.Posted) (posted, string) {
	r := posted{place: p.Place, probe: strings.Join(strings.Fields(p.Probe), " ")}
	if p.Fault != "" {
		return r, p.Fault
	}
	if !slices.Contains(v.sensor.Places, p.Place) {
		return r, fmt.Sprintf("this sensor was not paired for the place %s; it may post: %s", quoted(p.Place), strings.Join(v.sensor.Places, ", "))
	}
	at, err := time.Parse(time.RFC3339Nano, p.Time)
	if err != nil {
		return r, fmt.Sprintf("the time %s is not written as in RFC 3339, such as 2026-11-25T05:00:00Z", quoted(p.Time))
	}
	r.at = at.UnixMilli()
	switch off := time.Duration(r.at-int64(v.now)) * time.Millisecond; {
	case off > ahead:
		return r, fmt.Sprintf("the time %s is %s ahead of the kitchen's; at most %s is taken: set the sensor's clock", quoted(p.Time), off.Round(time.Second), ahead)
	case off < -behind:
		return r, fmt.Sprintf("the time %s is more than %d days ago", quoted(p.Time), int(behind.Hours()/24))
	}
	if p.Value == "" {
		return r, "the value is missing"
	}
	if quantity.BaseOf(p.Unit) != quantity.MilliC {
		return r, fmt.Sprintf("the unit %s is not the UCUM code of a temperature, such as Cel or [degF]", quoted(p.Unit))
	}
	if r.milliC, err = quantity.Typed(string(p.Value), p.Unit, quantity.MilliC); err != nil {
		return r, fmt.Sprintf("the value %s cannot be read as a temperature; write it plainly, such as 3.25", quoted(string(p.Value)))
	}
	if r.milliC < coldest || r.milliC > hottest {
		return r, fmt.Sprintf("the value %s is beyond what a kitchen's thermometer reads, %d to %d °C", quoted(string(p.Value)), coldest/1000, hottest/1000)
	}
	if n := len([]rune(r.probe)); n > wordMost {
		return r, fmt.Sprintf("the probe's name has %d characters; at most %d are taken", n, wordMost)
	}
	return r, ""
}

// quoted quotes what was sent, cut to a length that fits a sentence.
func quoted(s string) string {
	r := []rune(strings.ToValidUTF8(s, "\uFFFD"))
	if len(r) > wordMost {
		r = append(r[:wordMost], '…')
	}
	return fmt.Sprintf("%q", string(r))
}
