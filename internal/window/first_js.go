package window

import "syscall/js"

// firstFrame tells the page that the bench can be seen.
func firstFrame() {
	js.Global().Get("performance").Call("mark", "first-frame")
}
