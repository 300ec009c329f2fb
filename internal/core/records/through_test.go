package records_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/records"
	"brinebell/internal/core/stamp"
)

// TestWhatWasTakenBackLaterWasNotSo: the kitchen at an instant, with what was taken back after it left out, in whatever order the
// entries come.
func TestWhatWasTakenBackLaterWasNotSo(t *testing.T) {
	id := func(n byte) entry.ID { return entry.NewID(stamp.Milli(n), [10]byte{n}) }
	make := func(n byte, body entry.Body) records.Item {
		return records.Item{Entry: entry.New(id(n), stamp.Stamp{At: stamp.Milli(n) * 1000, Device: "d"}, "ines", body), Seq: uint64(n)}
	}
	items := []records.Item{make(1, &entry.Equipment{Place: "fryer-1", Out: true, Reason: "No heat"}), make(2, &entry.Equipment{Place: "fryer-2", Out: true, Reason: "Leaks"}),
		make(4, &entry.Withdrawal{Entry: id(1)})}
	for _, order := range [][]int{{0, 1, 2}, {2, 1, 0}, {1, 2, 0}} {
		var list []records.Item
		for _, n := range order {
			list = append(list, items[n])
		}
		var out []bool
		records.Through(nil, list, []stamp.Milli{1500, 3000, 9000}, func(n int, s *kitchen.State) {
			out = append(out, s.Place("fryer-1").Out, s.Place("fryer-2").Out)
		})
		require.Equal(t, []bool{false, false, false, true, false, true}, out)
	}
}
