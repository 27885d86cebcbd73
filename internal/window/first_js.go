package window

import (
	"runtime/debug"
	"syscall/js"
)

// firstFrame tells the page that the bench can be seen. The page has the
// collector of memory wait until then, which is here set back to what is usual.
func firstFrame() {
	debug.SetGCPercent(100)
	js.Global().Get("performance").Call("mark", "first-frame")
}
