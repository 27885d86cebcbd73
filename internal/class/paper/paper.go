// Package paper sets the class server's sheets on A4: the debrief of a class
// and the training record of a candidate. The report of a single attempt is
// internal/report's.
package paper

import (
	"io"
	"strconv"
	"strings"
	"time"
	"unicode"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gomedium"
	"golang.org/x/image/font/gofont/goregular"
)

// Measures of a page, in millimetres.
const (
	margin = 16.0
	width  = 210 - 2*margin
	bottom = 20.0
)

// caution stands at the foot of every page.
const caution = "Training on a simulated bench. This sheet certifies nobody and replaces no certification scheme, instrument maker's instruction, contract or local code."

// Paper is a sheet being written, from the top down.
type Paper struct{ f *fpdf.Fpdf }

// New begins a sheet.
func New(title, of string, made time.Time) *Paper {
	f := fpdf.New("P", "mm", "A4", "")
	f.SetCatalogSort(true)
	f.SetLang("en")
	f.SetTitle(plain(title+": "+of), true)
	f.SetCreator("Foilwright", true)
	f.SetCreationDate(made)
	f.SetModificationDate(made)
	f.AddUTF8FontFromBytes("go", "", goregular.TTF)
	f.AddUTF8FontFromBytes("go", "B", gomedium.TTF)
	f.SetMargins(margin, margin, margin)
	f.SetAutoPageBreak(true, bottom)
	f.SetFooterFunc(func() {
		f.SetY(-bottom + 4)
		f.SetFont("go", "", 7)
		f.SetTextColor(76, 84, 98)
		f.MultiCell(width, 3.4, caution+" Made "+made.Format("2006-01-02 15:04")+", page "+strconv.Itoa(f.PageNo())+".", "", "L", false)
	})
	f.AddPage()
	p := &Paper{f}
	p.ink("B", 18)
	f.MultiCell(width, 8, plain(title), "", "L", false)
	p.ink("", 12)
	f.MultiCell(width, 6, plain(of), "", "L", false)
	f.Line(margin, f.GetY()+2, margin+width, f.GetY()+2)
	f.Ln(5)
	return p
}

func (p *Paper) ink(style string, size float64) {
	p.f.SetFont("go", style, size)
	p.f.SetTextColor(27, 35, 48)
}

// plain takes out what a font has no sign for.
func plain(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\t':
			return ' '
		case !unicode.IsPrint(r) || r > 0xffff:
			return -1
		}
		return r
	}, s)
}

// Heading begins a part.
func (p *Paper) Heading(s string) {
	p.f.Ln(4)
	if p.f.GetY() > 297-bottom-25 {
		p.f.AddPage() // no heading alone at the foot
	}
	p.ink("B", 12)
	p.f.MultiCell(width, 6, plain(s), "B", "L", false)
	p.f.Ln(1.5)
}

// Text writes a paragraph.
func (p *Paper) Text(s string) {
	p.ink("", 9.5)
	p.f.MultiCell(width, 4.8, plain(s), "", "L", false)
	p.f.Ln(1)
}

// Item writes one of a list.
func (p *Paper) Item(s string) {
	p.ink("", 9.5)
	p.f.CellFormat(5, 4.8, "–", "", 0, "L", false, 0, "")
	p.f.MultiCell(width-5, 4.8, plain(s), "", "L", false)
	p.f.Ln(0.8)
}

// Facts writes names and values.
func (p *Paper) Facts(rows [][2]string) {
	for _, row := range rows {
		p.ink("", 9.5)
		p.f.SetTextColor(76, 84, 98)
		p.f.CellFormat(60, 5.4, plain(row[0]), "", 0, "L", false, 0, "")
		p.ink("", 9.5)
		value := plain(row[1])
		if value == "" {
			value = "–"
		}
		p.f.MultiCell(width-60, 5.4, value, "", "L", false)
	}
}

// Table writes ruled rows; shares are the widths of the columns, adding up to 1.
func (p *Paper) Table(head []string, shares []float64, rows [][]string) {
	if len(rows) == 0 {
		return
	}
	p.row(head, shares, "B")
	for _, r := range rows {
		p.row(r, shares, "")
	}
	p.f.Ln(2)
}

const lineH = 4.2

func (p *Paper) row(cells []string, shares []float64, style string) {
	p.ink(style, 8.5)
	lines := 1
	text := make([][]string, len(cells))
	for i, c := range cells {
		text[i] = p.f.SplitText(plain(c), shares[i]*width-3)
		lines = max(lines, len(text[i]))
	}
	h := float64(lines)*lineH + 2
	if p.f.GetY()+h > 297-bottom {
		p.f.AddPage()
		p.ink(style, 8.5)
	}
	y, x := p.f.GetY(), margin
	for i := range cells {
		for n, l := range text[i] {
			p.f.Text(x+1, y+float64(n)*lineH+4, l)
		}
		x += shares[i] * width
	}
	p.f.SetDrawColor(160, 160, 155)
	p.f.Line(margin, y+h, margin+width, y+h)
	p.f.SetDrawColor(27, 35, 48)
	p.f.SetY(y + h)
}

// Write ends the sheet and writes it out.
func (p *Paper) Write(w io.Writer) error { return p.f.Output(w) }
