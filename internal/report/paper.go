package report

import (
	"bytes"
	"slices"
	"strconv"
	"time"

	"codeberg.org/go-pdf/fpdf"
)

// letterCountries print on US Letter; everybody else has A4 (ISO 216).
var letterCountries = []string{"BZ", "CA", "CL", "CO", "CR", "DO", "GT", "MX", "NI", "PA", "PH", "PR", "SV", "US", "VE"}

// paperOf returns the size of paper in a country, in points. Who prints on what is common practice, no source.
func paperOf(country string) (w, h float64) {
	if slices.Contains(letterCountries, country) {
		return 612, 792
	}
	return 595.28, 841.89
}

// Edges are what stands at the head and foot of every page.
type edges struct {
	left, right string // head
	foot        string
	page        func(n, of int) string
	alarm       string // stands large on every page; empty: nothing is off
}

// about is what the file says of itself.
type about struct {
	title, author, lang string
	at                  time.Time
	bookmarks           []string // of the sections
}

const family = "go"

// write draws what was laid out as a PDF. The same leaves and instant give the same bytes.
func (f *flow) write(e edges, a about) ([]byte, error) {
	pdf := fpdf.NewCustom(&fpdf.InitType{UnitStr: "pt", Size: fpdf.SizeType{Wd: f.width, Ht: f.height}})
	pdf.SetCatalogSort(true)
	pdf.SetCompression(false) // packPages does it
	pdf.SetCreationDate(a.at)
	pdf.SetModificationDate(a.at)
	pdf.SetTitle(f.faces[0].spell(a.title), true)
	pdf.SetAuthor(f.faces[0].spell(a.author), true)
	pdf.SetCreator("Brinebell", true)
	pdf.SetProducer("Brinebell", true)
	pdf.SetLang(a.lang)
	pdf.SetAutoPageBreak(false, 0)
	pdf.SetMargins(0, 0, 0)
	// The library writes into the bytes that it is given.
	pdf.AddUTF8FontFromBytes(family, "", slices.Clone(f.faces[0].ttf))
	pdf.AddUTF8FontFromBytes(family, "B", slices.Clone(f.faces[1].ttf))
	pdf.SetFillColor(228, 228, 228)
	p := pen{pdf: pdf, flow: f}
	for i := range f.leaves {
		pdf.AddPage()
		p.size = 0
		for n, page := range f.sections {
			if page == i && n < len(a.bookmarks) {
				pdf.Bookmark(f.faces[0].spell(a.bookmarks[n]), 0, -1)
			}
		}
		p.edges(e, i+1)
		for _, m := range f.leaves[i].marks {
			p.draw(m)
		}
		f.leaves[i].marks = nil // written: a month has hundreds of pages
	}
	var out bytes.Buffer
	if err := pdf.Output(&out); err != nil {
		return nil, err
	}
	return packPages(out.Bytes())
}

// A pen writes marks and sets a font only when it changes.
type pen struct {
	pdf  *fpdf.Fpdf
	flow *flow
	size float64
	bold bool
}

func (p *pen) text(x, y float64, s string, size float64, bold bool) {
	if p.size != size || p.bold != bold {
		style := ""
		if bold {
			style = "B"
		}
		p.pdf.SetFont(family, style, size)
		p.size, p.bold = size, bold
	}
	p.pdf.Text(x, y, s)
}

func (p *pen) textRight(x, y float64, s string, size float64, bold bool) {
	p.text(x-p.flow.widthOf(s, size, bold), y, s, size, bold)
}

func (p *pen) draw(m mark) {
	switch m.kind {
	case wordMark:
		p.text(m.x, m.y, m.text, m.size, m.bold)
	case pageMark:
		p.textRight(m.x, m.y, strconv.Itoa(p.flow.sections[m.section]+1), m.size, false)
	case ruleMark:
		p.pdf.SetLineWidth(m.size)
		p.pdf.Line(m.x, m.y, m.x+m.w, m.y)
	case fillMark:
		p.pdf.Rect(m.x, m.y, m.w, m.h, "F")
	case boxMark:
		p.pdf.SetLineWidth(m.size)
		p.pdf.Rect(m.x, m.y, m.w, m.h, "D")
	}
}

// edges draws the head and the foot of a page.
func (p *pen) edges(e edges, n int) {
	f := p.flow
	head := 12 * mm
	if e.alarm != "" {
		p.text(side, head-small*lineGap, f.cut(e.alarm, f.inner(), normal, true), normal, true)
	}
	right := f.faces[0].spell(e.right)
	room := f.inner() - f.widthOf(right, small, false) - cellGap
	p.text(side, head, f.cut(e.left, room, small, true), small, true)
	p.textRight(f.width-side, head, right, small, false)
	p.pdf.SetLineWidth(ruleThin)
	p.pdf.Line(side, head+4, f.width-side, head+4)

	foot := f.height - 10*mm
	p.pdf.Line(side, foot-small-3, f.width-side, foot-small-3)
	page := f.faces[1].spell(e.page(n, len(f.leaves)))
	p.text(side, foot, f.cut(e.foot, f.inner()-f.widthOf(page, small, true)-cellGap, small, false), small, false)
	p.textRight(f.width-side, foot, page, small, true)
}

// cut shortens what repeats at the edge of every page and stands whole on the first.
func (f *flow) cut(s string, w, size float64, bold bool) string {
	face := f.face(bold)
	s = face.spell(s)
	if f.widthOf(s, size, bold) <= w {
		return s
	}
	r := []rune(s)
	for len(r) > 0 && f.widthOf(string(r)+"…", size, bold) > w {
		r = r[:len(r)-1]
	}
	return string(r) + "…"
}
