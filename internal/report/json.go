package report

import (
	"encoding/json"
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
	return p, nil
}
