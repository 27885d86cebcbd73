package bench_test

import (
	"bytes"
	"testing"

	"foilwright/sim/bench"
)

// recorded is a competent attempt of 28 readings and its log.
func recorded(b *testing.B) (*bench.World, *bench.Log, *bench.Record) {
	w := newWorld(b, 7)
	p := &player{t: &testing.T{}, b: bench.New(w), lift: 40_000, hold: 700}
	p.adjustAndVerify()
	p.measure()
	l, err := bench.ReadLog("x", bytes.NewReader(writeLog(b, p.b)))
	if err != nil {
		b.Fatal(err)
	}
	return w, l, p.b.Record()
}

func BenchmarkNewWorld(b *testing.B) {
	for b.Loop() {
		newWorld(b, 7)
	}
}

func BenchmarkReplay(b *testing.B) {
	w, l, _ := recorded(b)
	b.ResetTimer()
	for b.Loop() {
		if _, err := bench.Replay("x", w, l); err != nil {
			b.Fatal(err)
		}
	}
}

// One evaluation of the whole tape, 28 readings, as an explanation does it for
// every set of influences.
func BenchmarkMeanError(b *testing.B) {
	_, _, r := recorded(b)
	b.ReportAllocs()
	b.ResetTimer()
	for b.Loop() {
		if _, ok := r.MeanErrorUm(bench.All); !ok {
			b.Fatal("nothing reported")
		}
	}
}

// The same with a Counterfactual that is warm.
func BenchmarkRerun(b *testing.B) {
	_, _, r := recorded(b)
	c := r.Counterfactual()
	b.ReportAllocs()
	b.ResetTimer()
	for b.Loop() {
		c.Run(bench.All)
	}
}

// One reading of the part as the trainee takes it: five poses of the probe.
func BenchmarkReading(b *testing.B) {
	w := newWorld(b, 7)
	p := &player{t: &testing.T{}, b: bench.New(w), lift: 40_000, hold: 700}
	p.adjustAndVerify()
	p.act(bench.PlacePiece, "panel")
	p.act(bench.BeginMeasure, "")
	b.ResetTimer()
	for b.Loop() {
		p.touch(100, 100)
	}
}
