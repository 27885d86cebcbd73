package report

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"encoding/xml"
	"errors"
	"flag"
	"io"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"foilwright/sim/bench"
	"foilwright/sim/explain"
	"foilwright/sim/grade"
)

var update = flag.Bool("update", false, "write the golden files anew")

var writers = []struct {
	name  string
	write func(*Report, io.Writer) error
}{
	{"html", (*Report).HTML}, {"pdf", (*Report).PDF}, {"csv", (*Report).CSV}, {"json", (*Report).JSON},
}

func written(t testing.TB, p *Report, write func(*Report, io.Writer) error) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := write(p, &b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// frozen is an attempt kept as JSON, so that the golden pages do not change
// with the physics.
func frozen(t testing.TB) *Report {
	t.Helper()
	text, err := os.ReadFile("testdata/attempt.json")
	if err != nil {
		t.Fatal(err)
	}
	p, err := ReadJSON(text)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

var fontData = regexp.MustCompile(`base64,[A-Za-z0-9+/=]*`)

func TestGolden(t *testing.T) {
	p := frozen(t)
	for _, w := range writers {
		if w.name == "pdf" {
			continue // its text is compared in TestPDFText
		}
		got := fontData.ReplaceAll(written(t, p, w.write), []byte("base64,…"))
		name := filepath.Join("testdata", "golden."+w.name)
		if *update {
			if err := os.WriteFile(name, got, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, want) {
			t.Errorf("%s differs at byte %d; look at it and run with -update", name, firstDifference(got, want))
		}
	}
}

func firstDifference(a, b []byte) int {
	for i := range min(len(a), len(b)) {
		if a[i] != b[i] {
			return i
		}
	}
	return min(len(a), len(b))
}

func TestTheSameReportGivesTheSameBytes(t *testing.T) {
	r := attempt(t, 7, poor)
	for _, w := range writers {
		first := written(t, reportOf(t, given, r), w.write)
		for range 3 {
			if !bytes.Equal(written(t, reportOf(t, given, r), w.write), first) {
				t.Errorf("%s differs from one writing to the next", w.name)
			}
		}
		other := given
		other.Date = "2026-03-10"
		if w.name != "csv" && bytes.Equal(written(t, reportOf(t, other, r), w.write), first) {
			t.Errorf("%s does not tell the date", w.name)
		}
	}
}

// The report says the same as what it was made from.
func TestTheReportAgreesWithItsSources(t *testing.T) {
	for _, c := range []struct {
		name  string
		hands hands
	}{{"competent", hands{}}, {"poor", poor}} {
		r := attempt(t, 11, c.hands)
		s, e := grade.Grade(r), explain.Explain(r)
		p := New(given, r, s, e)
		if p.Result == nil || float64(p.Result.Error) != s.Result.ErrorUm || p.Technique.Passed != s.Passed {
			t.Errorf("%s: result %+v, sheet %+v", c.name, p.Result, s.Result)
		}
		sum := 0.0
		for _, x := range p.steps() {
			sum += x.um
		}
		if math.Abs(sum-e.Mean.TotalUm) > 1e-9 {
			t.Errorf("%s: the steps of the chart add up to %.12f µm, the error is %.12f", c.name, sum, e.Mean.TotalUm)
		}
		if math.Abs(float64(p.Result.Reported-p.Result.True-p.Result.Error)) > 1e-9 {
			t.Errorf("%s: reported %v less true %v is not the error %v", c.name, p.Result.Reported, p.Result.True, p.Result.Error)
		}
		if n := len(p.Findings); n != len(s.Findings) {
			t.Errorf("%s: %d findings of %d", c.name, n, len(s.Findings))
		}
		for _, f := range p.Findings {
			for _, at := range f.Evidence {
				if at.Entry < 1 || at.Entry > len(r.Entries) || at.At != r.Entries[at.Entry-1].Action.At {
					t.Errorf("%s: finding %s points at entry %d, %d ms", c.name, f.Check, at.Entry, at.At)
				}
			}
		}
		kept := 0
		for _, q := range p.Readings {
			if math.Abs(float64(q.Shown-q.True-q.Error)) > 1e-9 {
				t.Errorf("%s: entry %d: shown %v less true %v is not the error %v", c.name, q.Entry, q.Shown, q.True, q.Error)
			}
			if q.Kept {
				kept++
			}
		}
		if kept+p.Series.Foreign != p.Series.N {
			t.Errorf("%s: %d readings kept and %d of an earlier job of a series of %d", c.name, kept, p.Series.Foreign, p.Series.N)
		}
		for _, l := range p.Result.Decision.Limits {
			if said := strings.Contains(l.What, " is not ") || strings.HasPrefix(l.What, "no "); l.Met != said {
				t.Errorf("%s: limit %+v", c.name, l)
			}
		}
	}
}

// Every reading belongs to one step of the time line, and the steps lie within
// the attempt.
func TestTheTimeLineTellsEverything(t *testing.T) {
	r := attempt(t, 7, poor)
	p := reportOf(t, given, r)
	read, ticks := 0, 0
	for i := range r.Contacts {
		if r.Contacts[i].Outcome == bench.Read {
			read++
		}
	}
	for _, m := range p.Timeline {
		ticks += len(m.Readings)
		if !slices.Contains(lanes, m.Lane) || m.From > m.To || m.From < 0 || m.To > p.Header.LastedMs || m.First > m.Last {
			t.Errorf("step %+v", m)
		}
		for _, at := range m.Readings {
			if at < m.From || at > m.To {
				t.Errorf("%s: a reading at %d ms outside %d to %d", m.What, at, m.From, m.To)
			}
		}
	}
	if read == 0 || ticks != read {
		t.Errorf("%d readings on the time line, %d taken", ticks, read)
	}
	var words []string
	for _, m := range p.Timeline {
		words = append(words, m.What)
	}
	all := strings.Join(words, "\n")
	for _, want := range []string{
		"Zero stored: 5 readings on “Bare sheet, mild steel, 0.5 mm”", "Set 75 µm for the foil", "Verification judged good",
		"Measured: 16 readings on “Painted panel CD-14”", "Deleted the last reading: looked too high", "Reported a mean of",
	} {
		if !strings.Contains(all, want) {
			t.Errorf("the time line does not say %q:\n%s", want, all)
		}
	}
}

// parseHTML parses the page as XML and returns its text and the elements used.
func parseHTML(t *testing.T, page []byte) (text string, elements map[string]int) {
	t.Helper()
	d := xml.NewDecoder(bytes.NewReader(page))
	d.Strict = true
	elements = map[string]int{}
	var b strings.Builder
	style := false
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return b.String(), elements
		}
		if err != nil {
			t.Fatalf("the page is not well formed: %v", err)
		}
		switch x := token.(type) {
		case xml.StartElement:
			elements[x.Name.Local]++
			style = x.Name.Local == "style"
			for _, a := range x.Attr {
				if strings.HasPrefix(strings.ToLower(a.Name.Local), "on") || a.Name.Local == "src" || a.Name.Local == "href" {
					t.Errorf("<%s> has an attribute %s", x.Name.Local, a.Name.Local)
				}
			}
		case xml.EndElement:
			style = false
		case xml.CharData:
			if !style {
				b.Write(x)
				b.WriteByte('\n')
			}
		}
	}
}

func TestHTMLIsWholeAndSelfContained(t *testing.T) {
	for _, c := range []struct {
		name  string
		given Given
		hands hands
		words []string
	}{
		{"competent", given, hands{}, []string{"Runa Hald", "No finding", "passed", "±", "µm", "Uncertainty of the mean", "certifies nobody", "Instructor or assessor"}},
		{"poor", given, poor, []string{"not passed", "Had the", "critical", "of an earlier job went into", "By the true mean"}},
		{"not reported", Given{}, hands{stop: "verify"}, []string{"nothing reported", "Attempt, not finished", "memory holds no reading"}},
		{"nothing done", Given{}, hands{stop: "start"}, []string{"Nothing was done", "No reading was taken"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			page := written(t, reportOf(t, c.given, attempt(t, 7, c.hands)), (*Report).HTML)
			text, elements := parseHTML(t, page)
			for _, word := range c.words {
				if !strings.Contains(text, word) {
					t.Errorf("the page does not say %q", word)
				}
			}
			for _, name := range []string{"script", "img", "link", "iframe", "object", "form"} {
				if elements[name] > 0 {
					t.Errorf("the page has <%s>", name)
				}
			}
			for _, bad := range []string{"NaN", "Inf", "<nil>", "%!"} {
				if strings.Contains(text, bad) {
					t.Errorf("the page says %s", bad)
				}
			}
			rest := strings.NewReplacer("http://www.w3.org/", "", "http-equiv", "").Replace(string(page))
			for _, bad := range []string{"http", "@import", "url(/", "file:"} {
				if strings.Contains(rest, bad) {
					t.Errorf("the page holds %q", bad)
				}
			}
		})
	}
}

const hostileName = "</title><script>alert(1)</script> \"onload='x' & \x00\x1b[31m\u202eRuna\n\t\xff Hald \U0001F600 你好"

func TestHostileNamesAreOnlyText(t *testing.T) {
	g := given
	g.Trainee = hostileName
	g.Log = strings.Repeat("=x ", 3000)
	r := play(t, 7, hands{hostile: "=HYPERLINK(\"x\")\r\n<b>&", edgeMm: 1.5})
	e := *r.World.Exercise
	e.Title, e.Job.Text = "]]> <!-- "+hostileName, "--> {{.}} %s "+hostileName
	r.World.Exercise = &e
	p := reportOf(t, g, r)

	page := written(t, p, (*Report).HTML)
	text, elements := parseHTML(t, page)
	if elements["script"] > 0 || elements["b"] == 0 {
		t.Errorf("elements %v", elements)
	}
	for _, want := range []string{`</title><script>alert(1)</script> "onload='x' & [31mRuna Hald`, `=HYPERLINK("x") <b>&`, "--> {{.}} %s"} {
		if !strings.Contains(text, want) {
			t.Errorf("the page does not say %s", want)
		}
	}
	for _, bad := range []string{"\x00", "\x1b", "\u202e"} {
		if bytes.Contains(page, []byte(bad)) {
			t.Errorf("the page holds %q", bad)
		}
	}

	rows := readCSV(t, written(t, p, (*Report).CSV))
	found := false
	for _, row := range rows {
		for _, cell := range row {
			if strings.IndexAny(cell, "=+@\t\r") == 0 {
				t.Errorf("a cell begins with %q", cell[:1])
			}
			found = found || strings.HasPrefix(cell, "'=HYPERLINK")
		}
	}
	if !found {
		t.Error("the reason of the deletion is not in the CSV")
	}
	if back, err := ReadJSON(written(t, p, (*Report).JSON)); err != nil || back.Header.Trainee != p.Header.Trainee {
		t.Errorf("JSON reads back %v, %v", back, err)
	}
	if pdf := pdfText(t, p); !strings.Contains(pdf, "<script>alert(1)</script>") || strings.Contains(pdf, "你") {
		t.Error("the PDF does not hold the name as plain text")
	}
	if n := len([]rune(p.Header.Log)); n > nameLimit+2 {
		t.Errorf("the name of the log has %d letters", n)
	}
}

func readCSV(t *testing.T, text []byte) [][]string {
	t.Helper()
	rows, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

// Shown, error and causes of each row of the CSV agree with each other.
func TestCSVRowsAddUp(t *testing.T) {
	p := reportOf(t, given, attempt(t, 7, poor))
	rows := readCSV(t, written(t, p, (*Report).CSV))
	if len(rows) != len(p.Readings)+1 {
		t.Fatalf("%d rows, want a head and %d readings", len(rows), len(p.Readings))
	}
	at := map[string]int{}
	for i, name := range rows[0] {
		at[name] = i
	}
	value := func(row []string, name string) float64 {
		var x float64
		if cell := row[at[name]]; cell != "" {
			if err := json.Unmarshal([]byte(cell), &x); err != nil {
				t.Fatalf("%s is %q", name, cell)
			}
		}
		return x
	}
	for _, row := range rows[1:] {
		if e := value(row, "shown_um") - value(row, "true_um") - value(row, "error_um"); math.Abs(e) > 2e-4 {
			t.Errorf("entry %s: shown less true is not the error", row[0])
		}
		sum := value(row, "other_causes_um")
		for _, k := range []string{"1", "2", "3"} {
			sum += value(row, "cause_"+k+"_um")
		}
		if math.Abs(sum-value(row, "error_um")) > 4e-4 {
			t.Errorf("entry %s: causes add up to %.4f µm, the error is %s", row[0], sum, row[at["error_um"]])
		}
	}
}

func TestJSONReadsBackTheSame(t *testing.T) {
	for _, c := range []struct {
		name  string
		hands hands
	}{{"poor", poor}, {"not reported", hands{stop: "verify"}}, {"nothing done", hands{stop: "start"}}} {
		text := written(t, reportOf(t, given, attempt(t, 7, c.hands)), (*Report).JSON)
		back, err := ReadJSON(text)
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		if !bytes.Equal(written(t, back, (*Report).JSON), text) {
			t.Errorf("%s: read back and written again it differs", c.name)
		}
	}
}

func TestReadJSONRefusesWhatIsNotAReport(t *testing.T) {
	const head = `{"format":"foilwright-report","version":1,`
	for _, text := range []string{
		"", "[]", "{}", `{"format":"foilwright-report","version":2}`, `{"format":"foilwright-log","version":1}`,
		head + `"part":{"width_mm":0,"height_mm":5,"film_um":[[1]]}}`, head + `"part":{"width_mm":5,"height_mm":5,"film_um":[]}}`,
		head + `"part":{"width_mm":5,"height_mm":5,"film_um":[[1,2],[1]]}}`, head + `"part":{"width_mm":5,"height_mm":5,"film_um":[[null]]}}`,
		head + `"part":{"width_mm":1e10,"height_mm":5,"film_um":[[1]]}}`, head + `"header":{"lasted_ms":-1},"part":{"width_mm":5,"height_mm":5,"film_um":[[1]]}}`,
	} {
		if _, err := ReadJSON([]byte(text)); err == nil {
			t.Errorf("%q was taken for a report", text)
		}
	}
}

func TestUnknownFiguresAreNullAndDashes(t *testing.T) {
	p := frozen(t)
	for _, x := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		p.Result.Expanded, p.Series.SD, p.Readings[0].Error, p.Breakdown.Shares[0].Without = Number(x), Number(x), Number(x), Number(x)
		p.Result.Combined, p.Result.Decision.Conformance, p.Findings[0].Cost = Number(x), Number(x), Number(x)
		for _, w := range writers {
			if text := written(t, p, w.write); w.name != "pdf" && (bytes.Contains(text, []byte("NaN")) || bytes.Contains(text, []byte("Inf"))) {
				t.Errorf("%s says %v", w.name, x)
			}
		}
		var back map[string]any
		if err := json.Unmarshal(written(t, p, (*Report).JSON), &back); err != nil {
			t.Fatal(err)
		}
		if got := back["result"].(map[string]any)["expanded_um"]; got != nil {
			t.Errorf("%v is %v in JSON", x, got)
		}
	}
}

func TestFlagsDoNotLieOnEachOther(t *testing.T) {
	var taken []float64
	for range 30 {
		p := freePlace(300, taken, 18, 9, 671)
		for _, q := range taken {
			if math.Abs(p-q) < 18-1e-6 {
				t.Fatalf("flag at %g beside one at %g", p, q)
			}
		}
		taken = append(taken, p)
	}
	if p := freePlace(300, taken[:1], 18, 9, 671); math.Abs(p-300) != 18 {
		t.Errorf("the second flag stands at %g", p)
	}
	if p := freePlace(900, nil, 18, 9, 671); p != 671 {
		t.Errorf("a flag beyond the edge stands at %g", p)
	}
}

func TestFiguresForPeople(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{Number(-1.25).fixed(1), "−1.2"}, {Number(-0.04).fixed(1), "0.0"}, {Number(0.04).signed(1), "0.0"}, {Number(2).signed(1), "+2.0"},
		{Number(75).short(), "75"}, {Number(-77.25).short(), "−77.25"}, {Number(math.NaN()).signed(2), "–"}, {Number(math.Inf(-1)).short(), "–"},
		{Number(-0.00001).column(4), "0.0000"}, {Number(-0.5).column(1), "-0.5"}, {Number(math.NaN()).column(1), ""}, {Number(100).short(), "100"},
		{plain("  a\n b\x00c\u202e ", 9), "a bc"}, {plain("abcdef", 3), "abc…"}, {printable("µ±你√"), "µ±?√"}, {short(strings.Repeat("a", 64)), strings.Repeat("a", 24) + "…"},
	} {
		if c.got != c.want {
			t.Errorf("got %q, want %q", c.got, c.want)
		}
	}
}

// Whatever reads as a report can be written as a page that is well formed.
func FuzzReadJSON(f *testing.F) {
	text, err := os.ReadFile("testdata/attempt.json")
	if err != nil {
		f.Fatal(err)
	}
	f.Add(text)
	f.Add([]byte(`{"format":"foilwright-report","version":1,"part":{"width_mm":5,"height_mm":5,"film_um":[[1]]}}`))
	f.Add([]byte(`{"format":"foilwright-report","version":1,"part":{"width_mm":5,"height_mm":5,"film_um":[[1]]},"result":{},"breakdown":{"shares":[{"um":1}]},"findings":[{"evidence":[{}]}],"readings":[{"mode":"measure","spot":1}],"timeline":[{}]}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := ReadJSON(data)
		if err != nil {
			return
		}
		var page bytes.Buffer
		if err := p.HTML(&page); err != nil {
			t.Fatal(err)
		}
		d := xml.NewDecoder(&page)
		for {
			if _, err := d.Token(); errors.Is(err, io.EOF) {
				break
			} else if err != nil {
				t.Fatal(err)
			}
		}
		for _, w := range writers {
			if err := w.write(p, io.Discard); err != nil {
				t.Fatalf("%s: %v", w.name, err)
			}
		}
	})
}

// An uncertainty larger than what supports a result is told apart from an
// error beyond its uncertainty.
func TestAnUncertaintyTooLargeIsSaid(t *testing.T) {
	for _, c := range []struct {
		err, u float64
		within bool
		want   string
	}{{1, 3, true, "within U"}, {-4, 3, false, "outside U"}, {1, 9, false, "U too large"}, {-12, 9, false, "outside U"}} {
		p := frozen(t)
		p.Result.Error, p.Result.Expanded, p.Result.Accepted, p.Result.Within = Number(c.err), Number(c.u), 7.5, c.within
		if got := p.outcome()[0][2].caption; !strings.HasSuffix(got, c.want) {
			t.Errorf("error %g, U %g: %q, want %q", c.err, c.u, got, c.want)
		}
	}
}

// The blanks to be signed stand on a page with the cautions.
func TestSignaturesStandWithTheCautions(t *testing.T) {
	p := frozen(t)
	for n := range 30 {
		p.Readings = p.Readings[:min(len(p.Readings), 4)]
		for range n {
			p.Readings = append(p.Readings, p.Readings[0])
		}
		for _, page := range strings.Split(pdfText(t, p), printable(aidNote)) { // which ends every page
			if strings.Contains(page, "Instructor or assessor") == strings.Contains(page, "Cautions and signatures") {
				continue
			}
			t.Errorf("%d readings: the signatures stand alone", n)
		}
	}
}
