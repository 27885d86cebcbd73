// Command write makes the template of the translators anew from the code.
package main

import (
	"fmt"
	"os"
	"path/filepath"

	"foilwright/internal/archtest"
	"foilwright/internal/say/gather"
)

func main() {
	if err := write(); err != nil {
		fmt.Fprintln(os.Stderr, "write:", err)
		os.Exit(1)
	}
}

func write() error {
	root, err := archtest.FindRoot(".")
	if err != nil {
		return err
	}
	found, err := gather.Read(root)
	if err != nil {
		return err
	}
	for _, f := range found.Faults {
		fmt.Fprintln(os.Stderr, f)
	}
	return os.WriteFile(filepath.Join(root, gather.TemplateFile), []byte(gather.Template(found.Entries)), 0o644)
}
