package main

import (
	"fmt"
	"os"
	"os/user"
	"path/filepath"
	"strconv"
	"strings"
	"time"
)

// path is a file's or folder's name, made whole: ~/ is this user's home folder.
type path string

// UnmarshalFlag reads a path.
func (p *path) UnmarshalFlag(value string) error {
	*p = path(whole(value))
	return nil
}

func whole(name string) string {
	if rest, ok := strings.CutPrefix(name, "~/"); ok {
		if u, err := user.Current(); err == nil {
			return filepath.Join(u.HomeDir, rest)
		}
	}
	if all, err := filepath.Abs(name); err == nil && name != "-" {
		return all
	}
	return name
}

// existing is the path of a file that is there.
type existing string

// UnmarshalFlag reads the path of a file that is there.
func (e *existing) UnmarshalFlag(value string) error {
	name := whole(value)
	switch about, err := os.Stat(name); {
	case err != nil:
		return fmt.Errorf("the file %s cannot be read: %w", name, reason(err))
	case about.IsDir():
		return fmt.Errorf("%s is a folder: name a file", name)
	}
	*e = existing(name)
	return nil
}

// list is what is given with commas between, or by giving the flag again.
type list []string

// UnmarshalFlag adds to the list.
func (l *list) UnmarshalFlag(value string) error {
	*l = append(*l, parted(value)...)
	return nil
}

// pairs are what is given as NAME=VALUE, with commas between, or by giving the flag again.
type pairs map[string]string

// UnmarshalFlag adds to the pairs.
func (p *pairs) UnmarshalFlag(value string) error {
	if *p == nil {
		*p = pairs{}
	}
	for _, part := range parted(value) {
		name, is, ok := strings.Cut(part, "=")
		if !ok {
			return fmt.Errorf("%q must be NAME=VALUE, with commas between several", part)
		}
		(*p)[name] = is
	}
	return nil
}

// parted splits at commas. One that belongs to a part is written as \,.
func parted(value string) []string {
	const kept = "\x00"
	parts := strings.Split(strings.ReplaceAll(value, `\,`, kept), ",")
	for i := range parts {
		parts[i] = strings.ReplaceAll(parts[i], kept, ",")
	}
	if last := len(parts) - 1; parts[last] == "" {
		parts = parts[:last]
	}
	return parts
}

// length is a length of time.
type length time.Duration

// UnmarshalFlag reads a length of time.
func (l *length) UnmarshalFlag(value string) error {
	d, err := time.ParseDuration(value)
	if err != nil {
		return fmt.Errorf("%q must be a length of time, such as 100ms, 3s or 1m30s", value)
	}
	*l = length(d)
	return nil
}

// count is a whole number.
type count int

// UnmarshalFlag reads a whole number.
func (c *count) UnmarshalFlag(value string) error {
	n, err := strconv.Atoi(value)
	if err != nil {
		return fmt.Errorf("%q must be a whole number, such as 60000", value)
	}
	*c = count(n)
	return nil
}
