package scenarios

import (
	"encoding/json"
	"testing"
	"testing/fstest"
)

// What was kept of an exercise makes the same exercise again.
func TestATextIsTheExercise(t *testing.T) {
	for _, e := range Shipped() {
		text, err := TextOf(e.ID)
		if err != nil {
			t.Fatal(err)
		}
		kept, err := json.Marshal(text)
		if err != nil {
			t.Fatal(err)
		}
		var again Text
		if err := json.Unmarshal(kept, &again); err != nil {
			t.Fatal(err)
		}
		if got, err := again.Load(e.ID); err != nil || got.Digest != e.Digest {
			t.Errorf("%s: %v", e.ID, err)
		}
		folder := fstest.MapFS{"set/own.yaml": {Data: []byte(text.Source)}}
		for name, shelf := range text.Shelves {
			folder["set/"+name] = &fstest.MapFile{Data: []byte(shelf)}
		}
		read, fromFile, err := ReadText(folder, "set/own.yaml", "own.yaml")
		if err != nil || read.Digest != e.Digest || fromFile.Source != text.Source || len(fromFile.Shelves) != len(text.Shelves) {
			t.Errorf("%s from files: %v", e.ID, err)
		}
		if len(text.Shelves) > 0 {
			if _, err := (Text{Source: text.Source}).Load(e.ID); err == nil {
				t.Errorf("%s loads without the shelves it takes from", e.ID)
			}
		}
	}
}
