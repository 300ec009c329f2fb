package server

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"time"

	"brinebell/internal/fail"
	"brinebell/internal/sqlite"
)

// A kitchen that is served is backed up once each of its days, when that day is a few hours old: the evening before is then in it,
// and few hands are on the line. What tells whether it was done is the file's name, not a timer, so that a night of 23 or 25 hours, a
// start in the afternoon or a clock that was wrong neither leaves a day out nor takes one twice.
const (
	backupHour  = 4                // of the kitchen's time
	backupAfter = 3 * time.Minute  // after a start, when phones wait
	backupEvery = 10 * time.Minute // how often it is looked whether one is due
	backupDays  = 7                // the newest ones are all kept
	backupWeeks = 5                // and the last of each week, for so many
)

// BackupsName is the folder in the data folder that takes the backups where no other is named.
const BackupsName = "backups"

// photosName is the folder of photos beside a journal.
const photosName = "photos"

const backupLayout = "kitchen-2006-01-02.db"

// keepBackups makes a backup whenever one is due.
func (s *Server) keepBackups() {
	for wait := backupAfter; ; wait = backupEvery {
		select {
		case <-s.quit:
			return
		case <-time.After(wait):
		}
		if err := s.backUp(); err != nil {
			s.cfg.Log.Error("no backup was made today", "error", err)
		}
	}
}

// backUp makes today's backup if there is none, and lets go of old ones.
func (s *Server) backUp() error {
	file, err := s.backupDue()
	if err != nil || file == "" {
		return err
	}
	folder := filepath.Dir(file)
	if folder == filepath.Join(s.cfg.Data, BackupsName) {
		// One in the data folder is made with it; a disk that is not plugged in must not be stood in for by an empty folder.
		if err := os.Mkdir(folder, 0o700); err != nil && !errors.Is(err, os.ErrExist) {
			return fail.E("server.backUp", fail.Storage, "The folder "+folder+" cannot be made. Give this user the right to write there, or name another with --backups.", err)
		}
		if !sqlite.RoomBeside(s.cfg.Data) {
			return fail.E("server.backUp", fail.Storage, "The disk of "+folder+" has not room enough for a backup beside the journal. The kitchen goes on. Free some space, or name a folder on another disk with --backups.", nil)
		}
	}
	was := backups(folder)
	c, err := sqlite.Backup(s.cfg.Data, file)
	if err != nil {
		return err
	}
	s.cfg.Log.Info("backed up", "file", c.File, "bytes", c.Bytes, "entries", c.Report.Entries, "hash", fmt.Sprintf("%x", c.Report.Head[:8]))
	s.backedUp.Store(s.cfg.Clock.Wall())
	if folder != filepath.Join(s.cfg.Data, BackupsName) { // on the same disk a second copy of what never changes is worth little
		n, off, err := CopyPhotos(s.cfg.Data, folder)
		if err != nil {
			return err
		}
		if n > 0 || off > 0 {
			s.cfg.Log.Info("photos backed up", "copied", n, "damaged", off)
		}
	}
	if rewritten := s.hold(folder, was); rewritten != nil {
		return rewritten // and let go of none
	}
	var errs []error
	for _, name := range spent(backups(folder)) {
		errs = append(errs, os.Remove(filepath.Join(folder, name)))
	}
	return errors.Join(errs...)
}

// backupDue is the file that today's backup goes to, "" if there is one.
func (s *Server) backupDue() (string, error) {
	latest, err := s.store.Latest()
	if err != nil {
		return "", err
	}
	_, zone := s.store.Named()
	place, err := time.LoadLocation(zone)
	if err != nil {
		place = time.UTC // any day will do, as long as it is always the same
	}
	// A board without a battery may be back in 1970: kitchen time is never behind the last entry.
	now := time.UnixMilli(max(s.cfg.Clock.Wall(), int64(latest))).In(place)
	folder := s.cfg.Backups
	if folder == "" {
		folder = filepath.Join(s.cfg.Data, BackupsName)
	}
	file := filepath.Join(folder, backupDay(now).Format(backupLayout))
	if _, err := os.Stat(file); err == nil {
		return "", nil
	}
	return file, nil
}

// backupDay is the day that a backup made now belongs to: before the hour it is still the day before's.
func backupDay(now time.Time) time.Time {
	y, m, d := now.Date()
	if now.Hour() < backupHour {
		d--
	}
	return time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
}

// hold holds the journal against the newest backup of before: what was kept then must be in it still.
func (s *Server) hold(folder string, was []string) error {
	if len(was) == 0 {
		return nil
	}
	file := filepath.Join(folder, was[0])
	a, err := s.store.Against(file)
	if err != nil {
		return err
	}
	if a.Split == 0 || a.Other { // after a restore what the copy lacked has other numbers
		return nil
	}
	return fail.E("server.hold", fail.Damaged, fmt.Sprintf("The journal is no longer the one of %s: from entry %d on, made %s, entries were changed and hashed anew, or left out. "+
		"No backup is thrown away until that file is moved to a safe place. Look with: brinebell verify --backup %s", file, a.Split,
		time.UnixMilli(int64(a.At)).UTC().Format("2006-01-02 15:04 UTC"), file), nil)
}

// CopyPhotos copies the photos beside one journal that are missing beside another, and returns how many these were and how many were left
// out because their bytes are not those that their names are of. A photo never changes, so what is there already is not looked at.
func CopyPhotos(from, to string) (copied, damaged int, err error) {
	from, to = filepath.Join(from, photosName), filepath.Join(to, photosName)
	list, err := os.ReadDir(from)
	if errors.Is(err, os.ErrNotExist) || from == to {
		return 0, 0, nil
	}
	for _, f := range list {
		name := f.Name()
		if sum, bad := hex.DecodeString(name); bad != nil || len(sum) != sha256.Size || !f.Type().IsRegular() {
			continue // no photo
		}
		if _, there := os.Stat(filepath.Join(to, name)); there == nil {
			continue
		}
		b, err := os.ReadFile(filepath.Join(from, name))
		if err == nil && fmt.Sprintf("%x", sha256.Sum256(b)) != name {
			damaged++
			continue
		}
		if err == nil {
			err = os.MkdirAll(to, 0o700)
		}
		if err == nil {
			err = sqlite.WriteWhole(filepath.Join(to, name), b)
		}
		if err != nil {
			return copied, damaged, fail.E("server.CopyPhotos", fail.Storage, fmt.Sprintf("%d photos were copied to %s, then one could not be read or written. "+
				"The journal is copied whole. Look whether that disk is full, then do it again: those that are there are not copied twice.", copied, to), err)
		}
		copied++
	}
	return copied, damaged, err
}

// backups lists the daily backups in a folder, newest first.
func backups(folder string) []string {
	list, _ := os.ReadDir(folder) // of a folder that cannot be read nothing is let go
	var names []string
	for _, f := range list {
		if _, err := time.Parse(backupLayout, f.Name()); err == nil && f.Type().IsRegular() {
			names = append(names, f.Name())
		}
	}
	slices.Sort(names)
	slices.Reverse(names)
	return names
}

// spent lists those of some daily backups, newest first, that may go.
func spent(names []string) []string {
	var gone []string
	weeks := map[string]bool{}
	for i, name := range names {
		day, _ := time.Parse(backupLayout, name) // they were listed by it
		year, week := day.ISOWeek()
		w := fmt.Sprint(year, "-", week)
		first := !weeks[w]
		if first && len(weeks) < backupWeeks {
			weeks[w] = true
		} else {
			first = false
		}
		if i >= backupDays && !first {
			gone = append(gone, name)
		}
	}
	return gone
}
