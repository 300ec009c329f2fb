package screen

import (
	"slices"

	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/questions"
	"brinebell/internal/core/stamp"
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
	known, asked := knownOf(s, crew, p, c.Stages)
	if asked == 0 {
		return 100
	}
	return known * 100 / asked
}

// KnownAnew returns how many of the questions about the stages that changed since a signature somebody knows, and how many there
// are.
func KnownAnew(s *kitchen.State, x *kitchen.Standing) (known, asked int64) {
	p := s.Procedure(x.Document, 0)
	if p == nil || x.What != kitchen.WhatProcedure || len(x.Changed) == 0 || x.Competence.Questions == 0 {
		return 0, 0
	}
	return knownOf(s, x.Crew, p, x.Changed)
}

// Tested puts into the command of a signature what whoever is signed off knows.
func Tested(s *kitchen.State, c *kitchen.Command, now stamp.Milli) {
	c.Known = Known(s, c.Crew, c.Name, c.Competence)
	if x := s.Standing(c.Crew, c.What, c.Name, c.Competence, now); x.Competence != nil {
		known, asked := KnownAnew(s, &x)
		c.Unknown = asked - known
	}
}

// missing tells whether evidence for a signature is lacking.
func missing(s *kitchen.State, x *kitchen.Standing) bool {
	known, asked := KnownAnew(s, x)
	return x.Missing(Known(s, x.Crew, x.Document, x.Competence.Name), asked-known)
}

func knownOf(s *kitchen.State, crew string, p *procedure.Procedure, stages []string) (known, asked int64) {
	for _, q := range questions.Of(p, words.EN, 0) {
		if !slices.Contains(stages, q.Stage) {
			continue
		}
		asked++
		if x := s.LearnedOf(crew, q.Key); x != nil && x.Right && x.Print == q.Print {
			known++
		}
	}
	return known, asked
}
