package server_test

import (
	"crypto/sha256"
	"database/sql"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/fail"
	"brinebell/internal/server"
	"brinebell/internal/sqlite"
)

func named(t *testing.T, folder string) []string {
	t.Helper()
	list, err := os.ReadDir(folder)
	require.NoError(t, err)
	var names []string
	for _, f := range list {
		names = append(names, f.Name())
	}
	return names
}

// A kitchen backs itself up once a day while it is served, and each of its backups restores.
func TestAServedKitchenBacksItselfUpEachDay(t *testing.T) {
	data := t.TempDir()
	newYork, err := time.LoadLocation("America/New_York")
	require.NoError(t, err)
	y, m, d := time.Now().In(newYork).AddDate(0, 0, 10).Date() // after all that tests stamp
	at := func(day, hour, minute int) time.Time { return time.Date(y, m, d+day, hour, minute, 0, 0, newYork) }
	file := func(day int) string { return at(day, 12, 0).Format("kitchen-2006-01-02.db") }
	clock := newHands(at(0, 3, 50))
	s := start(t, server.Config{Data: data, Zone: "America/New_York", Clock: clock})
	l := onLine(t, s, joined(t, s, "phone"))
	folder := filepath.Join(data, server.BackupsName)
	for range 3 { // again and again within a day: one
		require.NoError(t, s.BackUp())
		require.Equal(t, []string{file(-1)}, named(t, folder), "before four in the morning it is the evening before")
	}
	for day := range 5 {
		push(t, l, note(l.Ticket.Device, fmt.Sprint("day ", day)))
		clock.wall.Store(at(day, 4, 10).UnixMilli())
		require.NoError(t, s.BackUp())
		require.NoError(t, s.BackUp())
		require.Contains(t, named(t, folder), file(day))
	}
	require.Len(t, named(t, folder), 6)
	head := len(entries(t, data))
	stop(t, s)
	_, figures := 0, 0
	for _, name := range named(t, folder) {
		fresh := t.TempDir()
		r, err := sqlite.Restore(fresh, filepath.Join(folder, name))
		require.NoError(t, err)
		require.Greater(t, int(r.Report.Entries), figures, "each has more than the one before")
		figures = int(r.Report.Entries)
	}
	require.Equal(t, head, figures)
}

// The night in which clocks change has 23 hours or 25, and some of its hours come twice: one backup for each day all the same.
func TestABackupForEachDayOfTheNightsInWhichClocksChange(t *testing.T) {
	for zone, days := range map[string][]string{
		"America/New_York": {"2026-03-08", "2026-11-01"}, "Europe/Berlin": {"2026-03-29", "2026-10-25"},
	} {
		place, err := time.LoadLocation(zone)
		require.NoError(t, err)
		for _, day := range days {
			change, err := time.ParseInLocation(time.DateOnly, day, place)
			require.NoError(t, err)
			made := map[string]int{}
			last := ""
			for at := change.AddDate(0, 0, -2); at.Before(change.AddDate(0, 0, 3)); at = at.Add(10 * time.Minute) {
				if now := server.BackupDay(at); now != last {
					made[now]++
					last = now
				}
			}
			var want []string
			for d := -3; d <= 2; d++ {
				want = append(want, change.AddDate(0, 0, d).Format(time.DateOnly))
			}
			require.Equal(t, want, slices.Sorted(maps.Keys(made)), day)
			for name, n := range made {
				require.Equal(t, 1, n, "%s in the nights around %s", name, day)
			}
		}
	}
}

// Two years of days: the newest seven stay, one of each of five weeks, and no other file is touched.
func TestOldBackupsGoAndAFewStay(t *testing.T) {
	var kept []string
	for day := time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC); day.Year() < 2027; day = day.AddDate(0, 0, 1) {
		kept = append([]string{day.Format("kitchen-2006-01-02.db")}, kept...)
		gone := server.Spent(kept)
		kept = slices.DeleteFunc(kept, func(name string) bool { return slices.Contains(gone, name) })
		require.LessOrEqual(t, len(kept), 7+5)
		require.Equal(t, day.Format("kitchen-2006-01-02.db"), kept[0])
	}
	require.Equal(t, "kitchen-2026-12-25.db", kept[6])
	oldest, err := time.Parse("kitchen-2006-01-02.db", kept[len(kept)-1])
	require.NoError(t, err)
	require.True(t, oldest.Before(time.Date(2026, 12, 7, 0, 0, 0, 0, time.UTC)), "weeks back: %v", kept)

	data, folder := t.TempDir(), t.TempDir()
	s := start(t, server.Config{Data: data, Zone: "Europe/Berlin", Backups: folder, Clock: newHands(time.Date(2026, 11, 24, 12, 0, 0, 0, time.UTC))})
	own := []string{"kitchen-2026-11-24T110500.db", "kitchen.db", "notes.txt"} // made by hand
	for _, name := range own {
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), []byte("x"), 0o600))
	}
	first := filepath.Join(folder, "kitchen-2026-10-01.db")
	_, err = sqlite.Backup(data, first)
	require.NoError(t, err)
	whole, err := os.ReadFile(first)
	require.NoError(t, err)
	for d := 1; d < 40; d++ {
		day := time.Date(2026, 10, 1+d, 0, 0, 0, 0, time.UTC)
		require.NoError(t, os.WriteFile(filepath.Join(folder, day.Format("kitchen-2006-01-02.db")), whole, 0o600))
	}
	require.NoError(t, s.BackUp())
	names := named(t, folder)
	require.Contains(t, names, "kitchen-2026-11-24.db")
	require.Subset(t, names, own)
	require.LessOrEqual(t, len(names), 7+5+len(own))
}

// A disk that is not plugged in is said, and not stood in for by a folder on the kitchen's own; the kitchen goes on.
func TestABackupFolderThatIsNotThere(t *testing.T) {
	away, data := filepath.Join(t.TempDir(), "stick"), t.TempDir()
	s := start(t, server.Config{Data: data, Backups: away})
	err := s.BackUp()
	require.Equal(t, fail.Storage, fail.KindOf(err))
	require.Contains(t, fail.Sentence(err), "Is its disk plugged in?")
	require.NoDirExists(t, away)
	l := onLine(t, s, joined(t, s, "phone"))
	push(t, l, note(l.Ticket.Device, "still here"))
	require.NoError(t, os.Mkdir(away, 0o700))
	photo := fmt.Sprintf("%x", sha256.Sum256([]byte("tub")))
	require.NoError(t, os.WriteFile(filepath.Join(data, "photos", photo), []byte("tub"), 0o600))
	require.NoError(t, s.BackUp())
	require.Len(t, named(t, away), 2, "the journal, and the photos beside it")
	require.Equal(t, []string{photo}, named(t, filepath.Join(away, "photos")))
}

// Back in 1970 for want of a battery, day after day: kitchen time is never behind the last entry, so the days have backups of their own.
func TestABackupWhileTheClockIsBackIn1970(t *testing.T) {
	data := t.TempDir()
	stop(t, start(t, server.Config{Data: data, Zone: "Europe/Berlin", Clock: newHands(time.Date(2026, 11, 24, 12, 0, 0, 0, time.UTC))}))
	s := start(t, server.Config{Data: data, Clock: newHands(time.Unix(7, 0))})
	require.NoError(t, s.BackUp())
	require.Equal(t, []string{"kitchen-2026-11-24.db"}, named(t, filepath.Join(data, server.BackupsName)))
}

// rewriteNote changes one note where it lies and hashes it and all that follow anew, as somebody who owns the disk can.
func rewriteNote(t *testing.T, data, was, is string) {
	t.Helper()
	db, err := sql.Open("sqlite", "file:"+filepath.Join(data, "kitchen.db"))
	require.NoError(t, err)
	rows, err := db.Query("SELECT seq, record FROM entries ORDER BY seq")
	require.NoError(t, err)
	var prev [sha256.Size]byte
	records, hashes := map[int64][]byte{}, map[int64][]byte{}
	changed := 0
	for rows.Next() {
		var seq int64
		var record []byte
		require.NoError(t, rows.Scan(&seq, &record))
		e, err := entry.ReadRecord(record)
		require.NoError(t, err)
		if body, err := e.Open(); err == nil {
			if n, ok := body.(*entry.Note); ok && n.Text == was {
				other := entry.New(e.ID, e.At, e.Crew, &entry.Note{Text: is})
				record = entry.AppendRecord(nil, &other)
				changed++
			}
		}
		prev = sha256.Sum256(append(prev[:], record...))
		records[seq], hashes[seq] = record, slices.Clone(prev[:])
	}
	require.NoError(t, rows.Err())
	require.NoError(t, rows.Close())
	require.Equal(t, 1, changed)
	for seq, record := range records {
		_, err := db.Exec("UPDATE entries SET record = ?, hash = ? WHERE seq = ?", record, hashes[seq], seq)
		require.NoError(t, err)
	}
	require.NoError(t, db.Close())
}

// History is written anew between two days and hashed anew: the day's backup is held against the one before, says from which entry
// on, and no backup is let go as long as that is so.
func TestAHistoryThatWasWrittenAnewIsSaidWithTheDaysBackup(t *testing.T) {
	data := t.TempDir()
	clock := newHands(time.Now())
	cfg := server.Config{Data: data, Zone: "Europe/Berlin", Clock: clock}
	s := start(t, cfg)
	l := onLine(t, s, joined(t, s, "phone"))
	push(t, l, note(l.Ticket.Device, "cold room 9 degrees at 21:00"))
	push(t, l, note(l.Ticket.Device, "closed"))
	require.NoError(t, s.BackUp())
	stop(t, s)
	folder := filepath.Join(data, server.BackupsName)
	witness := filepath.Join(folder, named(t, folder)[0])
	rewriteNote(t, data, "cold room 9 degrees at 21:00", "cold room 3 degrees at 21:00")
	for d := 400; d < 420; d++ { // old enough to go
		old := time.Now().AddDate(0, 0, -d)
		require.NoError(t, os.WriteFile(filepath.Join(folder, old.Format("kitchen-2006-01-02.db")), []byte("x"), 0o600))
	}
	before := len(named(t, folder))

	s = start(t, cfg)
	clock.wall.Add((24 * time.Hour).Milliseconds())
	err := s.BackUp()
	require.Equal(t, fail.Damaged, fail.KindOf(err))
	number := 0
	for i, e := range entries(t, data) {
		if body, err := e.Open(); err == nil {
			if n, ok := body.(*entry.Note); ok && n.Text != "closed" {
				number = i + 1
			}
		}
	}
	require.Contains(t, fail.Sentence(err), fmt.Sprintf("from entry %d on", number))
	require.Contains(t, fail.Sentence(err), witness)
	require.Len(t, named(t, folder), before+1, "today's is made, and none is let go")
}
