package planner

import (
	"encoding/csv"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestLotSizes holds the table of sessions against the worked example of Wagner and Whitin (1958, testdata/published/wagner-whitin.csv):
// twelve periods, a cost of setting up that changes, and one of keeping a piece from period to period; 864 is the least, as published.
// A slot is a period, the station's price at a block is the cost of setting up there, a place's is that of keeping.
func TestLotSizes(t *testing.T) {
	f, err := os.Open("../../../testdata/published/wagner-whitin.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	number := func(row, column int) int {
		n, err := strconv.Atoi(rows[row+1][column])
		require.NoError(t, err)
		return n
	}
	const periods = 12
	for last := 1; last <= periods; last++ { // the example tells the least of its first periods alone too
		p := &Problem{ID: "lots", Open: 60, Close: 60 + 15*last, Slot: 15, Tick: 15, Block: 15, Pans: 1000,
			Groups:   []Group{{"fryers", []Window{{0, 240, 1000}}}},
			Stations: []Station{{"table", []Window{{From: 0, To: 60 + 15*last}}}}}
		it := Item{Name: "lot", UnitPieces: 1, Margin: 1000 * Unit, Cook: Cook{MaxUnits: 1000, Busy: 15, Out: 5, Hold: 25},
			Coat: &Coat{Modes: []Mode{{1, 1000}}, SetMax: 600, UnitsPerPan: 1}}
		asked := 0
		for n := range last {
			it.Demand = append(it.Demand, number(n, 1))
			asked += number(n, 1)
		}
		p.Items = []Item{it}
		prices := newPricing(newModel(p))
		prices.quick = 0
		const worth = 500 * Unit // of a piece, so that all are made
		for n := range last {
			prices.price[coating][0][n] = worth
		}
		const first = 2 // the block whose session is the first to serve the first slot
		for b := range prices.wage[0] {
			prices.wage[0][b] = 1_000_000 * Unit // nothing is set up between periods
		}
		for n := range last {
			prices.wage[0][first+n] = Money(number(n, 2)) * Unit
		}
		for b := range prices.rent[0] {
			prices.rent[0][b] = Money(number(0, 3)) * Unit
		}
		prices.sumShelves()
		gain := prices.sessions(coating, 0)
		// every piece stands one block between its session and the first load that can take it
		cost := worth*Money(asked) - gain - Money(asked)*Unit
		require.Equal(t, Money(number(last-1, 4))*Unit, cost, "of the first %d periods", last)
		if last == periods {
			require.Equal(t, 864*Unit, cost)
		}
	}
}
