package report

import (
	"io"
)

var writers = []struct {
	name  string
	write func(*Report, io.Writer) error
}{
	{"html", (*Report).HTML}, {"pdf", (*Report).PDF}, {"csv", (*Report).CSV}, {"json", (*Report).JSON},
}
