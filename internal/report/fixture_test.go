package report

import (
	"os"
	"testing"
)

// With FOILWRIGHT_FREEZE set the attempt of the golden pages is played anew.
func TestFreeze(t *testing.T) {
	if os.Getenv("FOILWRIGHT_FREEZE") == "" {
		t.Skip("FOILWRIGHT_FREEZE is not set")
	}
	p := reportOf(t, given, attempt(t, 7, poor))
	var film [][]Number
	for j := 0; j < len(p.Part.Film); j += 5 {
		var row []Number
		for i := 0; i < len(p.Part.Film[j]); i += 5 {
			row = append(row, p.Part.Film[j][i])
		}
		film = append(film, row)
	}
	p.Part.Film = film
	if err := os.WriteFile("testdata/attempt.json", written(t, p, (*Report).JSON), 0o644); err != nil {
		t.Fatal(err)
	}
}
