// Package display says in plain words when there is no display, before the window library panics over it. That library
// looks for the display while packages are initialised, so this package does the same and must stay free of imports
// that would be initialised later: Go initialises packages whose imports are ready in the order of their paths.
package display

import (
	"os"
	"runtime"
)

func init() {
	switch runtime.GOOS {
	case "linux", "freebsd", "openbsd", "netbsd":
		if os.Getenv("DISPLAY") != "" {
			return
		}
		os.Stderr.WriteString("foilwright: there is no display to open a window on: DISPLAY is not set; " +
			"start it from a desktop session, or run foilwright-desk start to use the bench in a browser\n")
		os.Exit(1)
	}
}
