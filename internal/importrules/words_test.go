package importrules

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// hosts are the only addresses that a file may name: standards that are named by an address, places that a reader may
// look a source up, and hosts that by their standard never exist.
var hosts = []string{
	"localhost", "127.0.0.1", "127.0.0.2", "[::1]", "0.0.0.0",
	"www.w3.org", "json-schema.org", "example.com", "example.org", "kitchen.local", "kitchen",
	"biomejs.dev", "www.rfc-editor.org", "doi.org", "cse.buffalo.edu", "scripts.sil.org", "openfontlicense.org",
}

var (
	// What RFC 5737 and RFC 2606 set aside for examples, and the addresses of a private network (RFC 1918).
	example = regexp.MustCompile(`^(?:.+\.)?(?:example|test|invalid)$|^(?:192\.0\.2|198\.51\.100|203\.0\.113|192\.168\.\d+|10\.\d+\.\d+)\.\d+$`)
	address = regexp.MustCompile(`(?i)\b(?:https?|wss?)://(\[[0-9a-f:]+\]|[a-z0-9.-]+[a-z0-9])`)
	// A path that exists on one machine only.
	machine = regexp.MustCompile(`(?:^|[\s"'` + "`" + `(=])/(?:home|root|Users|farm|work|tmp|mnt)/[A-Za-z0-9_.-]+`)
)

// texts yields every text file of the repository.
func texts(t *testing.T, each func(path string, text []byte)) {
	t.Helper()
	for _, path := range tracked(t) {
		text, err := os.ReadFile(filepath.Join("../..", path))
		if os.IsNotExist(err) {
			continue // deleted but not yet committed
		}
		require.NoError(t, err)
		if !bytes.Contains(text, []byte{0}) {
			each(path, text)
		}
	}
}

// strangers lists what a text names that only one machine or one network has.
func strangers(text []byte) []string {
	var found []string
	for _, m := range address.FindAllSubmatch(text, -1) {
		if host := strings.ToLower(string(m[1])); !slices.Contains(hosts, host) && !example.MatchString(host) {
			found = append(found, host)
		}
	}
	for _, m := range machine.FindAll(text, -1) {
		found = append(found, strings.TrimSpace(string(m)))
	}
	return found
}

func TestNoFileNamesAMachineOrAHost(t *testing.T) {
	texts(t, func(path string, text []byte) {
		if path == "internal/importrules/words_test.go" || path == "frontend/package-lock.json" {
			return // the rule itself; the lock has a test of its own below
		}
		if strings.HasPrefix(path, "testdata/published/") {
			text = address.ReplaceAll(text, nil) // tables say where they come from
		}
		require.Empty(t, strangers(text), path)
	})
}

func TestStrangersAreFound(t *testing.T) {
	for _, text := range []string{
		`"resolved": "https://packages.somewhere.io/x.tgz"`, `dir = "/home/anna/kitchen"`, "see /root/notes", "WSS://8.1.2.3/line",
	} {
		require.NotEmpty(t, strangers([]byte(text)), text)
	}
	require.Empty(t, strangers([]byte(`xmlns="http://www.w3.org/2000/svg" src="/assets/work/x.js"`)))
}

// The lock pins what is installed by its hash, and names no server to get it from.
func TestLockFileIsClean(t *testing.T) {
	text, err := os.ReadFile("../../frontend/package-lock.json")
	require.NoError(t, err)
	require.Contains(t, string(text), `"integrity"`)
	require.NotContains(t, string(text), `"resolved"`)
	pack, err := os.ReadFile("../../frontend/package.json")
	require.NoError(t, err)
	require.NotRegexp(t, `"[~^]\d`, string(pack), "versions are exact")
}
