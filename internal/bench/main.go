// Command bench measures the figures that Brinebell promises, most of them as ratios to a floor in the same run, and
// prints them as a table. See floor.go for what the floor is.
package main

import (
	"errors"
	"flag"
	"fmt"
	"os"
	"time"
)

type settings struct {
	binary, out, front string
	only               string
}

func main() {
	var s settings
	floor := flag.String("floor", "", "serve the floor at this address (the bench starts itself so)")
	data := flag.String("data", "", "the floor's data folder")
	slow := flag.Int("slow", 0, "slow the process PID down by this factor until stdin ends (the bench starts itself so)")
	past := flag.String("yesterday", "", "make a data folder with a kitchen's day of yesterday (tests in the browser do so)")
	books := flag.String("week", "", "make a data folder with a kitchen's books of the last seven days (tests in the browser do so)")
	flag.StringVar(&s.binary, "binary", "build/brinebell", "the kitchen's binary")
	flag.StringVar(&s.out, "out", "build/bench.json", "where the figures are written")
	flag.StringVar(&s.front, "frontend", "frontend", "the front end's folder")
	flag.StringVar(&s.only, "only", "", "measure only one of fanout, merge, join, late, assess, questions, simulate, year, print, past, size, browser, practice, plan")
	flag.Parse()
	var err error
	switch {
	case *floor != "":
		err = runFloor(*floor, *data)
	case *past != "":
		err = yesterday(*past)
	case *books != "":
		err = week(*books)
	case *slow > 0:
		err = slowDown(flag.Args(), *slow)
	default:
		err = measure(s)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "bench:", err)
		os.Exit(1)
	}
}

// measure runs every part. A part that cannot be measured fails the bench, but the others are still measured.
func measure(s settings) error {
	parts := []struct {
		name string
		run  func(settings) ([]figure, error)
	}{
		{"size", func(s settings) ([]figure, error) { return sizes(s) }},
		{"join", func(s settings) ([]figure, error) { return joins(s.binary) }},
		{"late", func(settings) ([]figure, error) { return lates() }},
		{"assess", func(settings) ([]figure, error) { return assess() }},
		{"questions", func(settings) ([]figure, error) { return questionSets() }},
		{"simulate", func(settings) ([]figure, error) { return simulate() }},
		{"year", func(settings) ([]figure, error) { return years() }},
		{"print", func(s settings) ([]figure, error) { return prints(s.binary) }},
		{"past", func(settings) ([]figure, error) { return pasts() }},
		{"merge", func(s settings) ([]figure, error) { return merges(s.binary) }},
		{"fanout", func(s settings) ([]figure, error) { return allFanouts(s.binary) }},
		{"browser", func(s settings) ([]figure, error) { return browser(s, "phone.js") }},
		{"practice", func(s settings) ([]figure, error) { return browser(s, "practice.js") }},
		{"plan", func(s settings) ([]figure, error) { return browser(s, "plan.js") }},
	}
	var figures []figure
	var faults []error
	for _, part := range parts {
		if s.only != "" && s.only != part.name {
			continue
		}
		began := time.Now()
		fmt.Fprintf(os.Stderr, "%s...\n", part.name)
		got, err := part.run(s)
		if err != nil {
			faults = append(faults, fmt.Errorf("%s: %w", part.name, err))
			fmt.Fprintln(os.Stderr, " ", err)
		}
		figures = append(figures, got...)
		fmt.Fprintf(os.Stderr, "  took %.0f s\n", time.Since(began).Seconds())
	}
	table(os.Stdout, figures)
	return errors.Join(append(faults, writeFigures(s.out, figures))...)
}

// allFanouts measures with 10, 50 and 200 clients, and the server's memory with the last.
func allFanouts(binary string) ([]figure, error) {
	return inFolder(func(data string) ([]figure, error) {
		floor, ours, err := openCrowds(binary, data, 200)
		if err != nil {
			return nil, err
		}
		defer floor.server.kill()
		defer ours.server.kill()
		var figures []figure
		for _, size := range []struct {
			clients, events int
			every           time.Duration
		}{{10, 80, 100 * time.Millisecond}, {50, 40, 100 * time.Millisecond}, {200, 16, 250 * time.Millisecond}} {
			got, err := fanouts(floor, ours, size.clients, size.every, size.events)
			if err != nil {
				return figures, err
			}
			figures = append(figures, got...)
		}
		full, err := ours.residentWith(200)
		if err != nil {
			return figures, err
		}
		return append(figures, most("server memory, 200 clients", full, "MB", 160)), nil
	})
}
