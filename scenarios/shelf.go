package scenarios

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"strings"

	"go.yaml.in/yaml/v3"

	"foilwright/sim/bench"
	"foilwright/sim/part"
)

// ShelfFormat names files of pieces and foils that several exercises share.
// An exercise lists such files under "shelves" and takes an item with "from".
const ShelfFormat = "foilwright-shelf"

const mostShelves = 8

// shelf holds the items of the shelves of an exercise by id.
type shelf struct {
	pieces, foils         map[string]*yaml.Node
	pieceNames, foilNames []string
}

// CheckShelf reports every fault of a shelf file, as Faults.
func CheckShelf(name string, data []byte) error {
	d := &decoder{file: name}
	if root := d.document(data, "a shelf"); root != nil {
		d.shelf(root, &shelf{})
	}
	return d.faults.err()
}

// IsShelf reports whether a file says of itself that it is a shelf.
func IsShelf(data []byte) bool {
	var head struct {
		Format string `yaml:"format"`
	}
	return yaml.NewDecoder(bytes.NewReader(data)).Decode(&head) == nil && head.Format == ShelfFormat
}

// shelf reads a shelf file; every item on it must be good by itself.
func (d *decoder) shelf(n *yaml.Node, to *shelf) {
	var format string
	var version int
	keep := func(into *map[string]*yaml.Node, names *[]string, id string, n *yaml.Node, path string) {
		if id == "" {
			return
		}
		if *into == nil {
			*into = map[string]*yaml.Node{}
		}
		if _, taken := (*into)[id]; taken {
			d.fault(n, path, fmt.Sprintf("the id %q is on the shelf already", id), "give each item an id of its own")
			return
		}
		(*into)[id] = n
		*names = append(*names, id)
	}
	d.mapping(n, "",
		must("format", d.choice(&format, ShelfFormat)),
		must("version", d.whole(&version, FormatVersion, FormatVersion)),
		may("pieces", d.list(0, func(n *yaml.Node, path string) {
			p := d.piece(n, path)
			keep(&to.pieces, &to.pieceNames, p.Piece.ID, n, path)
		})),
		may("foils", d.list(0, func(n *yaml.Node, path string) {
			f := d.foil(n, path)
			keep(&to.foils, &to.foilNames, f.ID, n, path)
		})),
	)
}

// shelves reads the shelves an exercise names, before anything that may take
// from them. It returns what was read, for the digest.
func (d *decoder) shelves(root *yaml.Node, open func(string) ([]byte, error)) (read [][]byte) {
	list := field(root, "shelves")
	if list == nil {
		return nil
	}
	before := len(d.faults)
	var names []string
	d.list(1, d.texts(&names))(list, "shelves")
	if len(d.faults) > before {
		return nil
	}
	if len(names) > mostShelves {
		d.fault(list, "shelves", fmt.Sprintf("%d shelves", len(names)), fmt.Sprintf("name at most %d", mostShelves))
		return nil
	}
	for i, name := range names {
		n, at := list.Content[i], fmt.Sprintf("shelves[%d]", i)
		if open == nil {
			d.fault(n, at, "a shelf cannot be read from here", "give the exercise as a file in its folder")
			continue
		}
		data, err := open(name)
		if err != nil {
			d.lacking = true
			d.fault(n, at, fmt.Sprintf("the shelf %q cannot be read: %v", name, reason(err)), "name a file in the folder of the exercise or below it")
			continue
		}
		inner := &decoder{file: path.Join(path.Dir(d.file), name)}
		if root := inner.document(data, "a shelf"); root != nil {
			inner.shelf(root, &d.from)
		}
		d.faults = append(d.faults, inner.faults...)
		read = append(read, data)
	}
	return read
}

// reason shortens an error of a file system to what went wrong.
func reason(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}

// taken returns the node an item stands for: itself, or, where it has "from",
// the item of that id on a shelf with the fields given here in place of those
// on the shelf.
func (d *decoder) taken(n *yaml.Node, path string, items map[string]*yaml.Node, names []string) *yaml.Node {
	source := field(n, "from")
	if source == nil {
		return n
	}
	item := items[source.Value]
	if item == nil {
		remedy := "no shelf of this exercise holds such a thing; name its file under shelves"
		if len(names) > 0 {
			remedy = "on the shelves: " + strings.Join(names, ", ")
		}
		if near := nearest(source.Value, names); near != "" {
			remedy = fmt.Sprintf("did you mean %q? %s", near, remedy)
		}
		if !d.lacking { // it may stand on the shelf that could not be read: one fault, told once
			d.fault(source, join(path, "from"), fmt.Sprintf("%q is on no shelf", source.Value), remedy)
		}
		return nil
	}
	whole := &yaml.Node{Kind: yaml.MappingNode, Tag: "!!map", Line: n.Line}
	for i := 0; i+1 < len(item.Content); i += 2 {
		if field(n, item.Content[i].Value) == nil {
			whole.Content = append(whole.Content, standAt(item.Content[i], source.Line), standAt(item.Content[i+1], source.Line))
		}
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		if n.Content[i].Value != "from" {
			whole.Content = append(whole.Content, n.Content[i], n.Content[i+1])
		}
	}
	return whole
}

// standAt copies a node as if it stood on the line given, so that a fault in
// it names a line of the exercise.
func standAt(n *yaml.Node, line int) *yaml.Node {
	c := *n
	c.Line = line
	c.Content = nil
	for _, x := range n.Content {
		c.Content = append(c.Content, standAt(x, line))
	}
	return &c
}

// field returns the value of a field of a mapping, nil when it has none.
func field(n *yaml.Node, name string) *yaml.Node {
	if n.Kind != yaml.MappingNode {
		return nil
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		if n.Content[i].Value == name {
			return n.Content[i+1]
		}
	}
	return nil
}

// document reads the one YAML document of a file; nil after a fault.
func (d *decoder) document(data []byte, what string) *yaml.Node {
	if len(data) > maxBytes {
		d.fault(nil, "", "the file is larger than 256 KiB", what+" is a short text; check that this is the right file")
		return nil
	}
	var doc yaml.Node
	source := yaml.NewDecoder(bytes.NewReader(data))
	if err := source.Decode(&doc); err != nil {
		if errors.Is(err, io.EOF) {
			d.fault(nil, "", "the file is empty", "start from scenarios/painted-panel.yaml")
			return nil
		}
		line, what := yamlFault(err)
		d.faults = append(d.faults, Fault{File: d.file, Line: line, What: "this is not well-formed YAML: " + what, Remedy: "check the indentation and quotes on and above this line"})
		return nil
	}
	var second yaml.Node
	if err := source.Decode(&second); !errors.Is(err, io.EOF) {
		d.fault(&second, "", "the file holds more than one document", "put each in a file of its own")
		return nil
	}
	root := doc.Content[0]
	if n := alias(root); n != nil {
		d.fault(n, "", "an alias (*name) is used", "write the fields out: aliases are not read, they can make a small file endless")
		return nil
	}
	return root
}

// anyPiece reads a piece, its own fields or those of one on a shelf.
func (d *decoder) anyPiece(n *yaml.Node, path string) (p bench.PieceSpec) {
	if n = d.taken(n, path, d.from.pieces, d.from.pieceNames); n == nil {
		return p
	}
	return d.piece(n, path)
}

// anyFoil reads a foil, its own fields or those of one on a shelf.
func (d *decoder) anyFoil(n *yaml.Node, path string) (f part.FoilSpec) {
	if n = d.taken(n, path, d.from.foils, d.from.foilNames); n == nil {
		return f
	}
	return d.foil(n, path)
}
