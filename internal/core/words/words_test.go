package words

import (
	"encoding/json"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

var tables = map[string][]text{"screen": screenTable, "figures": figureTable, "measure": measureTable, "books": booksTable, "sensors": sensorTable, "training": trainingTable, "guided": guidedTable, "crew": crewTable, "practice": practiceTable, "practice rest": practiceRestTable, "plan demand": planDemandTable, "plan after": planAfterTable, "plan": planTable, "plan says": planSaysTable, "lead": leadTable, "logs": logTable, "probe": probeTable, "off": offTable, "page": pageTable}

func TestTablesAreSortedAndWhole(t *testing.T) {
	for name, table := range tables {
		require.NotEmpty(t, table)
		for i, row := range table {
			require.NotEmpty(t, row.en, "%s: %s", name, row.id)
			require.NotEmpty(t, row.es, "%s: %s has no Spanish", name, row.id)
			if i > 0 {
				require.Less(t, table[i-1].id, row.id, "%s: out of order, or twice", name)
			}
		}
	}
}

// TestEachTextIsInOneTable: of two with one id the screens would say only the first.
func TestEachTextIsInOneTable(t *testing.T) {
	in := map[string]string{}
	for name, table := range tables {
		if name == "off" || name == "page" { // asked for apart
			continue
		}
		for _, row := range table {
			require.Empty(t, in[row.id], "%s is in %s too", row.id, name)
			in[row.id] = name
		}
	}
}

var place = regexp.MustCompile(`\{[a-z0-9]*\}`)

func places(s string) []string {
	list := place.FindAllString(s, -1)
	slices.Sort(list)
	return slices.Compact(list)
}

// TestPlacesAgree holds that both languages fill the same places, and that singular and plural do.
func TestPlacesAgree(t *testing.T) {
	for name, table := range tables {
		for _, row := range table {
			require.Equal(t, places(row.en), places(row.es), "%s: %s", name, row.id)
			for _, s := range []string{row.en, row.es} {
				require.LessOrEqual(t, strings.Count(s, "|"), 1, row.id)
				require.Equal(t, strings.Count(s, "{"), strings.Count(s, "}"), row.id)
			}
		}
	}
}

// TestNothingIsCalledSafe holds a law of the tool: it says which limit is met, and by how much, never more.
func TestNothingIsCalledSafe(t *testing.T) {
	never := regexp.MustCompile(`(?i)\b(safe|safely|inocuo|apto para el consumo|OK to (serve|eat))\b`)
	for name, table := range tables {
		for _, row := range table {
			require.NotRegexp(t, never, row.en, "%s: %s", name, row.id)
			require.NotRegexp(t, never, row.es, "%s: %s", name, row.id)
		}
	}
}

// TestSpanishOfTheKitchen: items are named as they are sold, and "con hueso" after "de" is no Spanish; a batch is a tanda, and nothing
// else is; everybody is addressed alike.
func TestSpanishOfTheKitchen(t *testing.T) {
	formal := regexp.MustCompile(`(?:^|[.:;] )(?:Mida|Tire|Haga|Ponga|Escriba|Verifique|Elija|Toque|Pida|Espere|Mire|Diga|Vuelva|Abra|Compruebe|Llame|Deje|Cierre (?:su|el|la|los|las))\b|\b(?i:usted|ustedes|mídalo|tírelo|deséchelo|verifíquelo)\b`)
	for name, table := range tables {
		for _, row := range table {
			require.NotContains(t, row.es, " de {item}", "%s: %s", name, row.id)
			require.NotRegexp(t, formal, row.es, "%s: %s", name, row.id)
			if strings.Contains(strings.ToLower(row.es), "tanda") {
				require.Contains(t, row.id+strings.ToLower(row.en), "batch", "%s: %s", name, row.id)
			}
		}
	}
}

// TestNoWordIsBlamed holds the grammar of errors: what is out is named, nobody is blamed.
func TestNoWordIsBlamed(t *testing.T) {
	never := regexp.MustCompile(`(?i)\b(invalid|illegal|error|failed|bad input|inválid[oa]|ilegal)\b`)
	for _, row := range offTable {
		require.NotRegexp(t, never, row.en, row.id)
		require.NotRegexp(t, never, row.es, row.id)
	}
}

// built are ids that are put together from parts when they are asked for.
var built = []string{"state.", "status.", "vessel.", "vessels.", "say.vessel.", "loss.", "answer.", "bell.", "who.new.", "who.learns.", "role.", "cook.warn.", "cook.pad.", "chart.rule", "oil.", "log.", "thaw.", "plog."}

// TestEveryIDExists reads the code of this package and of screen for the ids that are asked for, and holds that each is
// in the table, and that each row of the table is asked for.
func TestEveryIDExists(t *testing.T) {
	asked := map[string]bool{}
	for _, dir := range []string{".", "../screen"} {
		files, err := filepath.Glob(dir + "/*.go")
		require.NoError(t, err)
		for _, f := range files {
			if !strings.HasSuffix(f, "_test.go") {
				collect(t, f, asked)
			}
		}
	}
	var silent []string
	for _, row := range slices.Concat(screenTable, figureTable, measureTable, logTable) {
		known := asked[row.id] || slices.ContainsFunc(built, func(p string) bool { return strings.HasPrefix(row.id, p) })
		if !known && !asked[strings.TrimSuffix(row.id, ".do")] {
			silent = append(silent, row.id)
		}
	}
	for _, row := range offTable {
		base := row.id
		for _, end := range []string{".why", ".do", ".under", ".over"} {
			base = strings.TrimSuffix(base, end)
		}
		if !asked[row.id] && !asked[base] && !strings.HasPrefix(row.id, "ref.not.") { // off_test.go looks for those
			silent = append(silent, row.id)
		}
	}
	require.Empty(t, silent, "nothing says these")
}

// collect marks every string of a file that is passed to a function that looks a text up, and checks that it is there.
func collect(t *testing.T, path string, asked map[string]bool) {
	src, err := os.ReadFile(path)
	require.NoError(t, err)
	file, err := parser.ParseFile(token.NewFileSet(), path, src, 0)
	require.NoError(t, err)
	lookups := map[string]int{"t": 0, "n": 0, "T": 0, "N": 0, "line": 0, "countTo": 1, "missing": 0, "grouped": 0, "noted": 0, "toggles": 0}
	ast.Inspect(file, func(n ast.Node) bool {
		if lit, ok := n.(*ast.BasicLit); ok && lit.Kind == token.STRING && !strings.HasSuffix(path, "table.go") && !strings.HasSuffix(path, "table_figures.go") && !strings.HasSuffix(path, "table_measure.go") && !strings.HasSuffix(path, "table_books.go") && !strings.HasSuffix(path, "table_logs.go") &&
			!strings.HasSuffix(path, "table_off.go") && !strings.HasSuffix(path, "page.go") || strings.HasSuffix(path, "screen/page.go") && ok {
			if s, err := strconv.Unquote(lit.Value); err == nil {
				asked[s] = true
			}
		}
		call, ok := n.(*ast.CallExpr)
		if !ok || len(call.Args) == 0 {
			return true
		}
		sel, ok := call.Fun.(*ast.SelectorExpr)
		if !ok {
			return true
		}
		i, ok := lookups[sel.Sel.Name]
		if !ok || i >= len(call.Args) {
			return true
		}
		if lit, ok := call.Args[i].(*ast.BasicLit); ok && lit.Kind == token.STRING {
			id, err := strconv.Unquote(lit.Value)
			require.NoError(t, err)
			require.NotNil(t, said(id), "%s asks for %q", path, id)
		}
		return true
	})
}

func TestPageIsJSON(t *testing.T) {
	for _, l := range Langs() {
		var got map[string]string
		require.NoError(t, json.Unmarshal(Page(l), &got))
		require.Len(t, got, len(pageTable)+1)
		require.Equal(t, string(l), got["lang"])
	}
}

// TestThePagesOwnWordsAreThere reads the front end for the ids that it looks up.
func TestThePagesOwnWordsAreThere(t *testing.T) {
	var got map[string]string
	require.NoError(t, json.Unmarshal(Page(EN), &got))
	looked := regexp.MustCompile(`\bwords\(\)\.([a-zA-Z_]+)|\bword\(\s*"([a-zA-Z_]+)"|\bnotice\(\s*"([a-zA-Z_]+)"`)
	files, err := filepath.Glob("../../../frontend/draw/*.js")
	require.NoError(t, err)
	own, err := filepath.Glob("../../../frontend/*.js")
	require.NoError(t, err)
	for _, f := range append(files, own...) {
		if strings.HasSuffix(f, ".test.js") || strings.HasSuffix(f, "build.mjs") {
			continue
		}
		text, err := os.ReadFile(f)
		require.NoError(t, err)
		for _, m := range looked.FindAllStringSubmatch(string(text), -1) {
			if id := m[1] + m[2] + m[3]; id != "lang" {
				require.Contains(t, got, id, "%s", f)
			}
		}
	}
}

// TestThePageSaysAllOfItsWords: what no code looks up is a sentence that nobody sees, and 100 bytes of the first load.
func TestThePageSaysAllOfItsWords(t *testing.T) {
	var source []byte
	for _, pattern := range []string{"../../../frontend/*.js", "../../../frontend/draw/*.js", "../../../frontend/worker/*.js"} {
		files, err := filepath.Glob(pattern)
		require.NoError(t, err)
		for _, f := range files {
			if !strings.HasSuffix(f, ".test.js") {
				text, err := os.ReadFile(f)
				require.NoError(t, err)
				source = append(source, text...)
			}
		}
	}
	for _, it := range pageTable {
		require.True(t, regexp.MustCompile(`[^a-zA-Z_]`+it.id+`[^a-zA-Z_]`).Match(source), "nobody says %q", it.id)
	}
}

func TestForms(t *testing.T) {
	require.Equal(t, "1 piece", EN.N("pieces", 1))
	require.Equal(t, "0 piezas", ES.N("pieces", 0))
	require.Equal(t, "Tub 3", EN.Vessel("tub", 3))
	require.Equal(t, "Bandeja B", ES.Vessel("tray", 2))
	require.Equal(t, "Tray AA", EN.Vessel("tray", 27))
	require.Equal(t, "Crate 4", EN.Vessel("crate", 4))
	require.Equal(t, "no such id", EN.T("no such id"))
	require.Equal(t, "drain the tub", Lower("Drain the tub"))
	require.Equal(t, "HACCP plan", Lower("HACCP plan"))
	require.Equal(t, "Área fría", Upper("área fría"))
	require.Equal(t, "twenty", EN.Number(20))
	require.Equal(t, "21", EN.Number(21))
	require.Equal(t, ES, Of("es-MX"))
	require.Equal(t, EN, Of("de"))
}
