package gather

import (
	"fmt"
	"strings"
)

// TemplateFile is the template in the repository.
const TemplateFile = "internal/say/text/bench.pot"

const head = `# What the bench says, to be put into other languages. Made from the code by go generate ./internal/say; not edited.
#
# Copy it to LANGUAGE.po, fill in every msgstr and add the language to Languages in internal/say. Placeholders (%s, %d,
# %.1f) stay as they are; where the order must change, number all of them: %[2]s. Spaces at the ends are kept.
msgid ""
msgstr ""
"Content-Type: text/plain; charset=UTF-8\n"
"Plural-Forms: nplurals=2; plural=(n != 1);\n"
`

// Template writes the entries as a gettext template.
func Template(entries []Entry) string {
	var out strings.Builder
	out.WriteString(head)
	for _, e := range entries {
		out.WriteString("\n")
		for _, f := range e.Files {
			fmt.Fprintf(&out, "#: %s\n", f)
		}
		fmt.Fprintf(&out, "msgid %s\n", quoted(e.One))
		if e.Many == "" {
			out.WriteString("msgstr \"\"\n")
			continue
		}
		fmt.Fprintf(&out, "msgid_plural %s\nmsgstr[0] \"\"\nmsgstr[1] \"\"\n", quoted(e.Many))
	}
	return out.String()
}

var escapes = strings.NewReplacer(`\`, `\\`, `"`, `\"`, "\n", `\n`, "\t", `\t`)

func quoted(s string) string { return `"` + escapes.Replace(s) + `"` }
