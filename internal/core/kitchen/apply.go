package kitchen

import "brinebell/internal/core/entry"

// Amended says what later entries make of an entry.
type Amended struct {
	Withdrawn bool
	By        *entry.Entry // the correction in force, else nil
}

// Apply folds an entry into the state. Entries come in canonical order, each once.
func (s *State) Apply(e *entry.Entry, amended Amended) {
	s.Folded++
	s.Last = e.At
}
