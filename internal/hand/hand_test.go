package hand

import (
	"math"
	"reflect"
	"testing"

	"foilwright/sim/bench"
)

// play feeds events to a hand in frames that end at the given times, as a
// window does: the events up to a frame's time are handed over with that frame.
func play(events []Event, frames []int64) []bench.Action {
	h := New(7, 0, bench.Pose{HeightUm: 60_000})
	h.Over(300, 200)
	var all []bench.Action
	n := 0
	for _, at := range frames {
		for n < len(events) && events[n].AtMs <= at {
			h.Do(events[n])
			n++
		}
		h.Advance(at)
		all = append(all, h.Take()...)
	}
	return all
}

// every returns frame times at a rate, up to endMs; drop leaves out frames.
func every(hz float64, endMs int64, drop func(i int) bool) []int64 {
	var frames []int64
	for i := 0; ; i++ {
		at := int64(float64(i) * 1000 / hz)
		if at >= endMs {
			return append(frames, endMs)
		}
		if drop == nil || !drop(i) {
			frames = append(frames, at)
		}
	}
}

// aTouch is one reading taken with the mouse: glide, press, hold, let go.
func aTouch() []Event {
	var e []Event
	for t := int64(100); t < 500; t += 7 {
		f := float64(t-100) / 400
		e = append(e, Event{AtMs: t, Kind: Point, X: 20 + 130*f, Y: 30 + 70*f})
	}
	e = append(e, Event{AtMs: 800, Kind: Steady}, Event{AtMs: 903, Kind: Lower},
		Event{AtMs: 1200, Kind: Point, X: 150.5, Y: 99.8},
		Event{AtMs: 2111, Kind: Lift}, Event{AtMs: 2112, Kind: Unsteady})
	return e
}

func TestSameEventsSameActionsAtAnyFrameRate(t *testing.T) {
	events := append(aTouch(), Event{AtMs: 2300, Kind: Lower}, Event{AtMs: 2700, Kind: Nudge, X: 3}, Event{AtMs: 3400, Kind: Lift}, Event{AtMs: 3500, Kind: Hover, Y: 10})
	want := play(events, every(1000, 5000, nil))
	if len(want) < 20 {
		t.Fatalf("only %d actions", len(want))
	}
	for _, c := range []struct {
		name   string
		frames []int64
	}{
		{"30 Hz", every(30, 5000, nil)},
		{"60 Hz", every(60, 5000, nil)},
		{"144 Hz", every(144, 5000, nil)},
		{"60 Hz, two of three frames dropped", every(60, 5000, func(i int) bool { return i%3 != 0 })},
		{"60 Hz, a second lost while pressing", every(60, 5000, func(i int) bool { return i > 60 && i < 120 })},
		{"one frame", []int64{5000}},
	} {
		if got := play(events, c.frames); !reflect.DeepEqual(got, want) {
			t.Errorf("%s: %d actions differ from the %d at 1000 Hz", c.name, len(got), len(want))
		}
	}
}

func poses(actions []bench.Action) (list []bench.Pose, times []int64) {
	for _, a := range actions {
		if a.Pose != nil {
			list, times = append(list, *a.Pose), append(times, a.At)
		}
	}
	return list, times
}

func TestOneTouch(t *testing.T) {
	actions := play(aTouch(), every(60, 4000, nil))
	list, times := poses(actions)
	touch, lift := -1, -1
	for i := range list {
		if list[i].HeightUm == 0 && touch < 0 {
			touch = i
		}
		if touch >= 0 && lift < 0 && list[i].HeightUm > 0 {
			lift = i
		}
	}
	if touch < 1 || lift < 0 {
		t.Fatalf("no touch in %+v", list)
	}
	speed := float64(list[touch-1].HeightUm) / float64(times[touch]-times[touch-1])
	if math.Abs(speed-gentleMmPerS) > 0.5 {
		t.Errorf("landing speed %.1f mm/s, want %.0f", speed, gentleMmPerS)
	}
	if d := math.Hypot(float64(list[touch].XUm)-150_000, float64(list[touch].YUm)-100_000); d > 1500 {
		t.Errorf("touched %.0f µm from where the pointer was", d)
	}
	for i := touch; i < lift; i++ {
		if list[i].XUm != list[touch].XUm || list[i].YUm != list[touch].YUm {
			t.Errorf("a small pointer movement slid the probe from %+v to %+v", list[touch], list[i])
		}
		if tilt := math.Hypot(float64(list[i].TiltX), float64(list[i].TiltY)); tilt > 3000 {
			t.Errorf("tilt %.0f millidegrees in a steady contact", tilt)
		}
	}
	if list[lift-1].PressMN < 1800 {
		t.Errorf("pressed with %d mN only", list[lift-1].PressMN)
	}
	if top := list[len(list)-1].HeightUm; top != HoverMm*1000 {
		t.Errorf("lifted to %d µm", top)
	}
	waits := 0
	for _, a := range actions {
		if a.Do == bench.Wait {
			waits++
			if a.At != times[touch]+600 {
				t.Errorf("wait at %d ms after touch-down at %d", a.At, times[touch])
			}
		}
	}
	if waits != 1 {
		t.Errorf("%d waits, want 1", waits)
	}
	if len(actions) > 60 {
		t.Errorf("%d log lines for one reading", len(actions))
	}
}

func TestTouchingAgainTooEarlyIsAShortLift(t *testing.T) {
	for _, c := range []struct {
		name       string
		pauseMs    int64
		least, max int64
	}{
		{"at once", 120, 4_000, 12_000},
		{"half way", 250, 14_000, 20_000},
		{"with patience", 700, 34_900, 35_100},
	} {
		events := append(aTouch(), Event{AtMs: 2120 + c.pauseMs, Kind: Lower}, Event{AtMs: 3900, Kind: Lift})
		list, times := poses(play(events, every(60, 5000, nil)))
		var top int64
		for i, p := range list {
			if times[i] > 2110 && times[i] < 3700 {
				top = max(top, p.HeightUm)
			}
		}
		if top < c.least || top > c.max {
			t.Errorf("%s: lifted %d µm, want %d to %d", c.name, top, c.least, c.max)
		}
	}
}

func TestPushingTheProbeSlidesIt(t *testing.T) {
	events := append(aTouch()[:len(aTouch())-2], Event{AtMs: 1500, Kind: Point, X: 156, Y: 100}, Event{AtMs: 2500, Kind: Lift})
	list, _ := poses(play(events, every(60, 3000, nil)))
	low, high := int64(math.MaxInt64), int64(0)
	for _, p := range list {
		if p.HeightUm == 0 {
			low, high = min(low, p.XUm), max(high, p.XUm)
		}
	}
	if d := high - low; d < 5000 || d > 7000 {
		t.Errorf("slid %d µm, want about 6000", d)
	}
}

func TestQuickMotionTiltsTheProbe(t *testing.T) {
	most := func(ms int64) float64 {
		h := New(1, 0, bench.Pose{HeightUm: 60_000})
		h.Over(300, 200)
		h.Do(Event{AtMs: 500, Kind: Point, X: 50, Y: 100})
		var top float64
		for at := int64(1500); at <= 1500+ms; at += 10 {
			h.Do(Event{AtMs: at, Kind: Point, X: 50 + 200*float64(at-1500)/float64(ms), Y: 100})
			h.Advance(at)
			top = max(top, math.Abs(h.Held().TiltY))
		}
		return top
	}
	if quick, slow := most(200), most(4000); quick < 10 || slow > 6 {
		t.Errorf("tilt %.1f deg when quick, %.1f deg when slow", quick, slow)
	}
}

func TestNothingIsSentWhenNothingChanges(t *testing.T) {
	h := New(3, 0, bench.Pose{HeightUm: 60_000})
	h.Over(300, 200)
	h.Advance(3000)
	h.Take()
	h.Advance(63_000)
	if a := h.Take(); len(a) > 10 {
		t.Errorf("%d actions in a minute of holding still", len(a))
	}
}

func TestSteadinessCalmsTheTremor(t *testing.T) {
	spread := func(kind Kind) float64 {
		h := New(11, 0, bench.Pose{HeightUm: 35_000})
		h.Over(300, 200)
		h.Do(Event{AtMs: 10, Kind: kind})
		sum, n := 0.0, 0
		for at := int64(2000); at < 60_000; at += 10 {
			if at%300 == 0 { // keep the hand on the move
				h.Do(Event{AtMs: at, Kind: Nudge, X: 0.4 * float64(1-2*(at/300%2))})
			}
			h.Advance(at)
			k := h.Held()
			sum += k.TiltX * k.TiltX
			n++
		}
		return math.Sqrt(sum / float64(n))
	}
	loose, steady := spread(Unsteady), spread(Steady)
	if loose < 0.5 || loose > 1.3 || steady > 0.45*loose {
		t.Errorf("tremor %.2f deg loose, %.2f deg steady", loose, steady)
	}
}

func TestBesideThePieceTheProbeFindsNothing(t *testing.T) {
	for _, c := range []struct {
		name string
		w, h float64
		x    float64
	}{{"beside", 300, 200, -8}, {"no piece", 0, 0, 0}} {
		k := New(1, 0, bench.Pose{HeightUm: 60_000})
		k.Over(c.w, c.h)
		k.Do(Event{AtMs: 100, Kind: Point, X: c.x, Y: 50})
		k.Do(Event{AtMs: 900, Kind: Lower})
		k.Advance(3000)
		if got := k.Held(); got.Phase == Pressing || !got.Beside || got.Height < BesideMm {
			t.Errorf("%s: %+v", c.name, got)
		}
	}
}

func TestKeysAloneTipAndRightTheProbe(t *testing.T) {
	h := New(1, 0, bench.Pose{HeightUm: 35_000})
	h.Over(300, 200)
	for range 8 {
		h.Do(Event{AtMs: 10, Kind: Tip, Y: 1})
	}
	h.Advance(1000)
	if k := h.Held(); k.TiltY < 4 || k.TiltY > 12 {
		t.Errorf("tipped to %.1f deg, want about 8", k.TiltY)
	}
	h.Do(Event{AtMs: 1000, Kind: Upright})
	h.Advance(2000)
	if k := h.Held(); math.Abs(k.TiltY) > 3 {
		t.Errorf("%.1f deg after setting it upright", k.TiltY)
	}
}

func TestAHandFoundInContactLiftsFirst(t *testing.T) {
	h := New(1, 12_345, bench.Pose{XUm: 50_000, YUm: 50_000})
	h.Know(300, 200)
	h.Advance(14_000)
	a := h.Take()
	if len(a) == 0 || a[0].At < 12_340 || a[0].Pose.HeightUm == 0 {
		t.Fatalf("first action %+v", a)
	}
	if k := h.Held(); k.Phase != Hovering || math.Abs(k.X-50) > 1 {
		t.Errorf("held %+v", k)
	}
}

func BenchmarkSecondOfHand(b *testing.B) {
	h := New(1, 0, bench.Pose{HeightUm: 35_000})
	h.Over(300, 200)
	for b.Loop() {
		at := h.tick + 1000
		h.Do(Event{AtMs: h.tick + 10, Kind: Lower})
		h.Do(Event{AtMs: h.tick + 900, Kind: Lift})
		h.Advance(at)
		h.Take()
	}
}

// A long step by keys ends at the rim: it neither leaves the piece nor is it
// cut short of it. From beside the piece it leads back.
func TestNudgeOnStopsAtTheRim(t *testing.T) {
	for _, c := range []struct {
		name         string
		fromX, stepX float64
		fromY, stepY float64
		wantX, wantY float64
	}{
		{"inside", 100, 10, 100, 0, 110, 100},
		{"right", 295, 10, 100, 0, 300, 100},
		{"left", 4, -10, 100, 0, 0, 100},
		{"top", 100, 0, 196, 10, 100, 200},
		{"at the rim already", 300, 10, 100, 0, 300, 100},
		{"back from beside", 308, -10, 100, 0, 298, 100},
	} {
		h := New(7, 0, bench.Pose{HeightUm: 60_000})
		h.Over(300, 200)
		h.Do(Event{AtMs: 10, Kind: Point, X: c.fromX, Y: c.fromY})
		h.Do(Event{AtMs: 20, Kind: NudgeOn, X: c.stepX, Y: c.stepY})
		h.Advance(50)
		if x, y := h.Target(); x != c.wantX || y != c.wantY {
			t.Errorf("%s: at (%g, %g), want (%g, %g)", c.name, x, y, c.wantX, c.wantY)
		}
	}
}
