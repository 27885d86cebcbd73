//go:build onebinary

package main

import (
	"embed"
	"io/fs"
)

//go:embed onebinary
var onebinary embed.FS

func init() {
	sub, err := fs.Sub(onebinary, "onebinary")
	if err != nil {
		panic(err) // the folder is embedded
	}
	builtIn = sub
}
