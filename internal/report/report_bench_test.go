package report

import (
	"io"
	"testing"
)

func BenchmarkWrite(b *testing.B) {
	p := reportOf(b, given, attempt(b, 7, poor))
	for _, w := range writers {
		b.Run(w.name, func(b *testing.B) {
			for b.Loop() {
				if err := w.write(p, io.Discard); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
