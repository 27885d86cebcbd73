package scenarios

import (
	"io/fs"
	"path"

	"foilwright/sim/bench"
)

// Text is an exercise as it stands in its files. It is whole in itself, so
// that it can be kept and read again when the files have changed or are gone.
type Text struct {
	Source  string            `json:"source"`
	Shelves map[string]string `json:"shelves,omitempty"` // by the names the exercise gives them
}

// Load reads the exercise; name is used in errors.
func (t Text) Load(name string) (*bench.Exercise, error) {
	return load(name, []byte(t.Source), func(shelf string) ([]byte, error) {
		if text, there := t.Shelves[shelf]; there {
			return []byte(text), nil
		}
		return nil, fs.ErrNotExist
	})
}

// ReadText is LoadFile that also returns the text it read.
func ReadText(folder fs.FS, name, shown string) (*bench.Exercise, Text, error) {
	data, err := fs.ReadFile(folder, name)
	if err != nil {
		return nil, Text{}, err
	}
	t := Text{Source: string(data), Shelves: map[string]string{}}
	e, err := load(shown, data, func(shelf string) ([]byte, error) {
		text, err := fs.ReadFile(folder, path.Join(path.Dir(name), shelf))
		if err == nil {
			t.Shelves[shelf] = string(text)
		}
		return text, err
	})
	return e, t, err
}

// TextOf returns the text of a shipped exercise.
func TextOf(id string) (Text, error) {
	data, shelves, err := ShippedText(id)
	if err != nil {
		return Text{}, err
	}
	t := Text{Source: string(data), Shelves: map[string]string{}}
	for name, text := range shelves {
		t.Shelves[name] = string(text)
	}
	return t, nil
}
