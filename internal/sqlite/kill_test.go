package sqlite

import (
	"bufio"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinebell/internal/chain"
	"brinebell/internal/core/journal"
	"brinebell/internal/fail"
	"brinebell/internal/pairing"
)

// asRestorer makes it be one that restores the folder from this file.
const asRestorer = "BRINEBELL_TEST_AS_RESTORER"

// asWriter makes the test binary be a process that writes to a folder, so that tests can kill it at what it is doing.
const asWriter = "BRINEBELL_TEST_AS_WRITER"

func TestMain(m *testing.M) {
	if file, dir := os.Getenv(asRestorer), os.Getenv(asWriter); file != "" {
		r, err := Restore(dir, file)
		fmt.Println("restored", err == nil && r.Generation != "")
		os.Exit(0)
	}
	if dir := os.Getenv(asWriter); dir != "" {
		fmt.Println("failed", writeOn(dir))
		os.Exit(1)
	}
	os.Exit(m.Run())
}

// writeOn keeps entries, empties the log and makes backups for ever, and says what it is about to do and what it has done. What it
// says is on its way before it goes on.
func writeOn(dir string) error {
	s, err := Open(dir, Options{})
	if err != nil {
		return err
	}
	head, _ := s.Head()
	fmt.Println("opened", head)
	for round := 1; ; round++ {
		for range 3 {
			e := made(int64(head + 1))
			c := &journal.Change{Keep: numbered(int(head)+1, 1+round%7), Base: &journal.Base{State: make([]byte, 60_000), Last: journal.PlaceOf(&e)}}
			if err := s.Keep(c); err != nil {
				return err
			}
			head += uint64(len(c.Keep))
			fmt.Println("kept", head)
		}
		fmt.Println("checkpoint")
		if _, err := s.conn.ExecContext(background, "PRAGMA wal_checkpoint("+[]string{"PASSIVE", "TRUNCATE", "RESTART"}[round%3]+")"); err != nil {
			return err
		}
		fmt.Println("done")
		if round%2 == 0 {
			fmt.Println("backup")
			if _, err := Backup(dir, filepath.Join(dir+".out", fmt.Sprint(time.Now().UnixNano(), ".db"))); err != nil {
				return err
			}
			fmt.Println("done")
		}
	}
}

// victim is the journal of processes that are killed.
type victim struct {
	dir    string
	random *rand.Rand
	kept   uint64 // shown as kept by any of them
	starts int    // kills before the folder was open
	during map[string]int
}

func newVictim(t *testing.T, random *rand.Rand) *victim {
	t.Helper()
	v := &victim{dir: filepath.Join(t.TempDir(), "kitchen"), random: random, during: map[string]int{}}
	require.NoError(t, os.Mkdir(v.dir+".out", 0o700)) // where its backups go
	return v
}

// once starts a process and kills it: while it starts, or while it does the nth thing of a sort.
func (v *victim) once(t *testing.T, what string, nth int, after time.Duration) {
	t.Helper()
	c := exec.Command(os.Args[0])
	c.Env = append(os.Environ(), asWriter+"="+v.dir)
	out, err := c.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, c.Start())
	guard := time.AfterFunc(time.Minute, func() { _ = c.Process.Kill() })
	defer guard.Stop()
	if what == "start" {
		time.Sleep(after)
		require.NoError(t, c.Process.Kill())
	}
	opened, doing := false, ""
	lines := bufio.NewReader(out)
	for {
		line, err := lines.ReadString('\n')
		if err == io.EOF {
			break
		}
		require.NoError(t, err)
		word, rest, _ := strings.Cut(strings.TrimSpace(line), " ")
		number := uint64(0)
		_, _ = fmt.Sscan(rest, &number)
		switch word {
		case "opened":
			opened = true
			require.GreaterOrEqual(t, number, v.kept, "what was shown as kept is there when the next one opens")
		case "kept":
			v.kept = number
		case "failed":
			t.Fatalf("a process that was not killed ended: %s", line)
		}
		doing = word
		if word == what {
			if nth--; nth == 0 {
				time.Sleep(after)
				require.NoError(t, c.Process.Kill())
			}
		}
	}
	_ = c.Wait() // killed, as it should be
	switch {
	case !opened:
		v.starts++
	case doing == "checkpoint" || doing == "backup":
		v.during[doing]++
	}
}

// inspect opens the journal: all that was shown as kept is there, as it was told, and the chain is whole.
func (v *victim) inspect(t *testing.T) {
	t.Helper()
	s, err := Open(v.dir, Options{})
	require.NoError(t, err)
	report, err := s.Verify()
	require.NoError(t, err)
	require.Nil(t, report.First)
	require.GreaterOrEqual(t, report.Entries, v.kept)
	for n, err := range s.Since(0) {
		require.NoError(t, err)
		if string(n.Record) != string(record(int64(n.Seq))) {
			t.Fatalf("entry %d is not as it was told", n.Seq)
		}
	}
	require.NoError(t, s.Close())
	halves, err := filepath.Glob(filepath.Join(v.dir, ".*"))
	require.NoError(t, err)
	require.Empty(t, halves, "halves of files are cleared away")
}

// A process that writes is killed while it starts, in the middle of emptying its log and in the middle of a backup, until each of these
// was hit often enough. Nothing that it said to be kept is missing, whatever follows opens, and what has a backup's name is whole.
func TestSoakKilledAtTheStartInCheckpointsAndInBackups(t *testing.T) {
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	v := newVictim(t, rand.New(rand.NewPCG(seed, 3)))
	out := v.dir + ".out"
	v.once(t, "kept", 1, 0)
	want, most := times(8, 350), times(200, 8000)
	kills := 0
	for enough := false; !enough; kills++ {
		require.Less(t, kills, most, "hit so far: %d starts, %v", v.starts, v.during)
		switch {
		case v.during["checkpoint"] < want:
			v.once(t, "checkpoint", 1+v.random.IntN(4), time.Duration(v.random.IntN(600))*time.Microsecond)
		case v.during["backup"] < want:
			v.once(t, "backup", 1+v.random.IntN(2), time.Duration(v.random.IntN(4000))*time.Microsecond)
		case v.starts < 2*want:
			v.once(t, "start", 0, time.Duration(v.random.IntN(25_000))*time.Microsecond)
		default:
			enough = true
		}
		if kills%20 == 0 {
			v.inspect(t)
		}
	}
	v.inspect(t)
	made, err := filepath.Glob(filepath.Join(out, "*.db"))
	require.NoError(t, err)
	for _, file := range made {
		s, err := openCopy(file)
		require.NoError(t, err)
		report, err := s.Verify()
		require.NoError(t, err, file)
		require.Nil(t, report.First, file)
		require.NoError(t, s.Close())
	}
	halves, err := filepath.Glob(filepath.Join(out, ".backup-*"))
	require.NoError(t, err)
	require.NotEmpty(t, halves, "a kill in a backup leaves its half")
	for _, half := range halves {
		old := time.Now().Add(-2 * abandoned)
		require.NoError(t, os.Chtimes(half, old, old))
		_ = os.Chtimes(filepath.Join(half, dataName), old, old) // not every half has one
	}
	_, err = Backup(v.dir, filepath.Join(out, "last.db"))
	require.NoError(t, err)
	halves, err = filepath.Glob(filepath.Join(out, ".backup-*"))
	require.NoError(t, err)
	require.Empty(t, halves, "the next one clears them away")
	t.Logf("%d kills: %d in a start, %d in a checkpoint, %d in a backup; %d entries kept, %d backups", kills, v.starts, v.during["checkpoint"], v.during["backup"], v.kept, len(made))
}

// The very first start is killed, before there is a kitchen or while it is made: the next one makes it or finds it whole.
func TestSoakKilledWhileANewKitchenIsMade(t *testing.T) {
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	random := rand.New(rand.NewPCG(seed, 4))
	first := newVictim(t, random)
	began := time.Now()
	first.once(t, "opened", 1, 0)
	whole := int(time.Since(began).Microseconds()) // a start takes, here and now
	states := map[string]int{}
	for range times(24, 500) {
		v := newVictim(t, random)
		v.once(t, "start", 0, time.Duration(random.IntN(whole*5/4))*time.Microsecond)
		found := ""
		for _, name := range []string{"", "new", dataName, markName, reserveName} {
			if _, err := os.Stat(filepath.Join(v.dir, name)); err == nil {
				found += " /" + name
			}
		}
		states[found]++
		v.once(t, "start", 0, time.Duration(random.IntN(22_000))*time.Microsecond)
		v.inspect(t)
	}
	require.Greater(t, len(states), 1, "kills hit different moments: %v", states)
	t.Logf("what a kill left: %v", states)
}

// undone is a folder in which a restore was killed.
type undone struct {
	dir, file string // and the copy that it was to be restored from
	copied    *Copied
	before    chain.Hash // of the last entry that was there
}

func newUndone(t *testing.T) *undone {
	t.Helper()
	u := &undone{dir: filepath.Join(t.TempDir(), "kitchen")}
	u.file = u.dir + ".db"
	s := open(t, u.dir, Options{})
	require.NoError(t, s.Keep(&journal.Change{Keep: numbered(1, 80)}))
	var err error
	u.copied, err = Backup(u.dir, u.file)
	require.NoError(t, err)
	_, err = s.Admit(nil, 7, pairing.Device{ID: "late", Name: "Hold phone"})
	require.NoError(t, err)
	require.NoError(t, s.Keep(&journal.Change{Keep: numbered(81, 20)}))
	_, u.before = s.Chain()
	require.NoError(t, s.Close())
	return u
}

// kill restores in a process of its own, kills that after a while, and returns how long it ran; never: it is let run to its end.
func (u *undone) kill(t *testing.T, after time.Duration) time.Duration {
	t.Helper()
	c := exec.Command(os.Args[0])
	c.Env = append(os.Environ(), asWriter+"="+u.dir, asRestorer+"="+u.file)
	began := time.Now()
	require.NoError(t, c.Start())
	if after != never {
		time.Sleep(after)
		_ = c.Process.Kill() // it may have ended
	}
	_ = c.Wait()
	return time.Since(began)
}

const never = -1

// left says what stands in the folder: what was there before, the copy, or no file, and then the start says so.
func (u *undone) left(t *testing.T) string {
	t.Helper()
	s, err := Open(u.dir, Options{})
	if err != nil {
		require.Equal(t, fail.Damaged, fail.KindOf(err), "%v", err)
		require.Contains(t, fail.Sentence(err), "kitchen.db is gone")
		return "gone"
	}
	defer func() { require.NoError(t, s.Close()) }()
	report, err := s.Verify()
	require.NoError(t, err)
	require.Nil(t, report.First)
	if report.Head == u.before {
		return "before"
	}
	require.Equal(t, u.copied.Report, report)
	return "the copy"
}

// again restores once more: that goes through, devices that joined since the copy was made stay joined, and what was there first is
// whole in a folder aside.
func (u *undone) again(t *testing.T) {
	t.Helper()
	r, err := Restore(u.dir, u.file)
	require.NoError(t, err)
	require.Equal(t, u.copied.Report, r.Report)
	s := open(t, u.dir, Options{})
	_, err = s.Device("late")
	require.NoError(t, err)
	require.NoError(t, s.Close())
	aside, err := filepath.Glob(filepath.Join(u.dir, asidePrefix+"*", dataName))
	require.NoError(t, err)
	found := false
	for _, name := range aside {
		was, err := openCopy(name)
		require.NoError(t, err)
		_, head := was.Chain()
		found = found || head == u.before
		require.NoError(t, was.Close())
	}
	require.True(t, found, "what was there first is not lost")
}

// A restore is killed at any moment: nothing is lost, and the next one goes through.
func TestSoakKilledInARestore(t *testing.T) {
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	random := rand.New(rand.NewPCG(seed, 5))
	whole := newUndone(t).kill(t, never) // a restore takes, here and now
	left := map[string]int{}
	for range times(16, 400) {
		u := newUndone(t)
		u.kill(t, time.Duration(random.Int64N(int64(whole*6/5))))
		left[u.left(t)]++
		u.again(t)
	}
	// The moment between two renames is short: what a kill there leaves.
	u := newUndone(t)
	_, err := (&Store{dir: u.dir}).moveAside()
	require.NoError(t, err)
	require.Equal(t, "gone", u.left(t))
	u.again(t)
	require.NotEmpty(t, left)
	t.Logf("what a kill left: %v", left)
}
