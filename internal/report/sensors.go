package report

import (
	"strconv"
	"time"
)

// An hour is what a sensor read at one place within an hour.
type hour struct {
	place, limit    string
	began           time.Time
	n               int
	lowest, highest *Row
	notMet          int
}

// hours puts the readings of sensors together: by place, then by hour, in the order of their first readings.
func hours(rows []*Row) []*hour {
	byPlace := map[string][]*hour{}
	var places []string
	for _, r := range rows {
		list := byPlace[r.Subject]
		if len(list) == 0 {
			places = append(places, r.Subject)
		}
		began := r.At.Add(-time.Duration(r.At.Minute())*time.Minute - time.Duration(r.At.Second())*time.Second - time.Duration(r.At.Nanosecond()))
		if len(list) == 0 || !list[len(list)-1].began.Equal(began) || list[len(list)-1].limit != r.Limit {
			byPlace[r.Subject] = append(list, &hour{place: r.Subject, limit: r.Limit, began: began})
			list = byPlace[r.Subject]
		}
		list[len(list)-1].add(r)
	}
	var all []*hour
	for _, p := range places {
		all = append(all, byPlace[p]...)
	}
	return all
}

func (h *hour) add(r *Row) {
	h.n++
	if h.lowest == nil || number(r) < number(h.lowest) {
		h.lowest = r
	}
	if h.highest == nil || number(r) > number(h.highest) {
		h.highest = r
	}
	if r.Verdict == NotMet {
		h.notMet++
	}
}

func number(r *Row) float64 {
	v, _ := strconv.ParseFloat(r.Number, 64) // our own decimal
	return v
}

// sensors prints the lowest and the highest of each hour and place.
func (p *printer) sensors(rows []*Row, day string) {
	p.heading(p.t(Sensor)+" ("+strconv.Itoa(len(rows))+")", 100)
	p.text(p.t("sensorsAre"), small, false)
	g := p.table([]column{{p.t("hour"), 0.9, false}, {p.t("about"), 2.6, false}, {p.t("readings"), 1, true}, {p.t("lowest"), 1.3, true},
		{p.t("highest"), 1.3, true}, {p.t("limit"), 1.8, false}, {p.t("verdict"), 1.6, false}}, small, p.t("again", "what", p.t(Sensor)+", "+day))
	for _, h := range hours(rows) {
		p.rows++
		verdict, bad := "", h.notMet > 0
		switch {
		case bad:
			verdict = p.t("notMet") + " (" + strconv.Itoa(h.notMet) + ")"
		case h.limit != "":
			verdict = p.t("met")
		}
		from := h.began.Format("15:04")
		if p.exact {
			from = h.began.Format("15:04 -07:00")
		}
		g.row(p.flow, []cell{{text: from}, {text: h.place}, {text: strconv.Itoa(h.n)}, {text: h.lowest.Value}, {text: h.highest.Value},
			{text: h.limit}, {text: verdict, bold: bad}})
	}
	g.end(p.flow)
}
