package screens

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"foilwright/internal/paint"
	"foilwright/internal/widgets"
	"foilwright/sim/bench"
)

// logFile returns the only log in the store of a driver.
func (d *driver) logFile() string {
	d.t.Helper()
	files, err := filepath.Glob(filepath.Join(d.store.Place(), "*.jsonl"))
	if err != nil || len(files) != 1 {
		d.t.Fatalf("logs: %v, %v", files, err)
	}
	return files[0]
}

func TestAnAttemptThatWasLeftGoesOnAsItWas(t *testing.T) {
	d := atTheBench(t)
	before := d.app.sitting.view
	d.key("Escape")
	d.pass(60_000) // the clock stands still meanwhile
	if d.app.page != pageHome || d.app.sitting != nil {
		t.Fatalf("page %d", d.app.page)
	}
	d.key("Enter")
	d.pass(100)
	after := d.app.sitting.view
	if d.app.page != pageBench || after.Statistics.N != before.Statistics.N || before.Statistics.N > 0 && after.Statistics.Mean != before.Statistics.Mean || after.Piece != before.Piece || after.Entries < before.Entries {
		t.Errorf("before %+v, after %+v", before, after)
	}
	if after.NowMs > before.NowMs+10_000 {
		t.Errorf("the clock went on from %d to %d ms while away", before.NowMs, after.NowMs)
	}
}

func TestAnAttemptKilledInContactGoesOn(t *testing.T) {
	d := atTheBench(t)
	d.add(keyDown("Space"))
	d.pass(900)
	if !d.app.sitting.view.Touching {
		t.Fatal("not in contact")
	}
	n := d.app.sitting.view.Entries
	again := driverOn(t, d.store, 1280, 800)
	again.key("Enter")
	again.pass(2000)
	v := again.app.sitting.view
	if v.Touching || v.Entries < n {
		t.Errorf("after resuming: touching %v, %d entries of %d", v.Touching, v.Entries, n)
	}
}

func TestADamagedLogIsShownAndLeftAlone(t *testing.T) {
	d := atTheBench(t)
	d.key("Escape")
	file := d.logFile()
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	bad := strings.Replace(string(data), `"do":"place"`, `"do":"wait "`, 1)
	if err := os.WriteFile(file, []byte(bad), 0o644); err != nil {
		t.Fatal(err)
	}
	again := driverOn(t, d.store, 1280, 800)
	if again.app.unfinished() != nil || len(again.app.home.shelf) != 1 {
		t.Fatalf("home offers %+v", again.app.home.shelf)
	}
	why := again.app.home.shelf[0].damage
	if !strings.Contains(why, "hash chain breaks") || !strings.Contains(why, ":") {
		t.Errorf("damage told as %q", why)
	}
	for range 8 { // about, keys, settings, show me, not now, start, be assessed, why
		again.key("Tab")
	}
	again.key("Enter")
	again.pass(80)
	if again.app.fault == "" {
		t.Error("no key leads to why the log cannot be opened")
	}
	if now, err := os.ReadFile(file); err != nil || string(now) != bad {
		t.Error("the damaged file was touched")
	}
}

func TestALogThatCannotBeWrittenIsSaid(t *testing.T) {
	d := atTheBench(t)
	if err := d.app.sitting.Attempt.Close(); err != nil {
		t.Fatal(err)
	}
	d.key("z")
	s := d.app.sitting
	if s.broken == nil || !strings.Contains(s.broken.Error(), "cannot be written") {
		t.Fatalf("broken: %v", s.broken)
	}
	d.key("Escape")
	d.pass(50)
	if d.app.desk.asking != askLeave {
		t.Error("leaving was not asked about")
	}
	d.key("Escape")
	if d.app.page != pageBench {
		t.Error("Escape did not stay")
	}
	d.key("Escape")
	d.key("Enter")
	d.pass(50)
	if d.app.page != pageHome {
		t.Errorf("on page %d", d.app.page)
	}
}

func TestLosingTheKeyboardLiftsTheProbe(t *testing.T) {
	d := atTheBench(t)
	d.add(keyDown("Space"))
	d.pass(900)
	d.add(widgets.Event{Kind: widgets.Blur})
	d.pass(900)
	if d.app.sitting.view.Touching || d.app.desk.down {
		t.Error("still pressed after the window lost the keyboard")
	}
}

func TestPressOnceNeedsNoHolding(t *testing.T) {
	d := driverWith(t, 1280, 800, Settings{Theme: "light", TextPercent: 100, PressOnce: true})
	for _, k := range []string{"1", "Enter", "2", "z"} {
		d.key(k)
		d.pass(60)
	}
	d.key("Space")
	d.pass(1500)
	if v := d.app.sitting.view; !v.Touching || len(v.Taken) != 1 {
		t.Fatalf("touching %v, %d readings", v.Touching, len(v.Taken))
	}
	d.key("Space")
	d.pass(900)
	if d.app.sitting.view.Touching {
		t.Error("the second press did not lift")
	}
}

func TestLoweringBesideThePieceIsSaid(t *testing.T) {
	d := newDriver(t, 1280, 800)
	for _, k := range []string{"1", "Enter"} {
		d.key(k)
		d.pass(60)
	}
	d.add(keyDown("Space"))
	d.pass(1000)
	if !d.app.beside() {
		t.Error("lowered on nothing, and nothing is said")
	}
	d.add(keyUp("Space"))
	d.pass(100)
}

func TestMilIsForDisplayOnly(t *testing.T) {
	d := driverWith(t, 1280, 800, Settings{Theme: "light", TextPercent: 100, Mil: true})
	d.app.where = map[string]paint.Rect{}
	for _, k := range []string{"1", "Enter", "2", "z"} {
		d.key(k)
		d.pass(60)
	}
	d.hold("Space", 1100)
	d.pass(700)
	for _, k := range []string{"s", "6", "f", "Enter"} {
		d.key(k)
	}
	d.write("3.039")
	d.key("Enter")
	d.shot("mil")
	if got := d.app.sitting.view.SetFoilUm; got < 77.15 || got > 77.25 {
		t.Errorf("3.039 mil was set as %.2f µm, want 77.2", got)
	}
	var counts int64
	for _, e := range d.app.sitting.Bench.Record().Entries {
		if e.Action.Do == bench.SetFoilValue {
			counts = e.Action.Counts
		}
	}
	if counts != 772 {
		t.Errorf("logged as %d counts, want 772", counts)
	}
}

func TestLeftHandedLayoutMirrors(t *testing.T) {
	d := driverWith(t, 1280, 800, Settings{Theme: "dark", TextPercent: 100, LeftHanded: true})
	lay := d.app.lay(paint.R(0, 0, 1280, 800))
	if lay.instrument.X > lay.plan.X || lay.tray.X < lay.plan.X {
		t.Errorf("instrument at %g, plan at %g, tray at %g", lay.instrument.X, lay.plan.X, lay.tray.X)
	}
	for _, k := range []string{"1", "Enter", "1", "m"} {
		d.key(k)
		d.pass(60)
	}
	d.shot("left-handed-dark")
}

func TestSettingsSurviveAndBadOnesStartAfresh(t *testing.T) {
	d := newDriver(t, 1280, 800)
	d.key("o")
	d.key("Tab")
	d.key("Tab")
	d.key("ArrowRight")
	d.pass(50)
	if d.app.settings.Theme != "dark" {
		t.Fatalf("theme %q after an arrow", d.app.settings.Theme)
	}
	if again := driverOn(t, d.store, 1280, 800); again.app.settings.Theme != "dark" {
		t.Errorf("theme %q after a restart", again.app.settings.Theme)
	}
	if err := d.store.WriteSettings([]byte("{")); err != nil {
		t.Fatal(err)
	}
	again := driverOn(t, d.store, 1280, 800)
	if again.app.settings.Theme != "light" || !strings.Contains(again.app.fault, "start afresh") {
		t.Errorf("theme %q, fault %q", again.app.settings.Theme, again.app.fault)
	}
}
