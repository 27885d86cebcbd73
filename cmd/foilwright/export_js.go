package main

import (
	"fmt"
	"syscall/js"
)

// export hands a file to the trainee as a download of the page.
func export(name string, data []byte) (err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("the browser did not take the file: %v", r)
		}
	}()
	bytes := js.Global().Get("Uint8Array").New(len(data))
	js.CopyBytesToJS(bytes, data)
	blob := js.Global().Get("Blob").New([]any{bytes}, map[string]any{"type": "application/x-ndjson"})
	url := js.Global().Get("URL").Call("createObjectURL", blob)
	link := js.Global().Get("document").Call("createElement", "a")
	link.Set("href", url)
	link.Set("download", name)
	link.Call("click")
	js.Global().Get("URL").Call("revokeObjectURL", url)
	return nil
}
