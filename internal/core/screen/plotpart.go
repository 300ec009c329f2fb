package screen

import (
	"strconv"

	"brinebell/internal/core/jsontext"
	"brinebell/internal/core/plot"
)

// plotted is a chart: a drawing, what it shows in one sentence, and its values as a table for those who do not see it.
type plotted struct {
	title, says string
	items       []plot.Item
	bars        int // how many bars it is, which need no more height than they have words
	head        []string
	rows        [][]string
}

func (c *plotted) write(w *jsontext.Writer) {
	begin(w, "plot")
	w.OptStr("title", c.title)
	w.Str("says", c.says)
	w.OptInt("bars", int64(c.bars))
	w.List("items")
	for i := range c.items {
		writeItem(w, &c.items[i])
	}
	w.EndList()
	strs(w, "head", c.head)
	w.List("rows")
	for _, r := range c.rows {
		w.List("")
		for _, s := range r {
			w.Str("", s)
		}
		w.EndList()
	}
	w.EndList()
	w.EndObject()
}

// lengths makes it a drawing of bars, as they come.
func (c *plotted) lengths(list []plot.Bar) {
	c.items = plot.Bars(list)
	c.bars = len(c.items) / 2
}

func writeItem(w *jsontext.Writer, it *plot.Item) {
	w.Object("")
	w.Int("sort", int64(it.Sort))
	w.Str("tone", it.Tone.String())
	at := make([]byte, 0, 8*len(it.At))
	for i, p := range it.At {
		if i > 0 {
			at = append(at, ' ')
		}
		at = strconv.AppendInt(at, p.X, 10)
		at = append(at, ',')
		at = strconv.AppendInt(at, p.Y, 10)
	}
	w.Str("at", string(at))
	w.OptStr("text", it.Text)
	bit(w, "end", it.End)
	w.EndObject()
}
