package main

import (
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"text/tabwriter"
)

// figure is one line of the table.
type figure struct {
	Name  string  `json:"name"`
	Value float64 `json:"value"`
	Unit  string  `json:"unit"`
	Goal  string  `json:"goal"`  // "<= 1.3", ">= 2000", or empty where the value is only for scale
	Holds bool    `json:"holds"` // true where there is no goal
}

// most makes a figure with a goal that it may not exceed.
func most(name string, value float64, unit string, goal float64) figure {
	return figure{name, round(value), unit, "<= " + number(goal), value <= goal}
}

// least makes a figure with a goal that it must reach.
func least(name string, value float64, unit string, goal float64) figure {
	return figure{name, round(value), unit, ">= " + number(goal), value >= goal}
}

// scale makes a figure without a goal: it only says how large things are on this machine.
func scale(name string, value float64, unit string) figure {
	return figure{name, round(value), unit, "", true}
}

func round(v float64) float64 {
	switch {
	case v >= 100:
		return float64(int64(v + 0.5))
	case v >= 10:
		return float64(int64(v*10+0.5)) / 10
	}
	return float64(int64(v*1000+0.5)) / 1000
}

func number(v float64) string {
	if v >= 1000 {
		return fmt.Sprintf("%.0f", v)
	}
	return strings.TrimSuffix(fmt.Sprintf("%.4g", v), ".0")
}

func table(w io.Writer, figures []figure) {
	out := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(out, "what\tvalue\tunit\tgoal\t")
	for _, f := range figures {
		holds := "holds"
		switch {
		case f.Goal == "":
			holds = ""
		case !f.Holds:
			holds = "MISSED"
		}
		fmt.Fprintf(out, "%s\t%s\t%s\t%s\t%s\n", f.Name, number(f.Value), f.Unit, f.Goal, holds)
	}
	out.Flush()
}

func writeFigures(path string, figures []figure) error {
	text, err := json.MarshalIndent(figures, "", "  ")
	if err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return err
	}
	return os.WriteFile(path, append(text, '\n'), 0o644)
}
