package screen

import (
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/questions"
	"brinebell/internal/core/words"
)

// Known returns how many per cent of the questions about a competence somebody knows: answered rightly the last time, and not
// changed by the kitchen since. It is 100 where nothing is asked.
func Known(s *kitchen.State, crew, document, competence string) int64 {
	p := s.Procedure(document, 0)
	if p == nil {
		return 100
	}
	c := p.CompetenceNamed(competence)
	if c == nil || c.Questions == 0 {
		return 100
	}
	asked, known := int64(0), int64(0)
	for _, q := range questions.Of(p, words.EN, 0) {
		if !c.Covers(q.Stage) {
			continue
		}
		asked++
		if x := s.LearnedOf(crew, q.Key); x != nil && x.Right && x.Print == q.Print {
			known++
		}
	}
	if asked == 0 {
		return 100
	}
	return known * 100 / asked
}
