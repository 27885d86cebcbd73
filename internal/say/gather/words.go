package gather

import (
	"regexp"
	"strings"
	"unicode"
)

var (
	verb = regexp.MustCompile(`%(\[\d+\])?[-+ #0]*[\d.*]*(\[\d+\])?[a-zA-Z%]`)
	word = regexp.MustCompile(`\p{L}{2,}`)
)

// Verbs lists the placeholders of a text.
func Verbs(s string) []string { return verb.FindAllString(s, -1) }

// notWords are strings that no language changes: the program's name, keys by the names on them, units, and forms of
// dates.
var notWords = func() map[string]bool {
	m := map[string]bool{"2 Jan 2006, 15:04": true, "10 mm": true}
	for _, s := range strings.Fields(`Foilwright Tab Enter Escape Esc Space Backspace Delete Insert Home End PageUp PageDown
		ArrowLeft ArrowRight ArrowUp ArrowDown Shift F1 µm mil mm foilwright`) {
		m[s] = true
	}
	return m
}()

// forShow are the names that parameters have whose strings are drawn.
var forShow = func() map[string]bool {
	m := map[string]bool{}
	for _, s := range strings.Fields("label labels title text s question yes no caption placeholder total why tip word note cells") {
		m[s] = true
	}
	return m
}()

// words lists the words of a string beside its placeholders, units left out.
func words(s string) []string {
	var list []string
	for _, w := range word.FindAllString(verb.ReplaceAllString(s, ""), -1) {
		if !notWords[w] {
			list = append(list, w)
		}
	}
	return list
}

func hasWord(s string) bool { return len(words(s)) > 0 }

// reads reports whether a string reads like a sentence or label and not like an id: it has words, and spaces between
// them or a capital at its beginning.
func reads(s string) bool {
	if !hasWord(s) || strings.HasPrefix(s, "2006") {
		return false
	}
	if strings.Contains(strings.TrimSpace(verb.ReplaceAllString(s, "")), " ") {
		return true
	}
	first := []rune(strings.TrimLeft(s, " ;,.:"))
	return strings.HasPrefix(s, " ") || len(first) > 0 && unicode.IsUpper(first[0])
}
