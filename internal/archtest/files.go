package archtest

import (
	"bufio"
	"bytes"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"unicode/utf8"
)

// sizeLimit is the largest file the repository may hold, in bytes.
const sizeLimit = 1 << 20

// eachFile reads every file of the repository but git's own and build output.
func eachFile(root string, look func(file string, content []byte)) error {
	err := filepath.WalkDir(root, func(name string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		relative, err := filepath.Rel(root, name)
		if err != nil {
			return err
		}
		if relative == ".git" || relative == "build" {
			if entry.IsDir() {
				return filepath.SkipDir
			}
			return nil // .git is a file in a worktree
		}
		if !entry.Type().IsRegular() || strings.HasSuffix(name, ".test") || strings.HasSuffix(name, ".prof") {
			return nil
		}
		content, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		look(filepath.ToSlash(relative), content)
		return nil
	})
	if err != nil {
		return fmt.Errorf("reading the repository: %w", err)
	}
	return nil
}

// CheckSizes finds files too large for a repository that people clone over slow lines.
func CheckSizes(root string) ([]Finding, error) {
	var found []Finding
	err := eachFile(root, func(file string, content []byte) {
		if len(content) > sizeLimit {
			found = append(found, Finding{file, 0, fmt.Sprintf("is %.1f MB large", float64(len(content))/1e6),
				"no file may be above 1 MB; make it from source, or keep it outside"})
		}
	})
	return found, err
}

// CheckWords finds words that must not stand in the repository, in any case, in text files and file names.
func CheckWords(root string, words []string) ([]Finding, error) {
	var found []Finding
	err := eachFile(root, func(file string, content []byte) {
		for _, word := range words {
			if strings.Contains(strings.ToLower(file), strings.ToLower(word)) {
				found = append(found, Finding{file, 0, "is named with the word " + word, "it is on the list of words to keep out"})
			}
		}
		if !utf8.Valid(content) {
			return
		}
		lines := bufio.NewScanner(bytes.NewReader(content))
		lines.Buffer(nil, len(content)+1)
		for n := 1; lines.Scan(); n++ {
			lower := strings.ToLower(lines.Text())
			for _, word := range words {
				if strings.Contains(lower, strings.ToLower(word)) {
					found = append(found, Finding{file, n, "has the word " + word, "it is on the list of words to keep out"})
				}
			}
		}
	})
	return found, err
}
