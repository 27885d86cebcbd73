package inspect

import (
	"math"
	"testing"
)

func BenchmarkDescribe225(b *testing.B) {
	values := readingsLike(225)
	for b.Loop() {
		Describe(values)
	}
}

func BenchmarkStudentQuantile(b *testing.B) {
	for b.Loop() {
		StudentQuantile(0.975, 16)
	}
}

func BenchmarkNormalQuantile(b *testing.B) {
	for b.Loop() {
		NormalQuantile(0.975)
	}
}

func BenchmarkJudge225(b *testing.B) {
	values := readingsLike(225)
	var spots []Spot
	for i := 0; i < len(values); i += 3 {
		spots = append(spots, Spot{Area: i / 15, ReadingsUm: values[i : i+3]})
	}
	terms := Terms{MinimumUm: 75, MaximumUm: 120}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Judge("pa2-level-3", terms, spots); err != nil {
			b.Fatal(err)
		}
	}
}

// The whole evaluation of a 100-reading attempt: statistics, adjustment, budget, decision, verdict.
func BenchmarkEvaluate100(b *testing.B) {
	values := readingsLike(100)
	var spots []Spot
	for i := 0; i < len(values); i += 5 {
		spots = append(spots, Spot{ReadingsUm: values[i : i+5]})
	}
	points := []AdjustmentPoint{
		{Name: "zero", Readings: Describe(values[:5])},
		{Name: "foil 75", ValueUm: 77.2, Readings: Describe(values[5:10]), CertificateUm: 0.6, CertificateCoverage: 2},
	}
	b.ReportAllocs()
	for b.Loop() {
		s := Describe(values)
		adjustment, err := Adjustment(points, s.Mean)
		if err != nil {
			b.Fatal(err)
		}
		budget := append(Budget{Repeatability(s), Resolution(0.1), TextureBound(1), Shape(0.5)}, adjustment...)
		u, err := budget.Evaluate(0.95)
		if err != nil {
			b.Fatal(err)
		}
		if _, err := GuardBand.Decide(s.Mean, u, 75, math.Inf(1)); err != nil {
			b.Fatal(err)
		}
		if _, err := Judge("iso19840-80-20", Terms{MinimumUm: 75}, spots); err != nil {
			b.Fatal(err)
		}
	}
}
