package procedure

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"brinebell/internal/core/physics"
	"brinebell/internal/core/quantity"
	"brinebell/internal/core/stamp"
)

func read(t testing.TB, name string) []byte {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("../../../testdata/procedures", name))
	require.NoError(t, err)
	return text
}

func parsed(t testing.TB, name string) Document {
	t.Helper()
	doc, faults := Parse(read(t, name))
	require.Empty(t, faults)
	return doc
}

func TestLeastProcedure(t *testing.T) {
	p := parsed(t, "least.json").Procedure
	require.Equal(t, "least", p.Name)
	require.EqualValues(t, 1, p.Version)
	require.Equal(t, Text{EN: "Least", ES: "Mínimo"}, p.Title)
	require.EqualValues(t, 100, p.PieceGrams)
	require.Equal(t, &MixRule{MeatMilligrams: 1_500_000, ConcentrateMicrolitres: 60_000, TubMost: 16_000, TubHolds: 28_000, SaltMilligrams: 250_000}, p.Mix)
	require.Len(t, p.Stages, 3)
	require.Equal(t, Window{
		Floor: 7 * stamp.Hour, BestFrom: 9 * stamp.Hour, BestUntil: 13 * stamp.Hour, LastCall: 30 * stamp.Minute,
		Ceiling: 20 * stamp.Hour, Aim: 11 * stamp.Hour, Patience: 10 * stamp.Minute,
	}, p.Stages[0].Window)
	cook := p.Stages[1]
	require.Equal(t, Wait, cook.Kind)
	require.Equal(t, "load", cook.Vessel)
	require.Equal(t, "fryer", cook.Equipment)
	require.Equal(t, Takes{Part: true, MostGrams: 7_500}, cook.Enter)
	require.True(t, cook.Pressure && cook.Override)
	require.Equal(t, []string{"hot oil", "pressure"}, cook.Caution.Hazards)
	core := cook.Steps[0]
	require.Equal(t, Read, core.Kind)
	require.Equal(t, "mC", core.Unit)
	require.Equal(t, "Cel", core.TypedIn)
	require.EqualValues(t, 75_000, *core.Limit.Min)
	require.Nil(t, core.Limit.Max)
	require.Same(t, cook.Cook, p.CookTable())
	require.Equal(t, []physics.CookRow{{Grams: 90, Millis: 570_000}, {Grams: 150, Millis: 740_000}}, cook.Cook.Rows)
	require.Equal(t, "Proveedor", cook.Cook.Source.In("es"))
	unit := p.Receiving.Unit
	require.EqualValues(t, 90, *unit.Min, "a unit may weigh what there are times for")
	require.EqualValues(t, 150, *unit.Max)
	require.Equal(t, cook.Cook.Source, unit.Source)
	require.Equal(t, Hold, p.Stages[2].Kind)
	require.True(t, p.Stages[2].Window.Hard)
	require.Same(t, &p.Stages[2], p.Next("cook"))
	require.Nil(t, p.Next("hold"))
}

func TestLeastListAndEquipment(t *testing.T) {
	l := parsed(t, "least-list.json").List
	require.Equal(t, 5*stamp.Hour, l.Opens)
	require.Equal(t, 6*stamp.Hour+15*stamp.Minute, l.Due)
	require.Equal(t, []uint8{1, 5}, l.Days)
	require.Equal(t, 10*stamp.Minute, l.Patient)
	require.Equal(t, "lead", l.Steps[1].Role)
	e := parsed(t, "least-equipment.json").Equipment
	d := e.Device("fryer-1")
	require.NotNil(t, d)
	require.True(t, d.Single && d.Checked)
	require.EqualValues(t, 164_000, *d.Reading.Min)
	require.EqualValues(t, 174_000, *d.Reading.Max)
	require.Equal(t, 2*stamp.Hour, d.ReadEvery)
	require.Equal(t, []Boat{{6*stamp.Hour + 40*stamp.Minute}, {9*stamp.Hour + 10*stamp.Minute}}, e.Boats)
	require.Nil(t, e.Device("fryer-9"))
	require.True(t, e.AltitudeSaid)
	require.EqualValues(t, 310_000, e.Altitude)
	require.Equal(t, 7*stamp.Day, e.Probe("probe-1").Every)
	require.True(t, e.Probe("probe-1").TypedIn == "[degF]")
	require.Nil(t, e.Probe("probe-9"))
}

// Common practice, no source: what the test procedure says beside its windows.
func TestCommonPractice(t *testing.T) {
	p := parsed(t, "common-practice.json").Procedure
	mix, _ := p.Stage("mix")
	require.EqualValues(t, 1_247, *mix.Steps[0].Limit.Min, "2.75 lb are 1247.4 g")
	require.EqualValues(t, 1_361, *mix.Steps[0].Limit.Max, "3 lb are 1360.8 g")
	require.EqualValues(t, 8, *mix.Steps[1].Limit.Min)
	marinate, _ := p.Stage("marinate")
	require.EqualValues(t, 1_111, *marinate.Steps[0].Limit.Min, "34 °F")
	require.EqualValues(t, 2_222, *marinate.Steps[0].Limit.Max, "36 °F")
	load, _ := p.Stage("load")
	require.Equal(t, "Basket order: breasts, thighs, legs, wings", load.Steps[0].Text.EN)
	require.EqualValues(t, 182_222, *load.Steps[1].Limit.Min, "360 °F")
	typed, err := quantity.Typed("360", load.Steps[1].TypedIn, quantity.MilliC)
	require.NoError(t, err)
	require.Equal(t, *load.Steps[1].Limit.Min, typed, "a reading of exactly 360 °F meets the limit")
	require.Equal(t, *load.Steps[1].Limit.Max, typed)
}

// Common practice, no source: at most 14 lb of meat per US gallon of water, 6 US fl oz of concentrate per gallon.
func TestCommonPracticeMix(t *testing.T) {
	m := parsed(t, "common-practice.json").Procedure.Mix
	const pound, gallon = 453.59237, 3785.411784
	for _, pounds := range []float64{1, 14, 28, 40, 42} {
		grams := int64(pounds * pound)
		water := m.Water(grams)
		require.GreaterOrEqual(t, float64(water), float64(grams)/(14*pound)*gallon, "%v lb", pounds)
		require.Less(t, float64(water), float64(grams)/(14*pound)*gallon+1.1, "%v lb", pounds)
		require.InDelta(t, float64(water)*6/128, float64(m.Concentrate(water)), 0.5)
	}
	require.EqualValues(t, 1, m.Tubs(1))
	require.EqualValues(t, 1, m.Tubs(m.TubMost))
	require.EqualValues(t, 2, m.Tubs(m.TubMost+1))
	require.EqualValues(t, 0, m.Tubs(0))
}

// The example of the start of a tub: 27.6 kg in tubs of 16 kg are two of 13.8 kg, each 9.2 L and 552 mL.
func TestMixOfTwoTubs(t *testing.T) {
	m := parsed(t, "least.json").Procedure.Mix
	require.EqualValues(t, 2, m.Tubs(27_600))
	require.EqualValues(t, 13_800, Share(27_600, 2, 0))
	require.EqualValues(t, 9_200, m.Water(13_800))
	require.EqualValues(t, 552, m.Concentrate(9_200))
	require.InDelta(t, 22_600+552, m.Room(13_800), 5, "13.8 kg / 1.03 kg/L + 9.2 L + the concentrate")
}

// The density of raw chicken is testdata/published/density.csv (computed by the Choi-Okos model).
func TestDensityTakesNoLessRoom(t *testing.T) {
	f, err := os.Open("../../../testdata/published/density.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	require.Greater(t, len(rows), 2)
	for _, row := range rows[1:] {
		density, err := strconv.ParseFloat(row[4], 64)
		require.NoError(t, err)
		require.LessOrEqual(t, float64(physics.MeatGravity), density, row[0])
		require.Less(t, density, 1.05*physics.MeatGravity, row[0])
	}
}

// 60 mL/L of a concentrate with 250 g/L of salt: 14.15 g in a litre of brine, which weighs 1.008 kg: 1.40 %.
func TestBrineOfAMix(t *testing.T) {
	m := parsed(t, "least.json").Procedure.Mix
	b, ok := m.Brine()
	require.True(t, ok)
	require.InDelta(t, 14_040, b.Salt, 50, "millionths: 250 x 60 / 1060 g over the mass of a litre")
	require.InDelta(t, 5_320, b.Degrees, 20)
	require.False(t, b.Floats())
	_, ok = (&MixRule{ConcentrateMicrolitres: 60_000}).Brine()
	require.False(t, ok, "nothing says how much salt")
}

func TestFitsAndCovers(t *testing.T) {
	m := parsed(t, "least.json").Procedure.Mix
	require.Zero(t, m.Bare(13_800), "9.75 L cover 13.8 kg, which need 7.5")
	tight := MixRule{MeatMilligrams: 3_000_000, ConcentrateMicrolitres: 20_000}
	require.InDelta(t, 15_000/1.03*36/64-5_100, tight.Bare(15_000), 2, "5.1 L do not")
	rapid.Check(t, func(t *rapid.T) {
		m := MixRule{
			MeatMilligrams:         rapid.Int64Range(100_000, 10_000_000).Draw(t, "meat"),
			ConcentrateMicrolitres: rapid.Int64Range(0, 1_000_000).Draw(t, "mix"),
		}
		holds := rapid.Int64Range(0, 200_000).Draw(t, "holds")
		most := m.Fits(holds)
		require.LessOrEqual(t, m.Room(most), holds)
		require.Greater(t, m.Room(most+1), holds, "not a gram more")
	})
	require.Zero(t, m.Fits(-5))
}

func TestMixProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := MixRule{
			MeatMilligrams:         rapid.Int64Range(1, 10_000_000).Draw(t, "meat"),
			ConcentrateMicrolitres: rapid.Int64Range(0, 1_000_000).Draw(t, "mix"),
			TubMost:                rapid.Int64Range(10_000, 100_000).Draw(t, "tub"),
		}
		grams := rapid.Int64Range(0, 10_000_000).Draw(t, "grams")
		n := m.Tubs(grams)
		var sum int64
		for i := range n {
			share := Share(grams, n, i)
			require.LessOrEqual(t, share, m.TubMost, "no tub holds more than it may")
			sum += share
		}
		require.Equal(t, grams, sum, "nothing is lost between the tubs")
		water := m.Water(grams)
		require.GreaterOrEqual(t, water*m.MeatMilligrams, grams*1_000_000, "never more meat per water than the rule")
		require.Less(t, (water-1)*m.MeatMilligrams, max(grams*1_000_000, 1), "and no more water than it takes")
	})
	require.EqualValues(t, 1<<63-1, (&MixRule{MeatMilligrams: 1}).Water(1<<62), "too large is the largest, not less")
	require.Zero(t, (&MixRule{}).Water(5)+(&MixRule{}).Concentrate(5)+Share(5, 0, 0))
}

func TestTextIn(t *testing.T) {
	require.Equal(t, "two", Text{EN: "one", ES: "two"}.In("es"))
	require.Equal(t, "one", Text{EN: "one"}.In("es"))
	require.Equal(t, "one", Text{EN: "one", ES: "two"}.In("de"))
}

func TestOpenNamesTheFirstFault(t *testing.T) {
	_, err := Open(read(t, "least.json"))
	require.NoError(t, err)
	_, err = Open([]byte("{\n\"format\": \"brinebell list 1\",\n\"name\": \"A\"}"))
	require.ErrorContains(t, err, "line")
	require.ErrorContains(t, err, "missing")
}

// A hostile document gives faults, and soon.
func TestHostileDocuments(t *testing.T) {
	good := string(read(t, "least.json"))
	for name, text := range map[string]string{
		"empty":             "",
		"deep":              strings.Repeat("[", 100_000),
		"deep objects":      strings.Repeat(`{"a":`, 30_000),
		"long":              `{"format":"brinebell list 1","remark":"` + strings.Repeat("x", DocumentMax) + `"}`,
		"a million steps":   `{"format":"brinebell list 1","steps":[` + strings.Repeat(`{},`, 1_000_000) + `{}]}`,
		"many steps":        `{"format":"brinebell list 1","steps":[` + strings.Repeat(`{},`, 30_000) + `{}]}`,
		"many names":        `{` + manyNames(12_000) + `"a":1}`,
		"same names":        strings.Replace(good, `"version": 1`, `"version": 1, "version": 2`, 1),
		"huge number":       strings.Replace(good, `"version": 1`, `"version": 1e400`, 1),
		"huge exponent":     strings.Replace(good, `"version": 1`, `"version": 1e999999999`, 1),
		"minus zero":        strings.Replace(good, `"version": 1`, `"version": -0`, 1),
		"a billion years":   strings.Replace(good, `"PT7H"`, `"P1E9Y"`, 1),
		"reference":         strings.Replace(good, `"version": 1`, `"version": 1, "$ref": "http://kitchen.example/x.json"`, 1),
		"right to left":     strings.Replace(good, `"Marinade"`, "\"Mari\u202enade\"", 1),
		"right to left esc": strings.Replace(good, `"Marinade"`, `"Mari\u202Enade"`, 1),
		"markup":            strings.Replace(good, `"Marinade"`, `"<script>alert(1)</script>"`, 1),
		"newline":           strings.Replace(good, `"Marinade"`, `"Mari\nnade"`, 1),
		"lone surrogate":    strings.Replace(good, `"Marinade"`, `"Mari\ud800nade"`, 1),
		"not UTF-8":         strings.Replace(good, `"Marinade"`, "\"Mari\xffnade\"", 1),
		"two documents":     good + good,
		"byte order mark":   "\ufeff" + good,
		"a list":            "[1]",
	} {
		start := time.Now()
		doc, faults := Parse([]byte(text))
		require.NotEmpty(t, faults, name)
		require.LessOrEqual(t, len(faults), FaultsMax+1, name)
		require.Equal(t, Document{}, doc, name)
		for _, f := range faults {
			require.NotEmpty(t, f.Text.EN, name)
			require.NotEmpty(t, f.Text.ES, name)
			require.Positive(t, f.Line, name)
			require.Less(t, len(f.Text.EN), 600, name)
			require.NotContains(t, f.Text.ES, "no se puede leer", "said in Spanish too: "+f.Text.EN)
		}
		require.Less(t, time.Since(start), 5*time.Second, name)
	}
}

func manyNames(n int) string {
	var b strings.Builder
	for i := range n {
		b.WriteString(`"` + strconv.Itoa(i) + `":1,`)
	}
	return b.String()
}

func FuzzParse(f *testing.F) {
	for _, name := range []string{"least.json", "least-list.json", "least-equipment.json", "common-practice.json"} {
		f.Add(read(f, name))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		doc, faults := Parse(text)
		set := 0
		for _, there := range []bool{doc.Procedure != nil, doc.List != nil, doc.Equipment != nil} {
			if there {
				set++
			}
		}
		if len(faults) == 0 && set != 1 || len(faults) > 0 && set != 0 {
			t.Fatalf("%d faults and %d documents", len(faults), set)
		}
	})
}

func BenchmarkParse(b *testing.B) {
	text, err := os.ReadFile("../../demo/documents/procedure-bone-in.json")
	require.NoError(b, err)
	b.SetBytes(int64(len(text)))
	for range b.N {
		Parse(text)
	}
}
