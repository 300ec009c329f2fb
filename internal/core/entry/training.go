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
