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
	Data   path   `long:"data" value-name:"DIR" description:"Data folder."`
	Demo   bool   `long:"demo" description:"The demo kitchen's folder, if --data is not given."`
	Place  string `long:"place" value-name:"PLACE" description:"Where the logger was: the name of a piece of equipment, such as cold-room."`
	Logger string `long:"logger" value-name:"NAME" default:"logger" description:"Name of the logger. The same name each time, so that nothing is kept twice."`
	Map    pairs  `long:"map" value-name:"time=COLUMN,temp=COLUMN" description:"Columns by name or number (1 is the first): time, date, temp."`
	Unit   string `long:"unit" value-name:"CODE" description:"Unit of the temperatures where the file does not tell: Cel or [degF]."`
	Order  string `long:"order" value-name:"ORDER" description:"How numeric dates stand where the file does not tell: dmy, mdy or ymd."`
	Twice  string `long:"twice" choice:"order" choice:"out" default:"out" description:"An hour that came twice when clocks were set back: go by the order of the rows, or leave it out."`
	DryRun bool   `long:"dry-run" description:"Only say what would be kept."`

	Sales   bool   `long:"sales" description:"The file is a till's, of what was sold. --map takes day, time, item and pieces then; time=none where it tells none."`
	Item    pairs  `long:"item" value-name:"NAME=ITEM*PIECES" description:"Of sales: which of the kitchen's items a name in the file is, how many pieces are in one of it; NAME=- leaves it out."`
	Decimal string `long:"decimal" choice:"none" choice:"point" choice:"comma" default:"none" description:"Of sales: the decimal mark where the file does not tell."`
	SkipBad bool   `long:"skip-bad" description:"Of sales: leave out rows that cannot be read."`
	Lang    string `long:"lang" choice:"en" choice:"es" default:"en" description:"Of sales: language of the sentences, en or es."`

	Args struct {
		File existing `positional-arg-name:"FILE" required:"yes" description:"CSV file that a logger or a till wrote."`
	} `positional-args:"yes" required:"yes"`
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
	a := server.Asked{File: string(c.Args.File), Place: c.Place, Logger: c.Logger, Dry: c.DryRun}
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
	file, err := readAtMost(string(c.Args.File))
	if err != nil {
		return err
	}
	done, err := server.ImportFile(data, a, file)
	if kind := fail.KindOf(err); err != nil && (kind == fail.Invalid || kind == fail.Other) {
		return &badInput{fmt.Sprintf("%s: %s", c.Args.File, strings.TrimSuffix(oneLine(err), "."))}
	}
	if err != nil {
		return err
	}
	if len(done.Questions) > 0 {
		return &badInput{string(c.Args.File) + ": " + question(&done)}
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
	a := server.SalesAsked{File: string(c.Args.File), Columns: c.Map, Items: c.Item, Order: c.Order, SkipBad: c.SkipBad, Dry: c.DryRun, Lang: c.Lang,
		Decimal: map[string]string{"point": ".", "comma": ","}[c.Decimal]}
	file, err := readAtMost(string(c.Args.File))
	if err != nil {
		return err
	}
	said, err := server.ImportSales(data, &a, file)
	if fail.KindOf(err) == fail.Invalid {
		return &badInput{string(c.Args.File) + ": " + err.Error()}
	}
	if err != nil {
		return err
	}
	_, err = io.WriteString(to.out, strings.Join(said, "\n")+"\n")
	return err
}
