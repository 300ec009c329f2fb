package entry

import "brinebell/internal/core/wire"

// Role is what a crew member may answer for.
type Role uint8

// Roles.
const (
	Cook Role = iota
	Lead
	Trainee
)

// Member lists, changes or (Gone) takes off a crew member.
type Member struct {
	Crew string // stable short id
	Name string
	Lang string // BCP 47: en or es
	Role Role
	Gone bool

	Born    int32 // since version 2: the day of birth, in days since 1970-01-01; 0: not said
	Trainer bool  // since version 2: may guide others and sign them off
}

// Kind implements Body.
func (*Member) Kind() Kind { return CrewListed }

// Fields implements wire.Fielder.
func (b *Member) Fields(c *wire.Coder) {
	wire.Str(c, "crew", &b.Crew)
	wire.Str(c, "name", &b.Name)
	wire.Str(c, "lang", &b.Lang)
	wire.Uint(c, "role", &b.Role)
	c.Bool("gone", &b.Gone)
	wire.Int(c, "born", &b.Born)
	c.Bool("trainer", &b.Trainer)
}
