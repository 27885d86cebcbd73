package report

import (
	"testing"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gomedium"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// A subset has the same outlines and widths for what is kept, and no outline
// for the rest.
func TestSubsetKeepsWhatIsAskedFor(t *testing.T) {
	kept := []rune("µ±−√éÅ0189 Az")
	for name, full := range map[string][]byte{"regular": goregular.TTF, "medium": gomedium.TTF} {
		small, err := subset(full, kept)
		if err != nil {
			t.Fatal(err)
		}
		if len(small) > len(full)/3 {
			t.Errorf("%s: %d bytes of %d", name, len(small), len(full))
		}
		if sum := checkSum(small); sum != 0xB1B0AFBA {
			t.Errorf("%s: the check sum of the font is %#x", name, sum)
		}
		a, err := sfnt.Parse(full)
		if err != nil {
			t.Fatal(err)
		}
		b, err := sfnt.Parse(small)
		if err != nil {
			t.Fatal(err)
		}
		var buffer sfnt.Buffer
		outline := func(f *sfnt.Font, r rune) (sfnt.GlyphIndex, fixed.Int26_6, []sfnt.Segment) {
			g, err := f.GlyphIndex(&buffer, r)
			if err != nil {
				t.Fatal(err)
			}
			w, err := f.GlyphAdvance(&buffer, g, fixed.I(64), font.HintingNone)
			if err != nil {
				t.Fatal(err)
			}
			s, err := f.LoadGlyph(&buffer, g, fixed.I(64), nil)
			if err != nil {
				t.Fatal(err)
			}
			return g, w, append([]sfnt.Segment(nil), s...)
		}
		for _, r := range kept {
			g1, w1, s1 := outline(a, r)
			g2, w2, s2 := outline(b, r)
			if g1 == 0 || g1 != g2 || w1 != w2 || len(s1) != len(s2) {
				t.Errorf("%s: %q is glyph %d, width %v, %d segments; was %d, %v, %d", name, r, g2, w2, len(s2), g1, w1, len(s1))
				continue
			}
			for i := range s1 {
				if s1[i] != s2[i] {
					t.Errorf("%s: %q has another outline", name, r)
					break
				}
			}
		}
		if _, _, s := outline(b, 'Q'); len(s) != 0 {
			t.Errorf("%s: Q was not asked for and has an outline", name)
		}
	}
}

// A font that was cut off is an error and nothing worse.
func TestSubsetOfADamagedFont(t *testing.T) {
	for n := 0; n < len(goregular.TTF); n += 997 {
		if _, err := subset(goregular.TTF[:n], []rune("aé")); err == nil {
			t.Errorf("the first %d of %d bytes were taken for a font", n, len(goregular.TTF))
		}
	}
}
