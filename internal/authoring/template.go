package authoring

import (
	"fmt"
	"regexp"

	"foilwright/scenarios"
)

// New returns the text of a shipped exercise, comments included, with an id
// and a title of its own, to be changed into a new exercise. It names the
// shelves that must lie beside it.
func New(template, id, title string) (text []byte, shelves map[string][]byte, err error) {
	text, shelves, err = scenarios.ShippedText(template)
	if err != nil {
		return nil, nil, err
	}
	for _, field := range []struct{ name, value string }{{"id", id}, {"title", fmt.Sprintf("%q", title)}} {
		line := regexp.MustCompile(`(?m)^` + field.name + `: .*$`)
		text = line.ReplaceAllLiteral(text, []byte(field.name+": "+field.value))
	}
	if _, err := scenarios.LoadText("new.yaml", text, shelves); err != nil {
		return nil, nil, fmt.Errorf("the id %q or the title %q cannot be used: %w", id, title, err)
	}
	return text, shelves, nil
}
