package field

import (
	"bytes"
	"fmt"
	"strconv"
)

// The text of shape tables: a header of "# key: value" lines, then eight blocks, each a line "edge attract" (or tilt,
// curve, wall; repel) and one line of whole numbers per gap, in units of 1e-4.

var shapeBlocks = [...]struct {
	name  string
	width int
	nodes func(t *Shapes) *[]int
}{
	{"edge attract", edgeNodes, func(t *Shapes) *[]int { return &t.edgeNodes[Attracting] }},
	{"edge repel", edgeNodes, func(t *Shapes) *[]int { return &t.edgeNodes[Repelling] }},
	{"tilt attract", tiltNodes, func(t *Shapes) *[]int { return &t.tiltNodes[Attracting] }},
	{"tilt repel", tiltNodes, func(t *Shapes) *[]int { return &t.tiltNodes[Repelling] }},
	{"curve attract", curveNodes, func(t *Shapes) *[]int { return &t.curveNodes[Attracting] }},
	{"curve repel", curveNodes, func(t *Shapes) *[]int { return &t.curveNodes[Repelling] }},
	{"wall attract", wallNodes, func(t *Shapes) *[]int { return &t.wallNodes[Attracting] }},
	{"wall repel", wallNodes, func(t *Shapes) *[]int { return &t.wallNodes[Repelling] }},
}

// MarshalText writes the tables.
func (t *Shapes) MarshalText() ([]byte, error) {
	var b bytes.Buffer
	fmt.Fprintf(&b, "# made by: go generate ./sim/probe\n# head: %s\n# model: %d\n", t.head, shapeModel)
	for _, block := range shapeBlocks {
		fmt.Fprintln(&b, block.name)
		nodes := *block.nodes(t)
		for i, v := range nodes {
			if i%block.width > 0 {
				b.WriteByte(' ')
			}
			b.WriteString(strconv.Itoa(v))
			if (i+1)%block.width == 0 {
				b.WriteByte('\n')
			}
		}
	}
	return b.Bytes(), nil
}

// ParseShapes reads tables written by MarshalText. Errors name the line.
func ParseShapes(text []byte) (*Shapes, error) {
	t, err := readShapes(text)
	if err != nil {
		return nil, err
	}
	t.build()
	return t, nil
}

// readShapes reads the stored nodes. With an error it returns the blocks that are whole, or nil when the header is not.
func readShapes(text []byte) (*Shapes, error) {
	t := &Shapes{}
	lines := bytes.Split(text, []byte("\n"))
	at := 0
	next := func() string {
		at++
		if at > len(lines) {
			return ""
		}
		return string(bytes.TrimSuffix(lines[at-1], []byte("\r")))
	}
	fail := func(format string, args ...any) error {
		return fmt.Errorf("shape tables:%d: %s; build them anew with go generate ./sim/probe", at, fmt.Sprintf(format, args...))
	}
	next()
	const key, digits = "# head: ", 16
	line := next()
	if len(line) != len(key)+digits || line[:len(key)] != key {
		return nil, fail("got %q, expected %q and %d hexadecimal digits", line, key, digits)
	}
	t.head = line[len(key):]
	if line, want := next(), fmt.Sprintf("# model: %d", shapeModel); line != want {
		return nil, fail("got %q, expected %q", line, want)
	}
	for _, block := range shapeBlocks {
		if line := next(); line != block.name {
			return t, fail("got %q, expected %q", line, block.name)
		}
		var nodes []int
		for range shapeGaps {
			fields := bytes.Fields([]byte(next()))
			if len(fields) != block.width {
				return t, fail("%d numbers, expected %d", len(fields), block.width)
			}
			for column, f := range fields {
				v, err := strconv.Atoi(string(f))
				if err != nil || v > 1e9 || v < -1e9 {
					return t, fail("number %d is %q, expected a whole number within a milliard", column+1, f)
				}
				nodes = append(nodes, v)
			}
		}
		*block.nodes(t) = nodes
	}
	return t, nil
}
