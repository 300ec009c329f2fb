package sqlite

import (
	"database/sql"
	"encoding/json"
	"errors"

	"brinebell/internal/fail"
)

// notes are small facts that the server looks up without folding the journal. The journal is what counts: all of them
// can be made again from it.
type notes struct {
	Name        string `json:"name"`
	Zone        string `json:"zone"`
	OffsetsZone string `json:"offsetsZone"`
	OffsetsEnd  int64  `json:"offsetsEnd"` // milliseconds since 1970
}

func (s *Store) loadNotes(db rower) error {
	var b []byte
	err := db.QueryRowContext(background, "SELECT value FROM meta WHERE name = 'notes'").Scan(&b)
	if errors.Is(err, sql.ErrNoRows) {
		return nil
	}
	if err == nil && json.Unmarshal(b, &s.notes) != nil {
		return fail.E("sqlite.loadNotes", fail.Damaged, damagedSentence, nil)
	}
	return err
}

func (s *Store) changeNotes(op string, change func(n *notes)) error {
	return s.changeBook(op, func() error {
		n := s.notes
		change(&n)
		b, err := json.Marshal(n)
		if err != nil {
			return err
		}
		if err := setMeta(s.conn, "notes", b); err != nil {
			return err
		}
		s.notes = n
		return nil
	})
}

func (s *Store) readNotes() notes {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.notes
}

// Named returns the kitchen's name and time zone.
func (s *Store) Named() (name, zone string) {
	n := s.readNotes()
	return n.Name, n.Zone
}

// SetName notes the kitchen's name and time zone.
func (s *Store) SetName(name, zone string) error {
	return s.changeNotes("sqlite.SetName", func(n *notes) { n.Name, n.Zone = name, zone })
}

// Offsets returns for which zone the journal has offsets, and until when (milliseconds since 1970).
func (s *Store) Offsets() (zone string, until int64) {
	n := s.readNotes()
	return n.OffsetsZone, n.OffsetsEnd
}

// SetOffsets notes for which zone the journal has offsets, and until when.
func (s *Store) SetOffsets(zone string, until int64) error {
	return s.changeNotes("sqlite.SetOffsets", func(n *notes) { n.OffsetsZone, n.OffsetsEnd = zone, until })
}
