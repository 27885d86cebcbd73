package paint

import (
	"sync"
	"sync/atomic"
	"unicode/utf8"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/gomedium"
	"golang.org/x/image/font/gofont/gomono"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// Face is one of the four faces of the Go fonts (BSD-style licence, golang.org/x/image/font/gofont). Digits have one
// width in each of them.
type Face uint8

// The faces.
const (
	Regular Face = iota
	Medium
	Bold
	Mono
	faceCount
)

// Font is a face at a size in logical pixels per em. Its measures are exact multiples of the size and the same for
// every painter and scale.
type Font struct {
	Face Face
	Size float64
}

// tableRunes is the span of runes whose advances are kept in a table read without a lock.
const tableRunes = 0x2800

// unitsPerEm of the Go fonts; measures are taken at this size, so they are whole numbers.
const unitsPerEm = 2048

type loadedFace struct {
	once     sync.Once
	font     *sfnt.Font
	mu       sync.Mutex
	buf      sfnt.Buffer
	advances [tableRunes]atomic.Int32 // 1 + advance in font units; 0 is unknown
}

var faces [faceCount]loadedFace

func (f Face) load() *loadedFace {
	lf := &faces[f]
	lf.once.Do(func() {
		data := [faceCount][]byte{goregular.TTF, gomedium.TTF, gobold.TTF, gomono.TTF}[f]
		parsed, err := sfnt.Parse(data)
		if err != nil {
			panic("paint: embedded font does not parse: " + err.Error())
		}
		lf.font = parsed
	})
	return lf
}

// advance is the width of r in font units.
func (f Face) advance(r rune) int32 {
	lf := f.load()
	if r >= 0 && r < tableRunes {
		if v := lf.advances[r].Load(); v != 0 {
			return v - 1
		}
	}
	lf.mu.Lock()
	defer lf.mu.Unlock()
	var units int32
	index, err := lf.font.GlyphIndex(&lf.buf, shown(r))
	if err == nil {
		if adv, err := lf.font.GlyphAdvance(&lf.buf, index, fixed.I(unitsPerEm), font.HintingNone); err == nil {
			units = int32(adv.Round())
		}
	}
	if r >= 0 && r < tableRunes {
		lf.advances[r].Store(units + 1)
	}
	return units
}

// shown replaces runes that the Go fonts lack by the nearest they have.
func shown(r rune) rune {
	switch r {
	case '✓', '✔':
		return '√'
	case '\u00a0', '\u202f', '\u2009', '\t', '\n':
		return ' '
	case '‑':
		return '-'
	}
	return r
}

// Has says whether the face can show r as itself.
func (f Face) Has(r rune) bool {
	lf := f.load()
	lf.mu.Lock()
	defer lf.mu.Unlock()
	index, err := lf.font.GlyphIndex(&lf.buf, r)
	return err == nil && index != 0
}

// Width is the width of a line of text in logical pixels.
func (f Font) Width(s string) float64 {
	units := int64(0)
	for _, r := range s {
		units += int64(f.Face.advance(r))
	}
	return float64(units) * f.Size / unitsPerEm
}

// Fit is the number of bytes of the longest beginning of s, in whole runes, that is no wider than w.
func (f Font) Fit(s string, w float64) int {
	limit := int64(w * unitsPerEm / f.Size)
	units := int64(0)
	for i, r := range s {
		units += int64(f.Face.advance(r))
		if units > limit {
			return i
		}
	}
	return len(s)
}

// At is the byte offset in s of the gap between runes nearest to x, counted from the start of the text.
func (f Font) At(s string, x float64) int {
	left := 0.0
	for i, r := range s {
		w := float64(f.Face.advance(r)) * f.Size / unitsPerEm
		if x < left+w/2 {
			return i
		}
		left += w
	}
	return len(s)
}

// Ascent is the height kept above the baseline, in logical pixels.
func (f Font) Ascent() float64 { return f.Size * 0.95 }

// Descent is the depth kept below the baseline.
func (f Font) Descent() float64 { return f.Size * 0.25 }

// CapHeight is the height of capitals (Go fonts: 1480 of 2048 units).
func (f Font) CapHeight() float64 { return f.Size * 1480 / 2048 }

// LineHeight is the distance of baselines in wrapped text.
func (f Font) LineHeight() float64 { return f.Size * 1.35 }

// NextLine splits wrapped text: it returns the bytes of s that fit on one line of width w, and what follows. It breaks
// at spaces and at newlines, and inside a word only if the word alone is too wide. It does not allocate.
func (f Font) NextLine(s string, w float64) (line, rest string) {
	limit := int64(w*unitsPerEm/f.Size) + 1
	units := int64(0)
	space := -1
	for i, r := range s {
		if r == '\n' {
			return s[:i], s[i+1:]
		}
		if r == ' ' {
			space = i
		}
		units += int64(f.Face.advance(r))
		if units > limit && r != ' ' {
			if space > 0 {
				return s[:space], s[space+1:]
			}
			if i == 0 {
				_, n := utf8.DecodeRuneInString(s)
				return s[:n], s[n:]
			}
			return s[:i], s[i:]
		}
	}
	return s, ""
}

// Height is the height of s wrapped to width w.
func (f Font) Height(s string, w float64) float64 {
	n := 0
	for s != "" {
		_, s = f.NextLine(s, w)
		n++
	}
	return float64(n) * f.LineHeight()
}

// TextBlock draws s wrapped to the width of r from its top, and returns the height used. Lines below r are drawn too:
// ask Font.Height first or clip.
func (l *List) TextBlock(r Rect, s string, f Font, c Color, a Align) float64 {
	y := r.Y
	for s != "" {
		var line string
		line, s = f.NextLine(s, r.W)
		l.TextIn(Rect{r.X, y, r.W, f.LineHeight()}, line, f, c, a)
		y += f.LineHeight()
	}
	return y - r.Y
}
