package planner

import (
	"strconv"
	"strings"

	"brinebell/internal/core/jsontext"
)

// String writes an amount with six decimals at most.
func (m Money) String() string {
	sign := ""
	if m < 0 {
		sign, m = "-", -m
	}
	n := (int64(m) + 30) / 60 // of millionths
	part := strconv.FormatInt(n%1_000_000, 10)
	part = strings.TrimRight(strings.Repeat("0", 6-len(part))+part, "0")
	if part == "" {
		return sign + strconv.FormatInt(n/1_000_000, 10)
	}
	return sign + strconv.FormatInt(n/1_000_000, 10) + "." + part
}

// Write writes a plan of a problem as JSON.
func (x *Plan) Write(p *Problem) []byte {
	var w jsontext.Writer
	w.Object("")
	w.Str("instance", p.ID)
	w.Raw("objective", []byte(x.Cost.String()))
	w.Raw("bound", []byte(max(x.Bound-30, 0).String())) // never above by rounding
	w.List("loads")
	for _, l := range x.Loads {
		w.Object("")
		w.Str("item", p.Items[l.Item].Name)
		w.Int("start", int64(l.Start))
		w.Int("units", int64(l.Units))
		if p.Items[l.Item].Coat != nil {
			writeFrom(&w, l.From, "C")
		}
		writeSales(&w, l.Sells)
		w.EndObject()
	}
	w.EndList()
	for stage, list := range [2][]Session{x.Coats, x.Marinades} {
		w.List([2]string{"coats", "marinades"}[stage])
		for _, s := range list {
			w.Object("")
			w.Str("item", p.Items[s.Item].Name)
			w.Int("start", int64(s.Start))
			w.Int("blocks", int64(s.Blocks))
			w.Int("units", int64(s.Units))
			if stage == 1 {
				w.Int("tubs", int64(s.Tubs))
			} else if p.Items[s.Item].Marinate != nil {
				writeFrom(&w, s.From, "M")
			}
			w.EndObject()
		}
		w.EndList()
	}
	writeHot(&w, x.Hot, len(p.Hot))
	w.List("carry")
	for n, from := range x.Carry {
		if len(from) > 0 {
			w.Object("")
			w.Int("index", int64(n))
			writeFrom(&w, from, map[bool]string{true: "C", false: "M"}[p.Carry[n].Coated])
			w.EndObject()
		}
	}
	w.EndList()
	w.EndObject()
	return append(w.Out, '\n')
}

func writeFrom(w *jsontext.Writer, list []From, own string) {
	w.List("from")
	for _, f := range list {
		w.Object("")
		if f.Own {
			w.Str("lot", own+strconv.Itoa(f.Lot))
		} else {
			w.Str("lot", "I"+strconv.Itoa(f.Lot))
		}
		w.Int("units", int64(f.Units))
		w.EndObject()
	}
	w.EndList()
}

func writeSales(w *jsontext.Writer, list []Sale) {
	w.List("sells")
	for _, s := range list {
		w.List("")
		w.Int("", int64(s.Slot))
		w.Int("", int64(s.Pieces))
		w.EndList()
	}
	w.EndList()
}

func writeHot(w *jsontext.Writer, list []Sale, lots int) {
	w.List("hot")
	for n := range lots {
		var mine []Sale
		for _, s := range list {
			if s.Lot == n {
				mine = append(mine, s)
			}
		}
		if len(mine) > 0 {
			w.Object("")
			w.Int("lot", int64(n))
			writeSales(w, mine)
			w.EndObject()
		}
	}
	w.EndList()
}
