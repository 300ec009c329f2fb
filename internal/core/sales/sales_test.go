package sales

import (
	"os"
	"testing"

	"github.com/stretchr/testify/require"
)

func file(t *testing.T, name string) []byte {
	t.Helper()
	text, err := os.ReadFile("../../../testdata/sales/" + name)
	require.NoError(t, err)
	return Text(text)
}

// nov is a day of November 2026.
func nov(day int) int32 {
	d, _ := count(2026, 11, day)
	return d
}

func TestDaysAreCounted(t *testing.T) {
	for _, c := range []struct {
		y, m, d int
		want    int32
	}{{2000, 1, 1, 10957}, {2026, 11, 24, 20781}, {2024, 2, 29, 19782}, {2100, 12, 31, 47846}} {
		got, ok := count(c.y, c.m, c.d)
		require.True(t, ok)
		require.Equal(t, c.want, got, "%v", c)
	}
	_, ok := count(2100, 2, 29)
	require.False(t, ok, "2100 is no leap year")
}

func TestAPlainFile(t *testing.T) {
	text := file(t, "plain.csv")
	m := Guess(text)
	require.Equal(t, Map{Sep: ',', Head: true, Day: 0, Time: 1, Item: 2, Pieces: 3, Order: YMD, Decimal: '.'}, m)
	require.Empty(t, m.Whole())
	f := Read(text, m)
	require.Zero(t, f.Bad)
	require.Equal(t, []Item{{"Bone-in pieces", 4, 17}, {"Potato wedges", 1, 2}}, f.Items)
	require.Equal(t, Row{Line: 2, Day: nov(2), Minute: 725, Pieces: 4}, f.Rows[0])
	require.EqualValues(t, -1, f.Rows[3].Pieces)
	require.Equal(t, 15, f.Each())
}

func TestSemicolonsSpansAndCommas(t *testing.T) {
	text := file(t, "semicolons.csv")
	m := Guess(text)
	require.Equal(t, byte(';'), m.Sep)
	require.Equal(t, byte(','), m.Decimal)
	require.Empty(t, m.Whole(), "the 13th tells that days come first")
	f := Read(text, m)
	require.Zero(t, f.Bad, "%+v", f.Faults)
	require.Equal(t, 30, f.Each())
	require.Equal(t, Row{Line: 4, Day: nov(13), Minute: 720, Until: 750, Item: 1, Pieces: 1200}, f.Rows[2])
	require.Equal(t, "Champiñones; fritos", f.Items[1].Name)
}

func TestLettersOfOneByteAndOfTwo(t *testing.T) {
	text := file(t, "latin.csv")
	m := Guess(text)
	require.Equal(t, Map{Sep: '\t', Head: true, Day: 0, Time: 1, Item: 2, Pieces: 3, Order: "", Decimal: '.'}, m, "3.11. may be March")
	m.Order = DMY
	f := Read(text, m)
	require.Equal(t, Row{Line: 2, Day: nov(3), Minute: 785, Pieces: 3}, f.Rows[0])
	require.Equal(t, "Champiñones", f.Items[0].Name)

	text = file(t, "wide.csv")
	m = Guess(text)
	require.Equal(t, byte('|'), m.Sep)
	require.Empty(t, m.Whole())
	require.Equal(t, m.Day, m.Time)
	f = Read(text, m)
	require.Zero(t, f.Bad, "%+v", f.Faults)
	require.Equal(t, Row{Line: 3, Day: nov(5), Minute: 21*60 + 15, Pieces: 5}, f.Rows[1])
}

func TestAFileWithoutNames(t *testing.T) {
	text := file(t, "nameless.csv")
	m := Guess(text)
	require.Equal(t, Map{Sep: ',', Day: 0, Time: None, Item: 1, Pieces: 2, Order: YMD, Decimal: '.'}, m)
	f := Read(text, m)
	require.Len(t, f.Rows, 3)
	require.Zero(t, f.Each(), "it tells only days")
	require.Equal(t, "Wedges, large", f.Items[1].Name)

	text = file(t, "pm.csv")
	m = Guess(text)
	require.Empty(t, m.Whole())
	f = Read(text, m)
	require.Equal(t, Row{Line: 1, Day: nov(2), Minute: 13*60 + 5, Pieces: 4}, f.Rows[0])
	require.Equal(t, Row{Line: 2, Day: nov(3), Minute: 10, Pieces: 5}, f.Rows[1])
}

func TestWhatCanBeReadInTwoWaysIsAsked(t *testing.T) {
	text := file(t, "which.csv")
	m := Guess(text)
	require.Equal(t, "order", m.Whole())
	m.Order = MDY
	require.Equal(t, "decimal", m.Whole())
	m.Decimal = '.'
	f := Read(text, m)
	require.Zero(t, f.Bad)
	feb, _ := count(2026, 2, 11)
	require.Equal(t, feb, f.Rows[0].Day)
	require.EqualValues(t, 1000, f.Rows[1].Pieces)
	m.Decimal = ','
	require.EqualValues(t, 1, Read(text, m).Rows[1].Pieces)
}

func TestEveryBadRowIsNamed(t *testing.T) {
	text := file(t, "bad.csv")
	f := Read(text, Guess(text))
	require.Len(t, f.Rows, 1)
	got := map[int]Problem{}
	for _, x := range f.Faults {
		got[x.Line] = x.Problem
	}
	require.Equal(t, map[int]Problem{3: NoDay, 4: NoTime, 5: NoItem, 6: Number, 7: Parts, 8: Narrow, 9: Quote, 10: Large, 12: NoDay, 13: NoDay}, got)
	require.Equal(t, 10, f.Bad)
}

// TestNothingBreaksIt: whatever a file holds, reading it ends, and every row is either read or named.
func TestNothingBreaksIt(t *testing.T) {
	for _, name := range []string{"plain.csv", "semicolons.csv", "latin.csv", "wide.csv", "bad.csv"} {
		text := file(t, name)
		for i := range text {
			cut := text[i:]
			m := Guess(cut)
			if m.Day == None || m.Item == None || m.Pieces == None {
				continue
			}
			f := Read(cut, m)
			require.Equal(t, f.Lines, len(f.Rows)+f.Bad)
		}
	}
	require.Equal(t, None, Guess(nil).Day)
}
