package main

import (
	"bytes"
	"compress/gzip"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
	"brinebell/internal/demo"
	"brinebell/internal/pairing"
	"brinebell/internal/sqlite"
)

// inFolder runs something with a data folder that is gone afterwards.
func inFolder[T any](run func(data string) (T, error)) (T, error) {
	var none T
	data, err := os.MkdirTemp("", "brinebell-bench-")
	if err != nil {
		return none, err
	}
	defer os.RemoveAll(data)
	return run(data)
}

// seed makes a kitchen's data folder with so many devices in it, and whatever fill keeps, and returns their passes.
func seed(data string, devices int, fill func(*sqlite.Store) error) ([]pass, error) {
	store, err := sqlite.Open(data, sqlite.Options{})
	if err != nil {
		return nil, err
	}
	passes := make([]pass, devices)
	for i := range passes {
		var key [pairing.KeyBytes]byte
		_, _ = rand.Read(key[:])
		passes[i] = pass{Device: fmt.Sprintf("bench%03d", i), Key: hex.EncodeToString(key[:])}
		_, err := store.Admit(nil, time.Now().UnixMilli(), pairing.Device{
			ID: passes[i].Device, Name: fmt.Sprintf("Bench %d", i), KeyHash: sha256.Sum256(key[:]), Paired: time.Now().UnixMilli(),
		})
		if err != nil {
			return nil, err
		}
	}
	if fill != nil {
		if err := fill(store); err != nil {
			return nil, err
		}
	}
	return passes, store.Close()
}

const aDay = 900 // entries, roughly, that the historian writes

// fillHistory returns a fill that keeps a believable past of so many entries, which ends now, and says how many bytes
// that journal has when it is packed with gzip.
func fillHistory(entries int, packed *int) func(*sqlite.Store) error {
	return func(store *sqlite.Store) error {
		records, err := history(entries)
		if err != nil {
			return err
		}
		var text bytes.Buffer
		zip, err := gzip.NewWriterLevel(&text, gzip.BestCompression)
		if err != nil {
			return err
		}
		for rest := records; len(rest) > 0; rest = rest[min(1000, len(rest)):] {
			group := rest[:min(1000, len(rest))]
			if err := store.Keep(&journal.Change{Keep: group}); err != nil {
				return err
			}
			for i := range group {
				if _, err := zip.Write(group[i].Record); err != nil {
					return err
				}
			}
		}
		*packed = text.Len()
		return zip.Close()
	}
}

// history writes so many entries, numbered. They end now: the stamps are moved so that the last is a minute old.
func history(entries int) ([]journal.Numbered, error) {
	var all []entry.Entry
	from := stamp.Milli(time.Now().UnixMilli()).Add(-stamp.Span(entries/aDay+2) * stamp.Day)
	h := newHistorian(1, "kitchen", from, func(e *entry.Entry) error {
		all = append(all, *e)
		return nil
	})
	documents, products, err := demoDocuments()
	if err != nil {
		return nil, err
	}
	if err := h.opens(documents); err != nil {
		return nil, err
	}
	if err := h.works(products, entries-len(all)); err != nil {
		return nil, err
	}
	shift := stamp.Milli(time.Now().UnixMilli()).Since(all[len(all)-1].At.At) - stamp.Minute
	records := make([]journal.Numbered, len(all))
	for i := range all {
		all[i].At.At = all[i].At.At.Add(shift)
		records[i] = journal.Numbered{Seq: uint64(i + 1), Record: entry.AppendRecord(nil, &all[i])}
	}
	return records, nil
}

// demoDocuments returns the demo kitchen's documents, and its procedures.
func demoDocuments() ([]entry.Document, []*procedure.Procedure, error) {
	var products []*procedure.Procedure
	documents, err := demo.Documents()
	if err != nil {
		return nil, nil, err
	}
	for _, d := range documents {
		read, err := procedure.Open([]byte(d.Text))
		if err != nil {
			return nil, nil, err
		}
		if read.Procedure != nil {
			products = append(products, read.Procedure)
		}
	}
	return documents, products, nil
}

// folded returns how many entries a state has taken in.
func folded(state []byte) (uint64, error) {
	s, err := kitchen.Read(state)
	if err != nil {
		return 0, err
	}
	return s.Folded, nil
}

func sizeOf(path string) (float64, error) {
	info, err := os.Stat(filepath.Clean(path))
	if err != nil {
		return 0, err
	}
	return float64(info.Size()), nil
}
