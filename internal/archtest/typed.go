package archtest

import (
	"errors"
	"fmt"
	"go/ast"
	"go/build"
	"go/parser"
	"go/token"
	"go/types"
	"maps"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"unicode"
)

// TypedPackage is one package of the repository with the types of its expressions, test files left out.
type TypedPackage struct {
	Dir   string
	Files []*ast.File
	Lines *token.FileSet
	Info  *types.Info
}

// loader type-checks from source, all in this process: packages of the repository in full, everything else by its
// declarations only. The standard library is read from the Go installation, modules from the module cache.
type loader struct {
	root     string
	lines    *token.FileSet
	context  build.Context
	versions map[string]string // of the modules in go.mod
	done     map[string]*types.Package
	own      map[string]*TypedPackage
}

// LoadTyped type-checks the packages of the repository in the folders below dirs.
func LoadTyped(t *Tree, dirs ...string) ([]*TypedPackage, error) {
	l := &loader{
		root: t.Root, lines: token.NewFileSet(), context: build.Default,
		done: map[string]*types.Package{}, own: map[string]*TypedPackage{},
	}
	// The choice of platform only picks files, and sim has none of its own for any platform.
	l.context.GOOS, l.context.GOARCH, l.context.CgoEnabled = "linux", "amd64", false
	if l.context.GOROOT == "" {
		return nil, errors.New("GOROOT is not known; go test sets it")
	}
	mod, err := os.ReadFile(filepath.Join(t.Root, "go.mod"))
	if err != nil {
		return nil, err
	}
	l.versions = requirements(string(mod))
	folders := map[string]bool{}
	for _, file := range t.Files {
		if !file.Test && slices.ContainsFunc(dirs, func(dir string) bool { return under(file.Dir, dir) }) {
			folders[file.Dir] = true
		}
	}
	var packages []*TypedPackage
	for _, folder := range slices.Sorted(maps.Keys(folders)) {
		if _, err := l.Import(modulePath + "/" + folder); err != nil {
			return nil, err
		}
		packages = append(packages, l.own[folder])
	}
	return packages, nil
}

var requirement = regexp.MustCompile(`(?m)^\s*(?:require\s+)?([a-z0-9.-]+\.[a-z]+/\S+) (v\S+)`)

// requirements reads the versions of modules from go.mod.
func requirements(mod string) map[string]string {
	versions := map[string]string{}
	for _, m := range requirement.FindAllStringSubmatch(mod, -1) {
		versions[m[1]] = m[2]
	}
	return versions
}

// folderOf returns where an import's source is.
func (l *loader) folderOf(importPath string) (string, error) {
	if own, ok := ownFolder(importPath); ok {
		return filepath.Join(l.root, filepath.FromSlash(own)), nil
	}
	for _, base := range []string{"src", "src/vendor"} {
		dir := filepath.Join(l.context.GOROOT, filepath.FromSlash(base), filepath.FromSlash(importPath))
		if about, err := os.Stat(dir); err == nil && about.IsDir() {
			return dir, nil
		}
	}
	for module := importPath; module != "."; module = path.Dir(module) {
		if version, ok := l.versions[module]; ok {
			inside := strings.TrimPrefix(importPath, module)
			return filepath.Join(moduleCache(), filepath.FromSlash(escapeUpper(module)+"@"+escapeUpper(version)+inside)), nil
		}
	}
	return "", fmt.Errorf("no source for import %q", importPath)
}

func moduleCache() string {
	if dir := os.Getenv("GOMODCACHE"); dir != "" {
		return dir
	}
	return filepath.Join(filepath.SplitList(build.Default.GOPATH)[0], "pkg", "mod")
}

// escapeUpper writes a module path as the module cache does, which must also live on disks that ignore case.
func escapeUpper(s string) string {
	var out strings.Builder
	for _, r := range s {
		if unicode.IsUpper(r) {
			out.WriteByte('!')
			r = unicode.ToLower(r)
		}
		out.WriteRune(r)
	}
	return out.String()
}

// Import implements types.Importer.
func (l *loader) Import(importPath string) (*types.Package, error) {
	if importPath == "unsafe" {
		return types.Unsafe, nil
	}
	if p, ok := l.done[importPath]; ok {
		if p == nil {
			return nil, fmt.Errorf("import cycle through %s", importPath)
		}
		return p, nil
	}
	l.done[importPath] = nil
	dir, err := l.folderOf(importPath)
	if err != nil {
		return nil, err
	}
	about, err := l.context.ImportDir(dir, 0)
	if err != nil {
		return nil, fmt.Errorf("package %s: %w", importPath, err)
	}
	own, isOwn := ownFolder(importPath)
	mode := parser.SkipObjectResolution
	if isOwn {
		mode |= parser.ParseComments
	}
	var files []*ast.File
	for _, name := range about.GoFiles {
		// Positions of our own files are given from the root of the repository.
		shown := filepath.Join(dir, name)
		content, err := os.ReadFile(shown)
		if err != nil {
			return nil, err
		}
		if isOwn {
			shown = path.Join(own, name)
		}
		file, err := parser.ParseFile(l.lines, shown, content, mode)
		if err != nil {
			return nil, err
		}
		files = append(files, file)
	}
	var faults []error
	config := types.Config{
		Importer: l, FakeImportC: true, IgnoreFuncBodies: !isOwn, Sizes: types.SizesFor("gc", "amd64"),
		Error: func(err error) { faults = append(faults, err) },
	}
	info := &types.Info{
		Types: map[ast.Expr]types.TypeAndValue{},
		Uses:  map[*ast.Ident]types.Object{},
		Defs:  map[*ast.Ident]types.Object{},
	}
	// The error is in faults too; what matters is decided below.
	p, _ := config.Check(importPath, l.lines, files, info)
	if isOwn && len(faults) > 0 {
		return nil, fmt.Errorf("package %s does not compile: %w", importPath, errors.Join(faults...))
	}
	l.done[importPath] = p
	if isOwn {
		l.own[own] = &TypedPackage{Dir: own, Files: files, Lines: l.lines, Info: info}
	}
	return p, nil
}
