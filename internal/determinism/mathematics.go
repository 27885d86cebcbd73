package determinism

import (
	"math"

	"foilwright/sim/num"
)

// values is how many arguments each function is tried with.
const values = 4000

// Mathematics returns a trial for each function of sim/num.
func Mathematics() []Trial {
	one := func(name string, f func(float64) float64, low, high float64) Trial {
		return Trial{"num." + name, func(emit func(float64)) error {
			a := arguments{1}
			for range values {
				emit(f(a.between(low, high)))
				// Small and large arguments take other branches.
				if x := a.scaled(-40, 20); x >= low && x <= high {
					emit(f(x))
				}
			}
			for _, x := range []float64{0, math.Copysign(0, -1), 1, -1, math.Inf(1), math.Inf(-1), math.NaN(), 0.5, -0.5} {
				emit(f(x))
			}
			return nil
		}}
	}
	two := func(name string, f func(x, y float64) float64, low, high float64) Trial {
		return Trial{"num." + name, func(emit func(float64)) error {
			a := arguments{2}
			for range values {
				emit(f(a.between(low, high), a.between(-9, 9)))
			}
			return nil
		}}
	}
	complexes := func(name string, f func(a, b complex128) complex128) Trial {
		return Trial{"num." + name, func(emit func(float64)) error {
			a := arguments{3}
			for range values {
				z := f(complex(a.scaled(-12, 6), a.scaled(-12, 6)), complex(a.scaled(-12, 6), a.scaled(-12, 6)))
				emit(real(z))
				emit(imag(z))
			}
			return nil
		}}
	}
	return []Trial{
		one("Exp", num.Exp, -750, 712),
		one("Expm1", num.Expm1, -50, 50),
		one("Sinh", num.Sinh, -700, 700),
		one("Cosh", num.Cosh, -700, 700),
		one("Tanh", num.Tanh, -25, 25),
		one("Log", num.Log, 0, 1e6),
		one("Log1p", num.Log1p, -1, 1e6),
		one("Asinh", num.Asinh, -1e6, 1e6),
		one("Sin", num.Sin, -1e6, 1e6),
		one("Cos", num.Cos, -1e6, 1e6),
		one("Atan", num.Atan, -1e6, 1e6),
		one("Asin", num.Asin, -1, 1),
		one("Acos", num.Acos, -1, 1),
		one("J0", num.J0, -300, 300),
		one("J1", num.J1, -300, 300),
		one("J01", func(x float64) float64 { j0, j1 := num.J01(x); return j0 - j1 }, -300, 300),
		one("EllipticK", num.EllipticK, 1e-9, 1),
		two("Pow", num.Pow, 1e-3, 1e3),
		two("Atan2", num.Atan2, -9, 9),
		two("Hypot", num.Hypot, -9, 9),
		complexes("Mul", num.Mul),
		complexes("Div", num.Div),
		complexes("Scale", func(a, b complex128) complex128 { return num.Scale(real(a), b) + num.Scale(imag(a), b) }),
		complexes("CExp", func(a, _ complex128) complex128 { return num.CExp(a) }),
		complexes("CSqrt", func(a, _ complex128) complex128 { return num.CSqrt(a) }),
		complexes("Abs", func(a, b complex128) complex128 { return complex(num.Abs(a), num.Abs(b)) }),
		{"num.Sum", func(emit func(float64)) error {
			a := arguments{4}
			list := make([]float64, values)
			for i := range list {
				list[i] = a.scaled(-20, 20)
				emit(num.Sum(list[:i+1]))
			}
			return nil
		}},
		{"num.Dot", func(emit func(float64)) error {
			a := arguments{5}
			for range values / 16 {
				x, y := make([]float64, 17), make([]float64, 17)
				for i := range x {
					x[i], y[i] = a.scaled(-20, 20), a.scaled(-20, 20)
				}
				emit(num.Dot(x, y))
			}
			return nil
		}},
		{"num.NewStream", func(emit func(float64)) error {
			for i := range uint64(values / 8) {
				for _, purpose := range []string{"texture", "noise"} {
					s := num.NewStream(i, purpose, i%3)
					emit(math.Float64frombits(s.Uint64() & (1<<62 - 1)))
					emit(s.Float64())
					emit(s.Normal())
					// A sum right behind the call shows whether its last product was rounded.
					emit(s.Normal() + s.Float64())
					emit(float64(s.IntN(int(i) + 1)))
				}
			}
			return nil
		}},
		{"num.NewStem", func(emit func(float64)) error {
			for i := range uint64(values / 8) {
				s := num.NewStem(i, "noise", i%3)
				emit(s.Stream(i).Float64())
			}
			return nil
		}},
	}
}
