package screen

import "testing"

func BenchmarkLine(b *testing.B) {
	w := midshift(b)
	ctx := w.ctx("maren", "/")
	for b.Loop() {
		View(ctx)
	}
}

func BenchmarkRing(b *testing.B) {
	w := midshift(b)
	ctx := w.ctx("maren", "/")
	for b.Loop() {
		Ring(ctx)
	}
}

func BenchmarkNext(b *testing.B) {
	w := midshift(b)
	ctx := w.ctx("maren", "/")
	for b.Loop() {
		Next(ctx)
	}
}
