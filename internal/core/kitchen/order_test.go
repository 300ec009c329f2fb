package kitchen_test

import (
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
)

// journals is how many random journals are enough for each kind and deviation to occur. That any order gives the same
// state is proved on a thousand of them by package journal, whose log has the order to keep.
const journals = 250

// TestAnyOrderGivesTheSameBytes folds random journals in the order in which they were made, shuffled, and with doubles.
func TestAnyOrderGivesTheSameBytes(t *testing.T) {
	seen := make([]int, 64)
	off := make([]int, 64)
	for seed := range uint64(journals) {
		chance := chance(seed * 77)
		list := random(seed, 1+chance.Below(400))
		want := fold(list)
		bytes := want.Append(nil)
		mixed := shuffled(&chance, append(list[:len(list):len(list)], list[:len(list)/3]...))
		require.Equal(t, bytes, fold(mixed).Append(nil), "seed %d", seed)
		back, err := kitchen.Read(bytes)
		require.NoError(t, err, "seed %d", seed)
		require.Equal(t, bytes, back.Append(nil), "seed %d", seed)
		require.Equal(t, uint64(len(list)), want.Folded)
		for _, e := range list {
			seen[min(int(e.Kind), 63)]++
		}
		for _, d := range want.Deviations {
			off[d.Code]++
		}
	}
	t.Log("deviations by code:", off)
	for _, k := range entry.Kinds() {
		require.Positive(t, seen[k], "no random journal has an entry of kind %s", k)
	}
	for code := kitchen.DevNoted; code <= kitchen.DevUnitWeight; code++ {
		require.Positive(t, off[code], "no random journal opens a deviation with code %d", code)
	}
	require.Positive(t, off[kitchen.DevExcursion], "no random journal has an excursion")
	for code := kitchen.DevNotConfirmed; code <= kitchen.DevPinDenied; code++ {
		require.Positive(t, off[code], "no random journal opens a deviation with code %d", code)
	}
	for code := kitchen.DevCooling; code <= kitchen.DevFrozen; code++ {
		require.Positive(t, off[code], "no random journal opens a deviation with code %d", code)
	}
}

func shuffled(c *chance, list []entry.Entry) []entry.Entry {
	for i := len(list) - 1; i > 0; i-- {
		j := c.Below(i + 1)
		list[i], list[j] = list[j], list[i]
	}
	return list
}

// TestFoldGoesOnFromBytes stops in the middle of a journal, writes the state down, reads it and goes on.
func TestFoldGoesOnFromBytes(t *testing.T) {
	for seed := range uint64(60) {
		list := random(seed, 300)
		whole, parts := kitchen.New(), kitchen.New()
		for i, e := range list {
			whole.Apply(&e, kitchen.Amended{})
			parts.Apply(&e, kitchen.Amended{})
			if i%37 == 0 {
				back, err := kitchen.Read(parts.Append(nil))
				require.NoError(t, err)
				parts = back
			}
			if i%53 == 0 {
				parts = parts.Clone()
			}
		}
		require.Equal(t, whole.Append(nil), parts.Append(nil), "seed %d", seed)
	}
}

// TestStateHoldsTogether looks at the lists of states, which lookups rely on, and at amounts.
func TestStateHoldsTogether(t *testing.T) {
	for seed := range uint64(100) {
		s := fold(random(seed, 400))
		for i := 1; i < len(s.Batches); i++ {
			require.Negative(t, s.Batches[i-1].ID.Compare(s.Batches[i].ID))
		}
		for i := 1; i < len(s.Deviations); i++ {
			require.Less(t, s.Deviations[i-1].Key, s.Deviations[i].Key)
		}
		for i := 1; i < len(s.Places); i++ {
			require.Less(t, s.Places[i-1].Name, s.Places[i].Name)
		}
		for i := 1; i < len(s.Bells); i++ {
			require.Less(t, s.Bells[i-1].Subject, s.Bells[i].Subject)
		}
		for i := 1; i < len(s.Documents); i++ {
			a, b := s.Documents[i-1], s.Documents[i]
			require.Less(t, a.What+"/"+a.Name+"/"+strconv.Itoa(int(a.Version)), b.What+"/"+b.Name+"/"+strconv.Itoa(int(b.Version)))
		}
		nothingIsNegative(t, s)
	}
}

// nothingIsNegative: whatever was said, nothing less than nothing is left, and what is ended has an end.
func nothingIsNegative(t *testing.T, s *kitchen.State) {
	for _, b := range s.Batches {
		require.GreaterOrEqual(t, b.Grams, int64(0))
		require.GreaterOrEqual(t, b.Pieces, int64(0))
		require.LessOrEqual(t, b.Grams, b.InGrams)
		require.LessOrEqual(t, b.Pieces, b.InPieces)
		for _, id := range b.Children {
			// It may have ended long before its parent, and wild entries may use its id again after that.
			if child := s.Batch(id); child != nil && (b.EndedAt == 0 || child.MadeAt <= b.EndedAt) {
				require.Contains(t, child.Parents, b.ID, "ancestry is told from both ends")
			}
		}
		if b.Status == kitchen.Discarded {
			require.Zero(t, b.Grams+b.Pieces)
		}
	}
}

// TestReadRefusesNonsense: bytes that are not a state give an error, never a panic.
func TestReadRefusesNonsense(t *testing.T) {
	state := fold(random(1, 200)).Append(nil)
	_, err := kitchen.Read(nil)
	require.ErrorIs(t, err, kitchen.ErrState)
	_, err = kitchen.Read([]byte{9, 1, 2})
	require.ErrorIs(t, err, kitchen.ErrState)
	c := chance(4)
	refused, more := 0, random(2, 120)
	for i := range 2000 {
		broken := append([]byte(nil), state...)
		broken[1+c.Below(len(broken)-1)] ^= byte(1 + c.Below(255))
		if s, err := kitchen.Read(broken[:len(broken)-c.Below(2)*c.Below(len(broken))]); err != nil {
			refused++
		} else if i%10 == 0 { // a byte that made no difference to the form: it folds on
			for _, e := range more {
				s.Apply(&e, kitchen.Amended{})
			}
			_, err = kitchen.Read(s.Append(nil))
			require.NoError(t, err)
		}
	}
	require.Positive(t, refused)
}
