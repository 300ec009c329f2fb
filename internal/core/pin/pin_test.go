package pin

import (
	"crypto/pbkdf2"
	"crypto/sha256"
	"encoding/hex"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// The examples of FIPS 180-4's published test vectors, from memory; the standard library agrees with each below.
func TestSumOfPublishedMessages(t *testing.T) {
	for message, want := range map[string]string{
		"":    "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
		"abc": "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
		"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq": "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1",
		strings.Repeat("a", 1_000_000):                             "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0",
	} {
		got := Sum([]byte(message))
		require.Equal(t, want, hex.EncodeToString(got[:]))
		require.Equal(t, sha256.Sum256([]byte(message)), got)
	}
}

// Every length to either side of where padding takes another block.
func TestSumOfEveryLength(t *testing.T) {
	for n := range 200 {
		msg := []byte(strings.Repeat("x", n))
		require.Equal(t, sha256.Sum256(msg), Sum(msg), "%d bytes", n)
	}
}

// Of RFC 7914, section 11 (its first 32 bytes), from memory; the standard library agrees.
func TestDigestOfPublishedExample(t *testing.T) {
	got := Digest("passwd", []byte("salt"), 1)
	require.Equal(t, "55ac046e56e3089fec1691c22544b605f94185216dde0465e68b9d57c20dacbc", hex.EncodeToString(got))
}

func TestDigestIsThatOfTheStandardLibrary(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		key := rapid.StringN(0, 200, 200).Draw(t, "key")
		salt := rapid.SliceOfN(rapid.Byte(), 0, 100).Draw(t, "salt")
		n := rapid.IntRange(1, 40).Draw(t, "rounds")
		want, err := pbkdf2.Key(sha256.New, key, salt, n, Size)
		require.NoError(t, err)
		require.Equal(t, want, Digest(key, salt, uint32(n)))
	})
}

func TestIs(t *testing.T) {
	salt := []byte("0123456789abcdef")
	digest := Digest("2749", salt, 50)
	require.True(t, Is("2749", salt, 50, digest))
	for name, ok := range map[string]bool{
		"another PIN":    Is("2748", salt, 50, digest),
		"a longer one":   Is("27490", salt, 50, digest),
		"another salt":   Is("2749", salt[1:], 50, digest),
		"other rounds":   Is("2749", salt, 51, digest),
		"no rounds":      Is("2749", salt, 0, digest),
		"endless rounds": Is("2749", salt, 4_000_000_000, digest),
		"no digest":      Is("2749", salt, 50, nil),
		"a short digest": Is("2749", salt, 50, digest[:31]),
		"no digits":      Is("27a9", salt, 50, Digest("27a9", salt, 50)),
	} {
		require.False(t, ok, name)
	}
}

func TestForm(t *testing.T) {
	for pin, want := range map[string]bool{"": false, "123": false, "1234": true, "12345678": true, "123456789": false, "12a4": false, "１２３４": false} {
		require.Equal(t, want, Form(pin), pin)
	}
	for pin, want := range map[string]bool{"1111": true, "1234": true, "3456": true, "9876": true, "99999999": true, "1235": false, "2749": false, "1112": false, "9012": false} {
		require.Equal(t, want, Plain(pin), pin)
	}
}
