package document

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"sync"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/santhosh-tekuri/jsonschema/v6/kind"

	"brinebell/internal/core/jsontext"
	"brinebell/internal/core/procedure"
)

const schemaID = "urn:brinebell:documents:1"

// noFetch refuses to load any schema that is not embedded.
type noFetch struct{}

// Load implements jsonschema.URLLoader.
func (noFetch) Load(url string) (any, error) {
	return nil, fmt.Errorf("%s is not part of the schema", url)
}

var compiled = sync.OnceValue(func() *jsonschema.Schema {
	c := jsonschema.NewCompiler()
	c.UseLoader(noFetch{})
	c.DefaultDraft(jsonschema.Draft2020)
	text, err := jsonschema.UnmarshalJSON(bytes.NewReader(Schema))
	if err == nil {
		err = c.AddResource(schemaID, text)
	}
	if err != nil {
		panic(err) // the schema is embedded: a test has read it
	}
	return c.MustCompile(schemaID)
})

// finding is what the schema has against a document.
type finding struct {
	path string
	text procedure.Text
}

// published returns what the published schema has against the document.
func published(v *jsontext.Value) []finding {
	var invalid *jsonschema.ValidationError
	if err := compiled().Validate(plain(v)); errors.As(err, &invalid) {
		return leaves(invalid, nil)
	}
	return nil
}

// plain turns a value into what the validator reads. Numbers that are not whole become one that is not either, so that
// the validator never works out a number of a million digits.
func plain(v *jsontext.Value) any {
	switch v.Kind {
	case jsontext.Bool:
		return v.Bool
	case jsontext.Number:
		if _, ok := v.Whole(); ok {
			return json.Number(v.Text)
		}
		return json.Number("0.5")
	case jsontext.String:
		return v.Text
	case jsontext.List:
		list := make([]any, len(v.Items))
		for i := range v.Items {
			list[i] = plain(&v.Items[i])
		}
		return list
	case jsontext.Object:
		object := make(map[string]any, len(v.Items))
		for i, name := range v.Names {
			object[name] = plain(&v.Items[i])
		}
		return object
	}
	return nil
}

// leaves appends the findings that no other finding explains.
func leaves(e *jsonschema.ValidationError, found []finding) []finding {
	path := point(e.InstanceLocation)
	switch k := e.ErrorKind.(type) {
	case *kind.AnyOf: // only limits have alternatives
		return append(found, finding{path, words("A limit needs min, max or both.", "Un límite necesita min, max o ambos.")})
	case *kind.Required:
		for _, name := range k.Missing {
			found = append(found, finding{path + point([]string{name}),
				words("%s is missing.", "Falta %s.", strconv.Quote(name))})
		}
		return found
	case *kind.AdditionalProperties:
		for _, name := range k.Properties {
			found = append(found, finding{path + point([]string{name}),
				words("There is no member %s here.", "Aquí no hay ningún miembro %s.", strconv.Quote(name))})
		}
		return found
	}
	if len(e.Causes) == 0 {
		return append(found, finding{path, sentence(e.ErrorKind)})
	}
	for _, cause := range e.Causes {
		found = leaves(cause, found)
	}
	return found
}

func point(parts []string) string {
	var b strings.Builder
	for _, p := range parts {
		b.WriteString("/" + strings.ReplaceAll(strings.ReplaceAll(p, "~", "~0"), "/", "~1"))
	}
	return b.String()
}

// sentence says what one keyword of the schema has against a value.
func sentence(k jsonschema.ErrorKind) procedure.Text {
	switch k := k.(type) {
	case *kind.Type:
		return words("This is of the kind %s; it should be %s.", "Esto es de la clase %s; debería ser %s.",
			k.Got, strings.Join(k.Want, ", "))
	case *kind.Enum:
		return words("This is not known here. Known are: %s.", "Esto no se conoce aquí. Se conocen: %s.", list(k.Want))
	case *kind.Const:
		return words("This should be %s.", "Esto debería ser %s.", fmt.Sprint(k.Want))
	case *kind.Pattern:
		return words("%s is not written as it should be.", "%s no está escrito como debería.", strconv.Quote(clip(k.Got)))
	case *kind.MinLength:
		return words("The text is empty.", "El texto está vacío.")
	case *kind.MaxLength:
		return words("The text has %d characters; at most %d.", "El texto tiene %d caracteres; como máximo %d.", k.Got, k.Want)
	case *kind.MinItems:
		return words("The list has %d entries; at least %d.", "La lista tiene %d entradas; al menos %d.", k.Got, k.Want)
	case *kind.MaxItems:
		return words("The list has %d entries; at most %d.", "La lista tiene %d entradas; como máximo %d.", k.Got, k.Want)
	case *kind.Minimum:
		return words("%s is under the least, %s.", "%s está por debajo del mínimo, %s.", k.Got.RatString(), k.Want.RatString())
	case *kind.Maximum:
		return words("%s is over the most, %s.", "%s está por encima del máximo, %s.", k.Got.RatString(), k.Want.RatString())
	}
	where := strings.Join(k.KeywordPath(), "/")
	return words("This goes against the schema's %s.", "Esto va contra %s del esquema.", where)
}

func words(en, es string, args ...any) procedure.Text {
	return procedure.Text{EN: fmt.Sprintf(en, args...), ES: fmt.Sprintf(es, args...)}
}

func list(want []any) string {
	names := make([]string, len(want))
	for i, w := range want {
		names[i] = fmt.Sprint(w)
	}
	return strings.Join(names, ", ")
}

func clip(s string) string {
	if r := []rune(s); len(r) > 40 {
		return string(r[:40]) + "..."
	}
	return s
}
