package report

import (
	"bytes"
	"compress/zlib"
	"io"
	"testing"

	"codeberg.org/go-pdf/fpdf"
	"github.com/stretchr/testify/require"
)

// What is packed must be what was written plain: each page unpacks to the very bytes of the page, each number in the
// table at the end is that of its object, and nothing else of the file changes.
func TestPackedPagesUnpackToThePlainOnes(t *testing.T) {
	pdf := fpdf.New("P", "pt", "A4", "")
	pdf.SetCompression(false)
	pdf.SetFont("Helvetica", "", 10)
	for i := range 12 {
		pdf.AddPage()
		pdf.Text(20, 30, "Tray "+string(rune('A'+i))+" endobj stream 4 0 obj") // words that stand in a file's frame too
	}
	var plain bytes.Buffer
	require.NoError(t, pdf.Output(&plain))
	packed, err := packPages(plain.Bytes())
	require.NoError(t, err)

	was, table, err := objects(plain.Bytes())
	require.NoError(t, err)
	is, after, err := objects(packed)
	require.NoError(t, err)
	require.Len(t, is, len(was))
	pages := 0
	for i, o := range was {
		end, now := table, after
		if i+1 < len(was) {
			end, now = was[i+1].start, is[i+1].start
		}
		require.Equal(t, o.number, is[i].number)
		content, got := pageOf(plain.Bytes()[o.start:end]), packed[is[i].start:now]
		if content == nil {
			require.Equal(t, string(plain.Bytes()[o.start:end]), string(got))
			continue
		}
		pages++
		_, body, ok := bytes.Cut(got, []byte("stream\n"))
		require.True(t, ok)
		r, err := zlib.NewReader(bytes.NewReader(body))
		require.NoError(t, err)
		unpacked, err := io.ReadAll(r)
		require.NoError(t, err)
		require.Equal(t, string(content), string(unpacked))
	}
	require.Equal(t, 12, pages)
	check(t, packed)
}

func TestWhatIsNoPDFIsNotPacked(t *testing.T) {
	for _, s := range []string{"", "xref\n0 ", "xref\n0 x\n", "xref\n0 3\n0000000000 65535 f \n", "xref\n0 2\n0000000000 65535 f \n9999999999 00000 n \ntrailer\nstartxref\n"} {
		_, err := packPages([]byte(s))
		require.ErrorIs(t, err, errPack, "%q", s)
	}
}

func TestWhatIsFilledInIsNotFilledAgain(t *testing.T) {
	require.Equal(t, "a {b} of 3", fill("a {x} of {n}", []string{"x", "{b}", "n", "3", "b", "never"}))
	require.Equal(t, "{none} left", fill("{none} left", nil))
}
