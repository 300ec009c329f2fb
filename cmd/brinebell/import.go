package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"brinebell/internal/fail"
	"brinebell/internal/server"
)

type importCommand struct {
	Data   string            `type:"path" placeholder:"DIR" help:"Data folder."`
	Demo   bool              `help:"The demo kitchen's folder, if --data is not given."`
	Place  string            `help:"Where the logger was: the name of a piece of equipment, such as cold-room."`
	Logger string            `default:"logger" help:"Name of the logger. The same name each time, so that nothing is kept twice."`
	Map    map[string]string `mapsep:"," placeholder:"time=COLUMN,temp=COLUMN" help:"Columns by name or number (1 is the first): time, date, temp."`
	Unit   string            `placeholder:"CODE" help:"Unit of the temperatures where the file does not tell: Cel or [degF]."`
	Order  string            `placeholder:"ORDER" help:"How numeric dates stand where the file does not tell: dmy, mdy or ymd."`
	Twice  string            `enum:"order,out" default:"out" help:"An hour that came twice when clocks were set back: go by the order of the rows, or leave it out."`
	DryRun bool              `help:"Only say what would be kept."`

	Sales   bool              `help:"The file is a till's, of what was sold. --map takes day, time, item and pieces then; time=none where it tells none."`
	Item    map[string]string `mapsep:"," placeholder:"NAME=ITEM*PIECES" help:"Of sales: which of the kitchen's items a name in the file is, how many pieces are in one of it; NAME=- leaves it out."`
	Decimal string            `enum:"none,point,comma" default:"none" help:"Of sales: the decimal mark where the file does not tell."`
	SkipBad bool              `help:"Of sales: leave out rows that cannot be read."`
	Lang    string            `enum:"en,es" default:"en" help:"Of sales: language of the sentences, en or es."`

	File string `arg:"" type:"existingfile" help:"CSV file that a logger or a till wrote."`
}

// fileMost is one byte more than is taken, so that a larger file is refused for what it is.
const fileMost = 64<<20 + 1

// Run reads a logger's file into the journal.
func (c *importCommand) Run(to streams) error {
	data, err := dataFolder(c.Data, c.Demo)
	if err != nil {
		return err
	}
	if c.Sales {
		return c.sales(to, data)
	}
	if c.Place == "" {
		return &badInput{"--place is missing: name the piece of equipment where the logger was, or say --sales for a till's file"}
	}
	a := server.Asked{File: c.File, Place: c.Place, Logger: c.Logger, Dry: c.DryRun}
	a.Options.Unit, a.Options.Order = c.Unit, c.Order
	if c.Twice == "order" {
		a.Options.Twice = c.Twice
	}
	for name, column := range c.Map {
		switch name {
		case "time":
			a.Options.Time = column
		case "date":
			a.Options.Date = column
		case "temp":
			a.Options.Temp = column
		default:
			return &badInput{fmt.Sprintf("--map takes time, date and temp; %q is none of these", name)}
		}
	}
	file, err := readAtMost(c.File)
	if err != nil {
		return err
	}
	done, err := server.ImportFile(data, a, file)
	if kind := fail.KindOf(err); err != nil && (kind == fail.Invalid || kind == fail.Other) {
		return &badInput{fmt.Sprintf("%s: %s", c.File, strings.TrimSuffix(oneLine(err), "."))}
	}
	if err != nil {
		return err
	}
	if len(done.Questions) > 0 {
		return &badInput{c.File + ": " + question(&done)}
	}
	return c.tell(to.out, &done)
}

func readAtMost(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, &badInput{fmt.Sprintf("%s cannot be read: %v", path, err)}
	}
	b, err := io.ReadAll(io.LimitReader(f, fileMost))
	return b, errors.Join(err, f.Close())
}

// answerFlags are flags by the name of a question.
var answerFlags = map[string]string{"time": "--map time=%s", "date": "--map date=%s", "temp": "--map temp=%s", "unit": "--unit %s", "order": "--order %s"}

// question says what the file does not tell, and how to answer.
func question(done *server.Imported) string {
	q := done.Questions[0]
	var ways []string
	for _, c := range q.Choices {
		ways = append(ways, fmt.Sprintf(answerFlags[q.Name], c.Value)+" ("+c.Text.EN+")")
	}
	return q.Text.EN + " Answer with " + strings.Join(ways, " or ")
}

// tell says what came of the file.
func (c *importCommand) tell(out io.Writer, done *server.Imported) error {
	var b strings.Builder
	word := "kept"
	if done.Dry {
		word = "would be kept"
	}
	if done.First != "" {
		fmt.Fprintf(&b, "%s to %s, %s to %s\n", done.First, done.Last, done.Low, done.High)
	}
	fmt.Fprintf(&b, "%d rows: %d %s, %d known before, %d of a time told twice, %d not readable\n", done.Rows, done.Kept, word, done.Known, done.Again, done.BadRows)
	for _, bad := range done.Bad {
		fmt.Fprintf(&b, "row %d", bad.Row)
		if bad.Line > 0 {
			fmt.Fprintf(&b, " (line %d)", bad.Line)
		}
		fmt.Fprintf(&b, ": %s\n", bad.Text.EN)
	}
	if more := done.BadRows - len(done.Bad); more > 0 {
		fmt.Fprintf(&b, "and %d more rows that are not readable\n", more)
	}
	_, err := io.WriteString(out, b.String())
	return err
}

// sales brings in what a till says was sold.
func (c *importCommand) sales(to streams, data string) error {
	a := server.SalesAsked{File: c.File, Columns: c.Map, Items: c.Item, Order: c.Order, SkipBad: c.SkipBad, Dry: c.DryRun, Lang: c.Lang,
		Decimal: map[string]string{"point": ".", "comma": ","}[c.Decimal]}
	file, err := readAtMost(c.File)
	if err != nil {
		return err
	}
	said, err := server.ImportSales(data, &a, file)
	if fail.KindOf(err) == fail.Invalid {
		return &badInput{c.File + ": " + err.Error()}
	}
	if err != nil {
		return err
	}
	_, err = io.WriteString(to.out, strings.Join(said, "\n")+"\n")
	return err
}
