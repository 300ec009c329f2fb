package entry

import "brinebell/internal/core/wire"

// QuizAnswer tells that whoever acted answered a question that was made from what the kitchen has written down.
type QuizAnswer struct {
	Key   string // what was asked: questions.Question.Key
	Print uint32 // of what was right then
	Right bool
}

// Kind implements Body.
func (*QuizAnswer) Kind() Kind { return QuizAnswered }

// Fields implements wire.Fielder.
func (b *QuizAnswer) Fields(c *wire.Coder) {
	wire.Str(c, "key", &b.Key)
	wire.Uint(c, "print", &b.Print)
	c.Bool("right", &b.Right)
}

// Pin is how a crew member's PIN is checked on any phone, with no server in reach: never the PIN itself.
type Pin struct {
	Crew   string
	Salt   []byte
	Rounds uint32 // of the digest
	Digest []byte
}

// Kind implements Body.
func (*Pin) Kind() Kind { return PinSet }

// Fields implements wire.Fielder.
func (b *Pin) Fields(c *wire.Coder) {
	wire.Str(c, "crew", &b.Crew)
	c.Bytes("salt", &b.Salt)
	wire.Uint(c, "rounds", &b.Rounds)
	c.Bytes("digest", &b.Digest)
}

// Spot is where somebody is at work: at a stage of a batch, or at a list of a day.
type Spot struct {
	Batch ID
	List  string
	Day   int32
	Stage string
}

// walk walks a spot.
func (b *Spot) walk(c *wire.Coder) {
	b.Batch.Walk(c, "batch")
	wire.Str(c, "list", &b.List)
	wire.Int(c, "day", &b.Day)
	wire.Str(c, "stage", &b.Stage)
}

// Guide begins guided work: a trainee at a spot, and the trainer who answers for it.
type Guide struct {
	Guide ID // the entry's own id
	Spot
	Crew    string // the trainee
	Trainer string
}

// Kind implements Body.
func (*Guide) Kind() Kind { return GuideBegun }

// Fields implements wire.Fielder.
func (b *Guide) Fields(c *wire.Coder) {
	b.Guide.Walk(c, "guide")
	b.Spot.walk(c)
	wire.Str(c, "crew", &b.Crew)
	wire.Str(c, "trainer", &b.Trainer)
}

// GuideAsk asks the trainer about a step: to confirm it, or for help.
type GuideAsk struct {
	Ask   ID // the entry's own id
	Guide ID
	Spot
	Step string
	Help bool // "I am not sure"; else: please confirm
	Text string
}

// Kind implements Body.
func (*GuideAsk) Kind() Kind { return GuideAsked }

// Fields implements wire.Fielder.
func (b *GuideAsk) Fields(c *wire.Coder) {
	b.Ask.Walk(c, "ask")
	b.Guide.Walk(c, "guide")
	b.Spot.walk(c)
	wire.Str(c, "step", &b.Step)
	c.Bool("help", &b.Help)
	wire.Str(c, "text", &b.Text)
}

// GuideAnswer is what the trainer says to what was asked.
type GuideAnswer struct {
	Ask     ID
	Yes     bool
	Trainer string // who answers
	Pin     bool   // by PIN on the trainee's device: still to be checked by the trainer
	Seen    string // the number or word that the trainer saw
	Note    string
}

// Kind implements Body.
func (*GuideAnswer) Kind() Kind { return GuideAnswered }

// Fields implements wire.Fielder.
func (b *GuideAnswer) Fields(c *wire.Coder) {
	b.Ask.Walk(c, "ask")
	c.Bool("yes", &b.Yes)
	wire.Str(c, "trainer", &b.Trainer)
	c.Bool("pin", &b.Pin)
	wire.Str(c, "seen", &b.Seen)
	wire.Str(c, "note", &b.Note)
}

// GuideCheck is what a trainer says, on a device of his own, of an answer given with his PIN on another's.
type GuideCheck struct {
	Ask  ID
	Mine bool
}

// Kind implements Body.
func (*GuideCheck) Kind() Kind { return GuideChecked }

// Fields implements wire.Fielder.
func (b *GuideCheck) Fields(c *wire.Coder) {
	b.Ask.Walk(c, "ask")
	c.Bool("mine", &b.Mine)
}

// Tones of a trainer's note.
const (
	ToneWell  = "well"
	ToneSlow  = "slow"
	ToneWrong = "wrong"
	ToneOther = "other"
)

// TrainerNote is what a trainer writes down about somebody at work.
type TrainerNote struct {
	Crew string // about whom
	Spot
	Step string
	Tone string
	Text string
}

// Kind implements Body.
func (*TrainerNote) Kind() Kind { return TrainerNoted }

// Fields implements wire.Fielder.
func (b *TrainerNote) Fields(c *wire.Coder) {
	wire.Str(c, "crew", &b.Crew)
	b.Spot.walk(c)
	wire.Str(c, "step", &b.Step)
	wire.Str(c, "tone", &b.Tone)
	wire.Str(c, "text", &b.Text)
}

// Grounds of a sign-off.
const (
	GroundsEvidence   = "evidence"
	GroundsExperience = "experience" // worked here before competences were written down
)

// SignOff says that somebody may do the work of a competence alone, or (Gone) no longer.
type SignOff struct {
	Crew       string // who may
	What       string // procedure or list
	Document   string // its name
	Competence string
	Version    uint32 // of the document, when it was signed
	By         string // who signed
	Pin        bool   // with a PIN on another's device
	Grounds    string
	Gone       bool
	Reason     string
}

// Kind implements Body.
func (*SignOff) Kind() Kind { return SignedOff }

// Fields implements wire.Fielder.
func (b *SignOff) Fields(c *wire.Coder) {
	wire.Str(c, "crew", &b.Crew)
	wire.Str(c, "what", &b.What)
	wire.Str(c, "document", &b.Document)
	wire.Str(c, "competence", &b.Competence)
	wire.Uint(c, "version", &b.Version)
	wire.Str(c, "by", &b.By)
	c.Bool("pin", &b.Pin)
	wire.Str(c, "grounds", &b.Grounds)
	c.Bool("gone", &b.Gone)
	wire.Str(c, "reason", &b.Reason)
}

// Rung is how far whoever acted came in a practice night that they chose to keep.
type Rung struct {
	Procedure string
	Rung      uint32 // of the ladder, from 1
	Seed      uint64 // of the night
	Troubles  int64
	Right     int64 // settled rightly
	Hurt      int64 // marks against safety
	Grams     int64 // pretend product lost
	Passed    bool
}

// Kind implements Body.
func (*Rung) Kind() Kind { return RungDone }

// Fields implements wire.Fielder.
func (b *Rung) Fields(c *wire.Coder) {
	wire.Str(c, "procedure", &b.Procedure)
	wire.Uint(c, "rung", &b.Rung)
	wire.Uint(c, "seed", &b.Seed)
	wire.Int(c, "troubles", &b.Troubles)
	wire.Int(c, "right", &b.Right)
	wire.Int(c, "hurt", &b.Hurt)
	wire.Int(c, "grams", &b.Grams)
	c.Bool("passed", &b.Passed)
}
