package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/goregular"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/records"
	"brinebell/internal/journaltest"
	"brinebell/internal/report"
)

// prints measures what a month's records cost: to set them on paper, against the PDF library alone writing the words of
// the same rows into cells; to fold them; and what the whole command takes, the walk along the chain included.

const (
	monthPast   = 90_000 // entries, some 3,000 a day
	printRounds = 5
)

// month is a month's journal, and the kitchen's days that it spans.
type month struct {
	records  []journal.Numbered
	from, to int32
}

// fillMonth keeps a month in a data folder, with the checkpoint that a server leaves.
func fillMonth(data string) (*month, error) {
	shop, err := openShop(data, monthPast)
	if err != nil {
		return nil, err
	}
	list := journaltest.Shift(1, monthPast)
	m := new(month)
	for i := range list {
		m.records = append(m.records, journal.Numbered{Seq: uint64(i + 1), Record: entry.AppendRecord(nil, &list[i])})
	}
	s := shop.core.State()
	m.from, m.to = s.WallDay(list[0].At.At), s.WallDay(list[len(list)-1].At.At)
	return m, shop.store.Close()
}

func (m *month) book() (*report.Book, error) {
	var items []records.Item
	for _, n := range m.records {
		e, err := entry.ReadRecord(n.Record)
		if err != nil {
			return nil, err
		}
		items = append(items, records.Item{Entry: e, Seq: n.Seq})
	}
	return report.Collect(report.Ask{From: m.from, To: m.to, Lang: "en", ByName: "bench"}, kitchen.New(), items), nil
}

// bare writes the words of the same rows with the library alone, seven cells a row, broken onto pages by itself.
func bare(b *report.Book) ([]byte, error) {
	pdf := fpdf.New("P", "pt", "A4", "")
	pdf.AddUTF8FontFromBytes("go", "", bytes.Clone(goregular.TTF))
	pdf.SetFont("go", "", 8)
	pdf.AddPage()
	for i := range b.Days {
		for k := range b.Days[i].Rows {
			r := &b.Days[i].Rows[k]
			if r.Kind == report.Step || r.Kind == report.Other {
				continue
			}
			for _, s := range []string{r.At.Format("15:04:05"), r.Subject + ", batch " + r.Batch + ", lot " + fmt.Sprint(r.Lots), r.Stage + ": " + r.What, r.Value,
				r.Limit, r.Verdict, r.Who.String() + "; probe " + r.Probe} {
				pdf.CellFormat(76, 12, s, "", 0, "L", false, 0, "")
			}
			pdf.Ln(24)
		}
	}
	var out bytes.Buffer
	err := pdf.Output(&out)
	return out.Bytes(), err
}

func prints(binary string) ([]figure, error) {
	return inFolder(func(data string) ([]figure, error) {
		m, err := fillMonth(data)
		if err != nil {
			return nil, err
		}
		var fold, paper, floor []float64
		var pdf []byte
		var book *report.Book
		for range printRounds {
			began := cpu()
			if book, err = m.book(); err != nil {
				return nil, err
			}
			fold = append(fold, ms(cpu()-began))
			began = cpu()
			if _, err := bare(book); err != nil {
				return nil, err
			}
			floor = append(floor, ms(cpu()-began))
			began = cpu()
			if pdf, err = report.PDF(book); err != nil {
				return nil, err
			}
			paper = append(paper, ms(cpu()-began))
		}
		pages := float64(bytes.Count(pdf, []byte("/Type /Page\n")))
		took, peak, err := exported(binary, data, book)
		if err != nil {
			return nil, err
		}
		return []figure{
			scale("pages of a month, 90,000 entries", pages, "pages"),
			scale("fold a month's records", median(fold), "ms of CPU"),
			scale("set them on paper", median(paper), "ms of CPU"),
			most("set them on paper", median(ratios(paper, floor)), "x the library alone", 3),
			most("export a month, all in all", took, "ms of CPU", 1000),
			most("export a month, peak memory", peak, "MB", 96),
			most("a page of it", float64(len(pdf))/1024/pages, "KB", 15),
		}, nil
	})
}

// exported runs the command as a cook would, and returns its CPU time in ms and its peak in MB.
func exported(binary, data string, b *report.Book) (took, peak float64, err error) {
	for range printRounds {
		c := exec.Command(binary, "export", "--data", data, "--from", b.From, "--to", b.To, filepath.Join(data, "month.pdf"))
		c.Stderr = os.Stderr
		if err := c.Start(); err != nil {
			return 0, 0, err
		}
		high := make(chan float64)
		go func() { high <- highest(c.Process.Pid) }()
		err := c.Wait()
		peak = max(peak, <-high)
		if err != nil {
			return 0, 0, err
		}
		// Its CPU time is what it would take on a core to itself, however busy the machine is.
		if d := ms(c.ProcessState.UserTime() + c.ProcessState.SystemTime()); took == 0 || d < took {
			took = d
		}
	}
	return took, peak, nil
}

// highest watches how much memory a process takes until it ends, and returns its peak in MB. What wait4 tells of an
// ended process is no use: it counts from this program's own size, out of which the other was started.
func highest(pid int) float64 {
	peak := 0.0
	for {
		now, err := memoryOf(pid, "VmHWM:")
		if err != nil { // it has ended
			return peak
		}
		peak = max(peak, now)
		time.Sleep(2 * time.Millisecond)
	}
}
