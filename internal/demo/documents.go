// Package demo makes the demo kitchen: the Halfmoon Ferry Canteen, invented from its name to its numbers, in the middle
// of a shift whenever it is opened.
package demo

import (
	"embed"
	"fmt"
	"io/fs"
	"path"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
)

//go:embed documents/*.json
var documents embed.FS

// Files returns the demo kitchen's documents as files, for whoever wants to write their own after them.
func Files() fs.FS {
	files, err := fs.Sub(documents, "documents")
	if err != nil {
		panic(err) // the folder is embedded above
	}
	return files
}

// Documents returns the demo kitchen's documents as they are published: equipment, lists, procedures.
func Documents() ([]entry.Document, error) {
	names, err := fs.Glob(documents, "documents/*.json")
	if err != nil {
		return nil, err
	}
	var list []entry.Document
	for _, name := range names {
		text, err := documents.ReadFile(name)
		if err != nil {
			return nil, err
		}
		d, err := Published(text)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", path.Base(name), err)
		}
		list = append(list, d)
	}
	return list, nil
}

// Published returns the body of the entry that publishes a document's text.
func Published(text []byte) (entry.Document, error) {
	doc, err := procedure.Open(text)
	if err != nil {
		return entry.Document{}, err
	}
	d := entry.Document{Text: string(text)}
	switch {
	case doc.Procedure != nil:
		d.What, d.Name, d.Version = kitchen.WhatProcedure, doc.Procedure.Name, doc.Procedure.Version
	case doc.List != nil:
		d.What, d.Name, d.Version = kitchen.WhatList, doc.List.Name, doc.List.Version
	case doc.Plan != nil:
		d.What, d.Name, d.Version = kitchen.WhatPlan, doc.Plan.Name, doc.Plan.Version
	default:
		d.What, d.Name, d.Version = kitchen.WhatEquipment, doc.Equipment.Name, doc.Equipment.Version
	}
	return d, nil
}
