package forecast

import (
	"fmt"
	"os"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// bicycles reads a year of days of bicycles hired in a city: walk-in guests or members.
func bicycles(t *testing.T, column string) []Past {
	var past []Past
	for _, row := range rows(t, "counts/bicycle-days.csv") {
		at, err := time.Parse(time.DateOnly, row["date"])
		require.NoError(t, err)
		past = append(past, Past{Day: int32(at.Unix() / 86400), Weekday: uint8(at.Weekday()),
			Sold: []int32{int32(number(t, row[column]))}, Event: row["holiday"] == "1"})
	}
	require.Len(t, past, 365)
	return past
}

// rolling is the mean pinball loss of one-day-ahead amounts over all days from the 29th on, each made of at most eight weeks before it:
// ours, what the same weekday had a week before, the mean of four weeks; and of the latter two with their own errors of the past so many
// days taken into account, which is the most that can be made of them.
func rolling(past []Past, ratio float64) (loss [5]float64, enough float64) {
	var errors [2][]float64
	n := 0.0
	for i := 7; i < len(past); i++ {
		d := past[i]
		x := float64(d.Sold[0])
		week := float64(past[i-7].Sold[0])
		month := 0.0
		from := max(0, i-28)
		for _, p := range past[from:i] {
			month += float64(p.Sold[0]) / float64(i-from)
		}
		if i >= 28 && !d.Event {
			m := Fit(past[max(0, i-56):i], d.Day, 1)
			o := m.Day(d.Day, d.Weekday)
			q := quantile(float64(o.Mean[0])/thousand, float64(o.Size)/thousand, ratio)
			all := [5]float64{float64(q), week, month}
			for k, base := range [2]float64{week, month} {
				e := slices.Sorted(slices.Values(errors[k][max(0, len(errors[k])-56):]))
				all[3+k] = base + e[min(int(ratio*float64(len(e))), len(e)-1)]
			}
			for k, amount := range all {
				loss[k] += pinball(x, amount, ratio)
			}
			if float64(q) >= x {
				enough++
			}
			n++
		}
		errors[0], errors[1] = append(errors[0], x-week), append(errors[1], x-month)
	}
	for k := range loss {
		loss[k] /= n
	}
	return loss, enough / n
}

// The table of testdata/counts/README.md is what comes out here.
func TestRollingOriginOnBicycles(t *testing.T) {
	text, err := os.ReadFile(proof + "counts/README.md")
	require.NoError(t, err)
	for _, column := range []string{"casual", "registered"} {
		past := bicycles(t, column)
		for _, ratio := range []float64{0.5, 0.75, 0.9} {
			loss, enough := rolling(past, ratio)
			row := fmt.Sprintf("| %s | %v | %.0f | %.0f | %.0f | %.0f | %.0f | %.0f %% |", column, ratio, loss[0], loss[1], loss[2], loss[3], loss[4], 100*enough)
			require.Contains(t, string(text), row)
			require.Less(t, loss[0], 0.8*loss[1], "not better than last week's")
			require.Less(t, loss[0], 0.9*loss[2], "not better than the average")
			require.Less(t, loss[0], 0.8*loss[3], "not better than last week's with its errors")
			require.Less(t, loss[0], 0.99*loss[4], "not better than the average with its errors")
		}
	}
}
