package main

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// A few days of the invented year: the rules of the plan hold (live checks each day), nobody sells what was not asked for or not
// cooked, and a kitchen knows no more than it sold.
func TestFewDaysOfTheYear(t *testing.T) {
	c, err := openCanteen()
	require.NoError(t, err)
	const days = 16
	g := c.invent(rand.New(rand.NewPCG(1, 1)), days)
	kitchens, err := c.live(&g, days, 3000)
	require.NoError(t, err)
	for _, k := range kitchens {
		require.Len(t, k.days, (days+k.every-1)/k.every)
		for d, o := range k.days {
			asked, sold := 0, 0
			for _, i := range c.items[d%7] {
				p := k.past[i][d/k.every]
				require.Equal(t, int32(d), p.Day)
				for s, n := range g.asked[d][i] {
					asked += n
					sold += int(p.Sold[s])
					require.LessOrEqual(t, int(p.Sold[s]), n)
					if !p.Short[s] {
						require.Equal(t, n, int(p.Sold[s]), "unmet, and there was some left")
					}
				}
			}
			require.Equal(t, asked, o.asked)
			require.Equal(t, asked-sold, o.unmet)
			require.Equal(t, o.cooked-sold, o.waste)
			require.GreaterOrEqual(t, o.waste, 0)
			require.Positive(t, sold)
		}
	}
	again, err := c.live(&g, days, 3000)
	require.NoError(t, err)
	require.Equal(t, kitchens[0].days, again[0].days, "the same year comes out again")
	require.NotEqual(t, kitchens[0].days, kitchens[1].days)
}
