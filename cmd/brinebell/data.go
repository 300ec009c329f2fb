package main

import (
	"encoding/hex"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"brinebell/internal/server"
	"brinebell/internal/sqlite"
)

type verifyCommand struct {
	Data   path   `long:"data" value-name:"DIR" description:"Data folder."`
	Demo   bool   `long:"demo" description:"The demo kitchen's folder, if --data is not given."`
	Backup path   `long:"backup" value-name:"FILE" description:"Hold the journal against this backup, too."`
	Hash   string `long:"hash" value-name:"HASH" description:"Look for the entry with this hash, as it stands at the foot of a print."`
}

// hashLeast is how many digits of a hash stand at the foot of a print, and hashMost how many it has.
const hashLeast, hashMost = 16, 64

// Run walks the journal, beside a running server if there is one.
func (c *verifyCommand) Run(to streams) error {
	data, err := dataFolder(c.Data, c.Demo)
	if err != nil {
		return err
	}
	if _, err := hex.DecodeString(c.Hash); c.Hash != "" && (err != nil || len(c.Hash) < hashLeast || len(c.Hash) > hashMost) {
		return fmt.Errorf("%q is no hash: it has %d to %d digits, 0 to 9 and a to f, as at the foot of a print", c.Hash, hashLeast, hashMost)
	}
	s, err := sqlite.Open(data, sqlite.Options{ReadOnly: true})
	if err != nil {
		return err
	}
	defer func() { _ = s.Close() }() // only read
	report, err := s.Verify()
	if err != nil {
		return err
	}
	if report.First != nil {
		_, err := fmt.Fprintf(to.out, "FAULT  %v\n%d of %d entries are off. Nothing was changed. The phones and backups may hold them as they were.\n",
			report.First, report.Faults, report.Entries)
		return errors.Join(errFaults, err)
	}
	_, err = fmt.Fprintf(to.out, "OK  %d entries, each as it was kept. Hash of the last: %s\n", report.Entries, hex.EncodeToString(report.Head[:]))
	if err != nil {
		return err
	}
	var found error
	for _, look := range []func(*sqlite.Store, streams) error{c.against, c.holds} {
		switch err := look(s, to); {
		case errors.Is(err, errFaults):
			found = err
		case err != nil:
			return err
		}
	}
	return found
}

// against holds the journal against a backup: who hashes all anew leaves a chain that is whole.
func (c *verifyCommand) against(s *sqlite.Store, to streams) error {
	if c.Backup == "" {
		return nil
	}
	a, err := s.Against(string(c.Backup))
	if err != nil {
		return err
	}
	if a.Split == 0 {
		_, err := fmt.Fprintf(to.out, "OK  All %d entries of %s are here as they were.\n", a.Seq, c.Backup)
		return err
	}
	why := "Entries were changed and hashed anew, or left out."
	if a.Other {
		why = "The kitchen was restored from an older copy since, or this is the backup of another one; otherwise entries were changed and hashed anew."
	}
	_, err = fmt.Fprintf(to.out, "FAULT  From entry %d on, made %s, the journal is not the one of %s. %s Nothing was changed. Keep that file: it holds them as they were then.\n",
		a.Split, time.UnixMilli(int64(a.At)).Format("2006-01-02 15:04"), c.Backup, why)
	return errors.Join(errFaults, err)
}

// holds looks for a hash that was printed.
func (c *verifyCommand) holds(s *sqlite.Store, to streams) error {
	if c.Hash == "" {
		return nil
	}
	seq, err := s.Numbered(c.Hash)
	switch {
	case err != nil:
		return err
	case seq > 0:
		_, err = fmt.Fprintf(to.out, "OK  That is the hash of entry %d: nothing up to there was changed since it was printed.\n", seq)
		return err
	}
	_, err = fmt.Fprintf(to.out, "FAULT  No entry has the hash %s. If that was printed of this kitchen, entries were changed and hashed anew since, "+
		"or it was restored from an older copy. Nothing was changed. Hold the journal against its backups with --backup.\n", c.Hash)
	return errors.Join(errFaults, err)
}

type backupCommand struct {
	Data path `long:"data" value-name:"DIR" description:"Data folder."`
	Demo bool `long:"demo" description:"The demo kitchen's folder, if --data is not given."`
	Args struct {
		File path `positional-arg-name:"FILE" required:"yes" description:"The file to write. In a folder that is there: a file with day and time in its name."`
	} `positional-args:"yes" required:"yes"`
}

// Run writes a backup, beside a running server if there is one.
func (c *backupCommand) Run(to streams) error {
	data, err := dataFolder(c.Data, c.Demo)
	if err != nil {
		return err
	}
	file := string(c.Args.File)
	if info, err := os.Stat(file); err == nil && info.IsDir() {
		file = filepath.Join(file, time.Now().Format("kitchen-2006-01-02T150405.db"))
	}
	b, err := sqlite.Backup(data, file)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(to.out, "Backed up: %d entries, each as it was kept, in %s (%d bytes). Hash of the last: %s\n",
		b.Report.Entries, b.File, b.Bytes, hex.EncodeToString(b.Report.Head[:]))
	if err = errors.Join(err, photos(to, data, filepath.Dir(file))); err != nil {
		return err
	}
	_, err = fmt.Fprintf(to.out, "Put it back with: brinebell restore %s\n", b.File)
	return err
}

// photos copies photos from beside one journal to beside another, and says so.
func photos(to streams, from, into string) error {
	n, damaged, err := server.CopyPhotos(from, into)
	if err == nil && n > 0 {
		_, err = fmt.Fprintf(to.out, "Photos copied to the folder photos in %s: %d\n", into, n)
	}
	if err == nil && damaged > 0 {
		_, err = fmt.Fprintf(to.out, "Photos in %s that are damaged and were left out: %d\n", from, damaged)
	}
	return err
}

type restoreCommand struct {
	Data path `long:"data" value-name:"DIR" description:"Data folder."`
	Demo bool `long:"demo" description:"The demo kitchen's folder, if --data is not given."`
	Args struct {
		File path `positional-arg-name:"FILE" required:"yes" description:"The copy of kitchen.db."`
	} `positional-args:"yes" required:"yes"`
}

// Run restores a stopped kitchen from a copy of its data file.
func (c *restoreCommand) Run(to streams) error {
	data, err := dataFolder(c.Data, c.Demo)
	if err != nil {
		return err
	}
	r, err := sqlite.Restore(data, string(c.Args.File))
	if err != nil {
		return err
	}
	text := fmt.Sprintf("Restored: %d entries, each as it was kept. Hash of the last: %s\n", r.Report.Entries, hex.EncodeToString(r.Report.Head[:]))
	if r.Aside != "" {
		text += "What was there before lies in " + r.Aside + ".\n"
	}
	if r.Devices > 0 {
		text += fmt.Sprintf("%d devices that joined since the copy was made stay joined.\n", r.Devices)
	}
	if _, err = fmt.Fprint(to.out, text); err != nil {
		return err
	}
	if err := photos(to, filepath.Dir(string(c.Args.File)), data); err != nil {
		return err
	}
	_, err = fmt.Fprint(to.out, "Start the kitchen and let each phone come into touch: it brings back what it knows and this copy lacks.\n")
	return err
}

type codeCommand struct {
	Data path `long:"data" value-name:"DIR" description:"Data folder."`
	Demo bool `long:"demo" description:"The demo kitchen's folder, if --data is not given."`
}

// Run asks the running server for a code; of a stopped kitchen it opens the folder itself.
func (c *codeCommand) Run(to streams) error {
	data, err := dataFolder(c.Data, c.Demo)
	if err != nil {
		return err
	}
	code, until, err := server.JoiningCode(data)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(to.out, "%s\nLets one device in, until %s.\n", code, until.Format("15:04"))
	return err
}

type leadCommand struct {
	Data path   `long:"data" value-name:"DIR" description:"Data folder."`
	Demo bool   `long:"demo" description:"The demo kitchen's folder, if --data is not given."`
	Lang string `long:"lang" choice:"en" choice:"es" default:"en" description:"Language of the lead's screens: en or es."`
	Args struct {
		Name []string `positional-arg-name:"NAME" required:"1" description:"The lead's name."`
	} `positional-args:"yes" required:"yes"`
}

// Run lists a lead.
func (c *leadCommand) Run(to streams) error {
	data, err := dataFolder(c.Data, c.Demo)
	if err != nil {
		return err
	}
	name, err := server.ListLead(data, strings.Join(c.Args.Name, " "), c.Lang)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(to.out, "%s leads now. On a joined phone: tap who you are, then %s.\n", name, name)
	return err
}
