package sqlite

import (
	"brinebell/internal/chain"
	"brinebell/internal/fail"
)

// BeginAnew empties the journal of a demo folder and gives it a new generation. The devices stay. A real kitchen's
// journal is never emptied.
func (s *Store) BeginAnew() error {
	const op = "sqlite.BeginAnew"
	if !s.mark.Demo {
		return fail.E(op, fail.Refused, "Only the demo kitchen can begin anew.", nil)
	}
	mark := s.mark
	mark.Generation = newGeneration()
	err := s.changeBook(op, func() error {
		for _, table := range []string{"entries", "checkpoints", "set_aside"} {
			if _, err := s.conn.ExecContext(background, "DELETE FROM "+table); err != nil {
				return err
			}
		}
		if _, err := s.conn.ExecContext(background, "DELETE FROM meta"); err != nil {
			return err
		}
		return setMeta(s.conn, "mark", mark.json())
	})
	if err != nil {
		return err
	}
	s.mu.Lock()
	s.mark, s.seq, s.head, s.notes = mark, 0, chain.Hash{}, notes{}
	s.mu.Unlock()
	return explain(op, writeMark(s.dir, mark))
}
