package browsertest

// Finger makes the page one that is touched.
func (p *Page) Finger() {
	p.Helper()
	p.ask("Emulation.setTouchEmulationEnabled", map[string]any{"enabled": true, "maxTouchPoints": 5}, nil)
}

// Touch puts a finger down and returns what lifts it.
func (p *Page) Touch(x, y float64) (lift func()) {
	p.Helper()
	p.ask("Input.dispatchTouchEvent", map[string]any{"type": "touchStart", "touchPoints": []map[string]any{{"x": x, "y": y, "id": 1}}}, nil)
	return func() {
		p.Helper()
		p.ask("Input.dispatchTouchEvent", map[string]any{"type": "touchEnd", "touchPoints": []any{}}, nil)
	}
}

// Insert writes a text, as the keyboard on a touched screen does.
func (p *Page) Insert(text string) {
	p.Helper()
	p.ask("Input.insertText", map[string]any{"text": text}, nil)
}
