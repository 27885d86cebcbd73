package probe

// sheets are the limits of each design at its Trial, rounded up to two figures (tested against Limits), so that whoever
// only looks them up need not carry the trial out.
var sheets = map[string]Limits{
	"ferrous-general":    {4.5, 1.6, 24, 71, 78, 0.58, 250, 7.5},
	"ferrous-fine":       {2.8, 0.89, 13, 43, 46, 0.52, 62.5, 1.875},
	"nonferrous-general": {2.5, 2.3, 6.6, 140, 140, 0.087, 125, 3.75},
	"ferrous-wide":       {12, 3.5, 59, 180, 200, 1, 625, 18.75},
	"nonferrous-fine":    {1.4, 1.4, 3.8, 89, 89, 0.055, 50, 1.5},
	"dual-ferrous":       {2.5, 1.1, 13, 40, 44, 0.47, 187.5, 5.625},
	"dual-nonferrous":    {4.5, 3.9, 13, 260, 260, 0.13, 150, 4.5},
}

// Sheet is what the data sheet of a design states: its limits at Trial, rounded up; zero for a design not built in.
func (d Design) Sheet() Limits { return sheets[d.ID] }
