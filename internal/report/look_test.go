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
	look := func(name string, p *Report) {
		for _, w := range writers {
			if err := os.WriteFile(filepath.Join(folder, name+"."+w.name), written(t, p, w.write), 0o644); err != nil {
				t.Fatal(err)
			}
		}
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
		look(c.name, reportOf(t, c.given, attempt(t, 7, c.hands)))
	}
	look("tall", crowded(t))
}

// crowded is a report of a narrow part with many spots and findings.
func crowded(t testing.TB) *Report {
	p := frozen(t)
	p.Part.Width, p.Part.Height = 40, 600
	p.Part.Area = [4]Number{5, 20, 30, 560}
	for i := range 100 {
		q := p.Readings[5]
		q.Spot, q.X, q.Y, q.Kept = i+1, 20, Number(25+5.5*float64(i)), true
		p.Readings = append(p.Readings, q)
	}
	for len(p.Findings) < 24 {
		f := p.Findings[len(p.Findings)%6]
		f.N = len(p.Findings) + 1
		p.Findings = append(p.Findings, f)
	}
	return p
}
