package report

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
)

// JSON writes the report with its format and version, as report.schema.json
// beside this file describes it.
func (p *Report) JSON(w io.Writer) error {
	text, err := json.MarshalIndent(p, "", " ")
	if err != nil {
		return err
	}
	_, err = w.Write(append(text, '\n'))
	return err
}

// ReadJSON reads a report back. It refuses another format or version.
func ReadJSON(text []byte) (*Report, error) {
	p := &Report{}
	if err := json.Unmarshal(text, p); err != nil {
		return nil, fmt.Errorf("report: this is not a report in JSON: %w", err)
	}
	if p.Format != Format || p.Version != Version {
		return nil, fmt.Errorf("report: format %q version %d, expected %q version %d; open it with the program that wrote it", p.Format, p.Version, Format, Version)
	}
	if err := p.Part.check(); err != nil {
		return nil, fmt.Errorf("report: part: %w", err)
	}
	if p.Header.LastedMs < 0 || p.Header.LastedMs > mostNumber {
		return nil, fmt.Errorf("report: header: lasted_ms %d: expected 0 to 1e9", p.Header.LastedMs)
	}
	return p, nil
}

// check reports what makes a part that cannot be drawn.
func (p *Part) check() error {
	for _, side := range []Number{p.Width, p.Height} {
		if !(side >= 0.1) {
			return fmt.Errorf("outline %v mm by %v mm: expected sides of 0.1 mm and more", p.Width, p.Height)
		}
	}
	for i, row := range p.Film {
		if len(row) == 0 || len(row) != len(p.Film[0]) {
			return fmt.Errorf("film_um[%d]: %d cells, expected %d as in the first row, and at least one", i, len(row), len(p.Film[0]))
		}
		for k, um := range row {
			if !um.known() {
				return fmt.Errorf("film_um[%d][%d]: null, expected a thickness", i, k)
			}
		}
	}
	if len(p.Film) == 0 {
		return errors.New("film_um: empty, expected the film over the part")
	}
	return nil
}
