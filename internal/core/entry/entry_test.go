package entry_test

import (
	"encoding/csv"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/jsontext"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
	"brinebell/internal/journaltest"
)

// TestIDsAreThoseOfTheStandard lays an id out like the example of RFC 9562, appendix A.6:
// testdata/published/id-vectors.csv.
func TestIDsAreThoseOfTheStandard(t *testing.T) {
	f, err := os.Open("../../../testdata/published/id-vectors.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	seen := 0
	for _, r := range rows[1:] {
		kind, text, hex := r[0], r[1], r[4]
		id, err := entry.ParseID(text)
		require.NoError(t, err)
		require.Equal(t, hex, wire.Hex(id[:]))
		require.Equal(t, text, id.String())
		if kind != "UUIDv7" {
			continue
		}
		seen++
		ms, err := strconv.ParseInt(r[2], 10, 64)
		require.NoError(t, err)
		made := entry.NewID(stamp.Milli(ms), [10]byte(id[6:]))
		require.Equal(t, id, made)
		var ones [10]byte
		for i := range ones {
			ones[i] = 0xff
		}
		full := entry.NewID(stamp.Milli(ms), ones)
		require.EqualValues(t, 0x7f, full[6], "version 7 in the upper four bits")
		require.EqualValues(t, 0xbf, full[8], "variant 10 in the upper two bits")
	}
	require.Equal(t, 1, seen)
}

func TestWhatIsNoIDIsRefused(t *testing.T) {
	for _, s := range []string{"", "017f22e2", "017f22e2-79b0-7cc3-98c4-dc0c0c07398", "017f22e2-79b0-7cc3-98c4-dc0c0c07398g",
		"017f22e279b0-7cc3-98c4--dc0c0c07398f", "017f22e2-79b0-7cc3-98c4-dc0c0c07398f0"} {
		_, err := entry.ParseID(s)
		require.Error(t, err, s)
	}
}

func TestRecordsComeBack(t *testing.T) {
	kinds := map[entry.Kind]bool{}
	for seed := range uint64(20) {
		for _, e := range journaltest.Random(seed, 300) {
			record := entry.AppendRecord(nil, &e)
			back, err := entry.ReadRecord(record)
			require.NoError(t, err)
			require.Equal(t, record, entry.AppendRecord(nil, &back))
			require.Equal(t, 0, entry.Compare(&e, &back))
			kinds[e.Kind] = true
		}
	}
	for _, k := range entry.Kinds() {
		require.True(t, kinds[k], "no %s among the random entries", k)
	}
}

// TestBodiesGoThroughJSON walks every kind's body to JSON and back.
func TestBodiesGoThroughJSON(t *testing.T) {
	for _, e := range journaltest.Random(3, 2000) {
		body, err := e.Open()
		if err != nil {
			continue
		}
		v, err := jsontext.Read(wire.AppendJSON(nil, body))
		require.NoError(t, err)
		back := e.Kind.Make()
		require.NoError(t, wire.ReadJSON(&v, back))
		require.Equal(t, wire.Append(nil, body), wire.Append(nil, back), "%s", e.Kind)
	}
}

// TestAPinsDigestIsNotForPeople: what is written out for people says that a PIN was set, and nothing that helps to find it.
func TestAPinsDigestIsNotForPeople(t *testing.T) {
	e := entry.New(entry.NewID(5, [10]byte{1}), stamp.Stamp{At: 5, Device: "a"}, "bo", &entry.Pin{Crew: "bo", Salt: []byte{0xab, 0xcd}, Rounds: 77, Digest: []byte{0xfe, 0xdc}})
	text := string(e.AppendJSON(nil))
	require.Contains(t, text, `"crew":"bo"`)
	for _, secret := range []string{"abcd", "fedc", "77"} {
		require.NotContains(t, text, secret)
	}
}

func TestUnknownKindsAreKeptAsTheyAre(t *testing.T) {
	e := entry.New(entry.NewID(5, [10]byte{1}), stamp.Stamp{At: 5, Device: "a"}, "bo", &entry.Note{Text: "x"})
	for _, change := range []func(*entry.Entry){
		func(e *entry.Entry) { e.Kind = 4711 },
		func(e *entry.Entry) { e.Ver = 99 },
		func(e *entry.Entry) { e.Ver = 0 },
	} {
		n := e
		change(&n)
		back, err := entry.ReadRecord(entry.AppendRecord(nil, &n))
		require.NoError(t, err)
		require.Equal(t, n, back)
		_, err = back.Open()
		require.ErrorIs(t, err, entry.ErrUnknown)
		v, err := jsontext.Read(back.AppendJSON(nil))
		require.NoError(t, err)
		require.Equal(t, wire.Hex(n.Raw), v.Str("raw"))
	}
	require.Equal(t, "kind 4711", entry.Kind(4711).String())
	require.Nil(t, entry.Kind(4711).Make())
}

func TestMalformedRecordsAreRefused(t *testing.T) {
	e := entry.New(entry.NewID(5, [10]byte{1}), stamp.Stamp{At: 5, Device: "a"}, "bo", &entry.Note{Text: "x"})
	good := entry.AppendRecord(nil, &e)
	for n := range good {
		_, err := entry.ReadRecord(good[:n])
		require.Error(t, err, "cut after %d bytes", n)
	}
	_, err := entry.ReadRecord(append(append([]byte{}, good...), 0))
	require.ErrorIs(t, err, entry.ErrRecord, "a byte too many")
	padded := append(append([]byte{}, good[:17]...), append([]byte{0x8a, 0x00}, good[18:]...)...)
	_, err = entry.ReadRecord(padded)
	require.Error(t, err, "a number that is not in its shortest form")
	_, err = entry.ReadRecord(make([]byte, entry.RecordMax+1))
	require.ErrorIs(t, err, entry.ErrRecord)
	e.At.Device = ""
	_, err = entry.ReadRecord(entry.AppendRecord(nil, &e))
	require.ErrorIs(t, err, entry.ErrRecord, "nobody's entry")
}

func TestOrderIsByStampThenID(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string) entry.Entry {
			return entry.Entry{ID: entry.ID{byte(rapid.IntRange(0, 2).Draw(t, name))}, At: stamp.Stamp{
				At: stamp.Milli(rapid.IntRange(0, 2).Draw(t, name)), Count: uint32(rapid.IntRange(0, 1).Draw(t, name)),
				Device: rapid.SampledFrom([]string{"a", "b"}).Draw(t, name)}}
		}
		a, b := draw("a"), draw("b")
		got := entry.Compare(&a, &b)
		require.Equal(t, -got, entry.Compare(&b, &a))
		if a.At != b.At {
			require.Equal(t, stamp.Compare(a.At, b.At), got)
		} else {
			require.Equal(t, a.ID.Compare(b.ID), got)
		}
	})
}

func FuzzReadRecord(f *testing.F) {
	for _, e := range journaltest.Random(1, 80) {
		if r := entry.AppendRecord(nil, &e); len(r) < 400 {
			f.Add(r)
		}
	}
	f.Fuzz(func(t *testing.T, src []byte) {
		e, err := entry.ReadRecord(src)
		if err != nil {
			return
		}
		require.Equal(t, src, entry.AppendRecord(nil, &e))
		if b, err := e.Open(); err == nil {
			wire.AppendJSON(nil, b)
		}
	})
}
