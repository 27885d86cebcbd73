package screens

import (
	"fmt"
	"slices"
	"testing"

	"foilwright/internal/paint"
	"foilwright/internal/say"
	"foilwright/internal/store"
	"foilwright/scenarios"
)

// tour visits every screen with an attempt under way and calls at with each.
func tour(d *driver, at func(name string)) {
	d.app.where = map[string]paint.Rect{}
	d.hz = 20
	d.frame()
	see := func(name string) {
		d.pass(60)
		at(name)
	}
	see("home-empty")
	d.key("1")
	d.pass(60)
	see("job")
	d.key("Enter")
	see("bench-empty")
	d.key("2")
	d.key("z")
	d.hold("Space", 1100)
	d.pass(500)
	see("bench-zero")
	d.key("s")
	d.key("6")
	d.key("k")
	d.key("f")
	d.key("Enter")
	d.write("77.2")
	see("bench-foil")
	d.key("Enter")
	d.hold("Space", 1100)
	d.pass(500)
	d.key("v")
	see("bench-verify")
	d.key("1")
	d.key("m")
	for range 3 {
		d.hold("Space", 1100)
		d.pass(600)
	}
	d.key("n")
	for range 14 {
		d.key("Ctrl+ArrowLeft")
	}
	d.pass(300)
	d.add(keyDown("Space"))
	d.pass(1000)
	see("bench-edge")
	d.add(keyUp("Space"))
	d.pass(700)
	d.key("d")
	see("bench-delete")
	d.key("1")
	d.key("n")
	see("bench-refused")
	d.key("c")
	see("bench-clear")
	d.key("Escape")
	d.key("F1")
	see("keys")
	d.key("Escape")
	d.key("r")
	see("report")
	d.key("Enter")
	see("report-incomplete")
	d.key("x")
	d.key("h")
	d.key("r")
	d.key("Enter")
	see("report-finish")
	d.key("Escape")
	d.key("Escape")
	d.key("Escape")
	see("home-unfinished")
	d.key("o")
	see("settings")
	d.key("Escape")
	d.key("i")
	see("about")
	d.key("Escape")
	d.key("Enter")
	d.pass(100)
	d.key("r")
	d.key("Enter")
	d.key("Enter")
	d.pass(200)
	see("debrief")
	d.key("2")
	see("debrief-back")
	d.key("3")
	see("debrief-readings")
	d.key("Escape")
	d.pass(60)
	d.key("g")
	d.pass(100)
	see("lesson")
	d.key("q")
	see("magnified")
}

// Nothing is cut and no two things have one name, at any size a screen and a
// text size can have.
func TestNothingIsCut(t *testing.T) {
	nothingIsCut(t, "")
}

// The same in a language with longer words: labels that fit only in English have no room.
func TestNothingIsCutInLongerWords(t *testing.T) { nothingIsCut(t, say.Stretched) }

func nothingIsCut(t *testing.T, language string) {
	sizes := [][2]float64{{1024, 768}, {1280, 800}, {1920, 1080}, {2560, 1440}, {820, 1180}}
	for _, size := range sizes {
		for _, percent := range []int{100, 150, 200} {
			if testing.Short() && percent == 150 {
				continue
			}
			name := fmt.Sprintf("%.0fx%.0f at %d %%", size[0], size[1], percent)
			t.Run(name, func(t *testing.T) {
				d := driverWith(t, size[0], size[1], Settings{Theme: "light", TextPercent: percent})
				d.speak(language)
				tour(d, func(page string) {
					d.shot(fmt.Sprintf("%s%s-%.0f-%d", page, language, size[0], percent))
				})
				faults := d.app.ui.Faults()
				slices.Sort(faults)
				for _, f := range faults {
					t.Error(f)
				}
			})
		}
	}
}

// Every exercise that comes with the program can be begun, has room for its
// words on every sheet, and gives a reading on each of its pieces, or the reason
// why not.
func TestEveryExerciseFits(t *testing.T) {
	for _, e := range scenarios.Shipped() {
		t.Run(e.ID, func(t *testing.T) {
			d := newDriver(t, 1024, 768)
			d.app.Exercises = scenarios.Shipped()
			d.app.openHome()
			d.pass(60)
			d.shot("all-home")
			d.app.begin(e, false)
			d.pass(100)
			d.shot("all-job-" + e.ID)
			d.key("Enter")
			d.pass(100)
			d.app.goTo(pageBench)
			d.pass(60)
			taken := 0
			for i := range len(e.References) + 1 {
				d.key(fmt.Sprint(i + 1))
				d.key("z")
				d.hold("Space", 1100)
				d.pass(700)
				// Where probes lie by to choose from, the one in hand need not suit, and then says so.
				got := len(d.app.sitting.view.Taken)
				if suits := len(e.Offered()) == 1 || d.app.sitting.missed == ""; suits && got != taken+1 {
					t.Errorf("piece %d: %d readings after %d, %s", i+1, got, taken, d.app.sitting.missed)
				}
				taken = got
				d.shot(fmt.Sprintf("all-bench-%s-%d", e.ID, i+1))
			}
			for _, f := range d.app.ui.Faults() {
				t.Error(f)
			}
		})
	}
}

// speak changes the language, for the rest of the test.
func (d *driver) speak(language string) {
	d.app.Language = language
	d.app.applySettings()
	d.app.openHome()
	d.t.Cleanup(func() { _ = say.Speak("") })
}

func driverWith(t testing.TB, w, h float64, set Settings) *driver {
	t.Helper()
	st, err := store.Open(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	if err := set.write(st); err != nil {
		t.Fatal(err)
	}
	return driverOn(t, st, w, h)
}
