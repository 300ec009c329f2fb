package words

import (
	"go/ast"
	"go/parser"
	"go/token"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/safety"
)

// Every corrective action that the safety rules name has its words, and no others have.
func TestEveryActionHasWords(t *testing.T) {
	file, err := parser.ParseFile(token.NewFileSet(), "../safety/action.go", nil, 0)
	require.NoError(t, err)
	ids := map[string]bool{}
	ast.Inspect(file, func(n ast.Node) bool {
		if spec, ok := n.(*ast.ValueSpec); ok {
			if kind, ok := spec.Type.(*ast.Ident); ok && kind.Name == "Action" {
				id, err := strconv.Unquote(spec.Values[0].(*ast.BasicLit).Value)
				require.NoError(t, err)
				ids[id] = true
			}
		}
		return true
	})
	require.Len(t, ids, len(actionTable))
	for i, row := range actionTable {
		require.True(t, ids[row.id], row.id)
		require.Equal(t, row.en, EN.Action(safety.Action(row.id)))
		require.Equal(t, row.es, ES.Action(safety.Action(row.id)))
		require.NotEqual(t, row.en, row.es)
		require.NotRegexp(t, `(?i)\bsafe|inocu`, row.en+row.es)
		if i > 0 {
			require.Less(t, actionTable[i-1].id, row.id)
		}
	}
	require.Equal(t, "boil", EN.Action("boil"))
}

func TestAHeldTemperatureNamesItsLimitAndSource(t *testing.T) {
	hot, _ := safety.HoldLimitOf("hold-hot")
	cold, _ := safety.HoldLimitOf("hold-cold")
	require.Equal(t, "Limit of 135.0\u00a0°F not met, by 0.1\u00a0°F. FDA Food Code, 3-501.16(A)(1) (2022). Follow your local code.",
		EN.Held(hot.Finding(safety.Fahrenheit(135)-safety.HeatF/10), "[degF]"))
	require.Equal(t, "Límite de 57,3\u00a0°C no cumplido, por 0,1\u00a0°C. FDA Food Code, 3-501.16(A)(1) (2022). Sigue tu código local.",
		ES.Held(hot.Finding(safety.FromKept(57_200)), "mC"), "never 0,0, and never 57,2")
	require.Equal(t, "Limit of 5.0\u00a0°C met, by 1.8\u00a0°C. FDA Food Code, 3-501.16(A)(2) (2022). Follow your local code.",
		EN.Held(cold.Finding(safety.FromKept(3_200)), "mC"))
}
