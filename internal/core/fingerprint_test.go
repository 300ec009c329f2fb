package core

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/procedure"
)

func TestTheFingerprintTouchesEveryKind(t *testing.T) {
	kinds := map[entry.Kind]bool{}
	for _, body := range specimen() {
		kinds[body.Kind()] = true
	}
	for _, k := range entry.Kinds() {
		require.True(t, kinds[k], "no %s in the specimen", k)
	}
	_, err := procedure.Open([]byte(small))
	require.NoError(t, err)
	require.Len(t, Fingerprint(), 16)
	require.Equal(t, Fingerprint(), Fingerprint())
}

func TestIDsNeverRepeat(t *testing.T) {
	seen := map[entry.ID]bool{}
	for count := range uint64(50) { // a shell that gives no randomness, restarted or not
		c := newChance([32]byte{}, "anna", count)
		d := newChance([32]byte{}, "bea", count)
		for range 20 {
			for _, id := range []entry.ID{c.id(5), d.id(5)} {
				require.False(t, seen[id])
				seen[id] = true
				require.EqualValues(t, 7, id[6]>>4)
			}
		}
	}
}

func TestTheClockIsCutOutOfAScreen(t *testing.T) {
	require.Equal(t, `{"view":"x",,"parts":[{"text":"\"now\":{5}"}]}`,
		string(withoutNow([]byte(`{"view":"x","now":{"kitchen":5,"mono":6},"parts":[{"text":"\"now\":{5}"}]}`))))
	require.Equal(t, `{}`, string(withoutNow([]byte(`{}`))))
}

func TestSooner(t *testing.T) {
	require.EqualValues(t, 0, sooner(0, 0, 5))
	require.EqualValues(t, 9, sooner(0, 9, 5))
	require.EqualValues(t, 9, sooner(9, 0, 5))
	require.EqualValues(t, 6, sooner(9, 2, 5), "what is past already is soon")
	require.EqualValues(t, 7, sooner(9, 7, 5))
}
