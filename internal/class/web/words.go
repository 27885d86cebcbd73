package web

import (
	"html/template"
	"strings"
	"time"

	"foilwright/internal/class/auth"
)

// words are what templates may call.
var words = template.FuncMap{
	"when": func(ms int64) string {
		if ms == 0 {
			return "–"
		}
		return time.UnixMilli(ms).Format("2006-01-02 15:04")
	},
	"can":   func(v *visitor, may string) bool { return v != nil && v.Role.Can(auth.May(may)) },
	"join":  strings.Join,
	"short": func(s string) string { return s[:min(len(s), 10)] },
}
