package jsontext_test

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"brinebell/internal/core/jsontext"
)

func TestReadsWhatIsJSON(t *testing.T) {
	text := ` {"a": [1, -2.5e3, true, false, null], "b\n\u00e9\ud83d\ude00": {"x": ""}, "c": "\"\\\/\b\f\n\r\t"} `
	v, err := jsontext.Read([]byte(text))
	require.NoError(t, err)
	require.Equal(t, jsontext.Object, v.Kind)
	list := v.List("a")
	require.Len(t, list, 5)
	n, ok := list[0].Whole()
	require.True(t, ok)
	require.EqualValues(t, 1, n)
	_, ok = list[1].Whole()
	require.False(t, ok)
	require.Equal(t, "-2.5e3", list[1].Text)
	require.True(t, list[2].Bool)
	require.NotNil(t, v.Get("b\né😀"))
	require.Equal(t, "\"\\/\b\f\n\r\t", v.Str("c"))
	require.Equal(t, `{"x": ""}`, text[v.Items[1].Offset:v.Items[1].End])
	require.Equal(t, `[1, -2.5e3, true, false, null]`, text[v.Items[0].Offset:v.Items[0].End])
}

func TestMembersOfTheWrongKindAreAbsent(t *testing.T) {
	v, err := jsontext.Read([]byte(`{"s":"x","n":7,"t":true,"l":[]}`))
	require.NoError(t, err)
	require.Equal(t, "", v.Str("n"))
	require.Zero(t, v.Int("s"))
	require.EqualValues(t, 7, v.Int("n"))
	require.True(t, v.True("t"))
	require.False(t, v.True("n"))
	require.Nil(t, v.List("s"))
	require.Nil(t, v.Get("none"))
	require.Nil(t, (*jsontext.Value)(nil).Get("s"))
	n, ok := v.Get("none").Whole()
	require.False(t, ok)
	require.Zero(t, n)
}

func TestFaultsSayWhere(t *testing.T) {
	for text, at := range map[string]int{
		``: 0, `{`: 1, `[1,]`: 3, `[1 2]`: 3, `{"a":1,}`: 7, `{"a":1,"a":2}`: 7, `{a:1}`: 1, `"x`: 2, "\"\x01\"": 1, `01`: 1,
		`1.`: 2, `1e`: 2, `-`: 1, `tru`: 0, `1 1`: 2, `"\q"`: 3, `"\u12g4"`: 3, `{"a" 1}`: 5, "\"\xff\"": 2, `nulll`: 4,
		`"\u12`: 3, `[`: 1, `{"a":`: 5,
	} {
		_, err := jsontext.Read([]byte(text))
		var fault *jsontext.Fault
		require.ErrorAs(t, err, &fault, text)
		require.Equal(t, at, fault.Offset, "%s: %v", text, err)
		require.False(t, json.Valid([]byte(text)) && !strings.Contains(text, `"a":2`) && !strings.Contains(text, "\xff"), text)
	}
}

func TestNestingIsBounded(t *testing.T) {
	deep := func(n int) []byte { return []byte(strings.Repeat("[", n) + strings.Repeat("]", n)) }
	_, err := jsontext.Read(deep(jsontext.DepthMax + 1))
	require.NoError(t, err)
	_, err = jsontext.Read(deep(jsontext.DepthMax + 2))
	require.ErrorContains(t, err, "nested")
	_, err = jsontext.Read(deep(1_000_000))
	require.ErrorContains(t, err, "nested")
}

func TestLines(t *testing.T) {
	text := []byte("{\n\n\"a\": x}")
	_, err := jsontext.Read(text)
	var fault *jsontext.Fault
	require.ErrorAs(t, err, &fault)
	require.Equal(t, 3, jsontext.Line(text, fault.Offset))
	require.Equal(t, 1, jsontext.Line(text, 0))
	require.Equal(t, 3, jsontext.Line(text, 1000))
}

func TestWhatIsWrittenReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, n, b := rapid.String().Draw(t, "s"), rapid.Int64().Draw(t, "n"), rapid.Bool().Draw(t, "b")
		var w jsontext.Writer
		w.Object("")
		w.Str("s", s)
		w.Int("n", n)
		w.Bool("b", b)
		w.List("l")
		w.Str("", s)
		w.Object("")
		w.EndObject()
		w.Raw("", []byte(`[1]`))
		w.EndList()
		w.OptStr("none", "")
		w.OptInt("zero", 0)
		w.OptBool("no", false)
		w.OptStr("os", s)
		w.EndObject()
		require.True(t, json.Valid(w.Out))
		v, err := jsontext.Read(w.Out)
		require.NoError(t, err)
		require.Equal(t, s, v.Str("s"))
		require.Equal(t, n, v.Int("n"))
		require.Equal(t, b, v.True("b"))
		require.Len(t, v.List("l"), 3)
		require.Equal(t, s, v.Str("os"))
		require.Nil(t, v.Get("none"))
		require.Nil(t, v.Get("zero"))
		require.Nil(t, v.Get("no"))
	})
}

func TestWhatScriptsTripOverIsEscaped(t *testing.T) {
	out := string(jsontext.AppendString(nil, "</script>&\u2028\u2029\x00\"\\\n\xff"))
	require.Equal(t, "\"\\u003c/script\\u003e\\u0026\\u2028\\u2029\\u0000\\\"\\\\\\n\ufffd\"", out)
}

// FuzzRead holds the reader to the standard library: what one refuses the other refuses, but for duplicate names,
// depth, and bytes that are not UTF-8, which only ours refuses.
func FuzzRead(f *testing.F) {
	for _, s := range []string{`{"a":[1,2.5e-7,"x\u00e9",true,null]}`, `[[[]]]`, `"\ud800"`, `-0`, ` 1 `, `{"a":1,"a":2}`} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, src []byte) {
		v, err := jsontext.Read(src)
		if err == nil {
			require.True(t, json.Valid(src), "%q", src)
			if n, ok := v.Whole(); ok {
				require.LessOrEqual(t, n, int64(math.MaxInt64))
			}
			return
		}
		what := err.Error()
		if json.Valid(src) && !strings.Contains(what, "twice") && !strings.Contains(what, "nested") && !strings.Contains(what, "UTF-8") {
			t.Fatalf("%q is JSON, but: %s", src, what)
		}
	})
}
