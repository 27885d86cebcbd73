package scenarios

import (
	"bufio"
	"bytes"
	"fmt"
	"os"
	"strconv"
	"strings"
	"testing"
)

// sample is one file of the corpus: a change to a whole exercise, and what must
// come of it.
type sample struct {
	name     string
	line     int // of the corpus
	good     bool
	old, new string
	at       int    // line of the file that the fault must name
	want     string // how the fault must go on after file and line
	alone    bool   // the loader alone refuses it: a schema cannot compare fields
}

// readCorpus reads testdata/corpus.txt:
//
//	== good|bad|bad-for-loader NAME
//	- text that stands in whole.yaml once, up to the end of the line
//	+ what stands there instead; several lines are allowed, none takes the line out
//	@ +1          lines from the first changed one to the one the fault names; 0 if left out
//	! part.metal: ...   what the fault says
func readCorpus(t *testing.T, whole string) []sample {
	t.Helper()
	data, err := os.ReadFile("testdata/corpus.txt")
	if err != nil {
		t.Fatal(err)
	}
	var list []sample
	var s *sample
	var removed, added []string
	shift := 0
	finish := func() {
		if s == nil {
			return
		}
		s.old, s.new = strings.Join(removed, "\n"), strings.Join(added, "\n")
		if n := strings.Count("\n"+whole+"\n", "\n"+s.old+"\n"); n != 1 {
			t.Fatalf("corpus.txt:%d: %q stands %d times in whole.yaml, want once", s.line, s.old, n)
		}
		s.at = strings.Count(whole[:strings.Index("\n"+whole+"\n", "\n"+s.old+"\n")], "\n") + 1 + shift
		if !s.good && s.want == "" {
			t.Fatalf("corpus.txt:%d: a bad file without the fault it must give", s.line)
		}
		list = append(list, *s)
	}
	lines := bufio.NewScanner(bytes.NewReader(data))
	for n := 1; lines.Scan(); n++ {
		text := lines.Text()
		switch {
		case text == "" || strings.HasPrefix(text, "#"):
		case strings.HasPrefix(text, "== "):
			finish()
			kind, name, _ := strings.Cut(text[3:], " ")
			s = &sample{name: name, line: n, good: kind == "good", alone: kind == "bad-for-loader"}
			if !s.good && !s.alone && kind != "bad" {
				t.Fatalf("corpus.txt:%d: kind %q", n, kind)
			}
			removed, added, shift = nil, nil, 0
		case s != nil && strings.HasPrefix(text, "-"):
			removed = append(removed, strings.TrimPrefix(text[1:], " "))
		case s != nil && strings.HasPrefix(text, "+"):
			added = append(added, strings.TrimPrefix(text[1:], " "))
		case s != nil && strings.HasPrefix(text, "@ "):
			if shift, err = strconv.Atoi(text[2:]); err != nil {
				t.Fatalf("corpus.txt:%d: %v", n, err)
			}
		case s != nil && strings.HasPrefix(text, "! "):
			s.want = text[2:]
		default:
			t.Fatalf("corpus.txt:%d: not understood: %q", n, text)
		}
	}
	finish()
	return list
}

// Each file of the corpus is accepted by loader and schema, or refused by both
// with the fault it was made for, on the line it was made on.
func TestCorpus(t *testing.T) {
	data, err := os.ReadFile("testdata/whole.yaml")
	if err != nil {
		t.Fatal(err)
	}
	whole := strings.TrimSuffix(string(data), "\n")
	schema := compileSchema(t)
	shelves := map[string][]byte{"shelf/yard.yaml": []byte(yardShelf)}
	if _, err := LoadText("whole.yaml", data, shelves); err != nil || !schemaAccepts(t, schema, data) {
		t.Fatalf("the whole file is not good: %v", err)
	}
	corpus := readCorpus(t, whole)
	names := map[string]bool{}
	good, bad := 0, 0
	for _, s := range corpus {
		if names[s.name] {
			t.Errorf("corpus.txt:%d: a second file %q", s.line, s.name)
		}
		names[s.name] = true
		text := strings.TrimPrefix(strings.Replace("\n"+whole+"\n", "\n"+s.old+"\n", "\n"+s.new+"\n", 1), "\n")
		if s.new == "" {
			text = strings.TrimPrefix(strings.Replace("\n"+whole+"\n", "\n"+s.old+"\n", "\n", 1), "\n")
		}
		_, err := LoadText("f.yaml", []byte(text), shelves)
		bySchema := schemaAccepts(t, schema, []byte(text))
		if s.good {
			good++
			if err != nil || !bySchema {
				t.Errorf("corpus.txt:%d: %s: loader says %v, schema accepts: %v", s.line, s.name, err, bySchema)
			}
			continue
		}
		bad++
		if err == nil {
			t.Errorf("corpus.txt:%d: %s: the loader accepts it", s.line, s.name)
			continue
		}
		want := fmt.Sprintf("f.yaml:%d: %s", s.at, s.want)
		if !strings.Contains("\n"+err.Error(), "\n"+want) {
			t.Errorf("corpus.txt:%d: %s: want\n%s\ngot\n%v", s.line, s.name, want, err)
		}
		if bySchema != s.alone {
			t.Errorf("corpus.txt:%d: %s: schema accepts: %v", s.line, s.name, bySchema)
		}
	}
	if good < 40 || bad < 160 {
		t.Errorf("%d good and %d bad files", good, bad)
	}
}
