package archtest

import (
	"fmt"
	"go/ast"
	"go/token"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// The README's first two commands, word for word: people copy them, and a bare machine is tried with them.
const (
	startCommand = "go run ./cmd/foilwright-desk start"
	testCommand  = "sh .ci/test"
)

var (
	fence     = regexp.MustCompile("(?ms)^```[a-z]*\n(.*?)^```$")
	link      = regexp.MustCompile(`\]\(([^()\s]+)(?:\s+"[^"]*")?\)`)
	deskCall  = regexp.MustCompile(`(?m)^(?:go run \./cmd/|\./|)foilwright-desk ([a-z][a-z0-9-]*)`)
	goVersion = regexp.MustCompile(`(?m)^go (\d+\.\d+)`)
)

// CheckReadme finds promises of the README that the repository does not keep.
func CheckReadme(t *Tree) ([]Finding, error) {
	const name = "README.md"
	content, err := os.ReadFile(filepath.Join(t.Root, name))
	if err != nil {
		return nil, err
	}
	text := string(content)
	var found []Finding
	add := func(at int, what, why string) {
		found = append(found, Finding{name, 1 + strings.Count(text[:at], "\n"), what, why})
	}
	var commands []string
	subcommands := deskSubcommands(t)
	for _, block := range fence.FindAllStringSubmatchIndex(text, -1) {
		inside := text[block[2]:block[3]]
		commands = append(commands, strings.Split(strings.TrimSpace(inside), "\n")...)
		for _, call := range deskCall.FindAllStringSubmatchIndex(inside, -1) {
			if sub := inside[call[2]:call[3]]; sub != "help" && !slices.Contains(subcommands, sub) {
				add(block[2]+call[0], "shows foilwright-desk "+sub, "the desk has no such subcommand")
			}
		}
	}
	for i, want := range []string{startCommand, testCommand} {
		if len(commands) <= i || commands[i] != want {
			add(0, fmt.Sprintf("command number %d is not %q", i+1, want), "these two are promised to work on a bare machine")
		}
	}
	for _, needed := range []string{"cmd/foilwright-desk/main.go", ".ci/test"} {
		if _, err := os.Stat(filepath.Join(t.Root, needed)); err != nil {
			add(0, "names a command without "+needed, "its two commands must exist")
		}
	}
	mod, err := os.ReadFile(filepath.Join(t.Root, "go.mod"))
	if err != nil {
		return nil, err
	}
	version := goVersion.FindStringSubmatch(string(mod))
	if version == nil {
		return nil, fmt.Errorf("go.mod has no go line")
	}
	if !strings.Contains(text, version[1]) {
		add(0, "does not name Go "+version[1], "go.mod asks for that version")
	}
	return found, nil
}

// deskSubcommands returns the names in the desk's table of subcommands.
func deskSubcommands(t *Tree) []string {
	var names []string
	for _, file := range t.Files {
		if file.Dir != "cmd/foilwright-desk" || file.Test {
			continue
		}
		ast.Inspect(file.Syntax, func(n ast.Node) bool {
			row, ok := n.(*ast.CompositeLit)
			if !ok {
				return true
			}
			if kind, ok := row.Type.(*ast.Ident); !ok || kind.Name != "command" {
				return true
			}
			for _, element := range row.Elts {
				pair, ok := element.(*ast.KeyValueExpr)
				if !ok {
					continue
				}
				key, isName := pair.Key.(*ast.Ident)
				value, isText := pair.Value.(*ast.BasicLit)
				if isName && isText && key.Name == "name" && value.Kind == token.STRING {
					if name, err := strconv.Unquote(value.Value); err == nil {
						names = append(names, name)
					}
				}
			}
			return true
		})
	}
	return names
}

// CheckLinks finds links of Markdown files to files of the repository that are not there.
func CheckLinks(root string) ([]Finding, error) {
	var found []Finding
	err := eachFile(root, func(file string, content []byte) {
		if path.Ext(file) != ".md" {
			return
		}
		text := string(content)
		for _, m := range link.FindAllStringSubmatchIndex(text, -1) {
			target := text[m[2]:m[3]]
			if strings.Contains(target, "://") || strings.HasPrefix(target, "#") || strings.HasPrefix(target, "mailto:") {
				continue
			}
			target, _, _ = strings.Cut(target, "#")
			if _, err := os.Stat(filepath.Join(root, filepath.FromSlash(path.Join(path.Dir(file), target)))); err != nil {
				found = append(found, Finding{file, 1 + strings.Count(text[:m[0]], "\n"), "links to " + target, "there is no such file"})
			}
		}
	})
	return found, err
}

// CheckModule finds lines of go.mod that break an installation from elsewhere.
func CheckModule(root string) ([]Finding, error) {
	content, err := os.ReadFile(filepath.Join(root, "go.mod"))
	if err != nil {
		return nil, err
	}
	var found []Finding
	for i, line := range strings.Split(string(content), "\n") {
		for _, word := range []string{"replace", "exclude"} {
			if strings.HasPrefix(strings.TrimSpace(line), word) {
				found = append(found, Finding{"go.mod", i + 1, "has a " + word + " directive",
					"it does not hold for who imports or installs this module, so they build something else"})
			}
		}
	}
	return found, nil
}
