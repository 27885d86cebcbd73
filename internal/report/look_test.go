package report

import (
	"os"
	"path/filepath"
	"testing"
)

// With FOILWRIGHT_LOOK set to a folder the reports are left there to be looked at.
func TestLook(t *testing.T) {
	folder := os.Getenv("FOILWRIGHT_LOOK")
	if folder == "" {
		t.Skip("FOILWRIGHT_LOOK names no folder")
	}
	for _, c := range []struct {
		name  string
		given Given
		hands hands
	}{
		{"good", given, hands{}},
		{"poor", given, poor},
		{"unreported", Given{Program: "dev"}, hands{stop: "verify"}},
		{"empty", Given{}, hands{stop: "start"}},
	} {
		p := reportOf(t, c.given, attempt(t, 7, c.hands))
		for _, w := range writers {
			file, err := os.Create(filepath.Join(folder, c.name+"."+w.name))
			if err != nil {
				t.Fatal(err)
			}
			if err := w.write(p, file); err != nil {
				t.Fatal(err)
			}
			file.Close()
		}
	}
}
