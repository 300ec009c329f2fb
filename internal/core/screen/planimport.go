package screen

import (
	"bytes"
	"strconv"
	"strings"

	"brinebell/internal/core/demand"
	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/sales"
	"brinebell/internal/core/words"
)

// salesLog is a file of sales that a page was handed: as text, as it seems to be meant, and as it was read last.
type salesLog struct {
	raw   []byte
	text  []byte
	guess sales.Map
	read  sales.Map
	file  *sales.File
}

// take takes a piece of the file. What is too large is dropped, and said.
func (l *Log) take(piece []byte, last bool) {
	s := l.sales
	if s.raw = append(s.raw, piece...); len(s.raw) > sales.Most {
		s.raw, l.Whole = nil, true
		return
	}
	if l.Whole = last; last {
		if s.text = sales.Text(s.raw); s.text == nil { // an empty file is not one that is too large
			s.text = []byte{}
		}
		s.guess, s.raw = sales.Guess(s.text), nil
	}
}

// imported is the file of sales as the address wants it read.
type imported struct {
	m     sales.Map
	asked sales.Map // as it was guessed
	file  *sales.File
	items []string // which of our items each name of the file is; empty: left out
	each  []int64  // pieces in one of it
	list  []entry.Sales
	old   int // days that are too long ago to be of use
	ahead int // rows of days that have not been
}

// imports reads the file that the page was handed, nil when there is none.
func (p *page) imports() *imported {
	if p.Log == nil || p.Log.sales == nil || p.Log.sales.text == nil {
		return nil
	}
	l := p.Log.sales
	in := &imported{m: l.guess, asked: l.guess}
	if s := p.path.get("s"); s != "" && s[0] != l.guess.Sep {
		in.m.Sep = s[0]
	}
	for _, c := range []struct {
		name string
		at   *int
	}{{"d", &in.m.Day}, {"t", &in.m.Time}, {"i", &in.m.Item}, {"q", &in.m.Pieces}} {
		if v := p.path.get(c.name); v == "-" {
			*c.at = sales.None
		} else if n, ok := digits(v); ok {
			*c.at = int(n)
		}
	}
	in.m.Order = orText(p.path.get("o"), in.m.Order)
	if v := p.path.get("m"); v != "" {
		in.m.Decimal = v[0]
	}
	if v := p.path.get("h"); v != "" {
		in.m.Head = v == "1"
	}
	if in.m.Whole() != "" {
		in.file = &sales.File{Names: columnNames(l.text, in.m)}
		return in
	}
	if l.file == nil || l.read != in.m {
		l.file, l.read = sales.Read(l.text, in.m), in.m
	}
	in.file = l.file
	p.namesOf(in)
	p.daysOf(in)
	return in
}

// columnNames reads the first line alone.
func columnNames(text []byte, m sales.Map) []string {
	end := strings.IndexByte(string(text[:min(len(text), 1<<14)]), '\n')
	if end < 0 {
		end = min(len(text), 1<<14)
	}
	m.Head = true
	return sales.Read(text[:end], m).Names
}

// namesOf says which of our items the file's names are: as the address says, else by what they are called.
func (p *page) namesOf(in *imported) {
	ours := demand.Items(p.State)
	for i := range in.file.Items {
		of, each := p.path.get("n"+p.num(i)), p.typed("x"+p.num(i), "1")
		name := strings.ToLower(in.file.Items[i].Name)
		for _, pr := range ours {
			for _, called := range []string{pr.Name, pr.Item.In("en"), pr.Item.In("es")} {
				if of == "" && called != "" && strings.Contains(name, strings.ToLower(called)) {
					of = pr.Name
				}
			}
		}
		if p.State.Procedure(of, 0) == nil {
			of = ""
		}
		in.items, in.each = append(in.items, of), append(in.each, max(each, 1))
	}
}

// daysOf adds the rows up by item, day and slot.
func (p *page) daysOf(in *imported) {
	type key struct {
		item string
		day  int32
	}
	today, each := p.State.WallDay(p.Now), in.file.Each()
	sums, days := map[key][]int64{}, map[int32]bool{}
	for _, r := range in.file.Rows {
		k := key{in.items[r.Item], r.Day}
		switch {
		case r.Day > today:
			in.ahead++
			continue
		case r.Day <= today-kitchen.SellingDays:
			days[r.Day] = true
			continue
		case k.item == "":
			continue
		}
		slots := sums[k]
		if slots == nil {
			slots = make([]int64, kitchen.DaySlots)
		}
		if each > 0 {
			slots[r.Minute/each%kitchen.DaySlots] += r.Pieces * in.each[r.Item]
		} else {
			slots[0] += r.Pieces * in.each[r.Item]
		}
		sums[k] = slots
	}
	in.old = len(days)
	for _, pr := range demand.Items(p.State) {
		for day := today - kitchen.SellingDays + 1; day <= today; day++ {
			if slots := sums[key{pr.Name, day}]; slots != nil {
				in.list = append(in.list, p.salesDay(pr.Name, day, each, slots))
			}
		}
	}
}

// salesDay is what was sold of an item on a day: what was brought back is taken off, and a day of which only a sum is known has one slot,
// as long as the kitchen sells.
func (p *page) salesDay(item string, day int32, each int, slots []int64) entry.Sales {
	for i := range slots {
		slots[i] = max(slots[i], 0)
	}
	first, last := 0, len(slots)
	for last > 1 && slots[last-1] == 0 {
		last--
	}
	for first < last-1 && slots[first] == 0 {
		first++
	}
	if each == 0 {
		from, to := p.openHours(day)
		return entry.Sales{Item: item, Day: day, From: uint32(from), Each: uint32(to - from), Pieces: slots[:1]}
	}
	return entry.Sales{Item: item, Day: day, From: uint32(first * each), Each: uint32(each), Pieces: slots[first:last]}
}

// ready tells whether the file may be brought in: every row can be read, or the lead has said that those that can't are left out.
func (p *page) ready(in *imported) bool {
	return in != nil && !sales.Wide(p.Log.sales.text, in.m.Sep) && in.m.Whole() == "" && in.ahead == 0 && len(in.list) > 0 &&
		(in.file.Bad == 0 || in.file.Bad <= faultsShown && p.path.get("skip") != "")
}

// Sales returns what the file comes to that a page shows, nothing unless all of it is right.
func Sales(ctx *Context) []entry.Sales {
	p := newPage(ctx)
	if in := p.imports(); p.ready(in) {
		return in.list
	}
	return nil
}

// SalesNames lists the columns of the file that a page was handed, and the names of items in it as its address wants it read.
func SalesNames(ctx *Context) (columns, items []string) {
	p := newPage(ctx)
	in := p.imports()
	if in == nil {
		return nil, nil
	}
	for i := range in.file.Items {
		items = append(items, in.file.Items[i].Name)
	}
	return in.file.Names, items
}

// planImport brings in what a till says was sold.
func (p *page) planImport() {
	p.planPage(p.t("pl.import"))
	in := p.imports()
	if at := p.path.get("at"); at != "" && in != nil {
		p.importChoice(in, at)
		return
	}
	w := &logfile{label: p.t("pl.file"), text: p.t("pl.file.how")}
	p.add(w)
	switch {
	case p.Log == nil || p.Log.sales == nil:
	case !p.Log.Whole:
		w.text = p.t("plog.reading")
	case in == nil:
		p.off(p.Log.Name, p.t("pl.file.large", "n", p.num(sales.Most>>20)))
	case sales.Wide(p.Log.sales.text, in.m.Sep):
		w.text = p.t("pl.file.again")
		p.off(p.Log.Name, p.t("pl.file.wide", "n", p.num(sales.Widest)))
	case noRows(p.Log.sales.text):
		w.text = p.t("pl.file.again")
		p.off(p.Log.Name, p.t("pl.file.rows"))
	default:
		w.label = p.Log.Name
		w.text = p.t("pl.file.again")
		p.importColumns(in)
		if in.m.Whole() == "" {
			p.importFaults(in)
			p.importNames(in)
			p.importTap(in)
		}
	}
	p.broughtSoFar()
}

// noRows tells whether there is nothing to ask about columns: a picture or a document by mistake, or a head alone.
func noRows(text []byte) bool {
	return bytes.IndexByte(text, 0) >= 0 || bytes.IndexByte(bytes.TrimSpace(text), '\n') < 0
}

// importTo is the import page with some of its query replaced.
func (p *page) importTo(query string) string { return p.replaced("/plan/import", query) }

// importColumns says which column is what, and lets it be said otherwise.
func (p *page) importColumns(in *imported) {
	c := &choice{title: p.t("pl.columns")}
	missing := in.m.Whole()
	row := func(id, at, detail string) {
		c.lead(p.t("pl.col."+id), orText(detail, p.t("pl.choose")), p.importTo("at="+at))
		if missing == id {
			c.rows[len(c.rows)-1].state = "past"
		}
	}
	row("day", "d", in.column(in.m.Day))
	time := in.column(in.m.Time)
	if in.m.Time == sales.None {
		time = p.t("pl.col.none")
	}
	row("time", "t", time)
	row("item", "i", in.column(in.m.Item))
	row("pieces", "q", in.column(in.m.Pieces))
	if in.asked.Order == "" || p.path.get("o") != "" {
		row("order", "o", in.m.Order)
		if in.m.Order != "" {
			c.rows[len(c.rows)-1].detail = p.t("pl.order." + in.m.Order)
		}
	}
	if in.asked.Decimal == 0 || p.path.get("m") != "" {
		mark := ""
		if in.m.Decimal != 0 {
			mark = p.t("pl.mark." + markName(in.m.Decimal))
		}
		row("decimal", "m", mark)
	}
	row("sep", "s", p.t("pl.sep."+sepName(in.m.Sep)))
	p.add(c)
	if missing != "" {
		p.says(p.t("pl.missing."+missing), "bad")
	}
}

func (in *imported) column(i int) string {
	if i < 0 || i >= len(in.file.Names) {
		return ""
	}
	return orText(in.file.Names[i], "–")
}

func sepName(sep byte) string {
	return map[byte]string{',': "comma", ';': "semicolon", '\t': "tab", '|': "bar"}[sep]
}

func markName(mark byte) string {
	if mark == ',' {
		return "comma"
	}
	return "point"
}

// importChoice lets one thing be said about the file.
func (p *page) importChoice(in *imported, at string) {
	p.back(p.importTo("at="), p.t("pl.import"))
	c := &choice{}
	add := func(label, detail, query string, on bool) {
		c.lead(label, detail, p.importTo("at=&"+query))
		c.rows[len(c.rows)-1].on = on
	}
	switch at {
	case "o":
		c.title = p.t("pl.col.order")
		for _, o := range []string{sales.DMY, sales.MDY, sales.YMD} {
			add(p.t("pl.order."+o), p.t("pl.order."+o+".as"), "o="+o, in.m.Order == o)
		}
	case "m":
		c.title = p.t("pl.col.decimal")
		add(p.t("pl.mark.point"), p.t("pl.mark.point.as"), "m=.", in.m.Decimal == '.')
		add(p.t("pl.mark.comma"), p.t("pl.mark.comma.as"), "m=,", in.m.Decimal == ',')
	case "s":
		c.title = p.t("pl.col.sep")
		for _, sep := range []byte(",;\t|") {
			add(p.t("pl.sep."+sepName(sep)), "", "d=&t=&i=&q=&s="+escape(string(sep)), in.m.Sep == sep)
		}
	case "d", "t", "i", "q":
		was := map[string]int{"d": in.m.Day, "t": in.m.Time, "i": in.m.Item, "q": in.m.Pieces}[at]
		c.title = p.t("pl.col." + map[string]string{"d": "day", "t": "time", "i": "item", "q": "pieces"}[at])
		for i := range in.file.Names {
			add(in.column(i), p.t("pl.col.n", "n", p.num(i+1)), at+"="+p.num(i), was == i)
		}
		if at == "t" {
			add(p.t("pl.col.none"), p.t("pl.col.none.as"), "t=-", was == sales.None)
		}
	default:
		p.importName(in, at, c)
	}
	p.add(c)
}

// importName says which of our items a name of the file is, and how many pieces are in one of it.
func (p *page) importName(in *imported, at string, c *choice) {
	n, err := strconv.Atoi(at)
	if err != nil || n < 0 || n >= len(in.items) {
		return
	}
	c.title = in.file.Items[n].Name
	for _, pr := range demand.Items(p.State) {
		c.lead(words.Upper(p.text(pr.Item)), "", p.importTo("n"+at+"="+escape(pr.Name)))
		c.rows[len(c.rows)-1].on = in.items[n] == pr.Name
	}
	c.lead(p.t("pl.name.out"), "", p.importTo("n"+at+"=-"))
	c.rows[len(c.rows)-1].on = in.items[n] == ""
	if in.items[n] != "" {
		p.add(&pad{name: "x" + at, text: p.path.get("x" + at), unit: p.t("unit.pieces"), label: p.t("pl.name.each"), whole: true})
	}
	p.dock = append(p.dock, button{label: p.t("pl.name.done"), style: act, to: p.importTo("at=")})
}

// importFaults names every row that can't be read.
func (p *page) importFaults(in *imported) {
	f := in.file
	if in.ahead > 0 {
		p.off(p.n("pl.ahead", int64(in.ahead)), p.t("pl.ahead.do"))
	}
	if f.Bad == 0 {
		return
	}
	var lines []string
	for i := range f.Faults[:min(len(f.Faults), faultsShown)] {
		lines = append(lines, p.l.SalesFault(&f.Faults[i]))
	}
	if more := f.Bad - len(lines); more > 0 {
		lines = append(lines, p.n("plog.more", int64(more)))
	}
	off := p.off(p.n("pl.bad", int64(f.Bad)), append(lines, p.t("pl.bad.do"))...)
	switch {
	case f.Bad > faultsShown:
	case p.path.get("skip") == "":
		off.actions = []button{{label: p.n("pl.skip", int64(f.Bad)), style: quiet, to: p.importTo("skip=1")}}
	default:
		off.actions = []button{{label: p.t("pl.skip.not"), style: quiet, to: p.importTo("skip=")}}
	}
}

// importNames lists the names in the file with what they are here.
func (p *page) importNames(in *imported) {
	c := &choice{title: p.t("pl.names")}
	for i, it := range in.file.Items {
		what := p.t("pl.name.out")
		if pr := p.State.Procedure(in.items[i], 0); pr != nil {
			what = words.Upper(p.text(pr.Item))
			if in.each[i] > 1 {
				what = p.t("pl.name.times", "item", what, "n", p.num(int(in.each[i])))
			}
		}
		c.lead(it.Name, what+", "+p.n("pl.name.rows", int64(it.Rows), "sum", strconv.FormatInt(it.Pieces, 10)), p.importTo("at="+p.num(i)))
	}
	p.add(c)
}

// importTap shows what would come in, and brings it in.
func (p *page) importTap(in *imported) {
	fresh := 0
	t := &pairs{title: p.t("pl.preview")}
	for _, pr := range demand.Items(p.State) {
		days, pieces, first, last := int64(0), int64(0), int32(0), int32(0)
		for i := range in.list {
			s := &in.list[i]
			if s.Item != pr.Name {
				continue
			}
			if days++; days == 1 {
				first = s.Day
			}
			last = s.Day
			for _, n := range s.Pieces {
				pieces += n
			}
			if !p.State.HasSales(s) {
				fresh++
			}
		}
		if days > 0 {
			t.say(words.Upper(p.text(pr.Item)), p.n("pl.preview.row", days, "pieces", strconv.FormatInt(pieces, 10),
				"from", p.l.Date(first, true), "to", p.l.Date(last, true)))
		}
	}
	old := p.n("pl.old", int64(in.old), "weeks", p.num(kitchen.SellingDays/7))
	if len(t.rows) == 0 {
		if in.old == 0 {
			old = p.t("pl.preview.none")
		}
		p.says(old, "bad")
		return
	}
	p.add(t)
	slots := p.t("pl.slots.days")
	if each := in.file.Each(); each > 0 {
		slots = p.t("pl.slots", "n", p.num(each))
	}
	p.says(slots, "quiet")
	if in.old > 0 {
		p.says(old, "plain")
	}
	switch {
	case !p.ready(in):
	case fresh == 0:
		p.says(p.t("pl.import.same"), "plain")
	default:
		p.add(&buttons{actions: []button{{label: p.n("pl.bring", int64(fresh)), small: p.t("pl.bring.small"), style: act, do: &kitchen.Command{Do: kitchen.DoSales}}}})
	}
}

// broughtSoFar lists what came out of files, with a way to take it out.
func (p *page) broughtSoFar() {
	h := &history{title: p.t("pl.brought")}
	for _, pr := range demand.Items(p.State) {
		days, last := int64(0), int32(0)
		for _, d := range p.State.SalesOf(pr.Name) {
			if d.Each() > 0 {
				days, last = days+1, d.Day
			}
		}
		if days > 0 {
			h.rows = append(h.rows, historyRow{at: p.l.Date(last, true), text: words.Upper(p.text(pr.Item)) + ": " + p.n("pl.days", days),
				actions: []button{{label: p.t("pl.takeout"), style: quiet, do: &kitchen.Command{Do: kitchen.DoSales, Procedure: pr.Name, Closes: true},
					sure: &sure{title: p.n("pl.takeout.sure", days), lines: []string{p.t("pl.takeout.line")}, label: p.t("pl.takeout")}}}})
		}
	}
	if len(h.rows) > 0 {
		p.add(h)
	}
}
