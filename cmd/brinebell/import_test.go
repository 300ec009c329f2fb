package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// TestImportALoggersFile: into a stopped kitchen and into a running one, with questions, bad rows, and twice.
func TestImportALoggersFile(t *testing.T) {
	dir := t.TempDir()
	data, port := filepath.Join(dir, "kitchen"), freePort(t)
	serve := func() func() {
		c := program("--listen", "127.0.0.1:"+port, "--data", data, "--zone", "Europe/Berlin", "--kitchen", "Pier")
		var trouble bytes.Buffer
		c.Stderr = &trouble
		require.NoError(t, c.Start())
		answers(t, "http://127.0.0.1:"+port)
		return func() {
			require.NoError(t, c.Process.Signal(syscall.SIGTERM))
			require.NoError(t, c.Wait(), trouble.String())
		}
	}
	stop := serve()
	code, _, trouble := told("samples", dir)
	require.Equal(t, exitDone, code, trouble)
	code, _, trouble = told("publish", "--data", data, filepath.Join(dir, "equipment.json"))
	require.Equal(t, exitDone, code, trouble)
	file := func(text string) string {
		path := filepath.Join(dir, "week.csv")
		require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
		return path
	}
	week := file("Zeit;Temp\n04/05/2026 05:00;3,2\n04/05/2026 05:15;ERR\n04/05/2026 05:30;3,4\n")
	code, _, trouble = told("import", "--data", data, "--place", "cold-room", week)
	require.Equal(t, exitFaults, code)
	require.Equal(t, "brinebell: "+week+": In which unit are the temperatures? Answer with --unit Cel (degrees Celsius) or --unit [degF] (degrees Fahrenheit).\n", trouble)
	code, _, trouble = told("import", "--data", data, "--place", "cold-room", "--unit", "Cel", week)
	require.Equal(t, exitFaults, code)
	require.Contains(t, trouble, "--order dmy (4 May 2026) or --order mdy (5 Apr 2026).")
	known := []string{"import", "--data", data, "--place", "cold-room", "--unit", "Cel", "--order", "dmy", "--map", "time=Zeit,temp=2"}
	code, out, trouble := told(append(known, "--dry-run", week)...)
	require.Equal(t, exitDone, code, trouble)
	require.Equal(t, "2026-05-04 05:00 CEST to 2026-05-04 05:30 CEST, 3.2 °C to 3.4 °C\n"+
		"3 rows: 2 would be kept, 0 known before, 0 of a time told twice, 1 not readable\nrow 2 (line 3): \"ERR\" is no temperature\n",
		string(bytes.ReplaceAll([]byte(out), []byte("\u00a0"), []byte(" "))))
	code, out, _ = told(append(known, week)...)
	require.Equal(t, exitDone, code)
	require.Contains(t, out, "3 rows: 2 kept, 0 known before")
	stop()

	code, out, trouble = told(append(known, week)...)
	require.Equal(t, exitDone, code, trouble)
	require.Contains(t, out, "3 rows: 0 kept, 2 known before", "of a stopped kitchen")
	code, out, _ = told("verify", "--data", data)
	require.Equal(t, exitDone, code)
	require.Contains(t, out, "OK  5 entries", "a name, offsets, the equipment, the readings, the file")
	for _, c := range []struct{ args, says string }{
		{"--place=moon", "No equipment of this kitchen is called"}, {"--map=colour=1", "takes time, date and temp"},
		{"--unit=kg", "not the UCUM code"}, {"--order=xyz", "dmy, mdy or ymd"}, {"--map=temp=core", "No column of this file is called"},
	} {
		code, _, trouble = told("import", "--data", data, "--place", "cold-room", c.args, week)
		require.Equal(t, exitFaults, code, c.args)
		require.Contains(t, trouble, c.says)
		require.Equal(t, 1, bytes.Count([]byte(trouble), []byte("\n")), "one line")
	}
	code, _, trouble = told("import", "--data", data, "--place", "cold-room", file(""))
	require.Equal(t, exitFaults, code)
	require.Contains(t, trouble, "This file is empty")
}

// TestImportSales: a till's file into a stopped kitchen and a running one; nothing comes in before all of it is right, and nothing twice.
func TestImportSales(t *testing.T) {
	dir := t.TempDir()
	data, port := filepath.Join(dir, "kitchen"), freePort(t)
	c := program("--demo", "--listen", "127.0.0.1:"+port, "--data", data)
	require.NoError(t, c.Start())
	answers(t, "http://127.0.0.1:"+port)
	day := func(back int) string { return time.Now().AddDate(0, 0, -back).Format("2006-01-02") }
	file := func(rows ...string) string {
		path := filepath.Join(dir, "till.csv")
		require.NoError(t, os.WriteFile(path, []byte("date,time,product,qty\n"+strings.Join(rows, "\n")+"\n"), 0o600))
		return path
	}
	good := []string{day(3) + ",12:05,Bone-in pieces,12", day(3) + ",12:20,Family box,3", day(4) + ",18:11,Cola,30"}
	code, _, trouble := told("import", "--data", data, "--sales", file(append(good, "Total,,,45")...))
	require.Equal(t, exitFaults, code)
	require.Contains(t, trouble, "Nothing was brought in.")
	require.Contains(t, trouble, "1 row cannot be read")
	require.Contains(t, trouble, "Line 5:")
	code, _, trouble = told("import", "--data", data, "--sales", "--map", "pieces=amount", file(good...))
	require.Equal(t, exitFaults, code)
	require.Contains(t, trouble, `The file has no column "amount". It has: date, time, product, qty.`)
	code, _, trouble = told("import", "--data", data, "--sales", "--item", "Family box=burger*4", file(good...))
	require.Equal(t, exitFaults, code)
	require.Contains(t, trouble, `No item of this kitchen is called "burger". There is: bone-in`)

	how := []string{"import", "--data", data, "--sales", "--map", "pieces=qty,day=1", "--item", "Family box=bone-in*4"}
	code, out, trouble := told(append(how, "--dry-run", file(good...))...)
	require.Equal(t, exitDone, code, trouble)
	require.Contains(t, out, "24 pieces on 1 day", "12, and 3 boxes of 4")
	require.Contains(t, out, "Would come in: 1\n")
	code, out, trouble = told(append(how, file(good...))...)
	require.Equal(t, exitDone, code, trouble)
	require.Contains(t, out, "Came in: 1\n")
	require.NoError(t, c.Process.Signal(syscall.SIGTERM))
	require.NoError(t, c.Wait())
	code, out, trouble = told(append(how, file(good...))...)
	require.Equal(t, exitDone, code, trouble)
	require.Contains(t, out, "bringing it in again changes nothing", "of a stopped kitchen")
	code, out, trouble = told("import", "--data", data, "--sales", "--skip-bad", "--lang", "es", file(day(5)+",12:05,Bone-in pieces,12", "Total,,,45"))
	require.Equal(t, exitDone, code, trouble)
	require.Contains(t, out, "12 piezas")
	code, _, trouble = told("import", "--data", data, file(good...))
	require.Equal(t, exitFaults, code)
	require.Contains(t, trouble, "--place is missing")
}
