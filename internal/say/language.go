package say

import (
	"embed"
	"fmt"
	"path"
	"strings"

	"github.com/leonelquinteros/gotext"
)

//go:embed text
var tables embed.FS

// Language is one the bench can speak.
type Language struct {
	Code string // ISO 639-1
	Name string // in itself
}

// Languages lists what can be chosen. English comes first: it is in the code and needs no table.
func Languages() []Language {
	return []Language{{"en", "English"}}
}

// Speak chooses the language of all that is said from now on, by its code; "" is English. Stretched is the language of
// tests.
func Speak(code string) error {
	var t tongue
	switch code {
	case "", "en":
		spoken.Store(nil)
		return nil
	case Stretched:
		t = stretched{}
	default:
		content, err := tables.ReadFile(path.Join("text", code+".po"))
		if err != nil {
			return fmt.Errorf("there is no table for the language %q; there are %s", code, strings.Join(codes(), ", "))
		}
		t = newTable(content)
	}
	spoken.Store(&t)
	return nil
}

func codes() []string {
	var list []string
	for _, l := range Languages() {
		list = append(list, l.Code)
	}
	return list
}

// table is a language read from its file.
type table struct {
	texts map[string]*gotext.Translation
	po    *gotext.Domain
}

func newTable(content []byte) *table {
	po := gotext.NewPo()
	po.Parse(content)
	d := po.GetDomain()
	return &table{texts: d.GetTranslations(), po: d}
}

// of falls back to English where the table has nothing; a test sees to it that no table is shipped so.
func (t *table) of(english Text) string {
	if x := t.texts[string(english)]; x != nil && x.IsTranslated() {
		return x.Get()
	}
	return string(english)
}

func (t *table) ofMany(n int, one, many Text) string { return t.po.GetN(string(one), string(many), n) }

// Table is all that a language's file holds: for each English text its forms, one unless a number decides.
func Table(code string) (map[string][]string, error) {
	content, err := tables.ReadFile(path.Join("text", code+".po"))
	if err != nil {
		return nil, err
	}
	forms := map[string][]string{}
	for id, x := range newTable(content).texts {
		if id == "" {
			continue // the head
		}
		for i := range len(x.Trs) {
			forms[id] = append(forms[id], x.Trs[i])
		}
	}
	return forms, nil
}
