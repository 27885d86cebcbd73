package paint

// Theme is the set of colour roles. The look is that of a drawing office: paper and ink, thin lines, section hatching;
// one warm accent marks where the trainee acts, one cool accent marks truth and explanation. Good, warn and bad differ
// in lightness and hue for colour-blind eyes, and every use of them must also carry a shape or a word.
type Theme struct {
	Name string

	Paper   Color // behind everything
	Sheet   Color // panels, cards, dialogs
	Well    Color // fields that take input, plot areas
	Ink     Color // text and strong lines
	InkSoft Color // secondary text
	InkOff  Color // disabled text
	Line    Color // hairlines, table rulings
	Edge    Color // borders of controls
	Hatch   Color // section lines over disabled or hidden things

	Act       Color // warm accent: the trainee acts here
	OnAct     Color // text on Act
	ActTint   Color // faint ground of chosen rows
	Truth     Color // cool accent: truth and explanation
	OnTruth   Color
	TruthTint Color

	Good     Color
	OnGood   Color
	GoodTint Color
	Warn     Color
	OnWarn   Color
	WarnTint Color
	Bad      Color
	OnBad    Color
	BadTint  Color

	Focus Color // the focus ring
	Scrim Color // laid over the screen behind a dialog

	Series [6]Color // lines and bars of charts, in order of use

	Hairline float64 // width of borders in logical pixels
}

// Light is ink on warm paper.
func Light() *Theme {
	return &Theme{
		Name:  "light",
		Paper: RGB(0xEFEBE0), Sheet: RGB(0xFAF7EF), Well: RGB(0xFFFDF8),
		Ink: RGB(0x1B2330), InkSoft: RGB(0x4C5462), InkOff: RGB(0x626873),
		Line: RGB(0xCBC5B4), Edge: RGB(0x767A80), Hatch: RGB(0xB9B3A3),
		Act: RGB(0xA8430F), OnAct: RGB(0xFFF9F0), ActTint: RGB(0xF8E4D2),
		Truth: RGB(0x0E5A86), OnTruth: RGB(0xF5FBFF), TruthTint: RGB(0xDDEBF3),
		Good: RGB(0x00665A), OnGood: RGB(0xF2FFFA), GoodTint: RGB(0xDCEFE6),
		Warn: RGB(0x7A5600), OnWarn: RGB(0xFFFBEF), WarnTint: RGB(0xF6E9C4),
		Bad: RGB(0x82030E), OnBad: RGB(0xFFF6F4), BadTint: RGB(0xF5DEDA),
		Focus: RGB(0x1746C7), Scrim: Color{0x1B, 0x23, 0x30, 0x8C},
		Series:   [6]Color{RGB(0x1B2330), RGB(0x0E5A86), RGB(0xA8430F), RGB(0x00665A), RGB(0x7B3A8C), RGB(0x7A5600)},
		Hairline: 1,
	}
}

// Dark is chalk on slate.
func Dark() *Theme {
	return &Theme{
		Name:  "dark",
		Paper: RGB(0x12171C), Sheet: RGB(0x1A2128), Well: RGB(0x0E1317),
		Ink: RGB(0xECE6D8), InkSoft: RGB(0xB4B4AC), InkOff: RGB(0x92959A),
		Line: RGB(0x36404A), Edge: RGB(0x7C8791), Hatch: RGB(0x4A5560),
		Act: RGB(0xF0A060), OnAct: RGB(0x231303), ActTint: RGB(0x3A2A1C),
		Truth: RGB(0x7FC3EC), OnTruth: RGB(0x04202F), TruthTint: RGB(0x17303F),
		Good: RGB(0x7FE3CF), OnGood: RGB(0x00241A), GoodTint: RGB(0x16342A),
		Warn: RGB(0xE6C55A), OnWarn: RGB(0x2A2000), WarnTint: RGB(0x363017),
		Bad: RGB(0xF0858C), OnBad: RGB(0x330006), BadTint: RGB(0x402024),
		Focus: RGB(0x9DB8FF), Scrim: Color{0, 0, 0, 0xA6},
		Series:   [6]Color{RGB(0xECE6D8), RGB(0x7FC3EC), RGB(0xF0A060), RGB(0x7FE3CF), RGB(0xD5A0E6), RGB(0xE6C55A)},
		Hairline: 1,
	}
}

// HighContrast is black on white with heavier lines.
func HighContrast() *Theme {
	return &Theme{
		Name:  "high contrast",
		Paper: RGB(0xFFFFFF), Sheet: RGB(0xFFFFFF), Well: RGB(0xFFFFFF),
		Ink: RGB(0x000000), InkSoft: RGB(0x1E1E1E), InkOff: RGB(0x555555),
		Line: RGB(0x6A6A6A), Edge: RGB(0x000000), Hatch: RGB(0x777777),
		Act: RGB(0x7A2A00), OnAct: RGB(0xFFFFFF), ActTint: RGB(0xFFE9D6),
		Truth: RGB(0x003A66), OnTruth: RGB(0xFFFFFF), TruthTint: RGB(0xDCEEFF),
		Good: RGB(0x004A44), OnGood: RGB(0xFFFFFF), GoodTint: RGB(0xDFF7EA),
		Warn: RGB(0x543F00), OnWarn: RGB(0xFFFFFF), WarnTint: RGB(0xFFF0BF),
		Bad: RGB(0x5C0006), OnBad: RGB(0xFFFFFF), BadTint: RGB(0xFFE3E0),
		Focus: RGB(0x0022DD), Scrim: Color{0, 0, 0, 0xB0},
		Series:   [6]Color{RGB(0x000000), RGB(0x003A66), RGB(0x7A2A00), RGB(0x004A44), RGB(0x5A0078), RGB(0x543900)},
		Hairline: 2,
	}
}

// Themes are all themes in the order they are offered.
func Themes() []*Theme { return []*Theme{Light(), Dark(), HighContrast()} }

// Pair is a text colour and a ground it is used on.
type Pair struct {
	Name         string
	Text, Ground Color
}

// TextPairs are all pairs of text and ground that screens may use; each keeps a contrast of 4.5 or more.
func (t *Theme) TextPairs() []Pair {
	var out []Pair
	grounds := []Pair{{"paper", Color{}, t.Paper}, {"sheet", Color{}, t.Sheet}, {"well", Color{}, t.Well},
		{"act tint", Color{}, t.ActTint}, {"truth tint", Color{}, t.TruthTint}, {"good tint", Color{}, t.GoodTint},
		{"warn tint", Color{}, t.WarnTint}, {"bad tint", Color{}, t.BadTint}}
	texts := []Pair{{"ink", t.Ink, Color{}}, {"soft ink", t.InkSoft, Color{}}}
	accents := []Pair{{"act", t.Act, Color{}}, {"truth", t.Truth, Color{}}, {"good", t.Good, Color{}},
		{"warn", t.Warn, Color{}}, {"bad", t.Bad, Color{}}}
	for _, g := range grounds {
		for _, x := range texts {
			out = append(out, Pair{x.Name + " on " + g.Name, x.Text, g.Ground})
		}
	}
	for i, a := range accents {
		for _, g := range grounds[:3] {
			out = append(out, Pair{a.Name + " on " + g.Name, a.Text, g.Ground})
		}
		own := grounds[3+i]
		out = append(out, Pair{a.Name + " on " + own.Name, a.Text, own.Ground})
	}
	for _, g := range grounds[:3] {
		out = append(out, Pair{"off ink on " + g.Name, t.InkOff, g.Ground})
	}
	return append(out,
		Pair{"on act", t.OnAct, t.Act}, Pair{"on truth", t.OnTruth, t.Truth}, Pair{"on good", t.OnGood, t.Good},
		Pair{"on warn", t.OnWarn, t.Warn}, Pair{"on bad", t.OnBad, t.Bad}, Pair{"paper on ink", t.Paper, t.Ink})
}
