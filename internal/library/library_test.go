package library_test

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"foilwright/internal/authoring"
	"foilwright/internal/library"
	"foilwright/internal/store"
	"foilwright/scenarios"
	"foilwright/sim/bench"
)

func titles(list []*bench.Exercise) string {
	var t []string
	for _, e := range list {
		t = append(t, e.Title)
	}
	return strings.Join(t, "|")
}

func write(t *testing.T, file, id, title string) {
	t.Helper()
	text, shelves, err := authoring.New("painted-panel", id, title)
	if err != nil {
		t.Fatal(err)
	}
	shelves[filepath.Base(file)] = text
	for name, data := range shelves {
		at := filepath.Join(filepath.Dir(file), name)
		if err := errors.Join(os.MkdirAll(filepath.Dir(at), 0o755), os.WriteFile(at, data, 0o644)); err != nil {
			t.Fatal(err)
		}
	}
}

// An author saves the file; the bench shows the new text, and keeps the old
// one while the file has a fault.
func TestFilesAreReadAnewWhenTheyChange(t *testing.T) {
	st, err := store.Open(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	folder := t.TempDir()
	file := filepath.Join(folder, "own.yaml")
	write(t, file, "own", "First words")
	l, err := library.Open(st, []string{file})
	if err != nil {
		t.Fatal(err)
	}
	if got := titles(l.Exercises()); !strings.HasPrefix(got, "First words|") {
		t.Fatalf("on offer: %s", got)
	}
	if changed, err := l.Fresh(); changed || err != nil {
		t.Errorf("nothing changed: %v, %v", changed, err)
	}
	write(t, file, "own", "Second and longer words")
	if changed, err := l.Fresh(); !changed || err != nil || !strings.HasPrefix(titles(l.Exercises()), "Second and longer words|") {
		t.Errorf("%v, %v, on offer: %s", changed, err, titles(l.Exercises()))
	}
	if err := os.WriteFile(file, []byte("format: foilwright-exercise\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	if changed, err := l.Fresh(); changed || err == nil || !strings.Contains(err.Error(), "own.yaml:1: title: the field is missing") {
		t.Errorf("a fault: %v, %v", changed, err)
	}
	if changed, err := l.Fresh(); changed || err != nil {
		t.Errorf("the same fault is told twice: %v, %v", changed, err)
	}
	if got := titles(l.Exercises()); !strings.HasPrefix(got, "Second and longer words|") {
		t.Errorf("a fault took the exercise away: %s", got)
	}
}

func TestPacksAreKept(t *testing.T) {
	data := t.TempDir()
	st, err := store.Open(data)
	if err != nil {
		t.Fatal(err)
	}
	l, err := library.Open(st, nil)
	if err != nil {
		t.Fatal(err)
	}
	shipped := len(l.Exercises())
	folder := t.TempDir()
	write(t, filepath.Join(folder, "own.yaml"), "own", "Of a pack")
	zip, _, err := scenarios.MakePack(os.DirFS(folder), "p", "p", "Pack", "Me")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := l.AddPack("bad.zip", zip[:40]); err == nil || len(l.Exercises()) != shipped {
		t.Errorf("a damaged pack: %v", err)
	}
	if p, err := l.AddPack("p.zip", zip); err != nil || p.Title != "Pack" || len(l.Exercises()) != shipped+1 {
		t.Fatalf("%v, on offer: %s", err, titles(l.Exercises()))
	}
	again, err := library.Open(st, nil)
	if err != nil || len(again.Exercises()) != shipped+1 {
		t.Errorf("after a restart: %v, %s", err, titles(again.Exercises()))
	}
	// A kept pack that was damaged on disk is told of and left out.
	packs, err := filepath.Glob(filepath.Join(data, "packs", "*"))
	if err != nil || len(packs) != 1 {
		t.Fatalf("%v %v", packs, err)
	}
	if err := os.WriteFile(packs[0], []byte("rot"), 0o644); err != nil {
		t.Fatal(err)
	}
	rotten, err := library.Open(st, nil)
	if rotten == nil || err == nil || len(rotten.Exercises()) != shipped {
		t.Errorf("a rotten pack: %v", err)
	}
}

func TestNamesThatLeadNowhere(t *testing.T) {
	st, err := store.Open(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	empty := t.TempDir()
	for name, want := range map[string]string{filepath.Join(empty, "none.yaml"): "no such file", empty: "there is no exercise here"} {
		if _, err := library.Open(st, []string{name}); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
