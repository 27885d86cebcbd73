package widgets

import (
	"slices"
	"testing"

	"foilwright/internal/paint"
)

func TestWalkFindsWhatIsInTheWay(t *testing.T) {
	u := New()
	u.Check = true
	var l paint.List
	frame := func(body func()) []string {
		clear(u.faults)
		u.Frame(Input{W: 400, H: 300, Scale: 1}, &l, func(paint.Rect) { body() })
		out := u.Faults()
		slices.Sort(out)
		return out
	}
	for _, c := range []struct {
		name string
		body func()
		want []string
	}{
		{"apart", func() {
			u.Button("a", paint.R(10, 10, 100, 30), "a")
			u.Button("b", paint.R(10, 41, 100, 30), "b")
		}, nil},
		{"overlap", func() {
			u.Button("a", paint.R(10, 10, 100, 30), "a")
			u.Button("b", paint.R(10, 35, 100, 30), "b")
		}, []string{"a and b overlap"}},
		{"off the screen", func() { u.Button("a", paint.R(350, 10, 100, 30), "a") }, []string{"a reaches out of its place: 350 to 450 across, 10 to 40 down"}},
		{"below the fold of a pane", func() {
			u.BeginScroll("pane", paint.R(0, 0, 200, 100))
			u.Button("a", paint.R(10, 150, 100, 30), "a")
			u.EndScroll(300)
		}, nil},
		{"wider than its pane", func() {
			u.BeginScroll("pane", paint.R(0, 0, 90, 100))
			u.Button("a", paint.R(10, 10, 100, 30), "a")
			u.EndScroll(50)
		}, []string{"a reaches out of its place: 10 to 110 across, 10 to 40 down"}},
		{"squeezed", func() { u.Button("a", paint.R(10, 10, 100, 3), "") }, []string{"a has no room: 100 by 3"}},
		{"a dialog over all", func() {
			u.Button("a", paint.R(150, 140, 100, 30), "a")
			in := u.BeginModal("ask", "ask", 300, 200)
			u.Button("b", in.TakeTop(30), "b")
			u.EndModal()
		}, nil},
	} {
		if got := frame(c.body); !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}
