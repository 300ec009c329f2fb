package screen

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/planner"
	"brinebell/internal/core/planning"
)

func TestPlanSentences(t *testing.T) {
	w := midshift(t)
	at := func(minute int) int64 { return int64(w.now) + int64(minute)*60_000 }
	why := planning.Say{Text: "pl.chg.out", Args: []planning.Arg{{Name: "place", Kind: planning.ArgPlace, S: "fryer-2"}}}
	say := planning.Say{Text: "pl.diff.drop.time", Why: &why, Args: []planning.Arg{{Name: "amount", Kind: planning.ArgPieces, N: 16, S: "bone-in"},
		{Name: "item", Kind: planning.ArgItem, S: "bone-in"}, {Name: "time", Kind: planning.ArgTime, N: at(0)}, {Name: "was", Kind: planning.ArgTime, N: at(15)}}}
	for crew, want := range map[string]string{
		"maren": "Drop 16 pieces of bone-in at 11:38 instead of 11:53: fryer 2 is out.",
		"ines":  "Meter 16 piezas (con hueso) a las 11:38 en vez de a las 11:53: freidora 2 está fuera de servicio.",
	} {
		require.Equal(t, want, newPage(w.ctx(crew, "/plan")).planSay(&say))
	}
	p := newPage(w.ctx("maren", "/plan"))
	require.Equal(t, "12.05\u00a0USD", p.planMoney(12*planner.Unit+planner.Unit/20))
	require.Equal(t, "-0.01\u00a0USD", p.planMoney(-planner.Unit/100))
}
