package kitchen

import (
	"cmp"
	"slices"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/order"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
)

// What a document may be: entry.Document.What.
const (
	WhatProcedure = "procedure"
	WhatList      = "list"
	WhatEquipment = "equipment"
	WhatPlan      = "plan"
)

// find returns the newest document of the name, or the one of the version when it is not 0.
func (s *State) find(what, name string, version uint32) procedure.Document {
	for i := len(s.Documents) - 1; i >= 0; i-- {
		d := &s.Documents[i]
		if d.What == what && (name == "" || d.Name == name) && (version == 0 || d.Version == version) {
			return s.parse(d)
		}
	}
	return procedure.Document{}
}

// parse returns what the document's text says; each text is read once.
func (s *State) parse(d *Published) procedure.Document {
	key := docKey{d.What, d.Name, d.Version}
	if p, ok := s.parsed[key]; ok && p.text == d.Text {
		return p.doc
	}
	doc, _ := procedure.Open([]byte(d.Text)) // what was folded could be read
	s.know(key, d.Text, doc)
	return doc
}

func (s *State) know(key docKey, text string, doc procedure.Document) {
	if s.parsed == nil {
		s.parsed = make(map[docKey]parsedDoc)
	}
	s.parsed[key] = parsedDoc{text: text, doc: doc}
}

// Once returns what is worked out of the state under a name, and works it out anew only when print has changed, which must tell of
// all that it is worked out of.
func (s *State) Once(name, print string, work func() any) any {
	key := docKey{name: name}
	p, ok := s.parsed[key]
	if !ok || p.text != print {
		if s.parsed == nil {
			s.parsed = make(map[docKey]parsedDoc)
		}
		p = parsedDoc{text: print, other: work()}
		s.parsed[key] = p
	}
	return p.other
}

// Share lets s use what o has read out of documents, so that a state read back from its bytes need not read them again.
// Both then belong to one goroutine.
func (s *State) Share(o *State) {
	if o == nil || o == s {
		return
	}
	if o.parsed == nil {
		o.parsed = make(map[docKey]parsedDoc)
	}
	s.parsed = o.parsed
	for i := range s.Documents { // the same text in the same memory: then looking it up compares no texts
		d := &s.Documents[i]
		if p, ok := s.parsed[docKey{d.What, d.Name, d.Version}]; ok && p.text == d.Text {
			d.Text = p.text
		}
	}
}

// publish adds a version of a document. What cannot be read, or says another name or version than the entry, or says
// something else than the same version did before, is left out and opens a deviation.
func (f *folding) publish(body *entry.Document) {
	key := docKey{body.What, body.Name, body.Version}
	i, found := slices.BinarySearchFunc(f.s.Documents, key, byDocument)
	if found && f.s.Documents[i].Text == body.Text {
		return
	}
	doc, err := procedure.Open([]byte(body.Text))
	if err != nil || found || keyOf(&doc) != key {
		d := Deviation{Code: DevDocument, Number: int64(body.Version), Text: body.Name}
		f.deviate(d)
		return
	}
	f.s.know(key, body.Text, doc)
	f.s.Documents = order.Insert(f.s.Documents, i, Published{Document: *body, At: f.at, By: f.e.Crew})
}

func byDocument(d Published, k docKey) int {
	return cmp.Or(cmp.Compare(d.What, k.what), cmp.Compare(d.Name, k.name), cmp.Compare(d.Version, k.version))
}

// keyOf returns what the document itself says that it is.
func keyOf(d *procedure.Document) docKey {
	switch {
	case d.Procedure != nil:
		return docKey{WhatProcedure, d.Procedure.Name, d.Procedure.Version}
	case d.List != nil:
		return docKey{WhatList, d.List.Name, d.List.Version}
	case d.Equipment != nil:
		return docKey{WhatEquipment, d.Equipment.Name, d.Equipment.Version}
	case d.Plan != nil:
		return docKey{WhatPlan, d.Plan.Name, d.Plan.Version}
	}
	return docKey{}
}

// Procedure returns a version of a procedure, the newest when version is 0, or nil.
func (s *State) Procedure(name string, version uint32) *procedure.Procedure {
	if name == "" {
		return nil
	}
	return s.find(WhatProcedure, name, version).Procedure
}

// Procedures returns the newest version of each procedure, by name.
func (s *State) Procedures() []*procedure.Procedure {
	var list []*procedure.Procedure
	for i, d := range s.Documents {
		if d.What == WhatProcedure && s.newest(i) {
			if p := s.Procedure(d.Name, 0); p != nil {
				list = append(list, p)
			}
		}
	}
	return list
}

// newest tells whether the document at i is the newest of its name.
func (s *State) newest(i int) bool {
	return i+1 == len(s.Documents) || s.Documents[i+1].What != s.Documents[i].What ||
		s.Documents[i+1].Name != s.Documents[i].Name
}

// List returns the newest version of a list, or nil.
func (s *State) List(name string) *procedure.List {
	if name == "" {
		return nil
	}
	return s.find(WhatList, name, 0).List
}

// Lists returns the newest version of each list, by name.
func (s *State) Lists() []*procedure.List {
	var list []*procedure.List
	for i, d := range s.Documents {
		if d.What == WhatList && s.newest(i) {
			if l := s.List(d.Name); l != nil {
				list = append(list, l)
			}
		}
	}
	return list
}

// Equipment returns the newest version of the kitchen's equipment; never nil.
func (s *State) Equipment() *procedure.Equipment {
	if eq := s.find(WhatEquipment, "", 0).Equipment; eq != nil {
		return eq
	}
	return new(procedure.Equipment)
}

// EquipmentAt returns the equipment as it was published at an instant, of what the state still holds: the oldest of it for
// what was before.
func (s *State) EquipmentAt(at stamp.Milli) *procedure.Equipment {
	var found *Published
	for i := len(s.Documents) - 1; i >= 0; i-- {
		d := &s.Documents[i]
		if d.What != WhatEquipment {
			continue
		}
		if found = d; d.At <= at {
			break
		}
	}
	if found != nil {
		if eq := s.parse(found).Equipment; eq != nil {
			return eq
		}
	}
	return new(procedure.Equipment)
}
