package pairing_test

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/fail"
	"brinebell/internal/pairing"
	"brinebell/internal/sqlite"
)

const minute = 60_000

// desk returns a desk over a real store.
func desk(t *testing.T) *pairing.Desk {
	t.Helper()
	s, err := sqlite.Open(t.TempDir(), sqlite.Options{})
	require.NoError(t, err)
	t.Cleanup(func() { _ = s.Close() })
	return pairing.NewDesk(s, nil)
}

func TestACodeLetsOneDeviceInOnce(t *testing.T) {
	d := desk(t)
	code, err := d.NewCode(0)
	require.NoError(t, err)
	require.Equal(t, pairing.CodeLife.Milliseconds(), code.Until)
	require.Regexp(t, "^["+pairing.Alphabet+"]{3} ["+pairing.Alphabet+"]{3}$", code.Text)

	typed := strings.ToLower(strings.ReplaceAll(code.Text, " ", "-")) + " "
	ticket, err := d.Join(pairing.Application{Code: typed, Name: "  Fryer   phone ", From: "a"}, 9*minute)
	require.NoError(t, err)
	require.Equal(t, "Fryer phone", ticket.Device.Name)
	require.Len(t, ticket.Key, pairing.KeyBytes)
	require.Equal(t, sha256.Sum256(ticket.Key), ticket.Device.KeyHash, "only the hash is kept")

	_, err = d.Join(pairing.Application{Code: code.Text, From: "b"}, 9*minute)
	require.Equal(t, fail.Refused, fail.KindOf(err))
	require.Contains(t, fail.Sentence(err), "used already")
}

func TestACodeEndsAfterTenMinutes(t *testing.T) {
	for after, ok := range map[int64]bool{10*minute - 1000: true, 10 * minute: false, 10*minute + 1000: false} {
		d := desk(t)
		code, err := d.NewCode(5)
		require.NoError(t, err)
		_, err = d.Join(pairing.Application{Code: code.Text, From: "a"}, 5+after)
		require.Equal(t, ok, err == nil, "%d ms after: %v", after, err)
	}
}

func TestAWrongCodeAndNoCode(t *testing.T) {
	d := desk(t)
	for _, code := range []string{"", "ABC DEF", "O0I1L", strings.Repeat("A", 10000), "K7M\x004QP", "'; DROP TABLE codes; --"} {
		_, err := d.Join(pairing.Application{Code: code, From: fmt.Sprint(len(code))}, 0)
		require.Equal(t, fail.Refused, fail.KindOf(err), "%q", code)
	}
}

func TestTheDemoOnThisMachineNeedsNoCode(t *testing.T) {
	d := desk(t)
	for i := range 100 {
		ticket, err := d.Join(pairing.Application{Free: true, From: "127.0.0.1"}, int64(i))
		require.NoError(t, err)
		require.NotEmpty(t, ticket.Device.Name)
	}
	devices, err := d.Devices()
	require.NoError(t, err)
	require.Len(t, devices, 100)
}

func TestNames(t *testing.T) {
	d := desk(t)
	_, err := d.Join(pairing.Application{Free: true, Name: strings.Repeat("ñ", pairing.NameMax)}, 0)
	require.NoError(t, err)
	_, err = d.Join(pairing.Application{Free: true, Name: strings.Repeat("ñ", pairing.NameMax+1)}, 0)
	require.Equal(t, fail.Invalid, fail.KindOf(err))
	require.Contains(t, fail.Sentence(err), "41 characters")
	require.Contains(t, fail.Sentence(err), "at most 40")
	for _, name := range []string{"a\x1b[31mred", "a\x00b", "right\u202eleft", "\xff\xfe"} {
		_, err = d.Join(pairing.Application{Free: true, Name: name}, 0)
		require.Equal(t, fail.Invalid, fail.KindOf(err), "%q", name)
	}
}

func TestGuessingIsHeldBackForOneAddressAndForAll(t *testing.T) {
	d := desk(t)
	try := func(from string, at int64) fail.Kind {
		_, err := d.Join(pairing.Application{Code: "AAA AAA", From: from}, at)
		return fail.KindOf(err)
	}
	for range 10 {
		require.Equal(t, fail.Refused, try("a", 0))
	}
	require.Equal(t, fail.Busy, try("a", 0), "the eleventh at once")
	require.Equal(t, fail.Refused, try("b", 0), "another phone is not to blame")
	require.Equal(t, fail.Busy, try("a", 29_000))
	require.Equal(t, fail.Refused, try("a", 31_000), "one more after half a minute")

	guesses := 0
	for i := range 5000 {
		if try(fmt.Sprint("address ", i), 60_000+int64(i)*10) == fail.Refused {
			guesses++
		}
	}
	require.Less(t, guesses, 60+50+2, "5,000 addresses in 50 s share one limit")
}

func TestADozenRightCodesInARow(t *testing.T) {
	d := desk(t)
	for i := range 12 {
		code, err := d.NewCode(int64(i))
		require.NoError(t, err)
		_, err = d.Join(pairing.Application{Code: code.Text, From: "a"}, int64(i))
		require.NoError(t, err)
	}
}

func TestHowADeviceStands(t *testing.T) {
	d := desk(t)
	ticket, err := d.Join(pairing.Application{Free: true}, 1)
	require.NoError(t, err)
	stands := func(id string, key []byte) pairing.Standing {
		s, err := d.Standing(id, key)
		require.NoError(t, err)
		return s
	}
	id := ticket.Device.ID
	require.Equal(t, pairing.Paired, stands(id, ticket.Key))
	require.Equal(t, pairing.Stranger, stands(id, make([]byte, 32)))
	require.Equal(t, pairing.Stranger, stands(id, nil))
	require.Equal(t, pairing.Stranger, stands("nobody", ticket.Key))
	require.NoError(t, d.Revoke(id, 7))
	require.Equal(t, pairing.Revoked, stands(id, ticket.Key))
	require.Equal(t, pairing.Stranger, stands(id, make([]byte, 32)), "without the key not even that is told")
}

func TestWithoutRandomnessNobodyIsLetIn(t *testing.T) {
	s, err := sqlite.Open(t.TempDir(), sqlite.Options{})
	require.NoError(t, err)
	t.Cleanup(func() { _ = s.Close() })
	d := pairing.NewDesk(s, bytes.NewReader(make([]byte, 3)))
	_, err = d.NewCode(0)
	require.Error(t, err)
	_, err = d.Join(pairing.Application{Free: true}, 0)
	require.Error(t, err)
}

// brokenBook fails at everything.
type brokenBook struct{ pairing.Book }

var errBroken = errors.New("broken")

func (brokenBook) Device(string) (pairing.Device, error) { return pairing.Device{}, errBroken }

func (brokenBook) Admit(*[32]byte, int64, pairing.Device) (bool, error) { return false, errBroken }

func TestABrokenBookLetsNobodyIn(t *testing.T) {
	d := pairing.NewDesk(brokenBook{}, nil)
	standing, err := d.Standing("x", nil)
	require.ErrorIs(t, err, errBroken)
	require.Equal(t, pairing.Stranger, standing)
	_, err = d.Join(pairing.Application{Free: true}, 0)
	require.ErrorIs(t, err, errBroken)
}
