package archtest

import (
	"os"
	"strings"
	"testing"
)

// tree reads the repository this test belongs to.
func tree(t *testing.T) *Tree {
	t.Helper()
	root, err := FindRoot(".")
	if err != nil {
		t.Fatal(err)
	}
	tree, err := ReadTree(root)
	if err != nil {
		t.Fatal(err)
	}
	if len(tree.Files) < 20 {
		t.Fatalf("found %d Go files in %s; the rules are checked on nothing", len(tree.Files), root)
	}
	return tree
}

// report fails the test for each finding.
func report(t *testing.T, found []Finding, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
	SortFindings(found)
	for _, f := range found {
		t.Error(f)
	}
}

func TestImportDirections(t *testing.T) {
	report(t, CheckImports(tree(t), OffPath), nil)
}

func TestEverySimPackageHasADirection(t *testing.T) {
	report(t, CheckSimPackages(tree(t)), nil)
}

func TestDeskDoesNotLinkTheWindow(t *testing.T) {
	report(t, CheckDesk(tree(t)), nil)
}

// TestNumbers holds the rules by which a log gives the same bits on every machine.
func TestNumbers(t *testing.T) {
	tree := tree(t)
	packages, err := LoadTyped(tree, "sim")
	if err != nil {
		t.Fatal(err)
	}
	t.Run("machine, clock and chance", func(t *testing.T) {
		report(t, CheckPure(packages, OffPath), nil)
	})
	t.Run("products in sums", func(t *testing.T) {
		report(t, CheckFused(packages, OffPath), nil)
	})
	t.Run("exemptions are needed", func(t *testing.T) {
		all := append(CheckPure(packages, nil), CheckFused(packages, nil)...)
		all = append(all, CheckImports(tree, nil)...)
		report(t, OffPath.CheckExemptions(all), nil)
	})
}

func TestReadmePromises(t *testing.T) {
	found, err := CheckReadme(tree(t))
	report(t, found, err)
}

func TestLinksOfDocuments(t *testing.T) {
	found, err := CheckLinks(tree(t).Root)
	report(t, found, err)
}

func TestModuleFile(t *testing.T) {
	found, err := CheckModule(tree(t).Root)
	report(t, found, err)
}

func TestFileSizes(t *testing.T) {
	found, err := CheckSizes(tree(t).Root)
	report(t, found, err)
}

// TestWordsToKeepOut looks for the words in the file that FOILWRIGHT_WORDS names, one to a line. The list is kept
// outside the repository, which would otherwise hold every word of it.
func TestWordsToKeepOut(t *testing.T) {
	list := os.Getenv("FOILWRIGHT_WORDS")
	if list == "" {
		t.Skip("FOILWRIGHT_WORDS names no list")
	}
	content, err := os.ReadFile(list)
	if err != nil {
		t.Fatal(err)
	}
	var words []string
	for line := range strings.Lines(string(content)) {
		if word := strings.TrimSpace(line); word != "" && word[0] != '#' {
			words = append(words, word)
		}
	}
	if len(words) == 0 {
		t.Fatalf("%s has no words", list)
	}
	found, err := CheckWords(tree(t).Root, words)
	report(t, found, err)
}
