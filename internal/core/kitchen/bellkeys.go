package kitchen

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"brinebell/internal/core/entry"
)

func byAnswered(a Answered, subject string) int { return cmp.Compare(a.Subject, subject) }

// cutKey cuts a bell's key into its subject, which ends in a slash, and its count of rings.
func cutKey(key string) (subject string, n int64, ok bool) {
	i := strings.LastIndexByte(key, '/')
	if i < 0 {
		return "", 0, false
	}
	n, err := strconv.ParseInt(key[i+1:], 10, 32)
	if err != nil || n < 0 || strconv.FormatInt(n, 10) != key[i+1:] {
		return "", 0, false
	}
	return key[:i+1], n, true
}

// answered returns what was answered of a subject: nothing, if nothing was.
func (s *State) answered(subject string) Answered {
	if i, ok := slices.BinarySearchFunc(s.Bells, subject, byAnswered); ok {
		return s.Bells[i]
	}
	return Answered{Subject: subject}
}

// live tells whether a bell's subject is open work: a batch at the stage, a running timer, a list that is known.
func (s *State) live(subject string) bool {
	parts := strings.Split(subject, "/")
	switch {
	case len(parts) == 4 && parts[0] == "log":
		id, err := entry.ParseID(parts[1])
		l := s.Log(id)
		return err == nil && l != nil && !l.Ended &&
			slices.ContainsFunc(l.points(s.Last.At), func(p point) bool { return p.subject == subject })
	case len(parts) == 3 && parts[0] == "ask":
		id, err := entry.ParseID(parts[1])
		a := s.Ask(id)
		return err == nil && a != nil && s.Waits(a)
	case len(parts) == 3 && parts[0] == "timer":
		id, err := entry.ParseID(parts[1])
		t := s.Timer(id)
		return err == nil && t != nil && !t.Ended
	case len(parts) == 3 && parts[0] == "sensor":
		x := s.Sensor(parts[1])
		return x != nil && !x.Revoked
	case len(parts) == 4 && parts[0] == "plan":
		id, err := entry.ParseID(parts[1])
		k, bad := strconv.Atoi(parts[2])
		m := s.PlanByID(id)
		return err == nil && bad == nil && m != nil && k >= 0 && k < len(m.Rows) && !s.Did(m, k)
	case len(parts) == 4 && parts[0] == "list":
		day := s.bellDay(subject)
		r := s.Run(parts[1], int32(day))
		return day != -farDay && s.List(parts[1]) != nil && (r == nil || !r.Closed)
	case len(parts) == 3:
		id, err := entry.ParseID(parts[0])
		point := Point(parts[1])
		return err == nil && (point == PointBest || point == PointLast || point == PointPast) && s.anyBegan(id)
	}
	return false
}

// anyBegan tells whether an open batch is at the stage that the entry began.
func (s *State) anyBegan(id entry.ID) bool {
	return slices.ContainsFunc(s.Batches, func(b Batch) bool { return b.Status == Open && b.Began == id })
}

// farDay is the day of bells that are of no day.
const farDay = 1 << 40

// bellDay returns the day of a list's bell.
func (s *State) bellDay(subject string) int64 {
	if parts := strings.Split(subject, "/"); len(parts) == 4 && parts[0] == "list" {
		day, err := strconv.ParseInt(parts[2], 10, 32)
		if err == nil {
			return day
		}
		return -farDay
	}
	return farDay
}

// dropBells forgets the answers to the bells of a stage, once no open batch is at it any more.
func (s *State) dropBells(began entry.ID) {
	if len(s.Bells) > 0 && !s.anyBegan(began) {
		s.dropPrefix(began.String() + "/")
	}
}

func (s *State) dropPrefix(prefix string) {
	s.Bells = slices.DeleteFunc(s.Bells, func(a Answered) bool { return strings.HasPrefix(a.Subject, prefix) })
}
