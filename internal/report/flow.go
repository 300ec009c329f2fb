package report

import "strings"

// Sizes on paper, in points (1/72 inch).
const (
	mm       = 72 / 25.4
	side     = 15 * mm // margin left and right
	above    = 19 * mm // first line of the body, below the page's head
	below    = 18 * mm // what the foot takes
	small    = 8.0
	normal   = 9.0
	larger   = 12.0
	largest  = 20.0
	lineGap  = 1.3 // of the size
	cellGap  = 7.0 // between columns
	rowGap   = 2.5 // above and below the text of a row
	ruleThin = 0.4
	ruleBold = 1.0
)

// A mark is one thing drawn on a page.
type mark struct {
	kind       markKind
	x, y, w, h float64 // y grows downward; of a text: its base line
	size       float64
	bold       bool
	text       string
	section    int // of a number: the section whose first page it tells
}

type markKind uint8

const (
	wordMark markKind = iota
	ruleMark          // a line from x, y over w; as thick as size
	fillMark          // a grey area
	boxMark           // a frame
	pageMark          // the number of the page on which a section begins, ending at x
)

// A leaf is a page that is laid out but not written yet.
type leaf struct{ marks []mark }

// A flow lays blocks onto pages from top to bottom. It breaks between rows, never within one that fits on a page.
type flow struct {
	faces         [2]*typeface
	width, height float64
	leaves        []leaf
	y             float64
	sections      []int // page on which each section begins, from 0
	open          *grid // whose head is repeated on a new page
	fresh         bool  // nothing was laid on this page yet but repeated heads
}

func newFlow(faces [2]*typeface, width, height float64) *flow {
	f := &flow{faces: faces, width: width, height: height}
	f.turn()
	return f
}

func (f *flow) inner() float64  { return f.width - 2*side }
func (f *flow) bottom() float64 { return f.height - below }

// turn begins a new page.
func (f *flow) turn() {
	f.leaves = append(f.leaves, leaf{})
	f.y, f.fresh = above, true
	if f.open != nil {
		f.open.head(f)
		f.fresh = true
	}
}

// need begins a new page unless so much room is left, or this page is as empty as any other would be.
func (f *flow) need(h float64) {
	if f.y+h > f.bottom() && !f.fresh {
		f.turn()
	}
}

func (f *flow) put(m mark) {
	page := &f.leaves[len(f.leaves)-1]
	page.marks = append(page.marks, m)
	f.fresh = false
}

func (f *flow) face(bold bool) *typeface {
	if bold {
		return f.faces[1]
	}
	return f.faces[0]
}

func (f *flow) widthOf(s string, size float64, bold bool) float64 {
	return float64(f.face(bold).width(s)) * size / 1000
}

// words puts one line of text whose top is y.
func (f *flow) words(x, y float64, s string, size float64, bold bool) {
	if s != "" {
		f.put(mark{kind: wordMark, x: x, y: y + size, size: size, bold: bold, text: s})
	}
}

// wrap breaks a text into lines no wider than w. Where a single word is wider it is broken between letters.
func (f *flow) wrap(s string, w, size float64, bold bool) []string {
	face := f.face(bold)
	room := int(w * 1000 / size)
	var lines []string
	for part := range strings.SplitSeq(s, "\n") {
		part = face.spell(part)
		if face.width(part) <= room {
			lines = append(lines, part)
			continue
		}
		lines = append(lines, breakLine(face, strings.Split(part, " "), room)...)
	}
	return lines
}

func breakLine(face *typeface, words []string, room int) []string {
	var lines []string
	line, used, gap := "", 0, face.width(" ")
	for _, word := range words {
		w := face.width(word)
		switch {
		case line != "" && used+gap+w <= room:
			line, used = line+" "+word, used+gap+w
			continue
		case line != "":
			lines = append(lines, line)
		}
		for w > room {
			n := fits(face, word, room)
			lines = append(lines, word[:n])
			word = word[n:]
			w = face.width(word)
		}
		line, used = word, w
	}
	return append(lines, line)
}

// fits returns how many bytes of a word fit, at least one letter.
func fits(face *typeface, word string, room int) int {
	used := 0
	for i, r := range word {
		used += face.width(string(r))
		if used > room && i > 0 {
			return i
		}
	}
	return len(word)
}

// section begins a chapter under a heading, and notes its page for the list of contents. rest is the least height that
// must follow on the same page.
func (f *flow) section(title string, rest float64) {
	lines := f.wrap(title, f.inner(), larger, true)
	h := float64(len(lines))*larger*lineGap + 10
	f.need(h + rest)
	f.sections = append(f.sections, len(f.leaves)-1)
	f.y += 6
	for _, s := range lines {
		f.words(side, f.y, s, larger, true)
		f.y += larger * lineGap
	}
	f.put(mark{kind: ruleMark, x: side, y: f.y, w: f.inner(), size: ruleBold})
	f.y += 4
}

// heading puts a smaller heading, with at least rest after it on the same page.
func (f *flow) heading(title string, rest float64) {
	const size = normal + 1
	lines := f.wrap(title, f.inner(), size, true)
	f.need(float64(len(lines))*size*lineGap + 8 + rest)
	f.y += 6
	for _, s := range lines {
		f.words(side, f.y, s, size, true)
		f.y += size * lineGap
	}
	f.y += 2
}

// text puts a paragraph. It may go on on the next page.
func (f *flow) text(s string, size float64, bold bool) {
	for _, line := range f.wrap(s, f.inner(), size, bold) {
		f.need(size * lineGap)
		f.words(side, f.y, line, size, bold)
		f.y += size * lineGap
	}
	f.y += 2
}

// box puts a frame with large words: what nobody may overlook.
func (f *flow) box(title string, lines []string) {
	const in = 8.0
	var all []string
	for _, l := range lines {
		all = append(all, f.wrap(l, f.inner()-2*in, normal+1, false)...)
	}
	heads := f.wrap(title, f.inner()-2*in, larger+2, true)
	h := 2*in + float64(len(heads))*(larger+2)*lineGap + float64(len(all))*(normal+1)*lineGap
	f.need(h + 6)
	f.put(mark{kind: boxMark, x: side, y: f.y, w: f.inner(), h: h, size: 2})
	y := f.y + in
	for _, s := range heads {
		f.words(side+in, y, s, larger+2, true)
		y += (larger + 2) * lineGap
	}
	for _, s := range all {
		f.words(side+in, y, s, normal+1, false)
		y += (normal + 1) * lineGap
	}
	f.y += h + 6
}

func (f *flow) gap(h float64) { f.y += h }
