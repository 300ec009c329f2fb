package importrules

import (
	"fmt"
	"go/ast"
	"go/token"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// How long things may get, in lines.
const (
	functionMax    = 70
	functionMedian = 12
	functionP95    = 60
	fileMax        = 500
	doorMax        = 300 // core.go routes and does nothing else
	readmeMax      = 100
)

// measured is something with a length that the rule limits.
type measured struct {
	what  string // "path" or "path:function"
	lines int
}

// functions measures every function with a body, tests left out.
func functions(t *tree) []measured {
	var list []measured
	for _, f := range t.files {
		for _, decl := range f.ast.Decls {
			if fn, ok := decl.(*ast.FuncDecl); ok && fn.Body != nil {
				lines := t.fset.Position(fn.End()).Line - t.fset.Position(fn.Pos()).Line + 1
				list = append(list, measured{f.path + ":" + functionName(fn), lines})
			}
		}
	}
	return list
}

func functionName(fn *ast.FuncDecl) string {
	if fn.Recv == nil {
		return fn.Name.Name
	}
	return receiver(fn) + "." + fn.Name.Name
}

func receiver(fn *ast.FuncDecl) string {
	at := fn.Recv.List[0].Type
	for {
		switch x := at.(type) {
		case *ast.StarExpr:
			at = x.X
		case *ast.IndexExpr:
			at = x.X
		case *ast.IndexListExpr:
			at = x.X
		case *ast.Ident:
			return x.Name
		default:
			return "?"
		}
	}
}

// exceptions reads today's exceptions, which may only shrink.
func exceptions(t *testing.T) map[string]int {
	t.Helper()
	text, err := os.ReadFile("tidy_exceptions.txt")
	require.NoError(t, err)
	may := map[string]int{}
	for line := range strings.Lines(string(text)) {
		line = strings.TrimSpace(line)
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		what, number, ok := strings.Cut(line, " ")
		require.True(t, ok, "tidy_exceptions.txt: %q", line)
		lines, err := strconv.Atoi(number)
		require.NoError(t, err, line)
		may[what] = lines
	}
	return may
}

// tooLong says what is over its limit, and which exceptions must shrink.
func tooLong(all []measured, limit int, may map[string]int) []string {
	var faults []string
	for _, m := range all {
		allowed, excepted := may[m.what]
		switch {
		case excepted && m.lines != allowed && m.lines > limit:
			faults = append(faults, fmt.Sprintf("%s has %d lines: its exception says %d and may only shrink", m.what, m.lines, allowed))
		case excepted && m.lines <= limit:
			faults = append(faults, fmt.Sprintf("%s has only %d lines: take it out of tidy_exceptions.txt", m.what, m.lines))
		case !excepted && m.lines > limit:
			faults = append(faults, fmt.Sprintf("%s has %d lines, %d over the limit of %d: cut it up", m.what, m.lines, m.lines-limit, limit))
		}
	}
	return faults
}

func files(t *tree) []measured {
	var list []measured
	for _, f := range t.files {
		list = append(list, measured{f.path, f.lines})
	}
	return list
}

func TestTidyLengths(t *testing.T) {
	tree, may := openTree(t), exceptions(t)
	all := append(functions(tree), files(tree)...)
	known := map[string]bool{}
	for _, m := range all {
		known[m.what] = true
	}
	for what := range may {
		require.True(t, known[what], "tidy_exceptions.txt names %s, which is gone: take it out", what)
	}
	require.Empty(t, tooLong(functions(tree), functionMax, may))
	require.Empty(t, tooLong(files(tree), fileMax, may))
	for _, f := range tree.files {
		if f.path == "internal/core/core.go" {
			require.LessOrEqual(t, f.lines, doorMax, "core.go only routes")
		}
	}
}

func TestTooLongIsFound(t *testing.T) {
	may := map[string]int{"a": 80, "b": 80, "c": 80}
	require.Empty(t, tooLong([]measured{{"a", 80}, {"x", 70}}, 70, may))
	for _, m := range []measured{{"x", 71}, {"a", 81}, {"b", 79}, {"c", 70}} {
		require.Len(t, tooLong([]measured{m}, 70, may), 1, m)
	}
}

func TestTidyMedian(t *testing.T) {
	var lengths []int
	for _, m := range functions(openTree(t)) {
		lengths = append(lengths, m.lines)
	}
	slices.Sort(lengths)
	require.LessOrEqual(t, lengths[len(lengths)/2], functionMedian, "half of all functions")
	require.LessOrEqual(t, lengths[len(lengths)*95/100], functionP95, "95 of 100 functions")
}

// Every package opens with one sentence that says what it is for, and every exported name is explained.
func TestTidyWords(t *testing.T) {
	tree := openTree(t)
	opened := map[string]bool{}
	var faults []string
	for _, f := range tree.files {
		if f.test {
			continue
		}
		if _, seen := opened[f.folder]; !seen {
			opened[f.folder] = false
		}
		if opens(f) {
			opened[f.folder] = true
		}
		faults = append(faults, unexplained(tree.fset, f)...)
	}
	for folder, ok := range opened {
		if !ok {
			faults = append(faults, folder+`: no file opens with "Package ... " or "Command ..." and a full sentence`)
		}
	}
	require.Empty(t, faults)
}

func opens(f *file) bool {
	if f.ast.Doc == nil {
		return false
	}
	text := strings.TrimSpace(f.ast.Doc.Text())
	first, _, _ := strings.Cut(text, "\n\n")
	named := strings.HasPrefix(text, "Package "+f.ast.Name.Name+" ") || f.ast.Name.Name == "main" && strings.HasPrefix(text, "Command ")
	return named && (strings.HasSuffix(first, ".") || strings.HasSuffix(first, ":"))
}

// unexplained lists exported names without a comment. A comment on a group explains the group.
func unexplained(fset *token.FileSet, f *file) []string {
	var faults []string
	need := func(at token.Pos, name string, docs ...*ast.CommentGroup) {
		for _, doc := range docs {
			if doc != nil && strings.TrimSpace(doc.Text()) != "" {
				return
			}
		}
		faults = append(faults, fset.Position(at).String()+": say what "+name+" is")
	}
	for _, decl := range f.ast.Decls {
		switch d := decl.(type) {
		case *ast.FuncDecl:
			if d.Name.IsExported() && (d.Recv == nil || ast.IsExported(receiver(d))) && !implied(d) {
				need(d.Pos(), functionName(d), d.Doc)
			}
		case *ast.GenDecl:
			for _, spec := range d.Specs {
				switch s := spec.(type) {
				case *ast.TypeSpec:
					if s.Name.IsExported() {
						need(s.Pos(), s.Name.Name, d.Doc, s.Doc, s.Comment)
					}
				case *ast.ValueSpec:
					for _, name := range s.Names {
						if name.IsExported() {
							need(s.Pos(), name.Name, d.Doc, s.Doc, s.Comment)
						}
					}
				}
			}
		}
	}
	return faults
}

// implied names methods whose meaning the interface that they serve has already explained: an entry's body says its
// kind and walks its fields, an error says itself.
func implied(d *ast.FuncDecl) bool {
	return d.Recv != nil && slices.Contains([]string{"Fields", "Kind", "Error", "Unwrap", "Help"}, d.Name.Name)
}

func TestReadmeIsShort(t *testing.T) {
	text, err := os.ReadFile("../../README.md")
	require.NoError(t, err)
	require.LessOrEqual(t, strings.Count(string(text), "\n"), readmeMax)
	_, err = os.Stat("../../DEVELOPERS.md")
	require.NoError(t, err)
}
