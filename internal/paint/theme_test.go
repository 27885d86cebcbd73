package paint

import "testing"

func TestTextContrast(t *testing.T) {
	for _, th := range Themes() {
		for _, p := range th.TextPairs() {
			if c := Contrast(p.Text, p.Ground); c < 4.5 {
				t.Errorf("%s theme, %s: contrast %.2f, want at least 4.5 (WCAG 2.1, 1.4.3)", th.Name, p.Name, c)
			}
		}
		for _, p := range []Pair{{"focus on paper", th.Focus, th.Paper}, {"focus on sheet", th.Focus, th.Sheet},
			{"edge on sheet", th.Edge, th.Sheet}, {"edge on well", th.Edge, th.Well}, {"edge on paper", th.Edge, th.Paper}} {
			if c := Contrast(p.Text, p.Ground); c < 3 {
				t.Errorf("%s theme, %s: contrast %.2f, want at least 3 (WCAG 2.1, 1.4.11)", th.Name, p.Name, c)
			}
		}
	}
}

// The known corners of the definition: black on white is 21, a colour on itself 1.
func TestContrastDefinition(t *testing.T) {
	if c := Contrast(RGB(0), RGB(0xffffff)); c < 20.99 || c > 21.01 {
		t.Errorf("black on white: %v, want 21", c)
	}
	if c := Contrast(RGB(0x777777), RGB(0x777777)); c != 1 {
		t.Errorf("grey on itself: %v, want 1", c)
	}
}
