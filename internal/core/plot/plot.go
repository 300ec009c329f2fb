// Package plot turns series of numbers into one drawing of lines, marks and words in whole units, which a phone draws as
// SVG and a printed record as vectors.
package plot

import "brinebell/internal/core/order"

// Size is the width and the height of every drawing in its own units, from the top left. A home stretches both to the
// room that it has, and sets words in its own size: it needs a height of ten lines of them.
const Size = 1000

// Where values are drawn. Below it stand words about what runs from left to right.
const (
	top    = 70
	bottom = 830
	foot   = 985
	apart  = 95 // of two levels' words, at least
	above  = 15 // a level's words stand above its line
	below  = 72 // or below it
)

// columns is how many columns a line is thinned to: as many as a small phone has points.
const columns = 320

// farthest bounds values, so that no product overflows.
const farthest = 1 << 50

// Point is a value in a series, X ascending, or, in a drawing, a place.
type Point struct{ X, Y int64 }

// Sort says what an item of a drawing is.
type Sort uint8

// Sorts of items.
const (
	Path  Sort = iota // a line through all of At
	Spot              // a mark at At[0]
	Words             // Text, which begins (or, with End, ends) at At[0]
	Field             // a shaded rectangle from At[0] to At[1]
)

// Tone says what an item stands for. A home tells tones apart by their strokes, not by colour alone.
type Tone uint8

// Tones.
const (
	Value  Tone = iota // what was measured
	Middle             // the mean of it, or a fitted line
	Limit              // what it is held against
	Signal             // a value that somebody should look at
	Held               // the run that counts
	Foot               // words below
	Reach              // from the least to the most of what was measured meanwhile
)

// String returns the tone's name, as screens have it.
func (t Tone) String() string {
	return [...]string{"value", "middle", "limit", "signal", "held", "foot", "reach"}[t]
}

// Item is one thing in a drawing. Later items lie above earlier ones.
type Item struct {
	Sort Sort
	Tone Tone
	At   []Point
	Text string
	End  bool
}

// Chart is a drawing in the making. Its edges are values.
type Chart struct {
	left, right, low, high int64
	room                   int64 // above and below
	items                  []Item
	levels                 []Item // words of levels, which must not lie on each other
}

// Over begins a chart that holds every point and level, with a little room above and below.
func Over(points []Point, levels ...int64) *Chart {
	c := &Chart{low: farthest, high: -farthest}
	for i, p := range points {
		x := within(p.X, -farthest, farthest)
		if i == 0 {
			c.left, c.right = x, x
		}
		c.left, c.right = min(c.left, x), max(c.right, x)
		levels = append(levels, p.Y)
	}
	for _, y := range levels {
		y = within(y, -farthest, farthest)
		c.low, c.high = min(c.low, y), max(c.high, y)
	}
	if c.low > c.high {
		c.low, c.high = 0, 0
	}
	c.room = (c.high-c.low)/16 + 1
	c.low, c.high = c.low-c.room, c.high+c.room
	c.right = max(c.right, c.left+1)
	return c
}

// Until makes room on the right up to x.
func (c *Chart) Until(x int64) { c.right = max(c.right, within(x, -farthest, farthest)) }

func within(v, least, most int64) int64 { return min(max(v, least), most) }

// place returns where a value stands in the drawing; what lies beyond its edges stands on them.
func (c *Chart) place(p Point) Point {
	x := (within(p.X, c.left, c.right) - c.left) * Size / (c.right - c.left)
	y := (within(p.Y, c.low, c.high) - c.low) * (bottom - top) / (c.high - c.low)
	return Point{x, bottom - y}
}

// Line draws a line through points. A long series is thinned to the least and the most of each column.
func (c *Chart) Line(tone Tone, points []Point) {
	var at []Point
	for _, p := range thin(points, c.left, c.right) {
		at = append(at, c.place(p))
	}
	if len(at) > 0 {
		c.items = append(c.items, Item{Sort: Path, Tone: tone, At: at})
	}
}

// Spots marks points.
func (c *Chart) Spots(tone Tone, points ...Point) {
	for _, p := range points {
		c.items = append(c.items, Item{Sort: Spot, Tone: tone, At: []Point{c.place(p)}})
	}
}

// Level draws a line from edge to edge at y, with words above its left end: the latest values are on the right.
func (c *Chart) Level(tone Tone, y int64, text string) {
	at := c.level(tone, y)
	c.levels = append(c.levels, Item{Sort: Words, Tone: tone, At: []Point{{0, at - above}}, Text: text})
}

// Floor is Level for the lowest of the lines: its words stand below it, where no value hides them.
func (c *Chart) Floor(tone Tone, y int64, text string) {
	at := c.level(tone, y)
	c.items = append(c.items, Item{Sort: Words, Tone: tone, At: []Point{{0, at + below}}, Text: text})
}

func (c *Chart) level(tone Tone, y int64) int64 {
	at := c.place(Point{c.right, y})
	c.items = append(c.items, Item{Sort: Path, Tone: tone, At: []Point{{0, at.Y}, {Size, at.Y}}})
	return at.Y
}

// Ends returns the least and the most of the values and levels that the chart was begun with.
func (c *Chart) Ends() (low, high int64) { return c.low + c.room, c.high - c.room }

// Mark writes on the left edge what the highest and the lowest of the values are, above and below all that is drawn.
func (c *Chart) Mark(high, low string) {
	for i, text := range [...]string{high, low} {
		c.items = append(c.items, Item{Sort: Words, Tone: Foot, At: []Point{{0, [...]int64{top - above, bottom + below - above}[i]}}, Text: text})
	}
}

// Rule is Level without words.
func (c *Chart) Rule(tone Tone, y int64) { c.level(tone, y) }

// Shade shades the height of the chart from one x to another, below what was drawn before.
func (c *Chart) Shade(tone Tone, from, to int64) {
	a, b := c.place(Point{from, c.high}), c.place(Point{to, c.low})
	c.items = append([]Item{{Sort: Field, Tone: tone, At: []Point{a, b}}}, c.items...)
}

// Box shades from one value to another, each a place in the chart, below what was drawn before.
func (c *Chart) Box(tone Tone, a, b Point) {
	a, b = c.place(a), c.place(b)
	b.Y = max(b.Y, a.Y+2) // what never changed can be seen too
	c.items = append([]Item{{Sort: Field, Tone: tone, At: []Point{a, b}}}, c.items...)
}

// Below writes what the left and the right edge are.
func (c *Chart) Below(left, right string) {
	c.items = append(c.items,
		Item{Sort: Words, Tone: Foot, At: []Point{{0, foot}}, Text: left},
		Item{Sort: Words, Tone: Foot, At: []Point{{Size, foot}}, Text: right, End: true})
}

// Items returns the drawing: words of levels moved apart where their lines lie close to each other.
func (c *Chart) Items() []Item {
	order.Stable(c.levels, func(a, b Item) int { return int(a.At[0].Y - b.At[0].Y) })
	for i := range c.levels {
		least := int64(top - above)
		if i > 0 {
			least = c.levels[i-1].At[0].Y + apart
		}
		c.levels[i].At[0].Y = max(c.levels[i].At[0].Y, least)
	}
	most := int64(bottom - above)
	for i := len(c.levels) - 1; i >= 0; i-- {
		c.levels[i].At[0].Y = min(c.levels[i].At[0].Y, most)
		most = c.levels[i].At[0].Y - apart
	}
	return append(c.items, c.levels...)
}

// thin returns at most two points of each column between left and right, its lowest and its highest, in their order.
func thin(points []Point, left, right int64) []Point {
	if len(points) <= 2*columns {
		return points
	}
	column := func(p Point) int64 { return (within(p.X, left, right) - left) * columns / (right - left) }
	var out []Point
	for from := 0; from < len(points); {
		low, high, to := from, from, from
		for ; to < len(points) && column(points[to]) == column(points[from]); to++ {
			if points[to].Y < points[low].Y {
				low = to
			}
			if points[to].Y > points[high].Y {
				high = to
			}
		}
		out = append(out, points[min(low, high)])
		if low != high {
			out = append(out, points[max(low, high)])
		}
		from = to
	}
	return out
}

// Say writes the end of a text beside a value: above it, or below where there is no room.
func (c *Chart) Say(tone Tone, at Point, text string) {
	to := c.place(at)
	to.Y -= above
	c.levels = append(c.levels, Item{Sort: Words, Tone: tone, At: []Point{to}, Text: text, End: true})
}
