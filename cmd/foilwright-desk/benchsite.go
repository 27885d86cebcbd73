package main

import (
	"bytes"
	"compress/gzip"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"foilwright/assets"
	"foilwright/internal/launch"
	"foilwright/internal/webbench"
)

// builtIn is the bench for browsers where it was put into the program: the
// packed program and its loader. A build with the tag onebinary fills it in.
var builtIn fs.FS

// benchSite is the bench for browsers: from a folder, from inside this
// program, or built from source where this is run in the repository.
func benchSite(ctx context.Context, folder string, out io.Writer) (*webbench.Site, error) {
	switch {
	case folder != "":
		content, err := os.ReadFile(filepath.Join(folder, webbench.ProgramName))
		if err != nil {
			return nil, inputError(err, "the folder must hold "+webbench.ProgramName+" and "+webbench.LoaderName)
		}
		loader, err := os.ReadFile(filepath.Join(folder, webbench.LoaderName))
		if err != nil {
			return nil, inputError(err, "copy it from the lib/wasm folder of the Go that built the program")
		}
		_, packed, err := launch.Packed(filepath.Join(folder, webbench.ProgramName), out)
		if err != nil {
			return nil, err
		}
		return site(content, packed, loader)
	case builtIn != nil:
		packed, err := fs.ReadFile(builtIn, webbench.ProgramName+".gz")
		if err != nil {
			return nil, err
		}
		loader, err := fs.ReadFile(builtIn, webbench.LoaderName)
		if err != nil {
			return nil, err
		}
		unpack, err := gzip.NewReader(bytes.NewReader(packed))
		if err != nil {
			return nil, err
		}
		content, err := io.ReadAll(unpack)
		if err != nil {
			return nil, err
		}
		return site(content, packed, loader)
	}
	module, err := launch.FindModule(".")
	if err != nil {
		return nil, &failure{reason: errors.New("this program has no bench for browsers built in, and is not run in its repository"),
			hint: "name a folder with -bench, or build the program with: make desk"}
	}
	tool, err := launch.FindToolchain(ctx, module)
	if err != nil {
		return nil, err
	}
	program, err := launch.BuildBrowser(ctx, tool, module, out)
	if err != nil {
		return nil, err
	}
	content, packed, err := launch.Packed(program, out)
	if err != nil {
		return nil, err
	}
	return launch.Site(tool, assets.Web(), content, packed)
}

func site(content, packed, loader []byte) (*webbench.Site, error) {
	files, err := webbench.PageFiles(assets.Web())
	if err != nil {
		return nil, fmt.Errorf("the page of the bench: %w", err)
	}
	return webbench.NewSite(append(files,
		webbench.File{Name: webbench.LoaderName, Content: loader},
		webbench.File{Name: webbench.ProgramName, Content: content, Gzip: packed})...)
}
