package report

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"maps"
	"reflect"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// said lists every text of a book that a person must be able to read on paper, by walking all of its fields. What only
// programs read is left out by name.
func said(v reflect.Value, into *[]string) {
	switch v.Kind() {
	case reflect.String:
		if v.String() != "" {
			*into = append(*into, v.String())
		}
	case reflect.Pointer:
		if !v.IsNil() {
			said(v.Elem(), into)
		}
	case reflect.Slice:
		for i := range v.Len() {
			said(v.Index(i), into)
		}
	case reflect.Struct:
		if t, ok := v.Interface().(time.Time); ok {
			*into = append(*into, t.Format("15:04:05"))
			return
		}
		for i := range v.NumField() {
			switch v.Type().Field(i).Name {
			case "Of", "Done", "Country", "Lang", "From", "To", "Day", "Kind", "Entry", "BatchID", "Place", "Number", "Unit", "Least", "Most", "Verdict",
				"ID", "Key", "Without", "Name":
				if v.Type() != reflect.TypeFor[Person]() || v.Type().Field(i).Name == "ID" {
					continue
				}
			case "Device":
				if v.Type() == reflect.TypeFor[Row]() {
					continue
				}
			}
			said(v.Field(i), into)
		}
	}
}

func print(t testing.TB, b *Book) []byte {
	t.Helper()
	pdf, err := PDF(b)
	require.NoError(t, err)
	return pdf
}

// Every word that goes in comes out again, as another program reads it.
func TestEveryWordOfTheRecordsIsOnPaper(t *testing.T) {
	for lang, country := range map[string]string{"en": "US", "es": "ES"} {
		b := sample(lang, 3, 60)
		b.Country = country
		pdf := print(t, b)
		check(t, pdf)
		text := squeeze(textOf(t, pdf))
		var all []string
		said(reflect.ValueOf(b).Elem(), &all)
		require.Greater(t, len(all), 1500)
		for _, s := range all {
			for word := range strings.FieldsSeq(faces(t)[0].spell(s)) {
				require.True(t, strings.Contains(text, squeeze(word)), "%q of %q", word, s)
			}
		}
	}
	text := squeeze(textOf(t, print(t, sample("es", 1, 20))))
	for _, s := range []string{"Inés Calloway, cocinera", "NO CUMPLIDO", "crítico: at least 75.0 °C", "Página 2 de", "Qué no contiene", "[U+1F357]"} {
		require.Contains(t, text, squeeze(s))
	}
}

// Rows stand in the order of the record, each once.
func TestRowsStandInTheirOrder(t *testing.T) {
	b := sample("en", 1, 300)
	for i := range b.Days[0].Rows {
		b.Days[0].Rows[i].Kind = Cook
		b.Days[0].Rows[i].What = fmt.Sprintf("core of load %d.", i)
	}
	text := squeeze(textOf(t, print(t, b)))
	at := 0
	for i := range b.Days[0].Rows {
		s := fmt.Sprintf("coreofload%d.", i)
		require.Equal(t, 1, strings.Count(text, s), s)
		next := strings.Index(text, s)
		require.Greater(t, next, at)
		at = next
	}
}

func TestPagesAreNumberedAndCountedAndListed(t *testing.T) {
	b := sample("en", 5, 90)
	pdf := print(t, b)
	n := pagesOf(t, pdf)
	for i := 1; i <= n; i++ {
		page := reader(t, pdf, "pdftotext", "-f", strconv.Itoa(i), "-l", strconv.Itoa(i), "-layout", "FILE", "-")
		require.Contains(t, page, fmt.Sprintf("Page %d of %d", i, n))
		require.Contains(t, page, "SHA-256 3fa9c01be4d27788")
		require.Contains(t, page, "91234")
	}
	cover := reader(t, pdf, "pdftotext", "-f", "1", "-l", "1", "-layout", "FILE", "-")
	require.Contains(t, cover, b.Chain.Head)
	for _, d := range b.Days {
		var listed int
		for line := range strings.Lines(cover) {
			if words := strings.Fields(line); strings.Contains(line, d.Title) {
				listed, _ = strconv.Atoi(words[len(words)-1])
			}
		}
		page := reader(t, pdf, "pdftotext", "-f", strconv.Itoa(listed), "-l", strconv.Itoa(listed), "FILE", "-")
		require.Contains(t, page, d.Title, "the cover says page %d", listed)
	}
}

// A correction shows both values, what was taken back stays, and each says by whom and when.
func TestNothingIsAlteredSilently(t *testing.T) {
	text := squeeze(textOf(t, print(t, sample("en", 1, 20))))
	for _, s := range []string{
		"Corrected 2026-11-01 08:36:40 -05:00 by Teo Lind, cook: was 57.7 °C. Reason: digits swapped while typing", "78.2 °C",
		"TAKEN BACK 2026-11-01", "STILL OPEN", "Nobody has written down: verification", "under review: probe P-2 failed its ice point on 3 Nov",
		"Maren Oduya, lead, 2026-11-01", "reviewed the records of this day and closed it", "Reason: verification after the next ten loads",
	} {
		require.Contains(t, text, squeeze(s))
	}
	open := sample("en", 2, 20)
	require.Contains(t, textOf(t, print(t, open)), "NOBODY CLOSED THIS DAY")
}

func TestABrokenChainStandsLargeOnEveryPage(t *testing.T) {
	b := sample("en", 2, 40)
	whole := textOf(t, print(t, b))
	require.NotContains(t, whole, "CHANGED AFTER")
	b.Chain.Fault, b.Chain.Faults = "entry 17: its bytes do not agree with its hash", 3
	pdf := print(t, b)
	for i := 1; i <= pagesOf(t, pdf); i++ {
		page := reader(t, pdf, "pdftotext", "-f", strconv.Itoa(i), "-l", strconv.Itoa(i), "FILE", "-")
		require.Contains(t, page, "RECORD CHANGED AFTER IT WAS KEPT (entry 17): see page 1", "page %d", i)
	}
	text := textOf(t, pdf)
	require.Contains(t, text, "THE RECORD WAS CHANGED AFTER IT WAS KEPT")
	require.Contains(t, squeeze(text), squeeze("Entries that are off: 3. Do not rely on this print."))
	require.NotContains(t, text, "is as it was kept")
}

func TestTheSameBookIsTheSamePDF(t *testing.T) {
	first := print(t, sample("es", 3, 50))
	for range 3 {
		require.True(t, bytes.Equal(first, print(t, sample("es", 3, 50))))
	}
}

// The night that the clocks go back has two of 01:30: paper tells them apart.
func TestTwoTimesOfOneNameDiffer(t *testing.T) {
	b := sample("en", 1, 20)
	b.Days[0].Rows[0].At = time.Date(2026, 11, 1, 1, 30, 0, 0, time.FixedZone("", -4*3600))
	b.Days[0].Rows[1].At = time.Date(2026, 11, 1, 1, 30, 0, 0, time.FixedZone("", -5*3600))
	text := squeeze(textOf(t, print(t, b)))
	require.Contains(t, text, "01:30:00-04:00")
	require.Contains(t, text, "01:30:00-05:00")
}

func TestAnEmptyBookPrints(t *testing.T) {
	b := sample("en", 0, 0)
	pdf := print(t, b)
	check(t, pdf)
	require.Equal(t, 1, pagesOf(t, pdf))
	b.Days = []Day{{Day: "2026-11-01", Title: "One day"}}
	require.Contains(t, textOf(t, print(t, b)), "No cook temperature was read on this day.")
}

// A batch is a tanda on paper as on the screens, and a supplier's lot a lote: an inspector who reads "lote" looks for a label.
func TestABatchIsNoLotInSpanish(t *testing.T) {
	for _, table := range []map[string][2]string{texts, rowTexts, trainingTexts} {
		for id, both := range table {
			if strings.Contains(strings.ToLower(both[1]), "lote") {
				require.Contains(t, strings.ToLower(both[0]), "lot", "%s: %s", id, both[1])
				require.NotContains(t, strings.ToLower(both[0]), "batch", "%s: %s", id, both[1])
			}
		}
	}
}

func TestWordsHaveBothLanguages(t *testing.T) {
	all := maps.Clone(texts)
	maps.Copy(all, rowTexts)
	maps.Copy(all, trainingTexts)
	require.Len(t, all, len(texts)+len(rowTexts)+len(trainingTexts), "no id stands in two tables")
	for id, both := range all {
		for _, s := range both {
			require.Equal(t, id == "", s == "", id)
		}
		for _, place := range strings.FieldsFunc(both[0], func(r rune) bool { return r != '{' && r != '}' && (r < 'a' || r > 'z') }) {
			if strings.HasPrefix(place, "{") {
				require.Contains(t, both[1], place, id)
			}
		}
	}
}

func TestCSVIsReadBackWhole(t *testing.T) {
	b := sample("es", 2, 40)
	b.Days[0].Rows[7].Note = "=HYPERLINK(\"http://example.com\")\r\n\"quoted\", and a comma"
	b.Days[0].Rows[8].Subject = "@SUM(A1)"
	b.Days[0].Rows[9].What = "\tcell"
	b.Days[0].Rows[10].Number, b.Days[0].Rows[10].Value = "-18.5", "-18.5 °C"
	out, err := CSV(b)
	require.NoError(t, err)
	require.Equal(t, out, bytes.ReplaceAll(bytes.ReplaceAll(out, []byte("\r\n"), []byte("\n")), []byte("\n"), []byte("\r\n")), "every line ends as RFC 4180 has it")
	got, err := csv.NewReader(bytes.NewReader(out)).ReadAll()
	require.NoError(t, err)
	require.Equal(t, header, got[0])
	seen := map[string]int{}
	for _, cells := range got[1:] {
		seen[cells[1]]++
		for i, s := range cells {
			if s != "" && strings.ContainsAny(s[:1], "=+-@\t\r") {
				require.Contains(t, []string{"number", "least", "most"}, header[i], s)
				_, err := strconv.ParseFloat(s, 64)
				require.NoError(t, err, s)
			}
		}
	}
	require.Equal(t, map[string]int{"cook": 28, "reading": 52, "probe": 2, "receiving": 2, "list": 4, "list closed": 2, "list step missing": 2, "deviation": 2, "deviation cause": 2,
		"deviation disposition": 2, "deviation prevention": 2, "day closed": 1, "carried over": 1}, seen)
	text := string(out)
	for _, s := range []string{"'=HYPERLINK", "'@SUM", "'\tcell", ",-18.5,Cel,'-18.5 °C,", "57.7", "digits swapped while typing", "2026-11-01T05:00:00-05:00"} {
		require.Contains(t, text, s)
	}
}

func TestJSONHoldsTheWholeBook(t *testing.T) {
	b := sample("es", 2, 40)
	out, err := JSON(b)
	require.NoError(t, err)
	var got struct {
		Format int
		Book
	}
	require.NoError(t, json.Unmarshal(out, &got))
	require.Equal(t, 1, got.Format)
	again, err := JSON(&got.Book)
	require.NoError(t, err)
	require.Equal(t, string(out), string(again))
}
