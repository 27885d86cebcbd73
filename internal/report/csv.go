package report

import (
	"encoding/csv"
	"fmt"
	"io"
	"strings"
)

// csvCauses is how many causes a row of the CSV form has.
const csvCauses = 3

// CSV writes one row for each reading of the part or of a verification, with
// truth, error and the largest causes. Columns that are not known stay empty.
// Lines end as RFC 4180 asks. No cell of text can be taken for a formula by a
// spreadsheet.
func (p *Report) CSV(w io.Writer) error {
	c := csv.NewWriter(w)
	c.UseCRLF = true
	head := []string{
		"entry", "time_s", "mode", "spot", "piece", "foil", "x_mm", "y_mm", "shown_um", "true_um", "error_um",
		"in_result", "deleted", "reason",
	}
	for k := range csvCauses {
		head = append(head, fmt.Sprintf("cause_%d", k+1), fmt.Sprintf("cause_%d_um", k+1))
	}
	head = append(head, "other_causes_um")
	if err := c.Write(head); err != nil {
		return err
	}
	for i := range p.Readings {
		q := &p.Readings[i]
		row := []string{
			fmt.Sprint(q.Entry), Number(float64(q.At) / 1000).column(3), cellText(q.Mode), fmt.Sprint(q.Spot), cellText(q.Piece), cellText(q.Foil),
			q.X.column(3), q.Y.column(3), q.Shown.column(4), q.True.column(4), q.Error.column(4), yes(q.Kept), yes(q.Deleted), cellText(q.Reason),
		}
		other := q.Error
		for k := range csvCauses {
			if k >= len(q.Causes) {
				row = append(row, "", "")
				continue
			}
			row = append(row, cellText(q.Causes[k].Key), q.Causes[k].Um.column(4))
			other -= q.Causes[k].Um
		}
		if err := c.Write(append(row, other.column(4))); err != nil {
			return err
		}
	}
	c.Flush()
	return c.Error()
}

func yes(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

// cellText keeps a text from being run as a formula.
func cellText(s string) string {
	if s != "" && strings.ContainsRune("=+-@\t\r", rune(s[0])) {
		return "'" + s
	}
	return s
}
