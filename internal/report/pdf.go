package report

import (
	"io"
	"strconv"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gomedium"
	"golang.org/x/image/font/gofont/goregular"

	"foilwright/internal/paint"
)

// Sizes of a page in points.
const (
	pageW, pageH = 595.28, 841.89
	marginX      = 42.0
	pageTop      = 40.0
	pageBottom   = pageH - 52
	textW        = pageW - 2*marginX
)

// Lettering of pages, in points.
var (
	headFont    = paint.Font{Face: paint.Medium, Size: 17}
	sectionFont = paint.Font{Face: paint.Medium, Size: 11.5}
	itemFont    = paint.Font{Face: paint.Medium, Size: 9.8}
	bigFont     = paint.Font{Face: paint.Medium, Size: 12}
	bodyFont    = paint.Font{Face: paint.Regular, Size: 9.2}
	noteFont    = paint.Font{Face: paint.Regular, Size: 8.2}
	tableFont   = paint.Font{Face: paint.Regular, Size: 8}
	tableHead   = paint.Font{Face: paint.Medium, Size: 7.6}
	captionFont = paint.Font{Face: paint.Regular, Size: 7.4}
)

// PDF writes the report as PDF on A4. The same report gives the same bytes.
func (p *Report) PDF(w io.Writer) error { return p.pdf(w, true) }

func (p *Report) pdf(w io.Writer, compress bool) error {
	f := fpdf.New("P", "pt", "A4", "")
	f.SetCompression(compress)
	f.SetCatalogSort(true)
	f.SetLang("en")
	f.SetTitle(printable(pageTitle+": "+p.Header.Title), true)
	f.SetCreator("Foilwright", true)
	f.SetProducer("Foilwright", true)
	f.SetCreationDate(p.day())
	f.SetModificationDate(p.day())
	f.SetMargins(marginX, pageTop, marginX)
	f.SetAutoPageBreak(false, 0)
	f.SetCellMargin(0)
	f.AddUTF8FontFromBytes("go", "", goregular.TTF)
	f.AddUTF8FontFromBytes("go", "B", gomedium.TTF)
	s := &setter{f: f}
	s.page()
	s.heading()
	for _, section := range p.sections() {
		s.section(section)
	}
	s.feet(p)
	return f.Output(w)
}

// day is the date of the report for the file's own notes, which must hold one:
// the first day there is where the report gives none.
func (p *Report) day() time.Time {
	day, err := time.Parse(time.DateOnly, p.Header.Date)
	if err != nil {
		return time.Unix(0, 0).UTC()
	}
	return day
}

// setter sets blocks in type, page by page. y is where the next block goes.
type setter struct {
	f *fpdf.Fpdf
	y float64
}

func (s *setter) page() {
	s.f.AddPage()
	s.y = pageTop
}

// room starts a new page unless h points are left.
func (s *setter) room(h float64) {
	if s.y+h > pageBottom && s.y > pageTop {
		s.page()
	}
}

func (s *setter) font(f paint.Font) {
	style := ""
	if f.Face != paint.Regular {
		style = "B"
	}
	s.f.SetFont("go", style, f.Size)
}

// write writes a line with its baseline at y.
func (s *setter) write(x, y float64, text string, f paint.Font, c paint.Color, a paint.Align) {
	text = printable(text)
	switch a {
	case paint.Center:
		x -= f.Width(text) / 2
	case paint.Right:
		x -= f.Width(text)
	}
	s.font(f)
	s.f.SetTextColor(int(c.R), int(c.G), int(c.B))
	s.f.Text(x, y, text)
}

// wrap splits text into lines.
func wrap(text string, f paint.Font, w float64) []string {
	text = printable(text)
	var lines []string
	for text != "" {
		var line string
		line, text = f.NextLine(text, w)
		lines = append(lines, line)
	}
	return lines
}

// block writes wrapped text from y down and returns its height.
func (s *setter) block(x, y, w float64, text string, f paint.Font, c paint.Color) float64 {
	lines := wrap(text, f, w)
	for i, l := range lines {
		s.write(x, y+f.Size+float64(i)*f.LineHeight(), l, f, c, paint.Left)
	}
	return float64(len(lines)) * f.LineHeight()
}

func (s *setter) line(x0, y0, x1, y1, width float64, c paint.Color) {
	s.f.SetDrawColor(int(c.R), int(c.G), int(c.B))
	s.f.SetLineWidth(width)
	s.f.Line(x0, y0, x1, y1)
}

func (s *setter) fill(x, y, w, h float64, c paint.Color) {
	s.f.SetFillColor(int(c.R), int(c.G), int(c.B))
	s.f.Rect(x, y, w, h, "F")
}

func (s *setter) frame(x, y, w, h, width float64, c paint.Color) {
	s.f.SetDrawColor(int(c.R), int(c.G), int(c.B))
	s.f.SetLineWidth(width)
	s.f.Rect(x, y, w, h, "D")
}

func (s *setter) heading() {
	s.write(marginX, s.y+15, pageTitle, headFont, light.Ink, paint.Left)
	s.write(marginX+textW, s.y+15, "Foilwright bench", bodyFont, light.InkSoft, paint.Right)
	s.line(marginX, s.y+22, marginX+textW, s.y+22, 1.2, light.Ink)
	s.y += 30
}

// feet frames every page and writes its foot, once their number is known.
func (s *setter) feet(p *Report) {
	n := s.f.PageCount()
	for i := 1; i <= n; i++ {
		s.f.SetPage(i)
		s.f.SetDashPattern(nil, 0)
		s.f.SetFont("go", "", 1) // so that the next font is written into this page too
		s.frame(24, 22, pageW-48, pageH-46, 1, light.Ink)
		y := pageH - 44.0
		s.line(24, y, pageW-24, y, 0.8, light.Ink)
		left := p.Header.Title
		if p.Header.Trainee != "" {
			left += " · " + p.Header.Trainee
		}
		foot := paint.Font{Face: paint.Regular, Size: 6.9}
		of := "page " + strconv.Itoa(i) + " of " + strconv.Itoa(n)
		s.write(pageW-32, y+8.5, of, foot, light.InkSoft, paint.Right)
		s.write(32, y+8.5, clip(left+" · log "+orBlank(short(p.Header.LogDigest)), foot, pageW-64-foot.Width(of)-20), foot, light.InkSoft, paint.Left)
		s.write(32, y+16.5, aidNote, foot, light.InkSoft, paint.Left)
	}
}

func (s *setter) section(x section) {
	if x.title != "" {
		need := s.least(x.blocks[0])
		if _, last := x.blocks[len(x.blocks)-1].(signatures); last {
			// Nobody signs a page that says nothing.
			need = 0
			for _, b := range x.blocks {
				need += s.least(b)
			}
		}
		s.room(26 + need)
		s.f.SetFont("go", "B", sectionFont.Size)
		s.f.Bookmark(x.title, 0, s.y)
		s.write(marginX, s.y+12, x.title, sectionFont, light.Ink, paint.Left)
		s.line(marginX, s.y+16, marginX+textW, s.y+16, 0.8, light.Ink)
		s.y += 22
	}
	for _, b := range x.blocks {
		s.put(b)
	}
	s.y += 10
}

// least is the height that must be left for a block to begin.
func (s *setter) least(b block) float64 {
	switch b := b.(type) {
	case picture:
		return b.drawing.h*drawingScale + 4
	case item:
		return itemHeight(b)
	case cells:
		return cellsHeight(b)
	case table:
		if h := b.whole(); h < 170 {
			return h // small enough to be kept together
		}
	case para:
		f := b.font()
		return float64(len(wrap(b.text, f, textW)))*f.LineHeight() + 4
	case signatures:
		return 70
	}
	return 46
}

func (s *setter) put(b block) {
	switch b := b.(type) {
	case cells:
		s.room(cellsHeight(b))
		s.cells(b)
	case para:
		s.para(b)
	case table:
		s.room(s.least(b))
		s.table(b)
	case item:
		s.room(itemHeight(b))
		s.item(b)
	case picture:
		s.room(s.least(b))
		s.drawing(b.drawing)
	case signatures:
		s.room(70)
		s.sign(b)
	}
}
