package importrules

import (
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// law says who may import whom. Left: a folder; right: the folders of ours that it may import, nothing else. A folder
// that is not listed may not exist. Read it from the bottom up: each line names only what stands below it.
const law = `
cmd/brinebell          -> internal/core/planner internal/core/probelog internal/core/safety internal/core/quantity internal/core/words internal/fail internal/server internal/document internal/sqlite internal/chain internal/pairing
cmd/corewasm           -> internal/core internal/core/words

internal/server        -> internal/core/afterwards internal/core/screen internal/core/records . internal/logfile internal/report internal/core/wire internal/core/quantity internal/fail internal/web internal/hub internal/sqlite internal/chain internal/pairing internal/document internal/demo internal/core internal/core/entry internal/core/stamp internal/core/journal internal/core/kitchen internal/core/protocol
internal/web           -> internal/logfile internal/fail internal/hub internal/pairing internal/core
internal/report        -> internal/core/afterwards internal/core/planner internal/core/wire internal/core/safety internal/core/records internal/core/journal internal/core/kitchen internal/core/entry internal/core/procedure internal/core/words internal/core/stamp internal/core/quantity
internal/hub           -> internal/fail internal/pairing internal/core internal/core/journal internal/core/protocol internal/core/stamp internal/core/entry
internal/hub/hubtest   -> internal/core/entry internal/core/protocol internal/core/stamp
internal/sqlite        -> internal/fail internal/chain internal/pairing internal/core/journal internal/core/entry internal/core/stamp
internal/chain         -> internal/core/entry
internal/pairing       -> internal/fail internal/core/entry internal/core/stamp
internal/demo          -> internal/core/entry internal/core/stamp internal/core/kitchen internal/core/procedure internal/core/quantity internal/document
internal/document      -> internal/core/procedure internal/core/jsontext
internal/simulation    -> internal/core internal/core/journal internal/core/kitchen internal/core/entry internal/core/stamp internal/core/protocol internal/core/jsontext internal/core/procedure internal/core/clock internal/core/wire internal/sqlite internal/journaltest internal/demo
internal/journaltest   -> internal/demo internal/core/journal internal/core/entry internal/core/stamp internal/core/kitchen internal/core/procedure internal/core/wire
internal/bench         -> internal/core/planning internal/core/forecast internal/core/planner internal/report internal/core/records internal/core/probelog internal/core/safety internal/demo internal/journaltest internal/simulation internal/sqlite internal/pairing internal/core internal/core/entry internal/core/stamp internal/core/procedure internal/core/protocol internal/core/journal internal/core/kitchen
internal/importrules   ->
internal/logfile       -> internal/core/quantity
internal/fail          ->
.                      ->

internal/core          -> internal/core/afterwards internal/core/demand internal/core/planning internal/core/planner internal/core/practice internal/core/screen internal/core/words internal/core/kitchen internal/core/journal internal/core/protocol internal/core/clock internal/core/window internal/core/procedure internal/core/entry internal/core/quantity internal/core/stamp internal/core/wire internal/core/jsontext
internal/core/screen   -> internal/core/sales internal/core/afterwards internal/core/demand internal/core/planning internal/core/planner internal/core/forecast internal/core/practice internal/core/young internal/core/questions internal/core/probelog internal/core/safety internal/core/fixed internal/core/physics internal/core/plot internal/core/statistics internal/core/words internal/core/kitchen internal/core/window internal/core/procedure internal/core/entry internal/core/quantity internal/core/stamp internal/core/wire internal/core/jsontext internal/core/order
internal/core/pin      ->
internal/core/young    -> internal/core/procedure internal/core/stamp
internal/core/practice -> internal/core/physics internal/core/words internal/core/kitchen internal/core/window internal/core/procedure internal/core/entry internal/core/stamp
internal/core/questions -> internal/core/wire internal/core/words internal/core/window internal/core/procedure internal/core/quantity internal/core/stamp internal/core/order
internal/core/words    -> internal/core/sales internal/core/young internal/core/probelog internal/core/safety internal/core/kitchen internal/core/procedure internal/core/entry internal/core/quantity internal/core/stamp internal/core/jsontext
internal/core/records  -> internal/core/kitchen internal/core/procedure internal/core/entry internal/core/stamp internal/core/order
internal/core/journal  -> internal/core/kitchen internal/core/entry internal/core/stamp internal/core/wire
internal/core/kitchen  -> internal/core/pin internal/core/young internal/core/spacing internal/core/fixed internal/core/probelog internal/core/safety internal/core/physics internal/core/window internal/core/procedure internal/core/entry internal/core/quantity internal/core/stamp internal/core/wire internal/core/jsontext internal/core/order
internal/core/protocol -> internal/core/journal internal/core/entry internal/core/stamp internal/core/wire
internal/core/window   -> internal/core/procedure internal/core/quantity internal/core/stamp
internal/core/procedure -> internal/core/physics internal/core/entry internal/core/quantity internal/core/stamp internal/core/jsontext
internal/core/clock    -> internal/core/stamp internal/core/wire
internal/core/entry    -> internal/core/quantity internal/core/stamp internal/core/wire
internal/core/wire     -> internal/core/jsontext
internal/core/jsontext ->
internal/core/quantity -> internal/core/stamp
internal/core/stamp    ->
internal/core/sales    ->
internal/core/probelog -> internal/core/safety internal/core/quantity internal/core/stamp internal/core/wire
internal/core/safety   -> internal/core/fixed internal/core/quantity internal/core/stamp internal/core/order
internal/core/plot     -> internal/core/order
internal/core/statistics -> internal/core/fixed
internal/core/order    ->
internal/core/physics  -> internal/core/fixed
internal/core/spacing  -> internal/core/fixed
internal/core/afterwards -> internal/core/demand internal/core/planning internal/core/planner internal/core/kitchen internal/core/procedure internal/core/entry internal/core/stamp internal/core/order
internal/core/planner  -> internal/core/jsontext internal/core/order
internal/core/forecast ->
internal/core/demand   -> internal/core/forecast internal/core/kitchen internal/core/procedure internal/core/entry internal/core/stamp
internal/core/planning -> internal/core/demand internal/core/planner internal/core/forecast internal/core/kitchen internal/core/procedure internal/core/entry internal/core/stamp internal/core/wire internal/core/order internal/core/window
internal/core/fixed    ->
`

// neighbours says which modules from elsewhere a folder may use outside its tests.
const neighbours = `
cmd/brinebell     -> github.com/jessevdk/go-flags
internal/server   -> github.com/VictoriaMetrics/metrics github.com/boombuler/barcode github.com/boombuler/barcode/qr golang.org/x/time/rate
internal/web      -> github.com/VictoriaMetrics/metrics github.com/gorilla/websocket github.com/boombuler/barcode github.com/boombuler/barcode/qr golang.org/x/time/rate
internal/report   -> codeberg.org/go-pdf/fpdf golang.org/x/image/font/gofont/gobold golang.org/x/image/font/gofont/goregular
internal/hub      -> github.com/gorilla/websocket github.com/VictoriaMetrics/metrics golang.org/x/time/rate
internal/pairing  -> golang.org/x/time/rate
internal/sqlite   -> modernc.org/sqlite modernc.org/sqlite/lib
internal/document -> github.com/santhosh-tekuri/jsonschema/v6 github.com/santhosh-tekuri/jsonschema/v6/kind
internal/bench    -> github.com/gorilla/websocket modernc.org/sqlite codeberg.org/go-pdf/fpdf golang.org/x/image/font/gofont/goregular
internal/hub/hubtest -> github.com/gorilla/websocket
`

// proofs are the modules that tests may use, and the folders that hold nothing but proof.
var (
	proofs  = []string{"github.com/stretchr/testify/require", "pgregory.net/rapid", "github.com/cockroachdb/datadriven"}
	proving = []string{"internal/journaltest", "internal/hub/hubtest", "internal/simulation", "internal/importrules", "internal/bench"}
)

// pure lists the standard packages that the ring may use: none of them reads a clock, chance, a file or a socket.
var pure = []string{
	"bytes", "cmp", "errors", "hash", "hash/fnv", "iter", "maps", "math/bits", "slices", "strconv", "strings",
	"sort", "unicode", "unicode/utf8",
}

// floating is the one folder of the ring that reckons with floating-point numbers and may use math: a forecast is an estimate, and
// what it answers are whole numbers. What is decided by it is kept as an entry, so that no two devices need to agree on it.
const floating = "internal/core/forecast"

func readLaw(text string) map[string][]string {
	may := map[string][]string{}
	for line := range strings.Lines(text) {
		if left, right, ok := strings.Cut(line, "->"); ok {
			may[strings.TrimSpace(left)] = strings.Fields(right)
		}
	}
	return may
}

// broken lists what in the tree is against the law, as sentences.
func broken(files []*file, may, outside map[string][]string) []string {
	var faults []string
	for _, f := range files {
		allowed, known := may[f.folder]
		if !known {
			faults = append(faults, f.path+": the law does not know the folder "+f.folder)
			continue
		}
		if f.test {
			continue
		}
		for _, name := range f.imports {
			if fault := judge(f.folder, name, allowed, outside[f.folder]); fault != "" {
				faults = append(faults, f.path+": "+fault)
			}
		}
	}
	return faults
}

func judge(folder, name string, allowed, outside []string) string {
	first, _, _ := strings.Cut(name, "/")
	switch {
	case name == module || first == module:
		ours := strings.TrimPrefix(strings.TrimPrefix(name, module), "/")
		if ours == "" {
			ours = "."
		}
		if !slices.Contains(allowed, ours) {
			return folder + " may not import " + ours
		}
	case strings.Contains(first, "."):
		if !slices.Contains(outside, name) && !(slices.Contains(proving, folder) && slices.Contains(proofs, name)) {
			return folder + " may not import " + name
		}
	case inRing(folder) && !slices.Contains(pure, name) && !(folder == floating && name == "math"):
		return folder + " imports " + name + ": the ring may not; hand in what it needs"
	}
	return ""
}

func TestEachFolderImportsOnlyWhatTheLawLists(t *testing.T) {
	require.Empty(t, broken(openTree(t).files, readLaw(law), readLaw(neighbours)))
}

// The law itself must have no way round: what a folder may import stands below it, so there is no circle.
func TestLawHasNoCircle(t *testing.T) {
	may := readLaw(law)
	var visit func(folder string, path []string)
	visit = func(folder string, path []string) {
		require.NotContains(t, path, folder, "circle: %v", append(path, folder))
		for _, next := range may[folder] {
			require.Contains(t, may, next, "the law lets %s import what it does not list", folder)
			visit(next, append(slices.Clone(path), folder))
		}
	}
	for _, folder := range slices.Sorted(maps.Keys(may)) {
		visit(folder, nil)
		for _, next := range may[folder] {
			require.False(t, inRing(folder) && !inRing(next), "%s is in the ring and may not leave it for %s", folder, next)
		}
	}
}

// A rule that lets everything pass proves nothing: these must all be refused.
func TestLawRefuses(t *testing.T) {
	may, outside := readLaw(law), readLaw(neighbours)
	for _, c := range []struct{ folder, name string }{
		{"internal/core/kitchen", "time"},
		{"internal/core/kitchen", "math/rand"},
		{"internal/core/planner", "math"},
		{floating, "math/rand"},
		{"internal/core/window", "brinebell/internal/core/kitchen"},
		{"internal/core", "fmt"},
		{"internal/core/screen", "brinebell/internal/hub"},
		{"internal/core/entry", "github.com/gorilla/websocket"},
		{"internal/sqlite", "brinebell/internal/core/kitchen"},
		{"internal/hub", "github.com/stretchr/testify/require"},
		{"internal/server", "modernc.org/sqlite"},
	} {
		require.NotEmpty(t, judge(c.folder, c.name, may[c.folder], outside[c.folder]), "%s -> %s", c.folder, c.name)
	}
	stray := &file{path: "internal/helpers/x.go", folder: "internal/helpers"}
	require.Len(t, broken([]*file{stray}, may, outside), 1)
}

// Assertions belong to tests: everything that is shipped is written without them.
func TestProofModulesStayInTests(t *testing.T) {
	for _, f := range openTree(t).files {
		if f.test || slices.Contains(proving, f.folder) {
			continue
		}
		for _, name := range f.imports {
			require.NotContains(t, proofs, name, f.path)
			require.NotEqual(t, "testing", name, f.path)
		}
	}
}
