package importrules

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// lookup finds a call that fetches a method by its name or number while the program runs.
var lookup = regexp.MustCompile(`(?m)^[^/\n]*(?:/[^/\n]+)*[\w)\]]\.(?:MethodByName|Method)\(`)

// Once anything that is linked fetches methods by reflection, Go's linker must keep every exported method of every type:
// 1.9 MB of a binary that may have 25. So no package of the server's calls such, but package reflect, where it is offered.
func TestNothingLooksUpMethodsByReflection(t *testing.T) {
	for text, is := range map[string]bool{
		"\tm := v.MethodByName(name)":             true,
		"\tfor i := range n { f(t.Method(i)) }":   true,
		"\tx := y[0].Method(2) / 3":               true,
		"\t// as t.Method(i) does":                false,
		"func (t *rtype) Method(i int) Method {":  false,
		"\tr.Method == http.MethodGet && f(name)": false,
	} {
		require.Equal(t, is, lookup.MatchString(text), text)
	}
	list := exec.Command("go", "list", "-deps", "-f", `{{$p := .}}{{range .GoFiles}}{{$p.ImportPath}} {{$p.Dir}}/{{.}}{{"\n"}}{{end}}`, "./cmd/brinebell")
	list.Dir, list.Env = "../..", append(os.Environ(), "CGO_ENABLED=0")
	out, err := list.Output()
	require.NoError(t, err)
	offered := 0
	for row := range strings.Lines(string(out)) {
		name, path, ok := strings.Cut(strings.TrimSpace(row), " ")
		if !ok {
			continue
		}
		text, err := os.ReadFile(filepath.FromSlash(path))
		require.NoError(t, err)
		if !bytes.Contains(text, []byte("Method")) {
			continue
		}
		found := lookup.Find(text)
		if name == "reflect" && found != nil {
			offered++
		}
		require.True(t, name == "reflect" || found == nil,
			"%s: %q looks methods up by reflection: take a package that does not, or, if this is another Method, say so here "+
				"(go build -ldflags=-dumpdep ./cmd/brinebell 2>&1 | grep ReflectMethod names what counts)", path, bytes.TrimSpace(found))
	}
	require.NotZero(t, offered, "package reflect is not seen to offer it: this looks for the wrong thing")
}
