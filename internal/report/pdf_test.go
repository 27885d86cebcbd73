package report

import (
	"bytes"
	"os/exec"
	"strings"
	"testing"
	"unicode/utf16"
)

// pdfText reads the text of an uncompressed PDF: the strings shown by Tj, which
// the writer gives in UTF-16.
func pdfText(t testing.TB, p *Report) string {
	t.Helper()
	var b bytes.Buffer
	if err := p.pdf(&b, false); err != nil {
		t.Fatal(err)
	}
	var text strings.Builder
	data := b.Bytes()
	for {
		end := bytes.Index(data, []byte(") Tj"))
		if end < 0 {
			return text.String()
		}
		start := bytes.LastIndex(data[:end], []byte(" Td ("))
		if start < 0 {
			t.Fatal("a string is shown that was not placed")
		}
		raw := data[start+5 : end]
		data = data[end+4:]
		var units []uint16
		for i := 0; i < len(raw); {
			var pair [2]byte
			for k := range pair {
				if i < len(raw) && raw[i] == '\\' && i+1 < len(raw) {
					i++
					if raw[i] == 'r' {
						raw[i] = '\r'
					}
				}
				if i < len(raw) {
					pair[k] = raw[i]
				}
				i++
			}
			units = append(units, uint16(pair[0])<<8|uint16(pair[1]))
		}
		text.WriteString(string(utf16.Decode(units)) + "\n")
	}
}

func TestPDFText(t *testing.T) {
	p := frozen(t)
	text := pdfText(t, p)
	for _, want := range []string{
		"Attempt report", "Runa Hald", "± ", " µm", "−", "Findings", "Uncertainty of the mean", "Cautions and signatures",
		"Instructor or assessor", "page 1 of ", "certifies nobody", "2026-03-09", p.Findings[0].Name, p.Breakdown.Shares[0].Name,
	} {
		if !strings.Contains(text, want) {
			t.Errorf("the PDF does not say %q", want)
		}
	}
	if strings.Contains(text, "NaN") {
		t.Error("the PDF says NaN")
	}
}

// An independent reader finds the same words, µ and ± among them.
func TestPDFReadsInAnotherProgram(t *testing.T) {
	program, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Skip("pdftotext is not installed (package poppler-utils)")
	}
	c := exec.Command(program, "-layout", "-", "-")
	c.Stdin = bytes.NewReader(written(t, frozen(t), (*Report).PDF))
	out, err := c.Output()
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"Attempt report", "Runa Hald", "±", "µm", "−", "√", "∞", "certifies nobody"} {
		if !bytes.Contains(out, []byte(want)) {
			t.Errorf("pdftotext does not find %q", want)
		}
	}
}

// The page of a PDF is A4, and every section can be found in its outline.
func TestPDFShape(t *testing.T) {
	p := frozen(t)
	var b bytes.Buffer
	if err := p.pdf(&b, false); err != nil {
		t.Fatal(err)
	}
	if !bytes.Contains(b.Bytes(), []byte("/MediaBox [0 0 595.28 841.89]")) {
		t.Error("the page is not A4")
	}
	sections := 0
	for _, s := range p.sections() {
		if s.title != "" {
			sections++
		}
	}
	if n := bytes.Count(b.Bytes(), []byte("/Parent")); n < sections {
		t.Errorf("%d entries below others, want at least %d of the outline", n, sections)
	}
	if bytes.Contains(b.Bytes(), []byte("D:2026")) != true {
		t.Error("the file is not dated as the report")
	}
}
