package main

import (
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
)

// sizes looks at what was built: the binary, and what a phone loads the first time.
func sizes(s settings) ([]figure, error) {
	binary, err := sizeOf(s.binary)
	if err != nil {
		return nil, err
	}
	dist := filepath.Join(s.front, "dist")
	text, err := os.ReadFile(filepath.Join(dist, "files.json"))
	if err != nil {
		return nil, err
	}
	var files []struct{ Path string }
	if err := json.Unmarshal(text, &files); err != nil {
		return nil, err
	}
	var first, rest, later, all float64
	for _, f := range files {
		size, err := packedSize(filepath.Join(dist, f.Path))
		if err != nil {
			return nil, err
		}
		all += size
		switch name := filepath.Base(f.Path); {
		case strings.HasPrefix(name, "core.") && strings.HasSuffix(name, ".wasm"):
			first = size
		case strings.HasPrefix(name, "later.") && strings.HasSuffix(name, ".wasm"):
			later, all = size, all-size
		case strings.HasSuffix(name, ".wasm"):
			rest += size
		}
	}
	if first == 0 || rest == 0 || later == 0 {
		return nil, fmt.Errorf("not all parts of the core in %s", dist)
	}
	return []figure{
		most("binary", binary/1e6, "MB", 25),
		most("core.wasm, brotli: what the first screen waits for", first/1000, "KB", 800),
		scale("rest.wasm, brotli: what comes after it", rest/1000, "KB"),
		scale("later.wasm, brotli: learning, leading and looking back, fetched when all else is there", later/1000, "KB"),
		most("first load, every file but later.wasm, brotli", all/1e6, "MB", 1.1),
	}, nil
}

// packedSize is what travels: the brotli form where there is one.
func packedSize(path string) (float64, error) {
	if size, err := sizeOf(path + ".br"); err == nil {
		return size, nil
	}
	return sizeOf(path)
}

// browser has Chromium measure what only a page can, by a script of the front end.
func browser(s settings, script string) ([]figure, error) {
	self, err := os.Executable()
	if err != nil {
		return nil, err
	}
	binary, err := filepath.Abs(s.binary)
	if err != nil {
		return nil, err
	}
	cmd := exec.Command("node", "e2e/bench/"+script)
	cmd.Dir = s.front
	cmd.Env = append(os.Environ(), "BRINEBELL="+binary, "BENCH="+self)
	cmd.Stderr = os.Stderr
	out, err := cmd.Output()
	if err != nil {
		return nil, err
	}
	var figures []figure
	return figures, json.Unmarshal(out, &figures)
}
