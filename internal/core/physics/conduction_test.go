package physics

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// fscan reads the number behind a prefix.
func fscan(text, prefix string, to *float64) (int, error) {
	return fmt.Sscan(strings.TrimPrefix(text, prefix), to)
}

// oneTerm is heat conduction into a body from its surface, by the first term of the series: theta = C1 exp(-zeta1^2 Fo) at
// the centre, good when Fo > 0.2 (heisler-equations.csv). Here it is an independent check of mass to the two thirds.
type oneTerm struct{ bi, zeta, c []float64 }

func heisler(t *testing.T, shape string) oneTerm {
	var o oneTerm
	for _, r := range published(t, "heisler-one-term.csv", 29) {
		o.bi = append(o.bi, r.number(t, "Bi"))
		o.zeta = append(o.zeta, r.number(t, shape+"_zeta1"))
		o.c = append(o.c, r.number(t, shape+"_C1"))
	}
	return o
}

// at interpolates zeta1 and C1 straight over the logarithm of Bi.
func (o oneTerm) at(bi float64) (zeta, c float64) {
	i := 0
	for i < len(o.bi)-2 && o.bi[i+1] < bi {
		i++
	}
	f := (math.Log(bi) - math.Log(o.bi[i])) / (math.Log(o.bi[i+1]) - math.Log(o.bi[i]))
	return o.zeta[i] + f*(o.zeta[i+1]-o.zeta[i]), o.c[i] + f*(o.c[i+1]-o.c[i])
}

// seconds is the time after which the centre's excess has fallen to theta.
func (o oneTerm) seconds(bi, theta, length, alpha float64) (s, fourier float64) {
	zeta, c := o.at(bi)
	fourier = math.Log(c/theta) / (zeta * zeta)
	return fourier * length * length / alpha, fourier
}

// The roots of the table solve the textbook's equation for a sphere and a wall, and its printed values agree.
func TestRootsOfTheOneTermTable(t *testing.T) {
	for _, r := range published(t, "heisler-one-term.csv", 29) {
		bi, s, w := r.number(t, "Bi"), r.number(t, "sphere_zeta1"), r.number(t, "wall_zeta1")
		require.InDelta(t, bi, 1-s/math.Tan(s), 1e-5+bi*6e-5, "1 - zeta cot zeta = Bi")
		require.InDelta(t, bi, w*math.Tan(w), 1e-5+bi*1e-4, "zeta tan zeta = Bi")
		require.InDelta(t, r.number(t, "sphere_C1"), 4*(math.Sin(s)-s*math.Cos(s))/(2*s-math.Sin(2*s)), 2e-5)
		for _, column := range []string{"wall_zeta1", "wall_C1", "cyl_zeta1", "cyl_C1", "sphere_zeta1", "sphere_C1"} {
			if r["book_"+column] != "" {
				require.InDelta(t, r.number(t, "book_"+column), r.number(t, column), 1e-4, column)
			}
		}
	}
}

// Worked examples of textbooks: 14.4 min for an egg, 3.1 s for a small sphere (the book reads its table straight).
func TestWorkedExamplesOfConduction(t *testing.T) {
	sphere := heisler(t, "sphere")
	for _, r := range published(t, "transient-examples.csv", 2) {
		s, fourier := sphere.seconds(r.number(t, "Bi"), r.number(t, "theta0"), r.number(t, "length_m"), r.number(t, "alpha_m2_s"))
		require.InEpsilon(t, r.number(t, "time_s"), s, 0.002, r["id"])
		require.Greater(t, fourier, 0.2, "one term is enough")
		if r["published_answer"] != "" {
			answer := r.number(t, "published_answer")
			if r["published_unit"] == "min" {
				answer *= 60
			}
			require.InEpsilon(t, answer, s, 0.05, r["id"])
		}
	}
}

// A piece of chicken in a closed fryer as a sphere whose wet surface stays at the boiling point under 12 psi of gauge
// pressure: how the time to 74 C at its centre moves with its mass, against the core's rule from a table of one row. With
// the surface at that heat at once the two agree. A film at the surface (a smaller Biot number) lets mass move the time
// less: the rule is then long for heavier units, and up to 2.5 % short for lighter ones, which is why the first load must
// prove it with a probe.
func TestTwoThirdsAgainstConduction(t *testing.T) {
	sphere := heisler(t, "sphere")
	density, alpha := 0.0, 0.0
	for _, r := range published(t, "density.csv", 3) {
		if r["product"] == "whole broiler with skin (ASHRAE composition)" && r["T_C"] == "20" {
			density, alpha = r.number(t, "rho_kg_m3"), r.number(t, "alpha_m2_s")
		}
	}
	require.Positive(t, density)
	const cold, done = 4.0, 74.0
	surface := float64(SteamPoint(0, 82_737)) / 1000
	theta := (surface - done) / (surface - cold)
	time := func(grams, bi120 float64) float64 {
		radius := math.Cbrt(3 * grams / 1000 / (4 * math.Pi * density))
		at120 := math.Cbrt(3 * 0.120 / (4 * math.Pi * density))
		s, fourier := sphere.seconds(min(bi120*radius/at120, 100), theta, radius, alpha)
		second := 2 * math.Exp(-4*math.Pi*math.Pi*fourier) // of a sphere whose surface is held
		require.Less(t, second, 0.01*theta, "the second term adds less than 1 %%")
		return s
	}
	table := CookTable{Rows: []CookRow{{120, int64(time(120, 100)+0.5) * 1000}}}
	for grams := int64(102); grams <= 138; grams++ {
		got, how := table.Time(grams)
		require.NotEqual(t, TooFar, how)
		rule := float64(got) / float64(table.Rows[0].Millis)
		held := time(float64(grams), 1e9) / time(120, 1e9)
		require.InDelta(t, held, rule, 0.002, "%d g", grams)
		for _, bi := range []float64{2, 5, 10, 20} {
			film := time(float64(grams), bi) / time(120, bi)
			require.Greater(t, rule, film-0.025, "%d g, Bi %v: not more than 2.5 %% short", grams, bi)
			if grams > 121 {
				require.Greater(t, rule, film-0.002, "%d g, Bi %v: never short for heavier ones", grams, bi)
			}
		}
	}
}
