package core_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core"
	"brinebell/internal/core/jsontext"
	"brinebell/internal/journaltest"
)

func TestHeaders(t *testing.T) {
	text := `{"op":"tap","wall":1795582800000,"mono":12,"chance":"` + "00112233445566778899aabbccddeeff00112233445566778899aabbccddeeff" +
		`","view":"page","path":"/start?g=5","lang":"es","tap":{"do":"note","text":"a}b"},"ability":{"sound":true}}`
	cfg, in, err := core.ReadHeader([]byte(text))
	require.NoError(t, err)
	require.Equal(t, core.Config{}, cfg)
	require.Equal(t, core.OpTap, in.Op)
	require.EqualValues(t, 1_795_582_800_000, in.Wall)
	require.EqualValues(t, 12, in.Mono)
	require.Equal(t, byte(0x11), in.Chance[1])
	require.Equal(t, "page", in.View)
	require.Equal(t, "/start?g=5", in.Path)
	require.Equal(t, "es", in.Lang)
	require.Equal(t, `{"do":"note","text":"a}b"}`, string(in.Tap))
	require.Equal(t, `{"sound":true}`, string(in.Ability))

	cfg, in, err = core.ReadHeader([]byte(`{"op":"start","device":"anna","key":"0a"}`))
	require.NoError(t, err)
	require.Equal(t, core.Config{Device: "anna", Key: "0a"}, cfg)
	require.Nil(t, in.Tap)

	for _, op := range []string{"start", "look", "close", "tap", "opened", "shut", "frame", "tick", "ability", "state"} {
		_, in, err := core.ReadHeader([]byte(`{"op":"` + op + `"}`))
		require.NoError(t, err)
		require.NotZero(t, in.Op)
	}
	for _, bad := range []string{``, `[]`, `{}`, `{"op":"history"}`, `{"op":"tick","chance":"00"}`, `{"op":"tick","chance":"zz"}`} {
		_, _, err := core.ReadHeader([]byte(bad))
		require.Error(t, err, bad)
	}
}

func TestWhatIsStoredComesBack(t *testing.T) {
	s := core.Stored{Base: []byte{1, 2}, Memory: []byte{}, Tail: []core.Numbered{
		{Seq: 0, Record: journaltest.Note("anna", 5, "x")}, {Seq: 1 << 40, Record: journaltest.Note("bea", 6, "y")}}}
	blob := core.AppendStored(nil, &s)
	back, err := core.ReadStored(blob)
	require.NoError(t, err)
	require.Equal(t, &s, back)
	empty, err := core.ReadStored(nil)
	require.NoError(t, err)
	require.Equal(t, &core.Stored{}, empty)
	for n := 1; n < len(blob); n++ {
		got, err := core.ReadStored(blob[:n])
		if err == nil { // cut between two sections
			require.Less(t, len(got.Tail), 2+1)
			continue
		}
		require.ErrorIs(t, err, core.ErrSections)
	}
	mixed := core.AppendStored(nil, &core.Stored{Tail: s.Tail[:1]})
	mixed[5+8] ^= 1 // the id beside the record is not the record's
	got, err := core.ReadStored(mixed)
	require.NoError(t, err)
	require.Equal(t, []core.Numbered{{}}, got.Tail)
}

// TestABadRecordOnTheShelfDoesNotStopTheStart: the rest is there, and the bad one is noted.
func TestABadRecordOnTheShelfDoesNotStopTheStart(t *testing.T) {
	good := core.Numbered{Record: journaltest.Note("anna", 5, "x")}
	c := core.New(core.Config{Device: "anna"})
	out := c.Step(core.Input{Op: core.OpStart, Wall: 1000, Mono: 1000, Stored: &core.Stored{Tail: []core.Numbered{{}, good}}})
	require.Len(t, out.Notes, 1)
	require.Contains(t, out.Notes[0], "cannot be read")
	require.NotEmpty(t, c.StateBytes())
}

func TestAnOutcomesSections(t *testing.T) {
	n := core.Numbered{Seq: 3, Record: journaltest.Note("anna", 5, "x")}
	out := core.Outcome{Keep: []core.Numbered{n}, Base: &core.Base{State: []byte{7}, Tail: []core.Numbered{n, n}},
		Memory: []byte{8}, Send: []core.Message{{Frame: []byte{9}}}, Cut: []core.Cut{{Reason: "silent"}},
		Clock: &core.Clock{Kitchen: 1, Wall: 2, Mono: 3, Pace: 1, Bound: -1}, Ring: []byte(`{}`),
		Draw: []core.Draw{{View: "v", JSON: []byte(`{"view":"v"}`)}}, Notes: []string{"hm"}, Wake: 77}
	tags, payloads := "", map[byte]string{}
	blob := core.AppendFault(core.AppendOutcome(nil, &out), `stopped: "x"`)
	require.NoError(t, core.EachSection(blob, func(tag byte, p []byte) error {
		tags += string(tag)
		payloads[tag] = string(p)
		return nil
	}))
	require.Equal(t, "BTTKMSXCRDNWF", tags, "in the order in which a phone must act")
	require.Equal(t, "M\x00\x00\x00\x00\x00\x00\x00", payloads['W'])
	require.Equal(t, `{"kitchen":1,"wall":2,"mono":3,"pace":1,"bound":-1}`, payloads['C'])
	require.Equal(t, "\x03\x00\x00\x00\x00\x00\x00\x00"+string(n.Record[1:17])+string(n.Record), payloads['K'])
	v, err := jsontext.Read([]byte(payloads['F']))
	require.NoError(t, err)
	require.Equal(t, `stopped: "x"`, v.Str("text"))
	require.Empty(t, core.AppendOutcome(nil, &core.Outcome{}))
}

func FuzzReadStored(f *testing.F) {
	f.Add(core.AppendStored(nil, &core.Stored{Base: []byte{1}, Memory: []byte{2},
		Tail: []core.Numbered{{Seq: 5, Record: journaltest.Note("anna", 5, "x")}}}))
	f.Fuzz(func(t *testing.T, blob []byte) {
		if s, err := core.ReadStored(blob); err == nil {
			_, err := core.ReadStored(core.AppendStored(nil, s))
			require.NoError(t, err)
		}
	})
}

func FuzzReadHeader(f *testing.F) {
	f.Add([]byte(`{"op":"tap","wall":1,"tap":{"do":"x"}}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		if _, in, err := core.ReadHeader(text); err == nil && in.Tap != nil {
			_, err := jsontext.Read(in.Tap)
			require.NoError(t, err)
		}
	})
}
