package physics

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// The printed table: degrees from percent by the formula (confirmed), specific gravity from memory.
func TestSalometerTable(t *testing.T) {
	grams := 0
	for _, r := range published(t, "salometer-table.csv", 20) {
		salt, degrees := r.number(t, "NaCl_pct_by_mass"), r.number(t, "salometer_deg")
		require.InDelta(t, degrees*1000, float64(Salometer(int64(math.Round(salt*10_000)))), 0.51, "%v %%", salt)
		require.InDelta(t, r.number(t, "salt_g_per_100g_water"), salt/(100-salt)*100, 6e-4)
		if r["specific_gravity_60F"] == "" {
			continue
		}
		grams++
		b, ok := BrineOf(int64(math.Round(max(r.number(t, "salt_g_per_L_brine")*1000-5, 0)))) // printed to 10 mg
		require.True(t, ok)
		require.InDelta(t, degrees, float64(b.Degrees)/1000, 0.004)
		require.InDelta(t, salt, float64(b.Salt)/10_000, 0.001)
		require.InDelta(t, r.number(t, "specific_gravity_60F"), float64(b.Gravity)/1e6, 1e-4)
	}
	require.Equal(t, 11, grams)
}

func TestSalometerFacts(t *testing.T) {
	facts := published(t, "salometer-facts.csv", 10)
	require.InDelta(t, Saturated, of(t, facts, "sat").number(t, "value")*10_000, 1e-6)
	for id, percent := range map[string]float64{"ex-5": 5, "ex-10": 10} {
		require.InDelta(t, of(t, facts, id).number(t, "value")*1000, float64(Salometer(int64(percent*10_000))), 0.51, id)
	}
	require.InDelta(t, 70_000, float64(Salometer(int64(of(t, facts, "ex-70").number(t, "value")*10_000))), 1)
	// Two looser figures of other notes: 2.6 lb in a US gallon of saturated brine, specific gravity 1.2.
	b, ok := BrineOf(int64(of(t, facts, "sat-gal").number(t, "value") * pound / 3.785411784 * 1000))
	require.True(t, ok)
	require.InDelta(t, 100, float64(b.Degrees)/1000, 2)
	require.InDelta(t, of(t, facts, "sat-sg").number(t, "value"), float64(b.Gravity)/1e6, 0.005)
}

func TestBrineIsSteady(t *testing.T) {
	_, ok := BrineOf(318_000)
	require.False(t, ok, "a litre of saturated brine has 317.5 g of salt")
	nothing, ok := BrineOf(-5)
	require.True(t, ok)
	require.Equal(t, Brine{Gravity: 1_000_000}, nothing)
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Int64Range(0, 316_000).Draw(t, "mg")
		a, _ := BrineOf(x)
		b, _ := BrineOf(x + 1000)
		require.Greater(t, b.Salt, a.Salt)
		require.GreaterOrEqual(t, b.Gravity, a.Gravity)
		require.InDelta(t, x, float64(a.Salt)/1e6*float64(a.Gravity)/1e6*0.99903*1e6, 1, "a litre holds what it was made of")
	})
}

// The density that meat floats by is no more than any of density.csv; a marinade of 3 % lets it lie, one of 6 % lifts it.
func TestFloats(t *testing.T) {
	for _, r := range published(t, "density.csv", 3) {
		require.LessOrEqual(t, float64(MeatGravity), r.number(t, "rho_kg_m3"))
	}
	weak, _ := BrineOf(30_000)
	strong, _ := BrineOf(62_000)
	require.False(t, weak.Floats())
	require.True(t, strong.Floats())
}

func TestSubmerged(t *testing.T) {
	require.EqualValues(t, 0, Submerged(0))
	require.EqualValues(t, 0, Submerged(-5))
	require.InDelta(t, 16_000/1.03*36/64, float64(Submerged(16_000)), 1)
}

// chicken-yields.csv: 40.0 lb green to 43.6 lb marinated are 9.0 % (computed); 5 to 20 % are usual (from memory).
func TestPickUp(t *testing.T) {
	rows := published(t, "chicken-yields.csv", 26)
	require.InDelta(t, of(t, rows, "pickup-ex").number(t, "typical")*100, float64(Gain(18_144, 19_777)), 0.5)
	usual := of(t, rows, "pickup")
	require.EqualValues(t, PickUpLeast, usual.number(t, "low")*100)
	require.EqualValues(t, PickUpMost, usual.number(t, "high")*100)
	require.EqualValues(t, -2500, Gain(8000, 6000), "what it loses counts below nothing")
	require.EqualValues(t, 0, Gain(0, 500))
}
