package words

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
)

const now stamp.Milli = 1795711080000 // Thursday 26 November 2026, 11:38 in a kitchen five hours behind UTC

// kitchenWith is a kitchen with its documents, one tub that drains, one load that cooks and one tray.
func kitchenWith(t *testing.T) (*kitchen.State, entry.ID) {
	s := kitchen.New()
	clock := stamp.Clock{Device: "kitchen"}
	n := byte(0)
	add := func(body entry.Body) entry.ID {
		n++
		e := entry.New(entry.NewID(now-1000, [10]byte{n}), clock.Next(now-stamp.Milli(stamp.Day)), "ines", body)
		if b, ok := body.(*entry.Start); ok {
			b.Batch = e.ID
			e = entry.New(e.ID, e.At, "ines", b)
		}
		s.Apply(&e, kitchen.Amended{})
		return e.ID
	}
	add(&entry.Offsets{List: []entry.Offset{{Minutes: -300}}})
	add(&entry.Member{Crew: "maren", Name: "Maren", Role: entry.Lead})
	for _, f := range []string{"equipment", "procedure-bone-in", "list-cleaning"} {
		text, err := os.ReadFile("../../demo/documents/" + f + ".json")
		require.NoError(t, err)
		doc, err := procedure.Open(text)
		require.NoError(t, err)
		d := &entry.Document{Text: string(text), What: kitchen.WhatEquipment, Name: "kitchen"}
		if doc.Equipment != nil {
			d.Version = doc.Equipment.Version
		}
		if doc.Procedure != nil {
			d.What, d.Name, d.Version = kitchen.WhatProcedure, doc.Procedure.Name, doc.Procedure.Version
		} else if doc.List != nil {
			d.What, d.Name, d.Version = kitchen.WhatList, doc.List.Name, doc.List.Version
		}
		add(d)
	}
	id := add(&entry.Start{Code: "7K3M", Procedure: "bone-in", Version: 7, Stage: "marinate", Vessel: "tub", Number: 4, Grams: 13800})
	require.NotNil(t, s.Batch(id))
	return s, id
}

func says(o Off) string { return strings.Join(append([]string{o.Title}, o.Lines...), " / ") }

func TestRefusals(t *testing.T) {
	s, tub := kitchenWith(t)
	for _, c := range []struct {
		r      kitchen.Refusal
		en, es string
	}{
		{kitchen.Refusal{Code: kitchen.RefTooSoon, Batch: tub, Stage: "marinate", Number: int64(388 * stamp.Minute),
			Limit: int64(7 * stamp.Hour), Unit: "ms", Until: now.Add(32 * stamp.Minute), Override: true},
			"Too soon by 32 min / Tub 4, Marinade: at least 7 h, so far 6 h 28. / Wait until 12:10. / Or a lead overrides, with a reason.",
			"Demasiado pronto por 32 min / Cubeta 4, Marinado: al menos 7 h, lleva 6 h 28. / Espera hasta las 12:10. / O un jefe de turno lo autoriza, con un motivo."},
		{kitchen.Refusal{Code: kitchen.RefTooSoon, Batch: tub, Stage: "cook", Number: 599_000, Limit: 600_000, Unit: "ms",
			Until: now.Add(stamp.Second)},
			"Too soon by 1 s / Tub 4, Cook: at least 10 min, so far 9:59. / Wait until 11:38:01. / This limit is one that no lead may override.",
			"Demasiado pronto por 1 s / Cubeta 4, Fritura: al menos 10 min, lleva 9:59. / Espera hasta las 11:38:01. / Este límite no lo puede saltar ningún jefe de turno."},
		{kitchen.Refusal{Code: kitchen.RefPastLimit, Batch: tub, Stage: "hold", Number: int64(50*stamp.Minute) + 1,
			Limit: int64(50 * stamp.Minute), Unit: "ms"},
			"Past the limit by 1 s / Tub 4, Hold: at most 50 min, it has had 50 min. / Discard it.",
			"Fuera de límite por 1 s / Cubeta 4, Venta: como mucho 50 min, lleva 50 min. / Deséchalo."},
		{kitchen.Refusal{Code: kitchen.RefOffLimit, Batch: tub, Stage: "release", Step: "core", Number: 71_800, Limit: 75_000, Unit: "mC"},
			"71.8 °C is 3.2 °C under the limit", "71,8 °C está 3,2 °C por debajo del límite"},
		{kitchen.Refusal{Code: kitchen.RefReadingOld, Place: "fryer-1", Number: 168_400, Limit: int64(2 * stamp.Hour), Age: 3 * stamp.Hour},
			"Fryer 1 was last read 3 h ago / 168.4 °C then. A reading lasts 2 h. / Read it now, then load.",
			"Freidora 1 se midió hace 3 h / 168,4 °C entonces. Una medida vale 2 h. / Mídela ahora y carga."},
		{kitchen.Refusal{Code: kitchen.RefReadingOff, Place: "fryer-1", Number: 161_000, Limit: 164_000, Unit: "mC", Age: 4 * stamp.Minute},
			"Fryer 1: 161.0 °C is 3.0 °C under the limit / Limit 164.0 to 174.0 °C, read 4 min ago. / Wait until it is right, read it again, then load.",
			"Freidora 1: 161,0 °C está 3,0 °C por debajo del límite / Límite 164,0 a 174,0 °C, medida hace 4 min. / Espera a que esté bien, mídela otra vez y carga."},
		{kitchen.Refusal{Code: kitchen.RefPlaceFull, Place: "fryer-1", Number: 52, Limit: 48, Unit: "1"},
			"52 pieces is 4 pieces more than Fryer 1 takes / At most 48 pieces. / Load less.",
			"52 piezas son 4 piezas más de lo que admite Freidora 1 / Como mucho 48 piezas. / Carga menos."},
		{kitchen.Refusal{Code: kitchen.RefStepMissing, Batch: tub, Stage: "drain", Step: "pour", Name: "pour", Number: 1, Unit: "1"},
			"1 step is still to do / The first is: Marinade into the sink, pieces into the drain insert / Do it, then tap once more.",
			"Falta 1 paso / El primero es: Marinado a la pila, piezas al escurridor / Hazlo y toca otra vez."},
		{kitchen.Refusal{Code: kitchen.RefUndoLate, Number: 13_000, Limit: 10_000, Unit: "ms"},
			"Undo ended 3 s ago / It works for 10 s after the tap. / Correct it in the history instead.",
			"Deshacer terminó hace 3 s / Vale 10 s después del toque. / Corrígelo en el historial."},
		{kitchen.Refusal{Code: 250}, "This cannot be done now", "Esto no se puede hacer ahora"},
	} {
		for l, want := range map[Lang]string{EN: c.en, ES: c.es} {
			got := strings.ReplaceAll(says(l.Refusal(s, &c.r, now)), "\u00a0", " ")
			require.True(t, strings.HasPrefix(got, want), "code %d\nwant %s\n got %s", c.r.Code, want, got)
		}
	}
}

// TestOffLimitEndsWithWhatTheProcedureSays: the way out comes from the procedure, not from us.
func TestOffLimitEndsWithWhatTheProcedureSays(t *testing.T) {
	s, tub := kitchenWith(t)
	r := &kitchen.Refusal{Code: kitchen.RefOffLimit, Batch: tub, Stage: "release", Step: "core", Number: 71_800, Limit: 75_000, Unit: "mC"}
	step := StepOf(s, s.Batch(tub), "release", "", "core")
	require.NotNil(t, step)
	require.NotEmpty(t, step.IfNot.EN)
	lines := EN.Refusal(s, r, now).Lines
	require.Equal(t, step.IfNot.EN, lines[len(lines)-1])
}

func TestEveryRefusalAndDeviationHasItsWords(t *testing.T) {
	s, tub := kitchenWith(t)
	for code := kitchen.RefNone + 1; code <= kitchen.RefCrewKnown; code++ {
		require.Contains(t, refusalIDs, code, "code %d", code)
	}
	for code := range deviationIDs {
		for _, l := range Langs() {
			d := &kitchen.Deviation{Code: code, Batch: tub, Place: "fryer-1", Stage: "drain", Step: "pour", Text: "tub", Number: 2, Limit: 3,
				Unit: "ms", By: "maren"}
			off := l.Deviation(s, d, now)
			require.NotEmpty(t, off.Title, "code %d", code)
			require.NotEmpty(t, off.Lines, "code %d: what to do", code)
			require.NotContains(t, says(off), "{", "code %d", code)
			require.NotContains(t, says(off), "dev.", "code %d", code)
		}
	}
	require.GreaterOrEqual(t, len(deviationIDs), int(kitchen.DevNotRested)+1)
}

func TestDeviations(t *testing.T) {
	s, tub := kitchenWith(t)
	for _, c := range []struct {
		d    kitchen.Deviation
		want string
	}{
		{kitchen.Deviation{Code: kitchen.DevReadingOff, Place: "cabinet-1", Number: 55_800, Limit: 57_000, Unit: "mC"},
			"Hold cabinet: 55.8 °C, 1.2 °C under the limit / Limit at least 57.0 °C. / Move what is in it, put it right, read it again."},
		{kitchen.Deviation{Code: kitchen.DevTooSoon, Batch: tub, Stage: "marinate", Number: int64(6 * stamp.Hour), Limit: int64(7 * stamp.Hour),
			Unit: "ms", By: "maren", Text: "bus of 40 came"},
			"Tub 4 left Marinade 1 h too soon / At least 7 h, it had 6 h. / Maren let it go on: bus of 40 came / Look into it, and write down what was done."},
		{kitchen.Deviation{Code: kitchen.DevMoreThanThere, Batch: tub, Number: 15_000, Limit: 13_800, Unit: "g"},
			"15.0 kg taken out of Tub 4, 1.2 kg more than there was / There was 13.8 kg. It counts as empty. / Count again, and correct the wrong number."},
		{kitchen.Deviation{Code: kitchen.DevSameName, Text: "pan", Number: 6},
			"Two open batches are called Pan 6 / Tell them apart by their codes, and mark one anew."},
		{kitchen.Deviation{Code: kitchen.DevStepsMissing, List: "cleaning", Step: "bins", Number: 2, Unit: "1"},
			"Cleaning, mid-morning: 2 steps left undone / The first is: Bins out, washed, new bags / Look into it, and write down what was done."},
		{kitchen.Deviation{Code: kitchen.DevTwiceMoved, Batch: tub, Stage: "marinate", Number: 6_000, Unit: "g"},
			"Tub 4 was taken out twice: 6.0 kg a second time / Two devices said it while out of touch. What both took out is counted, " +
				"so there is too much on record. / Look what is there. Discard what is not, or correct the wrong entry."},
		{kitchen.Deviation{Code: kitchen.DevTwiceMoved, Batch: tub, Stage: "marinate"},
			"Tub 4 was moved twice out of Marinade / Two devices said it at different times. The first one counts. / Ask both, and correct the wrong one."},
		{kitchen.Deviation{Code: kitchen.DevUnitWeight, Text: "FR-1", Number: 1520, Limit: 1450, Unit: "g"},
			"A unit of lot FR-1 weighs 1.52 kg, 70 g more than it may / Its cook time changes. Prove the first load with a probe."},
		{kitchen.Deviation{Code: kitchen.DevOilUnchecked, Place: "fryer-1"},
			"Fryer 1 was loaded without any reading / Read it now, and probe what came out of it."},
		{kitchen.Deviation{Code: kitchen.DevNoted, Text: "Lid handle is loose", Place: "fryer-1"},
			"Lid handle is loose / Look into it, and write down what was done."},
	} {
		require.Equal(t, c.want, strings.ReplaceAll(says(EN.Deviation(s, &c.d, now)), "\u00a0", " "))
	}
}

// TestWhatIsNotSoHasItsWords: each reason for which frost and logs refuse says what is so, and what to do.
func TestWhatIsNotSoHasItsWords(t *testing.T) {
	s, tub := kitchenWith(t)
	for _, so := range []string{kitchen.NotFrozen, kitchen.NotThawable, kitchen.NotHot, kitchen.NotInOil, kitchen.NotLogged, kitchen.NotTimed,
		kitchen.NotKept, kitchen.NotStart, kitchen.NotLog, kitchen.NotOver} {
		for _, l := range Langs() {
			off := l.Refusal(s, &kitchen.Refusal{Code: kitchen.RefNot, Name: so, Batch: tub, Number: 20_000, Limit: 5_000, Unit: "mC"}, now)
			require.NotEmpty(t, off.Title, so)
			require.NotContains(t, says(off), "{", so)
			require.True(t, so == kitchen.NotThawable || len(off.Lines) > 0, so)
		}
	}
}
