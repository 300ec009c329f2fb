package report

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"github.com/stretchr/testify/require"
	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"pgregory.net/rapid"
)

// The readers are other people's programs: what they say of a file does not follow from how we wrote it.

func reader(t testing.TB, pdf []byte, name string, args ...string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "report.pdf")
	require.NoError(t, os.WriteFile(path, pdf, 0o600))
	for i := range args {
		args[i] = strings.ReplaceAll(args[i], "FILE", path)
	}
	out, err := exec.Command(name, args...).CombinedOutput()
	require.NoError(t, err, "%s %v: %s", name, args, out)
	return string(out)
}

// textOf returns what stands on the pages, in the order of the file.
func textOf(t testing.TB, pdf []byte) string {
	return reader(t, pdf, "pdftotext", "-raw", "-enc", "UTF-8", "FILE", "-")
}

func pagesOf(t testing.TB, pdf []byte) int {
	t.Helper()
	found := regexp.MustCompile(`(?m)^Pages:\s+(\d+)$`).FindStringSubmatch(reader(t, pdf, "pdfinfo", "FILE"))
	require.Len(t, found, 2)
	n := 0
	_, err := fmt.Sscan(found[1], &n)
	require.NoError(t, err)
	return n
}

// check lets qpdf look at the file's structure.
func check(t testing.TB, pdf []byte) {
	t.Helper()
	require.Contains(t, reader(t, pdf, "qpdf", "--check", "FILE"), "No syntax or stream encoding errors found")
}

// squeeze takes out all white space, so that texts can be compared that were broken into lines.
func squeeze(s string) string {
	return strings.Join(strings.Fields(strings.ReplaceAll(s, "\u00a0", " ")), "")
}

func faces(t testing.TB) [2]*typeface {
	t.Helper()
	f, err := typefaces()
	require.NoError(t, err)
	return f
}

var noon = time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)

func plainEdges() edges {
	return edges{left: "Halfmoon Ferry Canteen", right: "24 Nov 2026", foot: "foot", page: func(n, of int) string { return fmt.Sprintf("Page %d of %d", n, of) }}
}

// What we read out of a font is what two other readers read out of it.
func TestLettersAreAsWideAsOtherReadersSay(t *testing.T) {
	pdf := fpdf.New("P", "pt", "A4", "")
	for i, face := range faces(t) {
		style := []string{"", "B"}[i]
		pdf.AddUTF8FontFromBytes("x", style, bytes.Clone(face.ttf))
		pdf.SetFont("x", style, 10)
		other, err := sfnt.Parse(face.ttf)
		require.NoError(t, err)
		var buf sfnt.Buffer
		for r := rune(' '); r < 0xffff; r++ {
			glyph, err := other.GlyphIndex(&buf, r)
			require.NoError(t, err)
			require.Equal(t, glyph != 0, face.has(r), "U+%04X", r)
			if glyph == 0 {
				continue
			}
			advance, err := other.GlyphAdvance(&buf, glyph, fixed.I(1000), font.HintingNone)
			require.NoError(t, err)
			require.InDelta(t, float64(advance)/64, float64(face.widths[r]), 1, "U+%04X", r)
			if r < 0x2000 && face.widths[r] > 0 && r != 0xad {
				require.InDelta(t, pdf.GetStringSymbolWidth(string(r)), int(face.widths[r]), 1, "U+%04X", r)
			}
		}
		for _, r := range "0123456789" {
			require.Equal(t, face.widths['0'], face.widths[r], "digits stand below one another")
		}
		for _, r := range "áéíóúñüÁÉÍÓÚÑÜ¿¡«»°½×–—·≤≥→…“”’€µ" {
			require.True(t, face.has(r), "%c", r)
		}
	}
}

func TestWhatTheFontLacksIsSpeltOut(t *testing.T) {
	face := faces(t)[0]
	for in, want := range map[string]string{
		"Inés, 74.5 °C":                    "Inés, 74.5 °C",
		"hot \U0001F525!":                  "hot [U+1F525]!",
		"鸡":                                "[U+9E21]",
		"a\tb\r\nc":                        "a b  c",
		"x\x00y\x7f":                       "x[U+0000]y[U+007F]",
		"no\u200dthing\ufeff \u2764\ufe0f": "nothing [U+2764]",
		"\xff":                             "[U+FFFD]",
		"13.8\u00a0kg":                     "13.8\u00a0kg",
	} {
		if want == "[U+FFFD]" && face.has('\ufffd') {
			want = "\ufffd"
		}
		require.Equal(t, want, face.spell(in))
	}
}

func TestLinesFitAndLoseNothing(t *testing.T) {
	f := newFlow(faces(t), 595, 842)
	letters := rapid.StringOfN(rapid.RuneFrom([]rune("aeiW.í ñ≤0123 \u00a0\n🍗")), 0, 400, -1)
	rapid.Check(t, func(rt *rapid.T) {
		s := letters.Draw(rt, "text")
		w := rapid.Float64Range(20, 500).Draw(rt, "width")
		bold := rapid.Bool().Draw(rt, "bold")
		lines := f.wrap(s, w, normal, bold)
		for _, line := range lines {
			if len([]rune(line)) > 1 {
				require.LessOrEqual(rt, f.widthOf(line, normal, bold), w+0.01, line)
			}
		}
		var parts []string
		for _, p := range strings.Split(s, "\n") {
			parts = append(parts, f.face(bold).spell(p))
		}
		require.Equal(rt, squeeze(strings.Join(parts, " ")), squeeze(strings.Join(lines, " ")))
	})
}

// table lays out a table of n rows whose notes are up to long words long.
func aTable(t testing.TB, n, long int) (*flow, []string) {
	f := newFlow(faces(t), 595.28, 841.89)
	f.section("Lecturas de cocción", 60)
	g := f.table([]column{{"Hora", 1, false}, {"Qué se midió", 3, false}, {"Valor", 1, true}, {"Nota", 3, false}}, normal, "Lecturas, sigue")
	var all []string
	for i := range n {
		note := strings.TrimSpace(strings.Repeat(fmt.Sprintf("nota%d ", i), i*7%(long+1)))
		row := []string{fmt.Sprintf("%02d:%02d:%02d", i/3600%24, i/60%60, i%60), fmt.Sprintf("muslo número %d", i), fmt.Sprintf("%d.%d °C", 60+i%30, i%10), note}
		all = append(all, row...)
		g.row(f, []cell{{text: row[0]}, {text: row[1], bold: i%5 == 0}, {text: row[2]}, {text: row[3]}})
	}
	g.end(f)
	return f, all
}

// Nothing that was laid out may stand outside of its page, and no row may be divided by the end of one.
func TestNoRowIsCut(t *testing.T) {
	f, all := aTable(t, 600, 60)
	for n, page := range f.leaves {
		heads := 0
		for _, m := range page.marks {
			require.GreaterOrEqual(t, m.x, side-0.01)
			require.GreaterOrEqual(t, m.y, above-0.01)
			require.LessOrEqual(t, m.y+m.h, f.bottom()+0.01, "page %d: %q", n+1, m.text)
			if m.kind == wordMark {
				require.LessOrEqual(t, m.x+f.widthOf(m.text, m.size, m.bold), f.width-side+0.01, m.text)
				if m.text == "Valor" {
					heads++
				}
			}
		}
		require.Equal(t, 1, heads, "page %d has the table's head once", n+1)
		last := page.marks[len(page.marks)-1]
		require.Equal(t, ruleMark, last.kind, "page %d ends with the rule below a row", n+1)
	}
	pdf, err := f.write(plainEdges(), about{title: "t", lang: "es", at: noon})
	require.NoError(t, err)
	check(t, pdf)
	text := squeeze(textOf(t, pdf))
	for _, s := range all {
		require.Contains(t, text, squeeze(s))
	}
	require.Equal(t, len(f.leaves), pagesOf(t, pdf))
	require.Equal(t, len(f.leaves)-1, strings.Count(text, "Lecturas,sigue"))
	require.Contains(t, text, fmt.Sprintf("Page%dof%d", len(f.leaves), len(f.leaves)))
}

// A note longer than a page goes on on the next pages and loses no word.
func TestARowLongerThanAPageGoesOn(t *testing.T) {
	f := newFlow(faces(t), 612, 792)
	g := f.table([]column{{"A", 1, false}, {"B", 2, false}}, normal, "again")
	var words []string
	for i := range 4000 {
		words = append(words, fmt.Sprintf("w%d", i))
	}
	g.row(f, []cell{{text: "before"}, {text: "short"}})
	g.row(f, []cell{{text: "long"}, {text: strings.Join(words[:2000], " ")}}, cell{text: strings.Join(words[2000:], " ")})
	g.row(f, []cell{{text: "after"}, {text: "short"}})
	g.end(f)
	require.Greater(t, len(f.leaves), 3)
	for _, page := range f.leaves {
		for _, m := range page.marks {
			require.LessOrEqual(t, m.y+m.h, f.bottom()+0.01)
		}
	}
	pdf, err := f.write(plainEdges(), about{title: "t", lang: "en", at: noon})
	require.NoError(t, err)
	text := textOf(t, pdf)
	at := 0
	for _, w := range words { // in their order
		next := strings.Index(text[at:], w)
		require.GreaterOrEqual(t, next, 0, w)
		at += next + len(w)
	}
	require.Contains(t, text[at:], "after")
}

func TestTheSamePagesAreTheSameBytes(t *testing.T) {
	var first []byte
	for i := range 5 {
		f, _ := aTable(t, 80, 20)
		pdf, err := f.write(plainEdges(), about{title: "Récords", author: "Inés", lang: "es", at: noon, bookmarks: []string{"uno"}})
		require.NoError(t, err)
		if i == 0 {
			first = pdf
		}
		require.Equal(t, first, pdf)
	}
	f, _ := aTable(t, 80, 20)
	later, err := f.write(plainEdges(), about{title: "Récords", author: "Inés", lang: "es", at: noon.Add(time.Second), bookmarks: []string{"uno"}})
	require.NoError(t, err)
	require.NotEqual(t, first, later, "the instant stands in it")
	info := reader(t, first, "pdfinfo", "FILE")
	require.Contains(t, info, "Récords")
	require.Contains(t, info, "Inés")
}

func TestPaperIsTheCountrys(t *testing.T) {
	for country, want := range map[string]string{"US": "612 x 792 pts (letter)", "DE": "595.28 x 841.89 pts (A4)", "": "595.28 x 841.89 pts (A4)", "MX": "612 x 792 pts (letter)"} {
		w, h := paperOf(country)
		f := newFlow(faces(t), w, h)
		f.text("x", normal, false)
		pdf, err := f.write(plainEdges(), about{title: "t", lang: "en", at: noon})
		require.NoError(t, err)
		require.Contains(t, reader(t, pdf, "pdfinfo", "FILE"), want, country)
	}
}
