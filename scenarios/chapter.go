package scenarios

import (
	"slices"

	"foilwright/sim/bench"
)

// Chapter is a part of the path of exercises, from first touch to assessment.
type Chapter struct {
	ID    string // key in exercise files
	Title string
	What  string // what it trains, one line
}

var chapters = []Chapter{
	{"first-touch", "First touch", "one flat part, the whole job once"},
	{"adjustment", "Zero and foils", "bring the instrument to the metal, and prove that it is there"},
	{"hand", "Hand and place", "square, still, lifted clear, away from edges and features"},
	{"metal", "Metals and principles", "which principle sees what: steel, aluminium, stainless, zinc under paint"},
	{"shape", "Curves and thin metal", "pipes, balls, bends, sheets: adjust on what you will measure"},
	{"surface", "Blasted and rough", "profile, allowance, scatter"},
	{"rules", "Plans, rules, decisions", "how many, where, and what the figures then say"},
	{"trouble", "Trouble", "what is wrong on the bench before you touch the part"},
	{"assessment", "Assessment", "alone, without hints and without the view of the field"},
}

// Chapters lists the parts of the path in their order.
func Chapters() []Chapter { return append([]Chapter(nil), chapters...) }

// InOrder returns exercises so that none stands before one that it is best done
// after, as far as both are in the list; otherwise they keep their order.
func InOrder(list []*bench.Exercise) []*bench.Exercise {
	left := slices.Clone(list)
	ordered := make([]*bench.Exercise, 0, len(list))
	for len(left) > 0 {
		next := slices.IndexFunc(left, func(e *bench.Exercise) bool {
			return !slices.ContainsFunc(left, func(o *bench.Exercise) bool { return o != e && slices.Contains(e.Prerequisites, o.ID) })
		})
		next = max(next, 0) // each waits for another: keep the order
		ordered = append(ordered, left[next])
		left = slices.Delete(left, next, next+1)
	}
	return ordered
}

func chapterIDs() []string {
	ids := make([]string, len(chapters))
	for i, c := range chapters {
		ids[i] = c.ID
	}
	return ids
}
