package main

import (
	"encoding/json"
	"syscall/js"

	"foilwright/scenarios"
	"foilwright/sim/bench"
)

// given returns the exercise that the page brings along, as a course package
// of somebody's own exercise does; nil where it brings none.
func given() (*bench.Exercise, error) {
	brought := js.Global().Get("foilwrightExercise")
	if brought.Type() != js.TypeObject {
		return nil, nil
	}
	var text scenarios.Text
	if err := json.Unmarshal([]byte(js.Global().Get("JSON").Call("stringify", brought).String()), &text); err != nil {
		return nil, err
	}
	return text.Load("exercise.yaml")
}
