package screens

import (
	"strings"
	"testing"

	"foilwright/internal/paint"
	"foilwright/scenarios"
	"foilwright/sim/bench"
)

// Where no bare metal is at hand, the certificate of a coated piece is read on
// the tray or by key, its value set on its own film, and the verification on
// another such piece compared with that one's certificate.
func TestAdjustingOnACoatedPiece(t *testing.T) {
	e, err := scenarios.ByID("no-bare-metal")
	if err != nil {
		t.Fatal(err)
	}
	d := newDriver(t, 1280, 800)
	d.app.Exercises = []*bench.Exercise{e}
	d.app.where = map[string]paint.Rect{}
	d.app.openHome()
	d.frame()
	d.press("start-no-bare-metal")
	d.pass(100)
	d.shot("coated-job")
	for _, id := range []string{"to-bench", "wipe-tip", "coated-300"} {
		d.press(id)
	}
	d.key("k")
	d.press("card-coated-400")
	v := &d.app.sitting.view
	if got := strings.Join(v.Certificates, " "); got != "coated-300 coated-400" {
		t.Fatalf("certificates read: %q", got)
	}
	if rows := d.app.desk.rows; rows[0].name != "piece marked" || rows[1].text != "409.5 µm" {
		t.Errorf("the card says %v", rows)
	}
	d.press("foil")
	d.press("foil-value")
	d.write("291.4")
	d.press("set")
	for i := range 5 {
		d.touchAt(60+4*float64(i), 55)
	}
	d.shot("coated-adjust")
	d.press("store")
	if v.Adjustment != "one coated piece, no zero (291.4 µm)" {
		t.Errorf("the adjustment is called %q", v.Adjustment)
	}
	d.press("verify")
	d.press("coated-400")
	for i := range 3 {
		d.touchAt(60+4*float64(i), 55)
	}
	if !strings.Contains(d.app.desk.guide, "The film is 409.5, and ± 12.9 µm is in tolerance.") {
		t.Errorf("the guide says %q", d.app.desk.guide)
	}
	d.shot("coated-verify")
	d.press("good")
	if x := d.app.sitting.Bench.Record().Verifications; len(x) != 1 || x[0].MeanUm < 395 || x[0].MeanUm > 424 {
		t.Errorf("verified: %+v", x)
	}
	d.press("sample")
	d.key("k")
	if !strings.Contains(d.app.sitting.refusal, "certificate") {
		t.Errorf("K on a piece without a certificate: %q", d.app.sitting.refusal)
	}
	d.press("blade")
	d.key("m")
	d.touchAt(100, 100)
	d.key("e")
	d.pass(400)
	d.shot("coated-field")
	for _, f := range d.app.ui.Faults() {
		t.Error(f)
	}
}
