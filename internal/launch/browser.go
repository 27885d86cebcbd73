package launch

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"

	"foilwright/internal/webbench"
)

// Site joins the page's files, the compiled program with its packed form, and the loader of the Go version that
// compiled it.
func Site(tool Toolchain, pages fs.FS, content, packed []byte) (*webbench.Site, error) {
	loader, err := os.ReadFile(filepath.Join(tool.Root, "lib", "wasm", webbench.LoaderName))
	if err != nil {
		return nil, fmt.Errorf("the Go distribution's loader for browsers is missing: %w", err)
	}
	files, err := webbench.PageFiles(pages)
	if err != nil {
		return nil, err
	}
	return webbench.NewSite(append(files,
		webbench.File{Name: webbench.LoaderName, Content: loader},
		webbench.File{Name: webbench.ProgramName, Content: content, Gzip: packed})...)
}

// errNoBrowser says that nothing on this machine opens an address.
var errNoBrowser = errors.New("no browser can be opened from here")

// OpenBrowser asks the desktop to show an address. It does not wait for the browser to end, and answers with an error
// where there is no desktop to ask.
func OpenBrowser(tool Toolchain, address string) error {
	var candidates [][]string
	switch tool.OS {
	case "windows":
		candidates = [][]string{{"rundll32", "url.dll,FileProtocolHandler"}}
	case "darwin":
		candidates = [][]string{{"open"}}
	default:
		if os.Getenv("DISPLAY") == "" && os.Getenv("WAYLAND_DISPLAY") == "" {
			return errNoBrowser
		}
		candidates = [][]string{{"xdg-open"}, {"sensible-browser"}, {"x-www-browser"}}
	}
	for _, c := range candidates {
		path, err := exec.LookPath(c[0])
		if err != nil {
			continue
		}
		cmd := exec.Command(path, append(c[1:], address)...)
		if err := cmd.Start(); err != nil {
			continue
		}
		go cmd.Wait() // only to let the system forget the process
		return nil
	}
	return errNoBrowser
}
