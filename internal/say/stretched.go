package say

import (
	"regexp"
	"strings"
)

// Stretched is the code of a language for tests only: English with accents on every vowel, a third longer, as other
// languages are. It shows what has no room for longer words, and what is drawn without having been looked up: there
// the vowels are bare.
const Stretched = "stretched"

type stretched struct{}

func (stretched) of(english Text) string { return stretch(string(english)) }

func (stretched) ofMany(n int, one, many Text) string {
	if n == 1 {
		return stretch(string(one))
	}
	return stretch(string(many))
}

var (
	accents = strings.NewReplacer(
		"a", "à", "e", "é", "i", "î", "o", "ö", "u", "û", "A", "À", "E", "É", "I", "Î", "O", "Ö", "U", "Û")
	placeholder = regexp.MustCompile(`%(\[\d+\])?[-+ #0]*[\d.*]*(\[\d+\])?[a-zA-Z%]`)
	vowel       = regexp.MustCompile(`[àéîöûÀÉÎÖÛ]`)
)

// longer is by how much stretched texts are longer.
const longer = 0.35

// stretch puts accents on the vowels between placeholders and doubles as many of them as make the text longer by the
// share wanted.
func stretch(s string) string {
	var out strings.Builder
	due := 0.0
	words := func(part string) {
		due += longer * float64(len([]rune(part)))
		out.WriteString(vowel.ReplaceAllStringFunc(accents.Replace(part), func(v string) string {
			n := 1
			if due >= 1 {
				n = 2
				due--
			}
			return strings.Repeat(v, n)
		}))
	}
	at := 0
	for _, place := range placeholder.FindAllStringIndex(s, -1) {
		words(s[at:place[0]])
		out.WriteString(s[place[0]:place[1]])
		at = place[1]
	}
	words(s[at:])
	if rest := int(due + 0.5); rest > 0 && vowel.MatchString(out.String()) {
		t := out.String()
		last := vowel.FindAllStringIndex(t, -1)
		end := last[len(last)-1][1]
		return t[:end] + strings.Repeat(t[last[len(last)-1][0]:end], rest) + t[end:]
	}
	return out.String()
}
