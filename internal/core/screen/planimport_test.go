package screen

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
)

// till hands a page a file of sales, in two pieces.
func till(name string, file []byte) *Log {
	l := NewLog(name, "/plan/import")
	l.Add(file[:len(file)/2], false)
	l.Add(file[len(file)/2:], true)
	return l
}

// TestAwkwardFilesComeInOnceTheyAreRight: nothing does before, and then each day once.
func TestAwkwardFilesComeInOnceTheyAreRight(t *testing.T) {
	w := newWorld(t, noon.Add(2*stamp.Day)) // Saturday 28 November
	read := func(name string) []byte {
		file, err := os.ReadFile("../../../testdata/sales/" + name)
		require.NoError(t, err)
		return file
	}
	page := func(l *Log, query string) (string, *Context) {
		ctx := w.ctx("maren", "/plan/import?"+query)
		ctx.Log = l
		return string(View(ctx)), ctx
	}
	l := till("bad.csv", read("bad.csv"))
	said, ctx := page(l, "")
	require.Contains(t, said, "10 rows cannot be read")
	require.Contains(t, said, `Line 3: \"2026-13-02\" is no day`)
	require.Contains(t, said, `Line 7: \"2.5\" is not a whole number of pieces`)
	require.Empty(t, Sales(ctx))
	_, ctx = page(l, "skip=1")
	require.Len(t, Sales(ctx), 1, "the lead says that the others are left out")

	l = till("which.csv", read("which.csv"))
	said, ctx = page(l, "")
	require.Contains(t, said, "The days can be read in two ways")
	require.Empty(t, Sales(ctx))
	_, ctx = page(l, "o=dmy")
	require.Empty(t, Sales(ctx), "nor is it known what 1,000 is")
	_, ctx = page(l, "o=dmy&m=,")
	require.Len(t, Sales(ctx), 2)
	said, ctx = page(l, "o=mdy&m=,")
	require.Contains(t, said, "2 days are longer ago than 8 weeks and are not used")
	require.Empty(t, Sales(ctx))

	l = till("semicolons.csv", read("semicolons.csv"))
	said, ctx = page(l, "")
	require.Len(t, Sales(ctx), 1, "mushrooms are called so in one of our languages, wings are not: %s", said)
	_, ctx = page(l, "n0=bone-in&x0=2&n1=mushrooms")
	list := Sales(ctx)
	require.Len(t, list, 2)
	require.EqualValues(t, []int64{24, 14}, list[0].Pieces)
	require.EqualValues(t, 30, list[0].Each)
	w.tap("maren", &kitchen.Command{Do: kitchen.DoSales, Sales: list})
	said, _ = page(l, "n0=bone-in&x0=2&n1=mushrooms")
	require.Contains(t, said, "bringing it in again changes nothing")
	require.NotContains(t, said, `"do":"sales"},"label":"Bring`)
	require.True(t, strings.Contains(said, "Brought in so far"))

	for _, text := range []string{"a,b\n", "", "\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\n"} {
		said, ctx = page(till("none.csv", []byte(text)), "")
		require.Contains(t, said, "It has no rows of sales", "%q", text)
		require.NotContains(t, said, "Which column is what", "there is nothing to choose among: %q", text)
		require.Empty(t, Sales(ctx))
	}
	l = till("none.csv", []byte("a,b\nc,d\n"))
	said, ctx = page(l, "")
	require.Contains(t, said, "Say which column has the day.")
	require.Empty(t, Sales(ctx))
}
