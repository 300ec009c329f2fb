package words

import (
	"strconv"

	"brinebell/internal/core/sales"
)

// SalesFault says what is wrong with a row of a file of sales: its line, and half a sentence.
func (l Lang) SalesFault(f *sales.Fault) string {
	why := l.T("pl.bad."+strconv.Itoa(int(f.Problem)), "text", strconv.Quote(f.Text), "n", strconv.Itoa(f.N), "m", strconv.Itoa(f.M))
	return l.T("pl.bad.line", "line", strconv.Itoa(f.Line), "why", why)
}
