package main

import (
	"encoding/json"
	"syscall/js"

	"foilwright/sim/grade"
)

// finished tells the page how an attempt was judged, where the page wants to
// know: a learning management system does.
func finished(s *grade.Sheet) {
	tell := js.Global().Get("foilwrightFinished")
	if tell.Type() != js.TypeFunction {
		return
	}
	text, err := json.Marshal(map[string]any{"technique": s.Technique, "passed": s.Passed})
	if err != nil {
		return // plain values always encode
	}
	tell.Invoke(string(text))
}
