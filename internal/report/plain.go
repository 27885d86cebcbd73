package report

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"foilwright/internal/paint"
)

// plain makes one line of text from outside fit to be printed: no control or
// formatting characters (which could turn the line round or break a page), no
// broken encoding, single spaces, at most limit letters.
func plain(s string, limit int) string {
	var b strings.Builder
	n, gap := 0, false
	for _, r := range s {
		switch {
		case unicode.IsSpace(r):
			gap = n > 0
			continue
		case r == utf8.RuneError || unicode.In(r, unicode.C):
			continue
		}
		if n >= limit {
			b.WriteString("…")
			break
		}
		if gap {
			b.WriteByte(' ')
			n, gap = n+1, false
		}
		b.WriteRune(r)
		n++
	}
	return b.String()
}

// Limits of texts that come from outside.
const (
	nameLimit     = 80
	sentenceLimit = 600
	textLimit     = 4000
)

// printable replaces what the fonts cannot show.
func printable(s string) string {
	return strings.Map(func(r rune) rune {
		if r == ' ' || paint.Regular.Has(r) {
			return r
		}
		return '?'
	}, s)
}
