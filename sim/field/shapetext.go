package field

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
)

// The text of shape tables: a header of "# key: value" lines, then the blocks, each a line "edge attract" and one line of
// whole numbers per gap, in units of 1e-4.

// The first block of each pair; the second, for metal that repels, follows.
const (
	edgeBlock       = iota * int(idealKinds) // log(ratio/(1-ratio)) over gap and asinh(2 d/r2), d from axis to edge
	tiltBlock                                // log(ratio)/angle^2 over gap and angle in degrees
	curveBlock                               // log(ratio)/(curvature r2) over gap and mean curvature times r2, on a ball
	wallBlock                                // log(ratio-1) over gap and log(d/r2), d from axis to wall
	sheetEdgeBlock                           // as edgeBlock, air angle 2 pi
	bluntEdgeBlock                           // as edgeBlock, air angle 5/4 pi
	openCornerBlock                          // as wallBlock, air angle 3/4 pi
	pipeBlock                                // what a pipe's log(ratio) has beyond a ball's, by the square of bend, over gap and bend
	holeBlock                                // log(loss at a hole/loss at an edge) over gap and asinh(2 d/r2), a pair for each of holeRadii
)

// Blocks after the holes.
const (
	stepBlock       = holeBlock + int(idealKinds)*len(holeRadii)       // the same for stepHeights
	sheetBlock      = stepBlock + int(idealKinds)*len(stepHeights)     // the same for sheetThickness
	shortageBlock   = sheetBlock + int(idealKinds)*len(sheetThickness) // by what a sheet lacks more near its edge; attracting only
	riseBlock       = shortageBlock + 1                                // log of the rise for a low step up, by r2, over gap and log(d/r2)
	shapeBlockCount = riseBlock + int(idealKinds)
)

type shapeBlock struct {
	name        string
	rows, width int
	// build computes this block and those after it that have none.
	build func(t *Shapes, h Head, block int) error
}

// shapeBlocks lists the blocks in the order of the text.
var shapeBlocks = [shapeBlockCount]shapeBlock{}

func init() {
	next := 0
	add := func(name string, rows, width int, build func(t *Shapes, h Head, block int) error) {
		shapeBlocks[next] = shapeBlock{name, rows, width, build}
		next++
	}
	pair := func(name string, rows, width int, build func(t *Shapes, h Head, block int) error) {
		for _, kind := range kindNames {
			add(name+" "+kind, rows, width, build)
			build = nil
		}
	}
	edge := func(angle float64) func(t *Shapes, h Head, block int) error {
		return func(t *Shapes, h Head, block int) error { return t.buildEdge(h, block, angle) }
	}
	corner := func(angle float64) func(t *Shapes, h Head, block int) error {
		return func(t *Shapes, h Head, block int) error { return t.buildCorner(h, block, angle) }
	}
	pair("edge", shapeGaps, edgeNodes, edge(RightAngleEdge))
	pair("tilt", shapeGaps, tiltNodes, (*Shapes).buildTilt)
	pair("curve", shapeGaps, curveNodes, (*Shapes).buildCurve)
	pair("wall", shapeGaps, wallNodes, corner(math.Pi/2))
	pair("sheet-edge", shapeGaps, edgeNodes, edge(2*math.Pi))
	pair("blunt-edge", shapeGaps, edgeNodes, edge(5*math.Pi/4))
	pair("open-corner", shapeGaps, wallNodes, corner(3*math.Pi/4))
	pair("pipe", openGaps, pipeNodes, (*Shapes).buildPipes)
	holes, steps := (*Shapes).buildHoles, (*Shapes).buildSteps
	for i := range holeRadii {
		pair(fmt.Sprintf("hole-%d", i), openGaps, holeNodes, holes)
		holes = nil
	}
	for i := range stepHeights {
		pair(fmt.Sprintf("step-%d", i), openGaps, besideNodes, steps)
		steps = nil
	}
	for i := range sheetThickness {
		pair(fmt.Sprintf("sheet-%d", i), openGaps, besideNodes, nil)
	}
	add("shortage attract", openGaps, besideNodes, (*Shapes).buildShortage)
	pair("rise", openGaps, wallNodes, (*Shapes).buildRises)
}

// MarshalText writes the tables.
func (t *Shapes) MarshalText() ([]byte, error) {
	var b bytes.Buffer
	fmt.Fprintf(&b, "# made by: go generate ./sim/probe\n# head: %s\n# model: %d\n", t.head, shapeModel)
	for k, block := range shapeBlocks {
		fmt.Fprintln(&b, block.name)
		for i, v := range t.nodes[k] {
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
	for k, block := range shapeBlocks {
		if line := next(); line != block.name {
			return t, fail("got %q, expected %q", line, block.name)
		}
		var nodes []int
		for range block.rows {
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
		t.nodes[k] = nodes
	}
	return t, nil
}
