package web

import (
	"html/template"
	"strconv"
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
	"can":     func(v *visitor, may string) bool { return v != nil && v.Role.Can(auth.May(may)) },
	"percent": func(x float64) float64 { return 100 * x },
	// said is a judge's figure for an item, empty when there is none.
	"said": func(m map[string]int64, item string) string {
		if n, ok := m[item]; ok {
			return strconv.FormatInt(n, 10)
		}
		return ""
	},
	"join": strings.Join,
	// count writes a number with its noun, whose plural ends in s.
	"count": func(n int, noun string) string {
		if n != 1 {
			noun += "s"
		}
		return strconv.Itoa(n) + " " + noun
	},
	"short": func(s string) string { return s[:min(len(s), 10)] },
}
