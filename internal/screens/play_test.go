package screens

import (
	"testing"
)

func TestLook(t *testing.T) {
	d := newDriver(t, 1280, 800)
	d.pass(100)
	d.shot("home")
	d.key("1")
	d.pass(100)
	d.shot("job")
	d.key("Enter")
	d.pass(100)
	d.shot("bench0")
	d.key("2")
	d.key("z")
	d.hold("Space", 1300)
	d.pass(400)
	d.shot("bench1")
	d.key("1")
	d.key("m")
	d.move(500, 200)
	d.pass(500)
	d.shot("bench2")
	d.add2()
	for _, f := range d.app.ui.Faults() {
		t.Log(f)
	}
}

func (d *driver) add2() {
	d.pointer(1)
	d.pass(1100)
	d.shot("bench3")
	d.pointer(2)
	d.pass(800)
	d.key("r")
	d.shot("report")
	d.key("Escape")
	d.key("F1")
	d.shot("help")
	d.key("Escape")
	d.key("Escape")
	d.shot("home2")
	d.key("o")
	d.shot("settings")
	d.key("Escape")
	d.key("i")
	d.shot("about")
}
