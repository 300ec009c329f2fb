package kitchen

import (
	"cmp"
	"slices"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/order"
	"brinebell/internal/core/spacing"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

// Learned is what one crew member is known to know of one question. The question is named by a number, since there is a row
// of these for each question and person: its entries say its key.
type Learned struct {
	Crew   string
	Key    uint32 // LearnedKey of the question's key
	Print  uint32 // of what was right at the last answer: another one means that the kitchen has changed it since
	Memory spacing.Memory
	At     stamp.Milli // of the last answer
	Asked  uint32
	Right  bool // the last answer
}

// LearnedKey is the number that stands for a question's key in the state.
func LearnedKey(key string) uint32 { return wire.Sum(key) }

func byLearned(a, b Learned) int {
	return cmp.Or(cmp.Compare(a.Crew, b.Crew), cmp.Compare(a.Key, b.Key))
}

// Learned returns what a crew member is known to know of a question, or nil if it was never asked.
func (l *Ledger) LearnedOf(crew, key string) *Learned {
	if i, ok := slices.BinarySearchFunc(l.Learned, Learned{Crew: crew, Key: LearnedKey(key)}, byLearned); ok {
		return &l.Learned[i]
	}
	return nil
}

// DueAt is when it should be asked again.
func (l *Learned) DueAt() stamp.Milli { return l.At.Add(stamp.Span(l.Memory.Days()) * stamp.Day) }

// QuizDue counts what should be asked a crew member again by now. What the kitchen has changed since is not among it: that
// shows only beside the questions themselves.
func (l *Ledger) QuizDue(crew string, now stamp.Milli) (due, known int) {
	for i := range l.Learned {
		if x := &l.Learned[i]; x.Crew == crew {
			known++
			if x.DueAt() <= now {
				due++
			}
		}
	}
	return due, known
}

// quizAnswer folds an answer. What is right by another number than the last time is learned anew.
func (f *folding) quizAnswer(body *entry.QuizAnswer) {
	if f.e.Crew == "" || body.Key == "" {
		return
	}
	row := Learned{Crew: f.e.Crew, Key: LearnedKey(body.Key)}
	i, ok := slices.BinarySearchFunc(f.s.Learned, row, byLearned)
	if !ok {
		f.s.Learned = order.Insert(f.s.Learned, i, row)
	}
	x := &f.s.Learned[i]
	if x.Print != body.Print {
		x.Memory = spacing.Memory{}
	}
	grade := spacing.Again
	if body.Right {
		grade = spacing.Good
	}
	days := max(f.at.Since(x.At)/stamp.Day, 0)
	x.Memory = x.Memory.Answered(grade, int64(days))
	x.Print, x.At, x.Right, x.Asked = body.Print, f.at, body.Right, x.Asked+1
}

// quiz decides about an answer to a question.
func (d *deciding) quiz() *Refusal {
	right := d.c.Answer == "right"
	if d.c.Name == "" || !right && d.c.Answer != "wrong" {
		return &Refusal{Code: RefBadCommand, Name: d.c.Name}
	}
	return d.add(&entry.QuizAnswer{Key: d.c.Name, Print: uint32(d.c.Number), Right: right})
}

// Fields implements wire.Fielder.
func (l *Learned) Fields(c *wire.Coder) {
	wire.Str(c, "crew", &l.Crew)
	wire.Uint(c, "key", &l.Key)
	wire.Uint(c, "print", &l.Print)
	wire.Int(c, "stability", &l.Memory.Stability)
	wire.Int(c, "difficulty", &l.Memory.Difficulty)
	wire.Int(c, "at", &l.At)
	wire.Uint(c, "asked", &l.Asked)
	c.Bool("right", &l.Right)
}
