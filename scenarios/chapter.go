package scenarios

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
	{"shape", "Curves and thin metal", "pipes, balls, bends, sheets: adjust on what you will measure"},
	{"surface", "Blasted and rough", "profile, allowance, scatter"},
	{"metal", "Metals and principles", "which principle sees what: steel, aluminium, stainless, zinc under paint"},
	{"rules", "Plans, rules, decisions", "how many, where, and what the figures then say"},
	{"trouble", "Trouble", "what is wrong on the bench before you touch the part"},
	{"assessment", "Assessment", "alone, against the clock, without hints"},
}

// Chapters lists the parts of the path in their order.
func Chapters() []Chapter { return append([]Chapter(nil), chapters...) }

func chapterIDs() []string {
	ids := make([]string, len(chapters))
	for i, c := range chapters {
		ids[i] = c.ID
	}
	return ids
}
