package main

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"time"

	"brinebell/internal/core/probelog"
	"brinebell/internal/core/safety"
)

// A cook's log of 100,000 readings, from the file to the decision. Its floor is reading the same file as CSV and nothing more.

const (
	logRows   = 100_000
	logRounds = 20
)

// probeFile is a log of one reading a second in a fryer that is loaded every ten minutes.
func probeFile() []byte {
	out := bytes.NewBufferString("time,temp_f\n")
	at := time.Date(2026, 11, 24, 6, 0, 0, 0, time.UTC)
	for i := range logRows {
		tenths := 400 + (i%600)*21/10 + i%7
		fmt.Fprintf(out, "%s,%d.%d\n", at.Add(time.Duration(i)*time.Second).Format(time.RFC3339), tenths/10, tenths%10)
	}
	return out.Bytes()
}

func readOnly(file []byte) error {
	rows := csv.NewReader(bytes.NewReader(file))
	rows.ReuseRecord = true
	for {
		if _, err := rows.Read(); err != nil {
			if errors.Is(err, io.EOF) {
				return nil
			}
			return err
		}
	}
}

func readAndAssess(file []byte) error {
	log := probelog.Read(file)
	if log.File != nil || log.Bad > 0 {
		return fmt.Errorf("the bench's own log cannot be read: %v, %v", log.File, log.Faults)
	}
	out, err := safety.AssessCook(safety.Cook{Species: safety.Chicken, Fat: 7500, Probe: safety.HeatF / 2}, log.Readings)
	if err == nil && (!out.Met || len(log.Readings) != logRows) {
		err = errors.New("the bench's own log holds 7 log10 and was found not to")
	}
	return err
}

// assess measures natively, round by round, and in WebAssembly. It counts CPU time, which a busy machine stretches less.
func assess() ([]figure, error) {
	file := probeFile()
	var floor, ours []float64
	for range logRounds {
		for _, c := range []struct {
			run  func([]byte) error
			into *[]float64
		}{{readOnly, &floor}, {readAndAssess, &ours}} {
			began := cpu()
			if err := c.run(file); err != nil {
				return nil, err
			}
			*c.into = append(*c.into, ms(cpu()-began))
		}
	}
	figures := []figure{
		most("assess a 100,000-row log, file and all, by CPU time", median(ours), "ms", 50),
		most("assess a 100,000-row log, to reading its CSV", median(ratios(ours, floor)), "x", 4),
	}
	for _, one := range []struct{ folder, bench, what string }{
		{"safety", "BenchmarkAssess100000", "assess 100,000 readings in wasm, without the file"},
		{"probelog", "BenchmarkFile100000", "read a phone's file of 100,000 readings in wasm, piece by piece, and assess it"},
		{"probelog", "BenchmarkPiece", "read one piece of it in wasm, for which a tap waits"},
	} {
		wasm, err := inWasm(one.folder, one.bench)
		if err != nil {
			return figures, err
		}
		figures = append(figures, scale(one.what, wasm, "ms"))
	}
	return figures, nil
}

var perOp = regexp.MustCompile(`(\d+) ns/op`)

// inWasm runs a benchmark of a package of the core as the phones would run it: compiled like their core, by node's engine.
func inWasm(name, bench string) (float64, error) {
	folder, err := os.MkdirTemp("", "bench")
	if err != nil {
		return 0, err
	}
	defer os.RemoveAll(folder)
	file := filepath.Join(folder, name+".wasm")
	build := exec.Command("go", "test", "-c", "-gcflags=all=-l", "-gcflags=runtime=", "-o", file, "./internal/core/"+name)
	build.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "GOEXPERIMENT=nogreenteagc", "CGO_ENABLED=0")
	build.Stderr = os.Stderr
	if err := build.Run(); err != nil {
		return 0, err
	}
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		return 0, err
	}
	run := exec.Command("node", filepath.Join(strings.TrimSpace(string(root)), "lib", "wasm", "wasm_exec_node.js"), file,
		"-test.run=xxx", "-test.bench="+bench+"$", "-test.benchtime=20x")
	run.Env = []string{"PATH=" + os.Getenv("PATH"), "HOME=" + folder} // a page of WebAssembly holds only so much surroundings
	run.Stderr = os.Stderr
	out, err := run.Output()
	if err != nil {
		return 0, err
	}
	found := perOp.FindSubmatch(out)
	if found == nil {
		return 0, fmt.Errorf("the benchmark in WebAssembly printed no figure: %s", out)
	}
	ns, err := strconv.ParseFloat(string(found[1]), 64)
	return ns / 1e6, err
}
