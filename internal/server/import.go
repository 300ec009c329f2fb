package server

import (
	"bytes"
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"net/url"
	"path/filepath"
	"strings"
	"time"

	"github.com/VictoriaMetrics/metrics"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/quantity"
	"brinebell/internal/core/stamp"
	"brinebell/internal/fail"
	"brinebell/internal/logfile"
	"brinebell/internal/sqlite"
	"brinebell/internal/web"
)

// loggerPart is how many readings one entry holds: small enough for a phone to take in between two taps.
const loggerPart = 2000

// Import implements web.Sensors.
func (k *sensorSite) Import(ctx context.Context, a web.Ask, file []byte) (web.Imported, error) {
	const op = "server.Import"
	v, err := k.look(ctx, "", a.Crew)
	if err != nil {
		return web.Imported{}, err
	}
	logger := strings.Join(strings.Fields(cmp.Or(a.Logger, "logger")), " ")
	switch {
	case !v.has(a.Place):
		return web.Imported{}, fail.E(op, fail.Invalid, fmt.Sprintf("No equipment of this kitchen is called %s. There is: %s.", quoted(a.Place), v.named()), nil)
	case !v.member:
		return web.Imported{}, fail.E(op, fail.Refused, "Say first who holds this device, then read the file.", nil)
	case len([]rune(logger)) > wordMost:
		return web.Imported{}, fail.E(op, fail.Invalid, fmt.Sprintf("The logger's name has more than %d characters. Shorten it.", wordMost), nil)
	case a.Options.Unit != "" && quantity.BaseOf(a.Options.Unit) != quantity.MilliC:
		return web.Imported{}, fail.E(op, fail.Invalid, fmt.Sprintf("The unit %s is not the UCUM code of a temperature, such as Cel or [degF].", quoted(a.Options.Unit)), nil)
	case a.Options.Order != "" && !strings.Contains(" dmy mdy ymd ", " "+a.Options.Order+" "):
		return web.Imported{}, fail.E(op, fail.Invalid, fmt.Sprintf("Dates stand as dmy, mdy or ymd; %s is none of these.", quoted(a.Options.Order)), nil)
	}
	if a.Options.Zone, err = time.LoadLocation(v.zone); err != nil {
		return web.Imported{}, fail.E(op, fail.Invalid, "The kitchen's time zone "+v.zone+" is not known here.", err)
	}
	a.Options.Now = time.UnixMilli(int64(v.now)).Add(ahead)
	log, err := logfile.Read(file, a.Options)
	if err != nil {
		return web.Imported{}, err
	}
	done := report(log, &a, v.units[a.Place])
	if len(log.Questions) > 0 || len(log.Readings) == 0 {
		return done, nil
	}
	if err := k.importLog(ctx, log, logger, &a, &done); err != nil {
		return web.Imported{}, err
	}
	if a.Dry || done.Kept == 0 {
		return done, nil
	}
	sum := sha256.Sum256(file)
	return done, k.writeAs(ctx, "", a.Crew, &entry.FileRead{File: short(a.File), Sum: hex.EncodeToString(sum[:]), Place: a.Place, Source: logger,
		Rows: int64(done.Rows), Kept: int64(done.Kept), Known: int64(done.Known), Bad: int64(done.BadRows)})
}

// importLog keeps what the journal does not know, a part at a time. What was kept stays kept should the rest fail: the file
// can be read again.
func (k *sensorSite) importLog(ctx context.Context, log *logfile.File, logger string, a *web.Ask, done *web.Imported) error {
	for list := log.Readings; len(list) > 0; {
		part := list[:min(len(list), loggerPart)]
		list = list[len(part):]
		if err := k.importPart(ctx, part, logger, a, done); err != nil {
			return err
		}
	}
	return nil
}

func (k *sensorSite) importPart(ctx context.Context, part []logfile.Reading, logger string, a *web.Ask, done *web.Imported) error {
	k.taking.Lock()
	defer k.taking.Unlock()
	known, err := k.store.Readings(logger, a.Place, part[0].At, part[len(part)-1].At)
	if err != nil {
		return err
	}
	body := &entry.Sensing{Place: a.Place, Source: logger, Probe: logger}
	for _, r := range part {
		was, ok := known[r.At]
		switch {
		case ok && was == r.MilliC:
			done.Known++
			continue
		case ok:
			if done.BadRows++; len(done.Bad) < 100 {
				text := celsius(was)
				done.Bad = append(done.Bad, logfile.Bad{Row: r.Row, Text: logfile.Phrase{
					EN: "another reading of this time is kept already, " + text + ": give this logger a name of its own",
					ES: "ya hay otra medida de esta hora, " + text + ": da a este registrador un nombre propio"}})
			}
			continue
		}
		if len(body.List) == 0 {
			body.From = stamp.Milli(r.At)
		}
		body.List = append(body.List, entry.Sensed{After: stamp.Span(r.At - int64(body.From)), MilliC: r.MilliC})
		done.Kept++
	}
	if a.Dry || len(body.List) == 0 {
		return nil
	}
	return k.writeAs(ctx, "", a.Crew, body)
}

// report says what the file is, in kitchen time and in the unit of the place.
func report(f *logfile.File, a *web.Ask, typedIn string) web.Imported {
	done := web.Imported{Charset: f.Charset, Delimiter: f.Delimiter, Columns: f.Columns, Time: f.Time, Date: f.Date, Temp: f.Temp,
		Unit: f.Unit, Order: f.Order, Sample: f.Sample, Rows: f.Rows, Again: f.Again, Bad: f.Bad, BadRows: f.BadRows, Questions: f.Questions, Dry: a.Dry}
	if len(f.Readings) == 0 {
		return done
	}
	low, high := f.Readings[0].MilliC, f.Readings[0].MilliC
	for _, r := range f.Readings {
		low, high = min(low, r.MilliC), max(high, r.MilliC)
	}
	wall := func(at int64) string { return time.UnixMilli(at).In(a.Options.Zone).Format("2006-01-02 15:04 MST") }
	shown := func(milliC int64) string {
		return quantity.Print(milliC, quantity.MilliC, quantity.Style{Lang: "en", Customary: strings.HasPrefix(typedIn, "[")})
	}
	done.First, done.Last = wall(f.Readings[0].At), wall(f.Readings[len(f.Readings)-1].At)
	done.Low, done.High = shown(low), shown(high)
	return done
}

// ImportFile reads a logger's file into the kitchen of a folder: through the server that serves it, or of a stopped one by
// opening the folder.
func ImportFile(data string, a web.Ask, file []byte) (web.Imported, error) {
	a.File = filepath.Base(a.File)
	done, err := importRunning(data, &a, file)
	if fail.KindOf(err) != fail.Missing {
		return done, err
	}
	mark, err := sqlite.ReadMark(data)
	if err != nil {
		return done, err
	}
	s := &Server{cfg: Config{Data: data, Demo: mark.Demo, Clock: systemClock{began: time.Now()}, Log: slog.New(slog.DiscardHandler)},
		quit: make(chan struct{}), zones: make(chan string, 8)}
	if err = s.open(metrics.NewSet()); err == nil {
		done, err = (&sensorSite{Server: s}).Import(context.Background(), a, file)
	}
	return done, errors.Join(err, s.letGo())
}

// importRunning asks the server that serves the folder. The failure is Missing if none does.
func importRunning(data string, a *web.Ask, file []byte) (done web.Imported, err error) {
	const op = "server.importRunning"
	r, err := findRunning(data)
	if err != nil {
		return done, err
	}
	o := &a.Options
	q := url.Values{"file": {a.File}, "place": {a.Place}, "logger": {a.Logger}, "crew": {a.Crew}, "time": {o.Time}, "date": {o.Date}, "temp": {o.Temp},
		"unit": {o.Unit}, "order": {o.Order}, "twice": {o.Twice}, "dry": {fmt.Sprint(a.Dry)}}
	ctx, cancel := context.WithTimeout(context.Background(), 2*time.Minute)
	defer cancel()
	request, err := http.NewRequestWithContext(ctx, http.MethodPost, r.URL+"/api/import?"+q.Encode(), bytes.NewReader(file))
	if err != nil {
		return done, err
	}
	request.Header.Set("Authorization", "Bearer "+r.Token)
	request.Header.Set("Content-Type", "application/octet-stream")
	response, err := http.DefaultClient.Do(request)
	if err != nil {
		return done, fail.E(op, fail.Missing, "No server answers for "+data+".", err)
	}
	defer func() { _ = response.Body.Close() }() // only read
	if response.StatusCode == http.StatusOK {
		return done, json.NewDecoder(response.Body).Decode(&done)
	}
	var trouble struct{ Kind, Text string }
	_ = json.NewDecoder(response.Body).Decode(&trouble) // without a text the status says it
	if response.StatusCode == http.StatusUnauthorized || response.StatusCode == http.StatusNotFound {
		return done, fail.E(op, fail.Missing, "What answers at "+r.URL+" is not the server of "+data+".", nil)
	}
	return done, fail.E(op, fail.Invalid, cmp.Or(trouble.Text, "The running server refused: "+response.Status+"."), nil)
}

// Asked and Imported are what the command line says of a file, and what it hears.
type (
	Asked    = web.Ask
	Imported = web.Imported
)
