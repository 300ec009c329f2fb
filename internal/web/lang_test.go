package web

import (
	"go/ast"
	"go/parser"
	"go/token"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestTheLanguageThatIsAskedForIsAnswered(t *testing.T) {
	for header, want := range map[string]string{
		"": "en", "es": "es", "es-MX,es;q=0.9,en;q=0.8": "es", "en-US,en;q=0.9,es;q=0.8": "en", "de, es;q=0.3": "es", "fr": "en",
		"es;q=0": "en", "es;q=x": "en", "ES": "es", "en;q=0.2, es;q=0.7": "es", ",;q=,": "en",
	} {
		r := httptest.NewRequest(http.MethodGet, "/", nil)
		r.Header.Set("Accept-Language", header)
		require.Equal(t, want, langOf(r), header)
	}
}

// TestEverySentenceHasItsSpanish walks the source of whatever answers requests: what it may say of a failure stands in the
// table, and nothing in the table is said by nobody.
func TestEverySentenceHasItsSpanish(t *testing.T) {
	said := map[string]string{}
	for _, folder := range []string{".", "../server", "../pairing", "../sqlite", "../hub"} {
		files, err := filepath.Glob(folder + "/*.go")
		require.NoError(t, err)
		for _, f := range files {
			if !strings.HasSuffix(f, "_test.go") && !slices.Contains(commandLine, strings.TrimPrefix(filepath.ToSlash(f), "../")) {
				collect(t, f, said)
			}
		}
	}
	require.Greater(t, len(said), 70)
	for s, where := range said {
		if !slices.ContainsFunc(others, func(o string) bool { return strings.HasPrefix(s, o) }) {
			require.True(t, slices.ContainsFunc(spanish[:], func(row [2]string) bool { return row[0] == s }), "%s: no Spanish for %q", where, s)
		}
	}
	for _, row := range spanish {
		_, ok := said[row[0]]
		require.True(t, ok || slices.Contains(elsewhere, row[0]), "nobody says %q", row[0])
	}
}

// commandLine are files whose failures no request is answered with: the program starts, or is asked something, without.
var commandLine = []string{"server/backups.go", "sqlite/backup.go", "server/begin.go", "server/demo.go", "server/folder.go", "server/sales.go", "server/server.go", "server/zone.go", "sqlite/anew.go",
	"sqlite/mark.go", "sqlite/restore.go", "sqlite/schema.go", "sqlite/store.go", "assets.go"}

// others are sentences of the command line in files that have both.
var others = []string{"No server answers for", "What answers at"}

// elsewhere are sentences that are put together in another way than the walk understands.
var elsewhere = []string{
	"Something went wrong inside the kitchen's server. Nothing that was shown as saved is lost. The server's log says more.",
	"This Brinebell was built without its screens. Build it with: make build", "There is no such file in this version of the app.",
	"The kitchen's data folder cannot be written to. Give this user the right to write there, or name another folder with --data.",
}

// collect takes up the sentences of a file: those of failures, of answers with a status of their own, of refused readings,
// and whatever is formatted where it cannot be seen for what.
func collect(t *testing.T, path string, said map[string]string) {
	t.Helper()
	set := token.NewFileSet()
	file, err := parser.ParseFile(set, path, nil, 0)
	require.NoError(t, err)
	take := func(e ast.Expr) {
		if s := sentence(e); strings.Trim(s, "{} .") != "" {
			said[s] = set.Position(e.Pos()).String()
		}
	}
	ast.Inspect(file, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.CallExpr:
			if f, ok := n.Fun.(*ast.SelectorExpr); ok && f.Sel.Name == "E" && len(n.Args) == 4 {
				take(n.Args[2])
			}
		case *ast.CompositeLit:
			if name, ok := n.Type.(*ast.Ident); ok && name.Name == "answer" && len(n.Elts) == 3 {
				take(n.Elts[2])
			}
			if name, ok := n.Type.(*ast.SelectorExpr); ok && name.Sel.Name == "Row" && len(n.Elts) == 2 {
				take(n.Elts[1].(*ast.KeyValueExpr).Value)
			}
		case *ast.FuncDecl:
			if n.Name.Name == "judge" || n.Name.Name == "countSentence" {
				ast.Inspect(n, func(n ast.Node) bool {
					if r, ok := n.(*ast.ReturnStmt); ok {
						take(r.Results[len(r.Results)-1])
					}
					return true
				})
			}
		case *ast.ValueSpec:
			if len(n.Values) == 1 && strings.HasSuffix(n.Names[0].Name, "Sentence") {
				take(n.Values[0])
			}
		case *ast.AssignStmt:
			for i, e := range n.Lhs {
				if name, ok := e.(*ast.Ident); ok && name.Name == "text" && len(n.Lhs) == len(n.Rhs) {
					take(n.Rhs[i])
				}
			}
			for _, e := range n.Rhs {
				if c, ok := e.(*ast.BinaryExpr); ok && len(n.Lhs) == 1 {
					if f, ok := n.Lhs[0].(*ast.SelectorExpr); ok && f.Sel.Name == "Fault" {
						take(c)
					}
				}
				if c, ok := e.(*ast.CallExpr); ok && len(n.Rhs) == 2 {
					if f, ok := c.Fun.(*ast.Ident); ok && f.Name == "say" {
						take(c.Args[1])
					}
				}
			}
		}
		return true
	})
}

var verb = regexp.MustCompile(`%[a-z]`)

// sentence writes an expression as a pattern: {} for what is not written out.
func sentence(e ast.Expr) string {
	switch e := e.(type) {
	case *ast.BasicLit:
		s, err := strconv.Unquote(e.Value)
		if err != nil {
			return "{}"
		}
		return strings.ReplaceAll(verb.ReplaceAllString(strings.ReplaceAll(s, "%%", "\x00"), "{}"), "\x00", "%")
	case *ast.BinaryExpr:
		return sentence(e.X) + sentence(e.Y)
	case *ast.CallExpr:
		if f, ok := e.Fun.(*ast.SelectorExpr); ok && f.Sel.Name == "Sprintf" {
			return sentence(e.Args[0])
		}
	}
	return "{}"
}

// Each row must find its own sentences, keep the values, and say nothing in a third language.
func TestSentencesAreSaidInSpanishWithTheirValues(t *testing.T) {
	for _, row := range spanish {
		n := strings.Count(row[0], "{}")
		en, es := row[0], row[1]
		for i := range n {
			value := "7" + strconv.Itoa(i)
			require.Contains(t, es, "{"+strconv.Itoa(i)+"}", row[0])
			en, es = strings.Replace(en, "{}", value, 1), strings.ReplaceAll(es, "{"+strconv.Itoa(i)+"}", value)
		}
		require.NotContains(t, es, "{", "too many values: %s", row[1])
		require.Equal(t, es, say("es", en))
		require.Equal(t, en, say("en", en))
		for _, part := range strings.Split(row[0], "{}") {
			if len(part) > 7 {
				n = -1
			}
		}
		require.Equal(t, -1, n, "%q would be found in anything", row[0])
	}
	require.Equal(t, `Medida 3: la hora "x{0}{}" no está escrita según RFC 3339, como 2026-11-25T05:00:00Z`,
		say("es", `Reading 3: the time "x{0}{}" is not written as in RFC 3339, such as 2026-11-25T05:00:00Z`))
	require.Equal(t, "Nobody wrote this.", say("es", "Nobody wrote this."))
}
