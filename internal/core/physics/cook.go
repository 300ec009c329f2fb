package physics

import "brinebell/internal/core/fixed"

// CookRow is a row of a supplier's table: a unit of so many grams cooks for so many milliseconds.
type CookRow struct{ Grams, Millis int64 }

// CookTable is a supplier's table of cook times: rows by weight, heavier units no shorter.
type CookTable struct{ Rows []CookRow }

// Beyond is by how many hundredths a unit may be lighter than the first row or heavier than the last.
const Beyond = 15

// How says what a cook time rests on.
type How uint8

// What a cook time can rest on. All but a printed one are estimates, which the first load must prove with a probe.
const (
	Printed  How = iota // a row of the table
	Between             // between two rows
	Extended            // from the first or last row by mass to the two thirds
	TooFar              // more than Beyond hundredths outside of the table: no time
)

// Ends returns the lightest and heaviest unit for which Time has an answer.
func (c *CookTable) Ends() (least, most int64) {
	if len(c.Rows) == 0 {
		return 0, 0
	}
	first, last := c.Rows[0].Grams, c.Rows[len(c.Rows)-1].Grams
	return (first*(100-Beyond) + 99) / 100, last * (100 + Beyond) / 100
}

// Time returns how long a unit of so many grams cooks, to the second. Between rows the time follows a monotone cubic
// through them over mass to the two thirds, so that a table that keeps to that law is met exactly and no other table is
// left; beyond them it goes on from the nearest row by that law alone.
func (c *CookTable) Time(grams int64) (millis int64, how How) {
	least, most := c.Ends()
	if len(c.Rows) == 0 || grams < least || grams > most {
		return 0, TooFar
	}
	i := 0
	for i < len(c.Rows) && c.Rows[i].Grams < grams {
		i++
	}
	switch {
	case i < len(c.Rows) && c.Rows[i].Grams == grams:
		return c.Rows[i].Millis, Printed
	case i == 0:
		return seconds(c.extend(c.Rows[0], grams)), Extended
	case i == len(c.Rows):
		return seconds(c.extend(c.Rows[i-1], grams)), Extended
	}
	return seconds(c.between(i-1, grams)), Between
}

func seconds(s fixed.Num) int64 { return fixed.Round(s, 1) * 1000 }

// twoThirds returns mass over mass to the power of two thirds.
func twoThirds(grams, over int64) fixed.Num {
	return fixed.Pow(fixed.FromRatio(grams, over), fixed.FromRatio(2, 3))
}

func (c *CookTable) extend(r CookRow, grams int64) fixed.Num {
	return fixed.Mul(fixed.FromRatio(r.Millis, 1000), twoThirds(grams, r.Grams))
}

// x is where a mass stands: its two thirds against the first row's.
func (c *CookTable) x(grams int64) fixed.Num { return twoThirds(grams, c.Rows[0].Grams) }

// step returns the width of the table between rows i and i+1, and how steeply the seconds rise in it.
func (c *CookTable) step(i int) (width, rise fixed.Num) {
	a, b := c.Rows[i], c.Rows[i+1]
	width = c.x(b.Grams) - c.x(a.Grams)
	return width, fixed.Div(fixed.FromRatio(b.Millis-a.Millis, 1000), width)
}

// slope returns the steepness of the cubic at row i: the weighted harmonic mean of the rises on both sides, which never
// overshoots (Fritsch and Carlson 1980, in the form of Fritsch and Butland 1984); at the ends that of the one side.
func (c *CookTable) slope(i int) fixed.Num {
	last := len(c.Rows) - 1
	if i == 0 || i == last {
		_, rise := c.step(min(i, last-1))
		return rise
	}
	before, in := c.step(i - 1)
	after, out := c.step(i)
	if in <= 0 || out <= 0 {
		return 0
	}
	w1, w2 := 2*after+before, after+2*before
	return fixed.Div(w1+w2, fixed.Div(w1, in)+fixed.Div(w2, out))
}

// between returns the seconds for a mass between rows i and i+1: Hermite's cubic with the slopes of both.
func (c *CookTable) between(i int, grams int64) fixed.Num {
	width, rise := c.step(i)
	a, b := fixed.FromRatio(c.Rows[i].Millis, 1000), fixed.FromRatio(c.Rows[i+1].Millis, 1000)
	into := c.x(grams) - c.x(c.Rows[i].Grams)
	t := fixed.Div(into, width)
	m, n := c.slope(i), c.slope(i+1)
	// a + into * (m + t ((3 rise - 2m - n) + t (m + n - 2 rise)))
	curve := fixed.Mul(t, 3*rise-2*m-n+fixed.Mul(t, m+n-2*rise))
	return min(max(a+fixed.Mul(into, m+curve), a), b)
}
