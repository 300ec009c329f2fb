package importrules

import (
	"go/ast"
	"go/build"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"os"
	"os/exec"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// ringTypes checks the ring's packages from source, so that the type of every expression is known.
type ringTypes struct {
	fset  *token.FileSet
	files map[string][]*ast.File // by import path
	done  map[string]*types.Package
	std   types.Importer
	info  *types.Info
}

func (r *ringTypes) Import(path string) (*types.Package, error) {
	files, ours := r.files[path]
	if !ours {
		return r.std.Import(path)
	}
	if pkg, ok := r.done[path]; ok {
		return pkg, nil
	}
	pkg, err := (&types.Config{Importer: r}).Check(path, r.fset, files, r.info)
	r.done[path] = pkg
	return pkg, err
}

// The source importer asks where Go stands, which a test built with -trimpath no longer knows.
func init() {
	if out, err := exec.Command("go", "env", "GOROOT").Output(); err == nil {
		build.Default.GOROOT = strings.TrimSpace(string(out))
	}
}

func newRingTypes(fset *token.FileSet) *ringTypes {
	return &ringTypes{
		fset: fset, files: map[string][]*ast.File{}, done: map[string]*types.Package{},
		std:  importer.ForCompiler(fset, "source", nil),
		info: &types.Info{Types: map[ast.Expr]types.TypeAndValue{}, Defs: map[*ast.Ident]types.Object{}},
	}
}

// floats lists the places where a floating-point number, typed or constant, or a statement that depends on chance or
// on another thread, stands in the files that were checked.
func (r *ringTypes) floats() []string {
	found := map[string]bool{}
	for expr, tv := range r.info.Types {
		if basic, ok := types.Unalias(tv.Type).Underlying().(*types.Basic); ok && basic.Info()&(types.IsFloat|types.IsComplex) != 0 {
			if place := r.fset.Position(expr.Pos()).String(); !strings.Contains(place, floating+"/") {
				found[place] = true
			}
		}
	}
	var list []string
	for place := range found {
		list = append(list, place)
	}
	slices.Sort(list)
	return list
}

// Floats give different results on amd64, arm64 and wasm, and two devices must never disagree about a batch.
func TestNoFloatInRing(t *testing.T) {
	tree := openTree(t)
	r := newRingTypes(tree.fset)
	for _, f := range tree.files {
		if inRing(f.folder) && !f.test {
			path := module + "/" + f.folder
			r.files[path] = append(r.files[path], f.ast)
		}
	}
	require.Greater(t, len(r.files), 5)
	for path := range r.files {
		_, err := r.Import(path)
		require.NoError(t, err, path)
	}
	require.Empty(t, r.floats(), "floating point in the ring: use whole numbers in base units")
}

// The one folder that reckons with them hands none out: what it answers can be kept, sent and compared.
func TestFloatsStayWhereTheyAre(t *testing.T) {
	tree := openTree(t)
	for _, f := range tree.files {
		if f.folder != floating || f.test {
			continue
		}
		for name, object := range f.ast.Scope.Objects {
			if ast.IsExported(name) {
				require.Empty(t, floatsShown(object.Decl), "%s in %s", name, f.path)
			}
		}
		for _, decl := range f.ast.Decls {
			if fn, ok := decl.(*ast.FuncDecl); ok && fn.Name.IsExported() {
				require.Empty(t, floatsShown(fn), "%s in %s", fn.Name.Name, f.path)
			}
		}
	}
	shown, err := parser.ParseFile(token.NewFileSet(), "p.go", "package p\ntype A struct { B []float64; c float64 }", 0)
	require.NoError(t, err)
	require.Equal(t, []string{"B"}, floatsShown(shown.Scope.Objects["A"].Decl))
}

// floatsShown lists what a declaration shows to other packages that names a floating-point type.
func floatsShown(decl any) []string {
	var fields []*ast.FieldList
	switch d := decl.(type) {
	case *ast.FuncDecl:
		fields = append(fields, d.Type.Params, d.Type.Results)
	case *ast.TypeSpec:
		if of, ok := d.Type.(*ast.StructType); ok {
			fields = append(fields, of.Fields)
		}
	}
	var shown []string
	for _, list := range fields {
		if list == nil {
			continue
		}
		for _, field := range list.List {
			floats := false
			ast.Inspect(field.Type, func(n ast.Node) bool {
				id, ok := n.(*ast.Ident)
				floats = floats || ok && strings.HasPrefix(id.Name, "float")
				return true
			})
			for _, name := range field.Names {
				if _, of := decl.(*ast.FuncDecl); floats && (of || name.IsExported()) {
					shown = append(shown, name.Name)
				}
			}
		}
	}
	return shown
}

func TestFloatIsFound(t *testing.T) {
	for _, text := range []string{
		"package p\nvar x float64",
		"package p\nfunc f() int { y := 1.5; return int(y) }",
		"package p\nimport \"strconv\"\nfunc f(s string) bool { v, _ := strconv.ParseFloat(s, 32); return v > 1 }",
		"package p\ntype far float32\nfunc f(a, b int) far { return far(a) }",
	} {
		r := newRingTypes(token.NewFileSet())
		file, err := parser.ParseFile(r.fset, "p.go", text, 0)
		require.NoError(t, err)
		r.files["p"] = []*ast.File{file}
		_, err = r.Import("p")
		require.NoError(t, err)
		require.NotEmpty(t, r.floats(), text)
	}
}

// Nothing in the ring runs beside anything else, and nothing in it remembers between two calls but what it is handed.
func TestRingHasNoThreadsAndNoMemoryOfItsOwn(t *testing.T) {
	tree := openTree(t)
	for _, f := range tree.files {
		if !inRing(f.folder) || f.test {
			continue
		}
		ast.Inspect(f.ast, func(n ast.Node) bool {
			switch n.(type) {
			case *ast.GoStmt, *ast.SelectStmt, *ast.ChanType, *ast.SendStmt:
				t.Errorf("%s: the ring starts no threads", tree.fset.Position(n.Pos()))
			}
			return true
		})
		for _, fault := range writtenGlobals(tree, f.folder) {
			t.Error(fault)
		}
	}
}

// writtenGlobals finds package variables of a folder that some function there assigns to.
func writtenGlobals(tree *tree, folder string) []string {
	globals := map[string]bool{}
	var files []*file
	for _, f := range tree.files {
		if f.folder != folder || f.test {
			continue
		}
		files = append(files, f)
		for _, decl := range f.ast.Decls {
			if gen, ok := decl.(*ast.GenDecl); ok && gen.Tok == token.VAR {
				for _, spec := range gen.Specs {
					for _, name := range spec.(*ast.ValueSpec).Names {
						globals[name.Name] = true
					}
				}
			}
		}
	}
	var faults []string
	for _, f := range files {
		ast.Inspect(f.ast, func(n ast.Node) bool {
			set, ok := n.(*ast.AssignStmt)
			if !ok || set.Tok == token.DEFINE {
				return true
			}
			for _, left := range set.Lhs {
				if id := root(left); id != nil && globals[id.Name] && (id.Obj == nil || id.Obj.Kind == ast.Var && isGlobal(f, id)) {
					faults = append(faults, tree.fset.Position(left.Pos()).String()+": writes to the package variable "+id.Name)
				}
			}
			return true
		})
	}
	return faults
}

// root returns the name at the start of x, x.y, x[i] or *x.
func root(e ast.Expr) *ast.Ident {
	for {
		switch x := e.(type) {
		case *ast.Ident:
			return x
		case *ast.SelectorExpr:
			e = x.X
		case *ast.IndexExpr:
			e = x.X
		case *ast.StarExpr:
			e = x.X
		case *ast.ParenExpr:
			e = x.X
		default:
			return nil
		}
	}
}

func isGlobal(f *file, id *ast.Ident) bool {
	return f.ast.Scope.Lookup(id.Name) != nil && f.ast.Scope.Lookup(id.Name) == id.Obj
}

// heavy names what must not come along into every phone: reflection, formatting, clocks, files and sockets.
var heavy = []string{
	"fmt", "reflect", "encoding/json", "encoding/binary", "encoding/base64", "time", "os", "net", "net/http", "regexp", "text/template",
	"math/big", "math/rand", "log", "log/slog", "crypto/rand", "context", "io/fs", "bufio",
}

func TestPhoneCoreCarriesNothingHeavy(t *testing.T) {
	cmd := exec.Command("go", "list", "-deps", "./cmd/corewasm")
	cmd.Dir = "../.."
	cmd.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	out, err := cmd.CombinedOutput()
	require.NoError(t, err, string(out))
	deps := strings.Fields(string(out))
	require.Contains(t, deps, "brinebell/internal/core")
	for _, name := range heavy {
		require.NotContains(t, deps, name, "every phone would load it")
	}
}
