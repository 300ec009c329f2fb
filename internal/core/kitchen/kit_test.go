package kitchen_test

import (
	"cmp"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
)

// evening is when tests begin: 2026-11-24T20:00:00Z, a Tuesday; the kitchen's clocks show 20:00 too.
const evening stamp.Milli = 1795550400000

// kit is a kitchen under test: taps go through Decide, what others said comes in by say.
type kit struct {
	t      *testing.T
	chance chance
	now    stamp.Milli
	count  uint32
	crew   string
	list   []entry.Entry
	s      *kitchen.State
}

func newKit(t *testing.T) *kit {
	k := &kit{t: t, chance: 11, now: evening, s: kitchen.New(), crew: "ben"}
	eq, proc, list := equipmentDoc(1), piecesDoc(1), openingDoc(1)
	k.say(&entry.NamedKitchen{Name: "Test", Zone: "UTC"})
	k.say(&eq)
	k.say(&proc)
	k.say(&list)
	k.say(&entry.Member{Crew: "ann", Name: "Ann", Lang: "en", Role: entry.Lead})
	k.say(&entry.Member{Crew: "ben", Name: "Ben", Lang: "es"})
	require.Empty(t, k.s.Deviations)
	return k
}

func (k *kit) id() entry.ID { return k.chance.ID(k.now) }

// say puts an entry into the journal that no rule looked at, and returns its id.
func (k *kit) say(body entry.Body) entry.ID { return k.sayOn("phone", k.id(), body) }

func (k *kit) sayOn(device string, id entry.ID, body entry.Body) entry.ID {
	k.count++
	e := entry.New(id, stamp.Stamp{At: k.now, Count: k.count, Device: device}, k.crew, body)
	k.list = append(k.list, e)
	k.s = fold(k.list)
	return e.ID
}

// try says what the rules answer to a tap.
func (k *kit) try(c kitchen.Command) ([]kitchen.Draft, *kitchen.Refusal) {
	return kitchen.Decide(k.s, &c, kitchen.Who{Crew: k.crew, Device: "phone"}, k.now, k.id)
}

// do taps, and what follows must be allowed.
func (k *kit) do(c kitchen.Command) []entry.ID {
	k.t.Helper()
	drafts, refused := k.try(c)
	require.Nil(k.t, refused, "%s is refused", c.Do)
	var ids []entry.ID
	for _, d := range drafts {
		ids = append(ids, k.sayOn("phone", d.ID, d.Body))
	}
	return ids
}

// refused taps, and it must be refused with the code.
func (k *kit) refused(code kitchen.RefusalCode, c kitchen.Command) *kitchen.Refusal {
	k.t.Helper()
	drafts, refused := k.try(c)
	require.NotNil(k.t, refused, "%s is not refused", c.Do)
	require.Equal(k.t, code, refused.Code, "%+v", refused)
	require.Empty(k.t, drafts)
	return refused
}

func (k *kit) wait(d stamp.Span) { k.now = k.now.Add(d) }

func (k *kit) batch(id entry.ID) *kitchen.Batch {
	k.t.Helper()
	b := k.s.Batch(id)
	require.NotNil(k.t, b)
	return b
}

// open lists the open batches at a stage, by the number of their vessel.
func (k *kit) open(stage string) []*kitchen.Batch {
	var list []*kitchen.Batch
	for i := range k.s.Batches {
		if b := &k.s.Batches[i]; b.Status == kitchen.Open && b.Stage == stage {
			list = append(list, b)
		}
	}
	slices.SortFunc(list, func(a, b *kitchen.Batch) int { return cmp.Compare(a.Number, b.Number) })
	return list
}

// off returns the only deviation with the code.
func (k *kit) off(code kitchen.DeviationCode) kitchen.Deviation {
	k.t.Helper()
	var found []kitchen.Deviation
	for _, d := range k.s.Deviations {
		if d.Code == code {
			found = append(found, d)
		}
	}
	require.Len(k.t, found, 1, "deviations with code %d among %+v", code, k.s.Deviations)
	return found[0]
}

func (k *kit) codes() []kitchen.DeviationCode {
	var list []kitchen.DeviationCode
	for _, d := range k.s.Deviations {
		list = append(list, d.Code)
	}
	return list
}

func (k *kit) readOil() {
	k.do(kitchen.Command{Do: kitchen.DoReading, Place: "fryer-1", Value: 169_000, Unit: "mC"})
	k.do(kitchen.Command{Do: kitchen.DoReading, Place: "fryer-2", Value: 170_000, Unit: "mC"})
}

// tub starts one tub of 15 kg, 96 pieces.
func (k *kit) tub() entry.ID {
	k.t.Helper()
	return k.do(kitchen.Command{Do: kitchen.DoStart, Procedure: "pieces", Grams: 15_000, Pieces: 96, Lots: []string{"L7"}})[0]
}

// drained brings a new tub to where it may be coated.
func (k *kit) drained() entry.ID {
	k.t.Helper()
	id := k.tub()
	k.wait(10 * stamp.Hour)
	k.do(kitchen.Command{Do: kitchen.DoMove, Batch: id, From: "marinate"})
	k.do(kitchen.Command{Do: kitchen.DoStep, Batch: id, Step: "pour"})
	k.do(kitchen.Command{Do: kitchen.DoStep, Batch: id, Step: "colour", Answer: "yes"})
	k.wait(45 * stamp.Minute)
	return id
}

// pans brings a new tub to two pans that may be loaded.
func (k *kit) pans() []*kitchen.Batch {
	k.t.Helper()
	k.do(kitchen.Command{Do: kitchen.DoPortion, Batch: k.drained()})
	k.wait(stamp.Hour)
	return k.open("set")
}

// loaded brings a load into fryer 1.
func (k *kit) loaded() *kitchen.Batch {
	k.t.Helper()
	k.pans()
	k.readOil()
	k.do(kitchen.Command{Do: kitchen.DoPortion, Place: "fryer-1"})
	return k.open("cook")[0]
}

// cooked does the steps that end the cook.
func (k *kit) cooked(id entry.ID) {
	k.t.Helper()
	k.wait(11*stamp.Minute + 30*stamp.Second)
	k.do(kitchen.Command{Do: kitchen.DoStep, Batch: id, Step: "lid"})
	k.do(kitchen.Command{Do: kitchen.DoStep, Batch: id, Step: "core", Value: 78_000, Unit: "mC"})
}

// trays brings a load's trays into the hold.
func (k *kit) trays() []*kitchen.Batch {
	k.t.Helper()
	load := k.loaded()
	k.cooked(load.ID)
	k.do(kitchen.Command{Do: kitchen.DoPortion, Batch: load.ID})
	for _, b := range k.open("stage") {
		k.do(kitchen.Command{Do: kitchen.DoMove, Batch: b.ID})
	}
	return k.open("hold")
}
