package scenarios

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v3"

	"foilwright/sim/part"
)

// decoder walks the nodes of an exercise file and collects every fault.
type decoder struct {
	lacking bool // a shelf could not be read
	file    string
	faults  Faults
	from    shelf // what items may be taken from
}

func (d *decoder) fault(n *yaml.Node, path, what, remedy string) {
	line := 1
	if n != nil && n.Line > 0 {
		line = n.Line
	}
	d.faults = append(d.faults, Fault{File: d.file, Line: line, Field: path, What: what, Remedy: remedy})
}

// faultAt reports a fault of a field found only when the whole is known, on the
// line where that field stands, or else what holds it.
func (d *decoder) faultAt(root *yaml.Node, path, what, remedy string) {
	n := root
	for _, name := range strings.FieldsFunc(path, func(r rune) bool { return r == '.' || r == '[' || r == ']' }) {
		next := field(n, name)
		if i, err := strconv.Atoi(name); err == nil && n.Kind == yaml.SequenceNode && i < len(n.Content) {
			next = n.Content[i]
		}
		if next == nil {
			break
		}
		n = next
	}
	d.fault(n, path, what, remedy)
}

// reader takes the value of one field.
type reader func(n *yaml.Node, path string)

// key is a field a mapping may have.
type key struct {
	name     string
	optional bool
	read     reader
}

func must(name string, r reader) key { return key{name: name, read: r} }
func may(name string, r reader) key  { return key{name: name, optional: true, read: r} }

// mapping reads a mapping with exactly the given keys.
func (d *decoder) mapping(n *yaml.Node, path string, keys ...key) {
	if n.Kind != yaml.MappingNode {
		d.fault(n, path, "expected a block of fields, found "+describe(n), "write \"name: value\" lines under it")
		return
	}
	seen := map[string]bool{}
	names := make([]string, len(keys))
	for i, k := range keys {
		names[i] = k.name
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		name, value := n.Content[i], n.Content[i+1]
		at := join(path, name.Value)
		k := keyOf(keys, name.Value)
		switch {
		case k == nil:
			remedy := "allowed here: " + strings.Join(names, ", ")
			if near := nearest(name.Value, names); near != "" {
				remedy = fmt.Sprintf("did you mean %q? %s", near, remedy)
			}
			d.fault(name, at, "unknown field", remedy)
		case seen[name.Value]:
			d.fault(name, at, "the field is given twice", "keep one of them")
		default:
			seen[name.Value] = true
			k.read(value, at)
		}
	}
	for _, k := range keys {
		if !k.optional && !seen[k.name] {
			d.fault(n, join(path, k.name), "the field is missing", "add it")
		}
	}
}

func keyOf(keys []key, name string) *key {
	for i := range keys {
		if keys[i].name == name {
			return &keys[i]
		}
	}
	return nil
}

func join(path, name string) string {
	if path == "" {
		return name
	}
	return path + "." + name
}

func describe(n *yaml.Node) string {
	switch n.Kind {
	case yaml.MappingNode:
		return "a block of fields"
	case yaml.SequenceNode:
		return "a list"
	case yaml.ScalarNode:
		if n.Value == "" {
			return "nothing"
		}
		return strconv.Quote(n.Value)
	}
	return "something else"
}

// list reads every item of a list.
func (d *decoder) list(atLeast int, item reader) reader {
	return func(n *yaml.Node, path string) {
		if n.Kind != yaml.SequenceNode {
			d.fault(n, path, "expected a list, found "+describe(n), "write one \"- item\" line for each")
			return
		}
		if len(n.Content) < atLeast {
			d.fault(n, path, fmt.Sprintf("the list has %d items", len(n.Content)), fmt.Sprintf("give at least %d", atLeast))
		}
		for i, c := range n.Content {
			item(c, fmt.Sprintf("%s[%d]", path, i))
		}
	}
}

// text reads a non-empty string.
func (d *decoder) text(to *string) reader {
	return func(n *yaml.Node, path string) {
		if n.Kind != yaml.ScalarNode || strings.TrimSpace(n.Value) == "" {
			d.fault(n, path, "expected text, found "+describe(n), "write some words")
			return
		}
		if n.ShortTag() != "!!str" {
			d.fault(n, path, "expected text, found "+n.Value, "put it in quotes")
			return
		}
		if len(n.Value) > 4000 {
			d.fault(n, path, "the text is longer than 4000 bytes", "shorten it")
			return
		}
		*to = strings.TrimSpace(n.Value)
	}
}

// texts reads items of a list of texts.
func (d *decoder) texts(to *[]string) reader { return items(to, d.text) }

// identifiers reads items of a list of ids.
func (d *decoder) identifiers(to *[]string) reader { return items(to, d.identifier) }

func items(to *[]string, item func(*string) reader) reader {
	return func(n *yaml.Node, path string) {
		var s string
		item(&s)(n, path)
		*to = append(*to, s)
	}
}

// identifier reads a short lower-case key.
func (d *decoder) identifier(to *string) reader {
	return func(n *yaml.Node, path string) {
		ok := n.Kind == yaml.ScalarNode && n.ShortTag() == "!!str" && n.Value != "" && len(n.Value) <= 60
		for _, r := range n.Value {
			ok = ok && (r >= 'a' && r <= 'z' || r >= '0' && r <= '9' || r == '-')
		}
		if !ok {
			d.fault(n, path, "expected an id, found "+describe(n), "use lower-case letters, digits and hyphens, at most 60, not digits alone")
			return
		}
		*to = n.Value
	}
}

// choice reads one of the given words.
func (d *decoder) choice(to *string, allowed ...string) reader {
	return func(n *yaml.Node, path string) {
		for _, a := range allowed {
			if n.Kind == yaml.ScalarNode && n.Value == a {
				*to = a
				return
			}
		}
		remedy := "allowed: " + strings.Join(allowed, ", ")
		if near := nearest(n.Value, allowed); near != "" {
			remedy = fmt.Sprintf("did you mean %q? %s", near, remedy)
		}
		d.fault(n, path, describe(n)+" is not known here", remedy)
	}
}

// number reads a finite number from low to high and multiplies it by unit.
func (d *decoder) number(to *float64, low, high, unit float64) reader {
	return func(n *yaml.Node, path string) {
		v, err := strconv.ParseFloat(n.Value, 64)
		if tag := n.ShortTag(); tag != "!!int" && tag != "!!float" || err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
			d.fault(n, path, "expected a number, found "+describe(n), fmt.Sprintf("give a number from %g to %g", low, high))
			return
		}
		if v < low || v > high {
			d.fault(n, path, fmt.Sprintf("%g is out of bounds", v), fmt.Sprintf("give a number from %g to %g", low, high))
			return
		}
		*to = v * unit
	}
}

// temperature reads degrees Celsius. Nought stands for the temperature of the
// room where nothing is written, so that 0 degrees proper is kept as a
// millionth more.
func (d *decoder) temperature(to *float64) reader {
	return func(n *yaml.Node, path string) {
		before := len(d.faults)
		d.number(to, -30, 90, 1)(n, path)
		if *to == 0 && len(d.faults) == before {
			*to = 1e-6
		}
	}
}

// whole reads a whole number from low to high.
func (d *decoder) whole(to *int, low, high int) reader {
	return func(n *yaml.Node, path string) {
		v, err := strconv.Atoi(n.Value)
		if n.ShortTag() != "!!int" || err != nil || v < low || v > high {
			d.fault(n, path, "expected a whole number, found "+describe(n), fmt.Sprintf("give one from %d to %d", low, high))
			return
		}
		*to = v
	}
}

// yes reads true or false.
func (d *decoder) yes(to *bool) reader {
	return func(n *yaml.Node, path string) {
		if n.ShortTag() != "!!bool" || n.Value != "true" && n.Value != "false" {
			d.fault(n, path, "expected true or false, found "+describe(n), "write true or false")
			return
		}
		*to = n.Value == "true"
	}
}

// span reads a pair [low, high].
func (d *decoder) span(to *part.Range, low, high, unit float64) reader {
	return func(n *yaml.Node, path string) {
		if n.Kind != yaml.SequenceNode || len(n.Content) != 2 {
			d.fault(n, path, "expected a pair, found "+describe(n), "write [low, high]")
			return
		}
		before := len(d.faults)
		d.number(&to.Low, low, high, unit)(n.Content[0], path+"[0]")
		d.number(&to.High, low, high, unit)(n.Content[1], path+"[1]")
		if len(d.faults) == before && to.High < to.Low {
			d.fault(n, path, "the pair runs backwards", "write the smaller value first")
		}
	}
}
