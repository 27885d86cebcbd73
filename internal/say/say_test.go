package say

import (
	"strings"
	"testing"
	"unicode/utf8"
)

func TestEnglish(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{T("Leave"), "Leave"},
		{T("signal 100 %"), "signal 100 %"},
		{T("%d of %d", 2, 3), "2 of 3"},
		{T(""), ""},
		{N(0, "%d reading", "%d readings"), "0 readings"},
		{N(1, "%d reading", "%d readings"), "1 reading"},
		{N(2, "%d reading of %s", "%d readings of %s", 2, "three"), "2 readings of three"},
	} {
		if c.got != c.want {
			t.Errorf("got %q, want %q", c.got, c.want)
		}
	}
}

func TestStretched(t *testing.T) {
	if err := Speak(Stretched); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = Speak("") })
	if got := T("%s taken, 95 %%", "4 readings"); !strings.HasPrefix(got, "4 readings t\u00e0") || !strings.HasSuffix(got, "95 %") {
		t.Errorf("placeholders are not kept: %q", got)
	}
	for _, s := range []Text{"Lay the foil on the piece, or take it away", "Job sheet", "measured area: %d"} {
		long := T(s)
		if grown := float64(utf8.RuneCountInString(long))/float64(utf8.RuneCountInString(string(s))) - 1; grown < 0.25 || grown > 0.5 {
			t.Errorf("%q is longer by %.0f %%, want about 35", s, 100*grown)
		}
		if strings.ContainsAny(strings.ReplaceAll(long, "%d", ""), "aeiou") {
			t.Errorf("%q has bare vowels", long)
		}
	}
	if got := N(1, "%d reading", "%d readings"); !strings.HasPrefix(got, "1 r") {
		t.Errorf("got %q", got)
	}
}

func TestAnUnknownLanguageIsRefused(t *testing.T) {
	err := Speak("xx")
	if err == nil || !strings.Contains(err.Error(), `"xx"`) || !strings.Contains(err.Error(), "en") {
		t.Errorf("got %v", err)
	}
	if got := T("Leave"); got != "Leave" {
		t.Errorf("a language that failed changed the words: %q", got)
	}
}

// A language read from a table: plurals by its own rule, English where it has nothing.
func TestTable(t *testing.T) {
	po := newTable([]byte(`msgid ""
msgstr ""
"Plural-Forms: nplurals=3; plural=(n==1 ? 0 : n<5 ? 1 : 2);\n"

msgid "Leave"
msgstr "Weg"

msgid "%d reading"
msgid_plural "%d readings"
msgstr[0] "%d eins"
msgstr[1] "%d wenige"
msgstr[2] "%d viele"

msgid "Stay"
msgstr ""
`))
	for _, c := range []struct{ got, want string }{
		{po.of("Leave"), "Weg"}, {po.of("Stay"), "Stay"}, {po.of("Nowhere"), "Nowhere"},
		{po.ofMany(1, "%d reading", "%d readings"), "%d eins"},
		{po.ofMany(3, "%d reading", "%d readings"), "%d wenige"},
		{po.ofMany(9, "%d reading", "%d readings"), "%d viele"},
		{po.ofMany(2, "one", "many"), "many"},
	} {
		if c.got != c.want {
			t.Errorf("got %q, want %q", c.got, c.want)
		}
	}
}
