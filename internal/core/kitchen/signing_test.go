package kitchen_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/pin"
	"brinebell/internal/core/stamp"
	"brinebell/internal/journaltest"
)

// sign is a command by which somebody is signed off.
func sign(crew string) kitchen.Command {
	return kitchen.Command{Do: kitchen.DoSignOff, Crew: crew, What: kitchen.WhatProcedure, Name: bone, Competence: "tubs", Known: 100}
}

func (k *kit) setPin(crew, p string) {
	salt := []byte("salt of " + crew)
	k.say(&entry.Pin{Crew: crew, Salt: salt, Rounds: 3, Digest: pin.Digest(p, salt, 3)})
}

// Who signs needs the right to, the evidence, and a PIN; grounds of experience are a lead's, with words. Nobody signs for
// themselves.
func TestSigningOff(t *testing.T) {
	k := crewed(t)
	k.setPin("maren", "2749")
	k.setPin("teo", "6183")
	c := sign("jun")
	c.Pin = "2749"
	k.by("ines").refused(kitchen.RefNotTrainer, c)
	k.by("teo").refused(kitchen.RefNotTrainer, c) // trains, but is not signed off for it
	r := k.by("maren").refused(kitchen.RefEvidence, c)
	require.Equal(t, []int64{0, 2}, []int64{r.Number, r.Limit})
	exp := c
	exp.Answer = entry.GroundsExperience
	k.refused(kitchen.RefNeedReason, exp)
	exp.Reason = "Two summers at the pier"
	exp.Pin = "2740"
	require.EqualValues(t, 1, k.refused(kitchen.RefPin, exp).Number)
	exp.Pin = "2749"
	k.do(exp)
	x := k.stands("jun", "tubs")
	require.True(t, x.Signed)
	require.Equal(t, []any{"maren", entry.GroundsExperience, uint32(7), false}, []any{x.Sign.By, x.Sign.Grounds, x.Sign.Version, x.Sign.Pin})
	k.by("jun").do(start())

	back := sign("jun")
	back.Closes = true
	k.refused(kitchen.RefNotTrainer, back)
	k.by("maren").refused(kitchen.RefNeedReason, back)
	back.Reason = "left a tub warm"
	k.do(back) // without a PIN
	x = k.stands("jun", "tubs")
	require.False(t, x.Signed)
	require.True(t, x.Sign.Gone)
	k.by("jun").refused(kitchen.RefNotSigned, start())

	own := sign("maren")
	own.Pin = "2749"
	k.by("maren").refused(kitchen.RefNotTrainer, own)
	own.Answer, own.Reason = entry.GroundsExperience, "since the beginning"
	k.refused(kitchen.RefNotTrainer, own) // Teo is there to say it
	own.Trainer, own.Pin = "teo", "6183"
	k.do(own)
	require.True(t, k.stands("maren", "tubs").Sign.Pin, "with a PIN on another's device")
}

// A trainer who is signed off signs on what was shown, from exactly as much of it as the document asks for.
func TestEvidence(t *testing.T) {
	k := crewed(t)
	k.setPin("teo", "6183")
	k.signs("teo", "tubs")
	c := sign("jun")
	c.Pin, c.Known = "6183", 70
	run := func() {
		k.by("teo")
		tub, id := k.mixed(), k.id()
		k.sayOn("phone", id, &entry.Guide{Guide: id, Spot: entry.Spot{Batch: tub, Stage: "mix"}, Crew: "jun", Trainer: "teo"})
		k.by("jun")
		for _, x := range [][2]string{{"mix", "marinate"}, {"marinate", "drain"}, {"drain", "coat"}} {
			k.say(&entry.Move{Batch: tub, From: x[0], To: x[1]})
			k.wait(stamp.Minute)
		}
	}
	run()
	require.EqualValues(t, 1, k.by("teo").refused(kitchen.RefEvidence, c).Number)
	run()
	k.by("teo")
	c.Known = 69
	k.refused(kitchen.RefEvidence, c)
	c.Known = 70
	k.do(c)
	require.Equal(t, entry.GroundsEvidence, k.stands("jun", "tubs").Sign.Grounds)

	fry := sign("jun")
	fry.Competence, fry.Pin = "fryer", "6183"
	k.refused(kitchen.RefNotTrainer, fry)
	x := k.stands("jun", "fryer")
	require.True(t, x.Missing(100, 0))
	for _, rung := range []entry.Rung{{Procedure: bone, Rung: 2, Right: 9}, {Procedure: bone, Rung: 1, Passed: true}} {
		k.by("jun").say(&rung)
		require.Less(t, k.stands("jun", "fryer").Rung, int64(2), "not passed, or lower")
	}
	k.do(kitchen.Command{Do: kitchen.DoRung, Procedure: bone, Number: 2, Value: 77, Count: 5, Pieces: 5, Closes: true})
	require.EqualValues(t, 2, k.stands("jun", "fryer").Rung)
	k.say(&entry.Rung{Procedure: bone, Rung: 2, Right: 99}) // a worse night later takes nothing away
	require.EqualValues(t, 2, k.stands("jun", "fryer").Rung)
	k.refused(kitchen.RefBadCommand, kitchen.Command{Do: kitchen.DoRung, Procedure: bone, Number: 2, Count: 5, Pieces: 6})
	k.refused(kitchen.RefBadCommand, kitchen.Command{Do: kitchen.DoRung, Procedure: bone, Number: 0})
}

// A PIN is set by its member, who knows the one before, or by a lead with the lead's own.
func TestSettingAPin(t *testing.T) {
	k := crewed(t).by("jun")
	for _, bad := range []string{"", "123", "123456789", "12a4", "1111", "1234", "8765"} {
		k.refused(kitchen.RefPinForm, kitchen.Command{Do: kitchen.DoPin, Pin: bad})
	}
	k.refused(kitchen.RefPinTwice, kitchen.Command{Do: kitchen.DoPin, Pin: "2749", Again: "2748"})
	k.do(kitchen.Command{Do: kitchen.DoPin, Pin: "2749", Again: "2749"})
	m := k.s.PinOf("jun")
	require.True(t, pin.Is("2749", m.Salt, m.Rounds, m.Digest))
	require.EqualValues(t, pin.Rounds, m.Rounds)
	require.NotContains(t, string(k.s.Append(nil)), "2749")
	k.refused(kitchen.RefPin, kitchen.Command{Do: kitchen.DoPin, Pin: "6183", OldPin: "2748"})
	k.do(kitchen.Command{Do: kitchen.DoPin, Pin: "6183", OldPin: "2749"})
	k.by("ines").refused(kitchen.RefNotLead, kitchen.Command{Do: kitchen.DoPin, Crew: "jun", Pin: "4095"})
	k.by("maren").refused(kitchen.RefNoPin, kitchen.Command{Do: kitchen.DoPin, Crew: "jun", Pin: "4095"})
	k.do(kitchen.Command{Do: kitchen.DoPin, Pin: "9027"})
	k.refused(kitchen.RefPin, kitchen.Command{Do: kitchen.DoPin, Crew: "jun", Pin: "4095", OldPin: "6183"})
	k.do(kitchen.Command{Do: kitchen.DoPin, Crew: "jun", Pin: "4095", OldPin: "9027"})
	m = k.s.PinOf("jun")
	require.True(t, pin.Is("4095", m.Salt, m.Rounds, m.Digest))
	require.Equal(t, "maren", m.By)
}

// Wrong PINs make one wait: not for the first two, then 30 seconds, twice as long each time, an hour at most.
func TestWrongPinsMakeOneWait(t *testing.T) {
	k := crewed(t)
	k.setPin("maren", "2749")
	c := sign("jun")
	c.Answer, c.Reason = entry.GroundsExperience, "long here"
	for count, wait := range map[int64]stamp.Span{0: 0, 1: 0, 2: 0, 3: 30 * stamp.Second, 4: stamp.Minute, 5: 2 * stamp.Minute, 9: 32 * stamp.Minute,
		10: stamp.Hour, 11: stamp.Hour, 900: stamp.Hour} {
		who := kitchen.Who{Crew: "maren", Device: "phone", Tries: []kitchen.Try{{Crew: "teo", Count: 99, At: k.now}, {Crew: "maren", Count: count, At: k.now}}}
		c.Pin = "2749"
		if wait > 0 {
			_, r := kitchen.Decide(k.s, &c, who, k.now.Add(wait-1), k.id)
			require.Equal(t, kitchen.RefPinWait, r.Code, "%d", count)
			require.Equal(t, k.now.Add(wait), r.Until)
		}
		_, r := kitchen.Decide(k.s, &c, who, k.now.Add(wait), k.id)
		require.Nil(t, r, "%d", count)
		c.Pin = "2750"
		_, r = kitchen.Decide(k.s, &c, who, k.now.Add(wait), k.id)
		require.Equal(t, kitchen.RefPin, r.Code)
		require.Equal(t, count+1, r.Number)
	}
}

// A list with a competence is held to it, step by step and at its close; guided it goes, and counts a run.
func TestAListIsHeldToItsCompetence(t *testing.T) {
	k := crewed(t).by("jun")
	l := k.s.List("closing")
	step := kitchen.Command{Do: kitchen.DoStep, List: "closing", Step: l.Steps[0].Name, Answer: "yes", Text: "so", Unit: l.Steps[0].Unit}
	require.Equal(t, "closing", k.refused(kitchen.RefNotSigned, step).Name)
	k.refused(kitchen.RefNotSigned, kitchen.Command{Do: kitchen.DoListClose, List: "closing"})
	day := k.s.WallDay(k.now)
	id := k.id()
	k.sayOn("phone", id, &entry.Guide{Guide: id, Spot: entry.Spot{List: "closing", Day: day}, Crew: "jun", Trainer: "maren"})
	require.Nil(t, k.s.MayDo("jun", kitchen.Spot{List: l, Day: day}, k.now))
	require.NotNil(t, k.s.MayDo("jun", kitchen.Spot{List: l, Day: day + 1}, k.now), "another day")
	k.say(&entry.ListClose{List: "closing", Day: day})
	require.EqualValues(t, 1, k.s.Standing("jun", kitchen.WhatList, "closing", "closing", k.now).Guided)
	require.Nil(t, k.s.Standing("jun", kitchen.WhatList, "closing", "opening", k.now).Competence)
}

// In whatever state a kitchen is: what makes food or people safer is refused to nobody for want of a sign-off or for their age,
// and what is in a fryer or under pressure never waits for a signature when whoever stands there says that it cannot.
func TestNobodyIsKeptFromMakingItSafe(t *testing.T) {
	urgent, asked, refused := 0, 0, 0
	for seed := range uint64(60) {
		s := kitchen.New()
		list := journaltest.Random(seed, 500)
		for i := range list {
			s.Apply(&list[i], kitchen.Amended{})
		}
		now, n := s.Last.At, byte(0)
		young := entry.New(entry.ID{1}, stamp.Stamp{At: now, Device: "x"}, "", &entry.Member{Crew: "cy", Name: "Cy", Born: s.WallDay(now) - 13*365})
		s.Apply(&young, kitchen.Amended{})
		try := func(crew string, c kitchen.Command) kitchen.RefusalCode {
			asked++
			_, r := kitchen.Decide(s, &c, kitchen.Who{Crew: crew, Device: "x"}, now, func() entry.ID { n++; return entry.ID{2, n} })
			if r == nil {
				return kitchen.RefNone
			}
			return r.Code
		}
		for i := range s.Batches {
			b := &s.Batches[i]
			for _, crew := range []string{"al", "bo", "cy"} {
				for _, c := range []kitchen.Command{
					{Do: kitchen.DoDiscard, Batch: b.ID, Reason: "warm"}, {Do: kitchen.DoNote, Batch: b.ID, Text: "odd"},
					{Do: kitchen.DoDeviate, Batch: b.ID, Text: "odd"}, {Do: kitchen.DoCount, Batch: b.ID, Wasted: 1, Reason: "dropped"},
					{Do: kitchen.DoReading, Place: "fryer-1", Value: 168_000, Unit: "mC"}, {Do: kitchen.DoFreeze, Batch: b.ID},
					{Do: kitchen.DoEquipment, Place: "fryer-1", Answer: "out", Reason: "lid"},
					{Do: kitchen.DoOil, Place: "fryer-1", Answer: entry.OilMeasured, Value: 9000, Unit: "m%"},
				} {
					require.NotContains(t, []kitchen.RefusalCode{kitchen.RefNotSigned, kitchen.RefTooYoung}, try(crew, c), "%s: %+v", crew, c)
				}
				move := kitchen.Command{Do: kitchen.DoMove, Batch: b.ID}
				if code := try(crew, move); code == kitchen.RefNotSigned || code == kitchen.RefTooYoung {
					refused++
				}
				if s.Urgent(b) {
					urgent++
					move.Urgent = true
					require.NotEqual(t, kitchen.RefNotSigned, try(crew, move), "%s: %+v", crew, b)
				}
			}
		}
	}
	t.Log(asked, "asked,", refused, "moves refused,", urgent, "urgent")
	require.Positive(t, urgent)
	require.Positive(t, refused)
}

// A lead notes a day of birth and who trains; what a change leaves out stays as it was.
func TestWhatIsNotedOfAMemberStays(t *testing.T) {
	k := crewed(t)
	edit := kitchen.Command{Do: kitchen.DoMember, Crew: "jun"}
	for _, bad := range []string{"31.3.2008", "2008-02-30", "1890-01-01", "2031-01-01"} {
		edit.Born = bad
		require.Equal(t, bad, k.refused(kitchen.RefBorn, edit).Name)
	}
	edit.Born = "2008-03-31"
	k.by("teo").refused(kitchen.RefNotLead, edit)
	k.by("maren").do(edit)
	k.do(kitchen.Command{Do: kitchen.DoMember, Crew: "jun", Trainer: "yes"})
	m := k.s.Member("jun")
	day, _ := stamp.Date("2008-03-31")
	require.Equal(t, entry.Member{Crew: "jun", Name: "Jun Abara", Lang: "en", Role: entry.Trainee, Born: day, Trainer: true}, *m)
	k.do(kitchen.Command{Do: kitchen.DoMember, Crew: "jun", Answer: "cook", Text: "es"})
	k.do(kitchen.Command{Do: kitchen.DoMember, Crew: "jun", Trainer: "no"})
	m = k.s.Member("jun")
	require.Equal(t, entry.Member{Crew: "jun", Name: "Jun Abara", Lang: "es", Born: day}, *m)
	today := k.s.WallDay(k.now)
	k.do(kitchen.Command{Do: kitchen.DoMember, Crew: "jun", Born: dateOf(today)})
	k.refused(kitchen.RefBorn, kitchen.Command{Do: kitchen.DoMember, Crew: "jun", Born: dateOf(today + 1)})
}

func dateOf(day int32) string { return time.Unix(int64(day)*86400, 0).UTC().Format("2006-01-02") }
