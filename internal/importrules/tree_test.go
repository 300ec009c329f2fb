package importrules

import (
	"bytes"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
)

const module = "brinebell"

// file is one Go file of the tree.
type file struct {
	path    string // from the root, with slashes
	folder  string
	test    bool
	imports []string
	lines   int
	ast     *ast.File
}

// A tree is every Go file of the project, whatever it is built for.
type tree struct {
	root  string
	fset  *token.FileSet
	files []*file
}

// project reads the tree once for all tests.
var project = sync.OnceValues(func() (*tree, error) {
	t := &tree{root: "../..", fset: token.NewFileSet()}
	err := filepath.WalkDir(t.root, func(path string, d os.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && skipped(d.Name()) {
			return filepath.SkipDir
		}
		if d.IsDir() || !strings.HasSuffix(path, ".go") {
			return nil
		}
		return t.add(path)
	})
	return t, err
})

func skipped(folder string) bool {
	return slices.Contains([]string{".git", "node_modules", "build", "dist", "testdata"}, folder)
}

func (t *tree) add(path string) error {
	text, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	parsed, err := parser.ParseFile(t.fset, path, text, parser.ParseComments)
	if err != nil {
		return err
	}
	short := filepath.ToSlash(strings.TrimPrefix(path, t.root+string(filepath.Separator)))
	f := &file{
		path: short, folder: strings.TrimSuffix(filepath.ToSlash(filepath.Dir(short)), "/"),
		test: strings.HasSuffix(path, "_test.go"), lines: bytes.Count(text, []byte("\n")), ast: parsed,
	}
	for _, spec := range parsed.Imports {
		name, err := strconv.Unquote(spec.Path.Value)
		if err != nil {
			return err
		}
		f.imports = append(f.imports, name)
	}
	t.files = append(t.files, f)
	return nil
}

func openTree(t *testing.T) *tree {
	t.Helper()
	got, err := project()
	require.NoError(t, err)
	require.NotEmpty(t, got.files)
	return got
}

// inRing tells whether the folder belongs to the pure core.
func inRing(folder string) bool {
	return folder == "internal/core" || strings.HasPrefix(folder, "internal/core/")
}

// tracked lists the files that are, or will be, in the repository.
func tracked(t *testing.T) []string {
	t.Helper()
	cmd := exec.Command("git", "-c", "safe.directory=*", "ls-files", "-co", "--exclude-standard")
	cmd.Dir = "../.."
	out, err := cmd.Output()
	require.NoError(t, err, "git ls-files")
	return strings.Fields(string(out))
}
