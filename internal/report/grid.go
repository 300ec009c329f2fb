package report

// A column of a table.
type column struct {
	title string
	share float64 // of the width
	right bool    // numbers
}

// A cell holds text. A page cell holds the number of the page on which a section begins.
type cell struct {
	text string
	bold bool
	page int // section + 1; 0: none
}

// A grid is a table whose head stands again on every page that it goes on to.
type grid struct {
	columns []column
	size    float64
	again   string // says on the next page what goes on there
	widths  []float64
	began   bool // its head was drawn once
}

// table begins a table. least is how many lines of rows must follow its head on the same page.
func (f *flow) table(columns []column, size float64, again string) *grid {
	g := &grid{columns: columns, size: size, again: again}
	total := 0.0
	for _, c := range columns {
		total += c.share
	}
	room := f.inner() - cellGap*float64(len(columns)-1)
	for _, c := range columns {
		g.widths = append(g.widths, room*c.share/total)
	}
	f.need(g.headHeight(f) + 3*g.rowHeight(1))
	g.head(f)
	f.open = g
	return g
}

// end ends the table.
func (g *grid) end(f *flow) {
	f.open = nil
	f.y += 6
}

func (g *grid) rowHeight(lines int) float64 { return float64(lines)*g.size*lineGap + 2*rowGap }

func (g *grid) titles(f *flow) (cells [][]string, most int) {
	for i, c := range g.columns {
		lines := f.wrap(c.title, g.widths[i], g.size-1, true)
		cells = append(cells, lines)
		most = max(most, len(lines))
	}
	return cells, most
}

func (g *grid) headHeight(f *flow) float64 {
	if g.plain() {
		return 0
	}
	_, most := g.titles(f)
	return g.rowHeight(most)
}

// plain tells whether the columns have no names.
func (g *grid) plain() bool {
	for _, c := range g.columns {
		if c.title != "" {
			return false
		}
	}
	return true
}

// head draws the names of the columns.
func (g *grid) head(f *flow) {
	if g.began && g.again != "" {
		f.words(side, f.y, f.faces[1].spell(g.again), g.size, true)
		f.y += g.size*lineGap + 2
	}
	g.began = true
	if g.plain() {
		g.rule(f)
		return
	}
	cells, most := g.titles(f)
	h := g.rowHeight(most)
	f.put(mark{kind: fillMark, x: side, y: f.y, w: f.inner(), h: h})
	g.lay(f, cells, g.size-1, func(int) bool { return true }, 0, most)
	f.y += h
	f.put(mark{kind: ruleMark, x: side, y: f.y, w: f.inner(), size: ruleBold})
}

// row puts a row whole onto this page or onto the next, with what is to be said of it in lines of their own below its
// cells. Only a row that no page could hold is divided, between lines.
func (g *grid) row(f *flow, cells []cell, more ...cell) {
	lines := make([][]string, len(cells))
	most := 1
	for i, c := range cells {
		lines[i] = f.wrap(c.text, g.widths[i], g.size, c.bold)
		most = max(most, len(lines[i]))
	}
	var below []cell
	for _, c := range more {
		for _, s := range f.wrap(c.text, f.inner()-moreIn, g.size, c.bold) {
			below = append(below, cell{text: s, bold: c.bold})
		}
	}
	h := g.rowHeight(most + len(below))
	if len(below) > 0 {
		h += rowGap
	}
	f.need(h)
	for from := 0; from < most; {
		n := most - from
		if room := int((f.bottom() - f.y - 2*rowGap) / (g.size * lineGap)); n > room {
			n = max(room, 1)
		}
		g.stretch(f, cells, lines, from, n)
		if from += n; from < most {
			g.rule(f)
			f.turn()
		}
	}
	for _, c := range below {
		f.need(g.rowHeight(1))
		f.words(side+moreIn, f.y, c.text, g.size, c.bold)
		f.y += g.size * lineGap
	}
	if len(below) > 0 {
		f.y += rowGap
	}
	g.rule(f)
}

// moreIn is how far the lines below a row's cells are set in.
const moreIn = 16.0

func (g *grid) rule(f *flow) {
	f.put(mark{kind: ruleMark, x: side, y: f.y, w: f.inner(), size: ruleThin})
}

// stretch puts n lines of a row, from one on.
func (g *grid) stretch(f *flow, cells []cell, lines [][]string, from, n int) {
	g.lay(f, lines, g.size, func(i int) bool { return cells[i].bold }, from, n)
	x := side
	for i, c := range cells {
		if c.page > 0 && from == 0 {
			f.put(mark{kind: pageMark, x: x + g.widths[i], y: f.y + rowGap + g.size, size: g.size, section: c.page - 1})
		}
		x += g.widths[i] + cellGap
	}
	f.y += g.rowHeight(n)
}

// lay puts n lines of each cell beside one another, from one on.
func (g *grid) lay(f *flow, lines [][]string, size float64, bold func(int) bool, from, n int) {
	x := side
	for i := range lines {
		for k := from; k < min(from+n, len(lines[i])); k++ {
			at := x
			if g.columns[i].right {
				at = x + g.widths[i] - f.widthOf(lines[i][k], size, bold(i))
			}
			f.words(at, f.y+rowGap+float64(k-from)*g.size*lineGap, lines[i][k], size, bold(i))
		}
		x += g.widths[i] + cellGap
	}
}
