// Package store keeps attempts and settings: in a folder on a desktop, in the
// browser's own storage in a browser.
//
// The log of an attempt is only ever appended to. Every Append hands the line
// to the system before it returns, so that a killed program loses at most the
// line in flight; Sync also asks the disk, against a failing machine.
package store

import (
	"errors"
	"fmt"
	"strings"
)

// ErrExists is returned by Create for a name that is taken.
var ErrExists = errors.New("an attempt of that name exists already")

// checkName refuses names that could leave the store.
func checkName(name string) error {
	ok := name != "" && len(name) <= 120 && !strings.HasPrefix(name, ".")
	for _, r := range name {
		ok = ok && (r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '-' || r == '_' || r == '.')
	}
	if !ok {
		return fmt.Errorf("name %q: use letters, digits, hyphens, dots and underscores, at most 120", name)
	}
	return nil
}
