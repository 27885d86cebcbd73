// Package assets holds the files that go with the program: the page that loads the bench in a browser. Fonts come with
// the Go fonts' own module, see internal/paint.
//
// Beside the page a server must offer foilwright.wasm, the program built for js/wasm, and wasm_exec.js from the toolchain that
// built it; both are made by the build and are not kept here. If foilwright.wasm is sent packed, the header X-Unpacked-Length
// lets the progress bar be exact.
package assets

import (
	"embed"
	"io/fs"
)

//go:embed web
var web embed.FS

// Web is the page's folder: index.html, load.js and icon.svg.
func Web() fs.FS {
	sub, err := fs.Sub(web, "web")
	if err != nil {
		panic("assets: " + err.Error()) // the folder is embedded, so this cannot be
	}
	return sub
}
