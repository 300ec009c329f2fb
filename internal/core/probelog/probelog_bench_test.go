package probelog

import (
	"strconv"
	"testing"
	"time"

	"brinebell/internal/core/safety"
)

// dayFile is a probe's file of a reading a second in a fryer that is loaded every ten minutes.
func dayFile(n int) []byte {
	out := []byte("time,temp_f\n")
	at := time.Date(2026, 11, 24, 6, 0, 0, 0, time.UTC)
	for i := range n {
		tenths := 400 + (i%600)*21/10 + i%7
		out = at.Add(time.Duration(i)*time.Second).AppendFormat(out, time.RFC3339)
		out = append(strconv.AppendInt(append(out, ','), int64(tenths/10), 10), '.', byte('0'+tenths%10), '\n')
	}
	return out
}

// piece is how much of a file a phone's core reads before it looks at taps again.
const piece = 128 << 10

// BenchmarkFile100000 reads a file as a phone does, piece by piece, and holds it against the table.
func BenchmarkFile100000(b *testing.B) {
	file := dayFile(100_000)
	for b.Loop() {
		var r Reader
		for rest := file; len(rest) > 0; rest = rest[min(piece, len(rest)):] {
			r.Take(rest[:min(piece, len(rest))])
		}
		r.End()
		if out, err := safety.AssessCook(safety.Cook{Fat: 7500, Probe: safety.HeatF / 2}, r.Readings); err != nil || !out.Met || len(r.Readings) != 100_000 {
			b.Fatal("the bench's own log holds 7 log10 and was found not to", r.File, r.Faults)
		}
	}
}

// BenchmarkPiece reads one piece of a file: for so long a tap waits at most while a file is read.
func BenchmarkPiece(b *testing.B) {
	file := dayFile(piece / 20)[:piece]
	for b.Loop() {
		var r Reader
		r.Take(file)
		if r.File != nil || len(r.Readings) < 4000 {
			b.Fatal("the bench's own piece cannot be read", r.File)
		}
	}
}
