package kitchen

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
)

// eyed is a kitchen with everybody who may ask for a record, or not.
func eyed() *State {
	return &State{Crew: []entry.Member{
		{Crew: "cook", Role: entry.Cook, Born: 9_000},
		{Crew: "gone-lead", Role: entry.Lead, Gone: true},
		{Crew: "gone-trainer", Role: entry.Cook, Trainer: true, Gone: true},
		{Crew: "hire", Role: entry.Trainee, Born: 14_000},
		{Crew: "lead", Role: entry.Lead},
		{Crew: "left", Role: entry.Trainee, Born: 13_000, Gone: true},
		{Crew: "trainer", Role: entry.Cook, Trainer: true},
	}}
}

// Whose record and whose age is for whom: every role, nobody, and those who have gone.
func TestWhoSeesWhoseRecord(t *testing.T) {
	s := eyed()
	for who, want := range map[string]struct{ records, ages []string }{
		"":             {},
		"nobody":       {},
		"cook":         {[]string{"cook"}, []string{"cook"}},
		"hire":         {[]string{"hire"}, []string{"hire"}},
		"left":         {},
		"gone-lead":    {},
		"gone-trainer": {},
		"trainer":      {[]string{"cook", "gone-lead", "gone-trainer", "hire", "lead", "left", "trainer"}, []string{"trainer"}},
		"lead": {[]string{"cook", "gone-lead", "gone-trainer", "hire", "lead", "left", "trainer"},
			[]string{"cook", "gone-lead", "gone-trainer", "hire", "lead", "left", "trainer"}},
	} {
		var records, ages []string
		for i := range s.Crew {
			if of := s.Crew[i].Crew; s.SeesRecord(who, of) {
				records = append(records, of)
			}
			if of := s.Crew[i].Crew; s.SeesAge(who, of) {
				ages = append(ages, of)
			}
		}
		require.Equal(t, want.records, records, "records that %q sees", who)
		require.Equal(t, want.ages, ages, "ages that %q sees", who)
	}
	require.False(t, s.SeesRecord("", ""), "nobody is not themselves")
}

// What somebody carries away of an instant holds what is theirs to see by what they are now, nobody's PIN, and all of the rest.
func TestWhatIsCarriedAway(t *testing.T) {
	now, then := eyed(), eyed()
	then.Crew[0].Role = entry.Lead // the cook led then
	then.Pins = []PinMark{{Pin: entry.Pin{Crew: "lead"}}}
	then.Places = []Place{{Name: "cold-room"}}
	for _, of := range []string{"cook", "hire"} {
		then.Learned = append(then.Learned, Learned{Crew: of})
		then.SignOffs = append(then.SignOffs, SignMark{SignOff: entry.SignOff{Crew: of}})
		then.Guides = append(then.Guides, GuideMark{Guide: entry.Guide{Crew: of}})
		then.GuidedRuns = append(then.GuidedRuns, GuidedCount{Crew: of})
		then.Rungs = append(then.Rungs, RungMark{Crew: of})
		then.Worked = append(then.Worked, WorkMark{Crew: of})
		then.Asks = append(then.Asks, Ask{By: of})
		then.Notes = append(then.Notes, TrainerNote{TrainerNote: entry.TrainerNote{Crew: of}})
	}
	for who, want := range map[string]struct{ records, born int }{"": {0, 0}, "hire": {1, 1}, "cook": {1, 1}, "trainer": {2, 0}, "lead": {2, 3}, "gone-lead": {0, 0}} {
		c := now.Seen(then, who)
		for i, n := range []int{len(c.Learned), len(c.SignOffs), len(c.Guides), len(c.GuidedRuns), len(c.Rungs), len(c.Worked), len(c.Asks), len(c.Notes)} {
			require.Equal(t, want.records, n, "%q, list %d", who, i)
		}
		born := slices.DeleteFunc(slices.Clone(c.Crew), func(m entry.Member) bool { return m.Born == 0 })
		require.Len(t, born, want.born, who)
		require.Empty(t, c.Pins)
		require.Len(t, c.Crew, 7)
		require.Len(t, c.Places, 1)
	}
	require.Len(t, then.Pins, 1, "the kitchen's own stays as it was")
	require.Len(t, then.Notes, 2)
	require.EqualValues(t, 9_000, then.Crew[0].Born)
}
