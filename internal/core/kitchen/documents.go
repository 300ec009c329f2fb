package kitchen

import (
	"brinebell/internal/core/procedure"
)

// What a document may be: entry.Document.What.
const (
	WhatProcedure = "procedure"
	WhatList      = "list"
	WhatEquipment = "equipment"
)

// find returns the newest document of the name, or the one of the version when it is not 0.
func (s *State) find(what, name string, version uint32) *procedure.Document {
	for i := len(s.Documents) - 1; i >= 0; i-- {
		d := &s.Documents[i]
		if d.What == what && (name == "" || d.Name == name) && (version == 0 || d.Version == version) {
			return s.parse(d)
		}
	}
	return nil
}

// parse returns what the document's text says; each text is read once.
func (s *State) parse(d *Published) *procedure.Document {
	key := docKey{d.What, d.Name, d.Version}
	if doc, ok := s.parsed[key]; ok {
		return &doc
	}
	return nil
}

// Procedure returns a version of a procedure, the newest when version is 0, or nil.
func (s *State) Procedure(name string, version uint32) *procedure.Procedure {
	if name == "" {
		return nil
	}
	if d := s.find(WhatProcedure, name, version); d != nil {
		return d.Procedure
	}
	return nil
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
	if d := s.find(WhatList, name, 0); d != nil {
		return d.List
	}
	return nil
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
	if d := s.find(WhatEquipment, "", 0); d != nil && d.Equipment != nil {
		return d.Equipment
	}
	return new(procedure.Equipment)
}
