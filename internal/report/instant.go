package report

import (
	"bytes"
	"encoding/csv"
	"strings"
	"time"
)

// An Instant is the kitchen as it stood at an instant, in words.
type Instant struct {
	Kitchen, Country, Lang string
	Demo                   bool
	At                     time.Time // of what it tells, in the kitchen's own offset
	Printed                time.Time
	By                     string // who printed it
	Entries                string // how many the journal had then
	Sections               []Section
}

// A Section is a part of it: batches, deviations, equipment, rings or devices.
type Section struct {
	Title string
	Rows  [][2]string // what, and how it stood
}

// PDF prints an instant. The same instant gives the same bytes.
func (i *Instant) PDF() ([]byte, error) {
	faces, err := typefaces()
	if err != nil {
		return nil, err
	}
	w, h := paperOf(i.Country)
	p := printer{flow: newFlow(faces, w, h), words: wordsOf(i.Lang), book: &Book{Kitchen: i.Kitchen, Lang: i.Lang, Demo: i.Demo, At: i.Printed}}
	at := p.instant(i.At)
	p.begin(p.t("instant"), 0)
	if i.Demo {
		p.box(p.t("demo"), nil)
	}
	p.text(i.Kitchen, largest, true)
	p.gap(4)
	g := p.pairs()
	for _, one := range [][2]string{{"instantAt", at}, {"printed", p.instant(i.Printed)}, {"printedBy", i.By}, {"entriesThen", i.Entries}} {
		g.row(p.flow, []cell{{text: p.t(one[0])}, {text: one[1], bold: one[0] == "instantAt"}})
	}
	g.end(p.flow)
	p.text(p.t("instantIs"), small, false)
	p.text(p.t("deference"), normal, true)
	for _, s := range i.Sections {
		p.heading(s.Title, 60)
		g := p.table([]column{{p.t("what"), 2, false}, {p.t("instantHow"), 5, false}}, small, p.t("again", "what", s.Title))
		for _, r := range s.Rows {
			p.rows++
			g.row(p.flow, []cell{{text: r[0], bold: true}, {text: r[1]}})
		}
		g.end(p.flow)
	}
	p.end()
	e := p.edges()
	e.right, e.foot = at, p.t("entriesThen")+": "+i.Entries+" · "+p.t("printed")+" "+p.instant(i.Printed)
	return p.write(e, about{title: p.t("instant") + ", " + i.Kitchen + ", " + at, author: i.Kitchen, lang: i.Lang, at: i.Printed, bookmarks: p.marks})
}

// CSV writes an instant as RFC 4180 has it.
func (i *Instant) CSV() ([]byte, error) {
	var out bytes.Buffer
	w := csv.NewWriter(&out)
	w.UseCRLF = true
	rows := [][]string{{"at", "section", "what", "how"}}
	for _, s := range i.Sections {
		title := strings.TrimSpace(s.Title)
		for _, r := range s.Rows {
			rows = append(rows, []string{when(i.At), guard("", title), guard("", r[0]), guard("", r[1])})
		}
	}
	err := w.WriteAll(rows)
	return out.Bytes(), err
}
