package kitchen

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/stamp"
)

// Who taps, and on which device.
type Who struct{ Crew, Device string }

// Draft is an entry to be made: the door gives it its stamp.
type Draft struct {
	ID   entry.ID
	Body entry.Body
}

// Decide says which entries a command makes, in order, or why it is refused. A nil refusal without drafts means that
// there is nothing left to do.
func Decide(s *State, c *Command, who Who, now stamp.Milli, newID func() entry.ID) ([]Draft, *Refusal) {
	return nil, &Refusal{Code: RefBadCommand, Name: c.Do}
}
