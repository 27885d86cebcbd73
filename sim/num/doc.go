// Package num is the mathematics of the replayed path: the same bits on every machine.
//
// The standard library's Exp, Pow, Tanh and others differ between amd64, arm64 and wasm, even between two amd64
// machines with and without fused multiply-add. Everything here is made of + - * / and math.Sqrt only, with every
// product that is then added rounded explicitly (float64(a*b) + c), which the language specification says a compiler
// may not fuse. A reading computed here therefore replays to the last bit anywhere.
//
// Start with [Exp], [Log] and [NewStream]. The package is not for speed records and not for full-range special
// functions: each doc comment names the domain in which its stated accuracy was tested against package math.
//
// Methods: argument reduction with a split constant and Taylor or atanh series, as in J.-M. Muller, Elementary
// Functions, 3rd ed. 2016, chapters 3 and 11; Bessel functions by downward recurrence and Hankel's expansion,
// Abramowitz and Stegun 9.12 and 9.2.5; complete elliptic integrals by the arithmetic-geometric mean, ibid. 17.6.
package num
