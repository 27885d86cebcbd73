package launch

import (
	"embed"
	"io/fs"
)

//go:embed page
var page embed.FS

// Pages returns the page around the browser bench.
func Pages() fs.FS {
	sub, err := fs.Sub(page, "page")
	if err != nil {
		panic(err) // the folder is embedded
	}
	return sub
}
