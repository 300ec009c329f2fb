package document

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/cockroachdb/datadriven"
	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/require"

	"brinebell/internal/core/jsontext"
	"brinebell/internal/core/procedure"
)

func example(t testing.TB, name string) []byte {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("../../testdata/procedures", name))
	require.NoError(t, err)
	return text
}

// TestFaults changes good documents and looks at what is said. Each line of a case is OLD => NEW, where
// OLD stands once in the document and the NEW nothing is nothing at all.
func TestFaults(t *testing.T) {
	datadriven.Walk(t, "testdata/faults", func(t *testing.T, path string) {
		datadriven.RunTest(t, path, func(t *testing.T, d *datadriven.TestData) string {
			text := string(example(t, d.CmdArgs[0].Key+".json"))
			if d.Cmd == "file" {
				return say(t, text, d.Pos)
			}
			require.Equal(t, "change", d.Cmd, d.Pos)
			for change := range strings.SplitSeq(d.Input, "\n") {
				old, now, ok := strings.Cut(change, " => ")
				require.True(t, ok, "%s: %s", d.Pos, change)
				if now == "nothing" {
					now = ""
				}
				require.Equal(t, 1, strings.Count(text, old), "%s: %s stands once in %s", d.Pos, old, d.CmdArgs[0].Key)
				text = strings.Replace(text, old, now, 1)
			}
			return say(t, text, d.Pos)
		})
	})
}

func say(t *testing.T, text, pos string) string {
	english, spanish := Check([]byte(text), "en"), Check([]byte(text), "es")
	require.Len(t, spanish, len(english), pos)
	var b strings.Builder
	for i, f := range english {
		require.Equal(t, f.Path, spanish[i].Path, pos)
		require.NotEqual(t, f.Text, spanish[i].Text, "%s: said in both languages", pos)
		fmt.Fprintf(&b, "%s\n    %s\n", f, spanish[i].Text)
	}
	if len(english) == 0 {
		return "nothing\n"
	}
	return b.String()
}

func TestExamplesHaveNoFaults(t *testing.T) {
	for _, name := range []string{"least.json", "least-list.json", "least-equipment.json", "least-plan.json", "common-practice.json"} {
		require.Empty(t, Check(example(t, name), "en"), name)
		v, err := jsontext.Read(example(t, name))
		require.NoError(t, err)
		require.Empty(t, published(&v), "%s holds to the published schema", name)
	}
}

// A schema says what it is; a document that names one to its editor, or that calls itself by the same dialect, is a document.
func TestSchemasAreToldFromDocuments(t *testing.T) {
	require.True(t, IsSchema(Schema))
	require.True(t, IsSchema([]byte(`{"$schema": "http://json-schema.org/draft-07/schema#"}`)))
	least := string(example(t, "least.json"))
	require.False(t, IsSchema([]byte(least)))
	require.False(t, IsSchema([]byte(strings.Replace(least, "{", `{"$schema": "https://json-schema.org/draft/2020-12/schema",`, 1))))
	require.False(t, IsSchema([]byte(`{"$schema": "./documents-1.schema.json"}`)))
	require.False(t, IsSchema([]byte(`{`)))
}

// A file in UTF-16 is told what it is, and not that it is no JSON.
func TestUTF16IsNamed(t *testing.T) {
	for _, text := range []string{"\xff\xfe{\x00", "\xfe\xff\x00{"} {
		require.Equal(t, "The file is written in UTF-16. Save it as UTF-8 in your editor, then check it again.", Check([]byte(text), "en")[0].Text)
		require.Contains(t, Check([]byte(text), "es")[0].Text, "Guárdelo como UTF-8")
	}
}

// The schema is checked against the meta-schema that the validator carries, and needs nothing from elsewhere.
func TestSchemaIsASchema(t *testing.T) {
	var schema map[string]any
	require.NoError(t, json.Unmarshal(Schema, &schema))
	require.Equal(t, "https://json-schema.org/draft/2020-12/schema", schema["$schema"])
	require.Equal(t, schemaID, schema["$id"])
	c := jsonschema.NewCompiler()
	c.UseLoader(noFetch{})
	c.AssertVocabs()
	value, err := jsonschema.UnmarshalJSON(bytes.NewReader(Schema))
	require.NoError(t, err)
	require.NoError(t, c.AddResource(schemaID, value))
	_, err = c.Compile(schemaID)
	require.NoError(t, err)
	_, err = noFetch{}.Load("http://kitchen.example/x.json")
	require.Error(t, err)
	require.NotContains(t, string(Schema), "\"http://example")
}

// What the published schema has against a document, the ring's own reader has something against too, and at the same
// place: whatever member of a good document is left out, replaced or added to.
func TestSchemaAndReaderAgree(t *testing.T) {
	tried, refused := 0, 0
	for _, name := range []string{"least.json", "least-list.json", "least-equipment.json", "least-plan.json"} {
		v, err := jsontext.Read(example(t, name))
		require.NoError(t, err)
		for _, changed := range variants(v) {
			text := write(nil, &changed)
			value, err := jsontext.Read(text)
			require.NoError(t, err)
			_, own := procedure.Parse(text)
			tried++
			for _, f := range published(&value) {
				refused++
				at := func(o procedure.Fault) bool {
					return o.Path == f.path || strings.HasPrefix(f.path, o.Path+"/") || strings.HasPrefix(o.Path, f.path+"/")
				}
				found := false
				for _, o := range own {
					found = found || at(o)
				}
				require.True(t, found, "%s: the schema says of %s: %s; the reader says %v", name, f.path, f.text.EN, own)
			}
		}
	}
	require.Greater(t, tried, 1500)
	require.Greater(t, refused, 1500)
}

// variants returns copies of v, each with one value somewhere left out, replaced, or joined by an unknown member.
func variants(v jsontext.Value) []jsontext.Value {
	odd := []jsontext.Value{
		{Kind: jsontext.Null}, {Kind: jsontext.Bool, Bool: true}, {Kind: jsontext.Number, Text: "1e400"},
		{Kind: jsontext.Number, Text: "-7"}, {Kind: jsontext.String, Text: "x y"}, {Kind: jsontext.String, Text: "<b>"},
		{Kind: jsontext.List}, {Kind: jsontext.Object},
	}
	var list []jsontext.Value
	list = append(list, odd...)
	for i := range v.Items {
		for _, inner := range variants(v.Items[i]) {
			list = append(list, with(v, i, inner))
		}
		if v.Kind == jsontext.Object {
			list = append(list, without(v, i))
		}
	}
	if v.Kind == jsontext.Object {
		more := with(v, -1, jsontext.Value{})
		more.Names, more.Items = append(more.Names, "$ref"), append(more.Items, odd[4])
		list = append(list, more)
	}
	return list
}

func with(v jsontext.Value, i int, item jsontext.Value) jsontext.Value {
	v.Names, v.Items = append([]string(nil), v.Names...), append([]jsontext.Value(nil), v.Items...)
	if i >= 0 {
		v.Items[i] = item
	}
	return v
}

func without(v jsontext.Value, i int) jsontext.Value {
	v = with(v, -1, v)
	v.Names, v.Items = append(v.Names[:i], v.Names[i+1:]...), append(v.Items[:i], v.Items[i+1:]...)
	return v
}

func write(dst []byte, v *jsontext.Value) []byte {
	switch v.Kind {
	case jsontext.Null:
		return append(dst, "null"...)
	case jsontext.Bool:
		return strconv.AppendBool(dst, v.Bool)
	case jsontext.Number:
		return append(dst, v.Text...)
	case jsontext.String:
		return jsontext.AppendString(dst, v.Text)
	}
	open, end := byte('['), byte(']')
	if v.Kind == jsontext.Object {
		open, end = '{', '}'
	}
	dst = append(dst, open)
	for i := range v.Items {
		if i > 0 {
			dst = append(dst, ',')
		}
		if v.Kind == jsontext.Object {
			dst = append(jsontext.AppendString(dst, v.Names[i]), ':')
		}
		dst = write(dst, &v.Items[i])
	}
	return append(dst, end)
}

// A hostile document is refused with a sentence, soon, and nothing is fetched for it.
func TestHostileDocuments(t *testing.T) {
	good := string(example(t, "least.json"))
	for name, text := range map[string]string{
		"deep":              strings.Repeat("[", 100_000),
		"same names":        strings.Replace(good, `"version": 1`, `"version": 1, "version": 2`, 1),
		"huge number":       strings.Replace(good, `"version": 1`, `"version": 1e400`, 1),
		"huge exponent":     strings.Replace(good, `"version": 1`, `"version": 1e999999999`, 1),
		"unknown exponent":  strings.Replace(good, `"version": 1`, `"version": 1, "x": -1e-999999999`, 1),
		"a billion years":   strings.Replace(good, `"PT7H"`, `"P1E9Y"`, 1),
		"a million steps":   `{"format":"brinebell list 1","steps":[` + strings.Repeat(`{},`, 1_000_000) + `{}]}`,
		"many steps":        `{"format":"brinebell list 1","steps":[` + strings.Repeat(`{},`, 30_000) + `{}]}`,
		"remote reference":  strings.Replace(good, `"version": 1`, `"version": 1, "$ref": "http://127.0.0.1:1/x.json"`, 1),
		"other schema":      strings.Replace(good, `{`, `{"$schema": "http://127.0.0.1:1/x.json", "x": 1,`, 1),
		"right to left":     strings.Replace(good, `"Marinade"`, `"Mari\u202Enade"`, 1),
		"script":            strings.Replace(good, `"Marinade"`, `"<script>alert(1)</script>"`, 1),
		"a number too long": strings.Replace(good, `"version": 1`, `"version": `+strings.Repeat("9", 50_000), 1),
	} {
		start := time.Now()
		faults := Check([]byte(text), "en")
		require.NotEmpty(t, faults, name)
		require.Less(t, time.Since(start), 5*time.Second, name)
		for _, f := range faults {
			require.Positive(t, f.Line, name)
			require.Less(t, len(f.String()), 800, name)
			require.NotContains(t, f.Text, "\u202e", name)
		}
	}
}

func FuzzCheck(f *testing.F) {
	for _, name := range []string{"least.json", "least-list.json", "least-equipment.json", "least-plan.json"} {
		f.Add(example(f, name))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		_, own := procedure.Parse(text)
		if faults := Check(text, "es"); len(own) == 0 && len(faults) > 0 {
			t.Fatalf("the schema alone has something against it: %v", faults)
		}
	})
}
