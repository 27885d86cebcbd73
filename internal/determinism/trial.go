// Package determinism holds the promise that the same log gives the same bits on every machine. It computes digests of
// the mathematics, of the field core and of replayed attempts, and compares them with testdata/determinism/digest.txt.
//
// Its tests are built for several targets and run by .ci/test: linux/amd64 with and without fused multiply-add and for
// a processor that has it in every instruction set (GOAMD64=v3), WebAssembly under node, arm64 under an emulator.
package determinism

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"math"
	"strings"
)

// Trial is a named set of computed values.
type Trial struct {
	Name string
	// Run computes the values in a fixed order and hands each to emit. An error stands for values not computed.
	Run func(emit func(float64)) error
}

// Line returns the trial's line of the digest file: name, number of values, digest over the bits of all.
func (t Trial) Line() (string, error) {
	h := sha256.New()
	n := 0
	var word [8]byte
	err := t.Run(func(v float64) {
		binary.LittleEndian.PutUint64(word[:], canonicalBits(v))
		h.Write(word[:])
		n++
	})
	if err != nil {
		return "", fmt.Errorf("%s: %w", t.Name, err)
	}
	return fmt.Sprintf("%s %d %s", t.Name, n, hex.EncodeToString(h.Sum(nil)[:16])), nil
}

// canonicalBits gives every NaN the same bits: which NaN an operation makes is left open by IEEE 754 and differs
// between processors, and no reading shows it.
func canonicalBits(v float64) uint64 {
	if v != v {
		return 0x7ff8000000000001
	}
	return math.Float64bits(v)
}

// Differences compares digest lines with wanted ones and tells each difference in words.
func Differences(got, want []string) []string {
	wanted := map[string]string{}
	for _, line := range want {
		wanted[firstField(line)] = line
	}
	var out []string
	for _, line := range got {
		name := firstField(line)
		switch w, ok := wanted[name]; {
		case !ok:
			out = append(out, fmt.Sprintf("%s: not in the digest file; got %q", name, line))
		case w != line:
			out = append(out, fmt.Sprintf("%s: got %q, want %q", name, line, w))
		}
		delete(wanted, name)
	}
	for _, line := range want {
		if _, left := wanted[firstField(line)]; left {
			out = append(out, fmt.Sprintf("%s: in the digest file but not computed", firstField(line)))
		}
	}
	return out
}

func firstField(line string) string {
	name, _, _ := strings.Cut(line, " ")
	return name
}

// arguments is a source of test arguments that uses whole-number arithmetic only, so that a difference between machines
// can only come from what is tried. Generator: the SplitMix64 sequence, G. L. Steele, D. Lea, C. H. Flood, OOPSLA 2014.
type arguments struct{ state uint64 }

func (a *arguments) word() uint64 {
	a.state += 0x9e3779b97f4a7c15
	z := a.state
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// between returns a number spread evenly over [low, high].
func (a *arguments) between(low, high float64) float64 {
	return low + float64((high-low)*(float64(a.word()>>11)*0x1p-53))
}

// scaled returns a number of either sign and size 2^low to 2^high, each power of two as likely.
func (a *arguments) scaled(low, high int) float64 {
	w := a.word()
	exponent := low + int(w>>53)%(high-low)
	v := math.Ldexp(1+float64(w&(1<<51-1))*0x1p-51, exponent)
	if w>>52&1 == 1 {
		return -v
	}
	return v
}
