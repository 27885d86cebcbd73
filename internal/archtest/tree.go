// Package archtest keeps the rules of this code base as tests, each with its reason: which way imports go, what the
// replayed path must not do, what the README promises.
//
// Everything is read and parsed in this process. A test that asks "go list" instead can be answered from the test
// cache after the code has changed, because the cache only sees files that the test itself opened.
//
// The lints here read source; whether a compiled program holds a fused multiply-add is checked on the program itself,
// by .ci/test.
package archtest

import (
	"cmp"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

// modulePath is the name of this module in import paths.
const modulePath = "foilwright"

// Finding is one breach of a rule.
type Finding struct {
	File string // slash-separated, from the root of the repository
	Line int    // 0 for the whole file
	What string
	Why  string
}

func (f Finding) String() string {
	at := f.File
	if f.Line > 0 {
		at += ":" + strconv.Itoa(f.Line)
	}
	return fmt.Sprintf("%s: %s; %s", at, f.What, f.Why)
}

// SortFindings orders findings by file and line.
func SortFindings(found []Finding) {
	slices.SortFunc(found, func(a, b Finding) int {
		return cmp.Or(cmp.Compare(a.File, b.File), cmp.Compare(a.Line, b.Line), cmp.Compare(a.What, b.What))
	})
}

// Source is one Go file of the repository.
type Source struct {
	File   string // slash-separated, from the root
	Dir    string // its folder; "." at the root
	Test   bool
	Syntax *ast.File
	Lines  *token.FileSet
}

// line tells where something stands.
func (s Source) line(at token.Pos) int { return s.Lines.Position(at).Line }

// Tree is the source of one repository.
type Tree struct {
	Root  string
	Files []Source
}

// skipped are folders that hold no source of ours.
func skipped(name string) bool {
	return name == "build" || name == "testdata" || strings.HasPrefix(name, ".") || strings.HasPrefix(name, "_")
}

// ReadTree parses every Go file below root.
func ReadTree(root string) (*Tree, error) {
	t := &Tree{Root: root}
	lines := token.NewFileSet()
	err := filepath.WalkDir(root, func(name string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if entry.IsDir() {
			if name != root && skipped(entry.Name()) {
				return filepath.SkipDir
			}
			return nil
		}
		if filepath.Ext(name) != ".go" {
			return nil
		}
		relative, err := filepath.Rel(root, name)
		if err != nil {
			return err
		}
		relative = filepath.ToSlash(relative)
		content, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		syntax, err := parser.ParseFile(lines, relative, content, parser.ParseComments|parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		t.Files = append(t.Files, Source{
			File: relative, Dir: path.Dir(relative), Test: strings.HasSuffix(relative, "_test.go"),
			Syntax: syntax, Lines: lines,
		})
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("reading the source: %w", err)
	}
	return t, nil
}

// FindRoot returns the folder above dir that holds this module's go.mod.
func FindRoot(dir string) (string, error) {
	dir, err := filepath.Abs(dir)
	if err != nil {
		return "", err
	}
	for at := dir; ; at = filepath.Dir(at) {
		content, err := os.ReadFile(filepath.Join(at, "go.mod"))
		if err == nil && strings.Contains("\n"+string(content), "\nmodule "+modulePath+"\n") {
			return at, nil
		}
		if at == filepath.Dir(at) {
			return "", fmt.Errorf("no go.mod of module %s above %s", modulePath, dir)
		}
	}
}

// under reports whether a folder is dir or lies below it.
func under(folder, dir string) bool { return folder == dir || strings.HasPrefix(folder, dir+"/") }

// importPath returns what an import names.
func importPath(spec *ast.ImportSpec) string {
	p, err := strconv.Unquote(spec.Path.Value)
	if err != nil {
		return spec.Path.Value
	}
	return p
}

// ownFolder returns the folder of an import of this module; false for anything else.
func ownFolder(importPath string) (string, bool) {
	if importPath == modulePath {
		return ".", true
	}
	return strings.CutPrefix(importPath, modulePath+"/")
}
