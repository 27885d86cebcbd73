package screens

import (
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"foilwright/internal/say"
)

// What goes through the tables has an accent on every vowel in the language of tests. A word on the screen with a bare
// vowel is data then, from an exercise or the simulation, or it went past the tables.
func TestWhatIsShownWasLookedUp(t *testing.T) {
	data := dataWords(t)
	bare := map[string]string{}
	d := newDriver(t, 1920, 1080)
	d.speak(say.Stretched)
	accented := 0
	tour(d, func(page string) {
		for _, s := range d.list.Texts() {
			for _, w := range anyWord.FindAllString(s, -1) {
				switch {
				case strings.ContainsAny(w, "àéîöûÀÉÎÖÛ"):
					accented++
				case bareVowel.MatchString(w) && !data[strings.ToLower(w)]:
					bare[w] = page + ": " + s
				}
			}
		}
	})
	if accented < 2000 {
		t.Errorf("only %d words with accents were seen; the tour shows nothing of the language", accented)
	}
	for _, w := range slices.Sorted(maps.Keys(bare)) {
		t.Errorf("%q was not looked up, in %q", w, bare[w])
	}
}

var (
	anyWord   = regexp.MustCompile(`\p{L}{2,}`)
	bareVowel = regexp.MustCompile(`[aeiouAEIOU]`)
)

// dataWords are the words of what keeps the language of its author: exercises, what the simulation and the history of a
// trainee say, the names on keys, and where files are.
func dataWords(t *testing.T) map[string]bool {
	t.Helper()
	words := map[string]bool{}
	add := func(s string) {
		for _, w := range anyWord.FindAllString(s, -1) {
			words[strings.ToLower(w)] = true
		}
	}
	literal := regexp.MustCompile("\"(?:[^\"\\\\]|\\\\.)*\"|`[^`]*`")
	for _, root := range []string{"../../sim", "../../scenarios", "../history"} {
		err := filepath.WalkDir(root, func(name string, e fs.DirEntry, err error) error {
			if err != nil || e.IsDir() || strings.HasSuffix(name, "_test.go") {
				return err
			}
			switch filepath.Ext(name) {
			case ".go":
				content, err := os.ReadFile(name)
				if err != nil {
					return err
				}
				for _, s := range literal.FindAllString(string(content), -1) {
					add(s)
				}
			case ".yaml":
				content, err := os.ReadFile(name)
				if err != nil {
					return err
				}
				add(string(content))
			}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	add("Foilwright Esc Enter Space Shift mil " + t.TempDir() + " May")
	return words
}
