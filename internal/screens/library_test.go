package screens

import (
	"errors"
	"strings"
	"testing"

	"foilwright/internal/widgets"
	"foilwright/sim/bench"
)

// offeredTitles are the exercises home shows.
func (d *driver) offeredTitles() string {
	var t []string
	for _, g := range d.app.home.groups {
		for _, e := range g.list {
			t = append(t, e.Title)
		}
	}
	return strings.Join(t, "|")
}

func TestHomeTakesUpChangedFiles(t *testing.T) {
	d := newDriver(t, 1280, 800)
	var list []*bench.Exercise
	var fault error
	d.app.Fresh = func() ([]*bench.Exercise, error) {
		l, f := list, fault
		list, fault = nil, nil
		return l, f
	}
	own := *first(t)
	own.Title = "Changed on disk"
	list = []*bench.Exercise{&own}
	d.pass(1100)
	if got := d.offeredTitles(); got != "Changed on disk" {
		t.Errorf("home offers %q", got)
	}
	fault = errors.New("own.yaml:3: title: the field is missing")
	d.pass(1100)
	if d.app.fault != "own.yaml:3: title: the field is missing" || d.offeredTitles() != "Changed on disk" {
		t.Errorf("fault %q, home offers %q", d.app.fault, d.offeredTitles())
	}
}

func TestAPackDroppedOnTheWindow(t *testing.T) {
	d := newDriver(t, 1280, 800)
	drop := func(name string) {
		in := widgets.Input{W: d.w, H: d.h, Scale: 1, NowMs: d.now, Dropped: []widgets.DroppedFile{{Name: name, Data: []byte("zip")}}}
		d.app.Frame(in, &d.list)
		d.frame()
	}
	drop("yard.zip")
	if !strings.Contains(d.app.fault, "yard.zip cannot be taken here") {
		t.Errorf("where no packs can be added: %q", d.app.fault)
	}
	d.app.fault = ""
	own := *first(t)
	own.ID, own.Title = "own", "Of the pack"
	d.app.AddPack = func(name string, data []byte) ([]*bench.Exercise, error) {
		if name == "bad.zip" {
			return nil, errors.New("bad.zip: this is no zip file")
		}
		return append(d.app.Exercises, &own), nil
	}
	drop("bad.zip")
	if d.app.fault != "bad.zip: this is no zip file" || strings.Contains(d.offeredTitles(), "Of the pack") {
		t.Errorf("fault %q, home offers %q", d.app.fault, d.offeredTitles())
	}
	drop("yard.zip")
	if !strings.Contains(d.offeredTitles(), "Of the pack") {
		t.Errorf("home offers %q", d.offeredTitles())
	}
}
