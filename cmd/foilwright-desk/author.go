package main

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"image/png"
	"io"
	"os"
	"path/filepath"
	"strings"

	"foilwright/internal/authoring"
	"foilwright/internal/screens"
	"foilwright/internal/store"
	"foilwright/scenarios"
)

func init() {
	register(command{
		name: "new-exercise", args: "FILE [-from EXERCISE] [-id ID] [-title TITLE]",
		summary: "write an exercise to start from: a shipped one, comments included, with an id and title of its own",
		run:     newExercise,
	})
	register(command{
		name: "preview", args: "EXERCISE -out FOLDER [-seed N] [-size WxH]",
		summary: "draw what a trainee will see of an exercise: its card, the job sheet, and the bench with each piece",
		run:     preview,
	})
	register(command{
		name: "pack", args: "FOLDER -out PACK.zip -id ID -title TITLE -author NAME",
		summary: "make one file of the exercises in a folder, to be given to others; foilwright-desk check reads it too",
		run:     makePack,
	})
	register(command{
		name: "coverage", args: "[EXERCISE...] [-json]",
		summary: "tell which checks and which influences each exercise brings into play; exit 1 when one is brought by none",
		run:     coverage,
	})
}

func newExercise(set *flag.FlagSet, args []string, s streams) error {
	from := set.String("from", "painted-panel", "shipped exercise to start from")
	id := set.String("id", "", "id of the new exercise; the file's name if none is given")
	title := set.String("title", "", "title of the new exercise")
	names, err := parse(set, args, 1, 1)
	if err != nil {
		return err
	}
	file := names[0]
	if !scenarios.IsFile(file) {
		return usageError("new-exercise: %s: name a file that ends in .yaml", file)
	}
	if *id == "" {
		*id = strings.TrimSuffix(filepath.Base(file), filepath.Ext(file))
	}
	if *title == "" {
		*title = "New exercise " + *id
	}
	text, shelves, err := authoring.New(*from, *id, *title)
	if err != nil {
		return inputError(err, "foilwright-desk help new-exercise")
	}
	if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
		return err
	}
	if err := writeNew(file, text); err != nil {
		return err
	}
	fmt.Fprintln(s.out, file)
	if len(shelves) > 0 {
		shelves[scenarios.ShelfSchemaName] = scenarios.ShelfSchema()
	}
	shelves[scenarios.SchemaName] = scenarios.Schema() // the file's first line names it, for editors
	for name, shelf := range shelves {
		beside := filepath.Join(filepath.Dir(file), filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(beside), 0o755); err != nil {
			return err
		}
		if _, err := os.Stat(beside); err == nil {
			continue // the author's own, or written with an exercise before
		}
		if err := writeNew(beside, shelf); err != nil {
			return err
		}
		fmt.Fprintln(s.out, beside)
	}
	fmt.Fprintf(s.out, "change it, then: foilwright-desk check -play 20 %s\n", file)
	return nil
}

func makePack(set *flag.FlagSet, args []string, s streams) error {
	out := set.String("out", "", "file for the pack, which must not exist yet")
	id := set.String("id", "", "id of the pack")
	title := set.String("title", "", "its title")
	author := set.String("author", "", "who made it")
	names, err := parse(set, args, 1, 1)
	if err != nil {
		return err
	}
	for _, f := range []struct{ name, value string }{{"out", *out}, {"id", *id}, {"title", *title}, {"author", *author}} {
		if strings.TrimSpace(f.value) == "" {
			return usageError("pack: -%s is missing", f.name)
		}
	}
	folder, err := os.OpenRoot(names[0])
	if err != nil {
		return inputError(err, "name a folder of exercises")
	}
	defer func() { _ = folder.Close() }()
	data, p, err := scenarios.MakePack(folder.FS(), *out, *id, *title, *author)
	if err != nil {
		return inputError(err, "foilwright-desk check "+names[0])
	}
	if err := writeNew(*out, data); err != nil {
		return err
	}
	fmt.Fprintf(s.out, "%s: %d exercises, %d bytes, digest %s\n", *out, len(p.Exercises), len(data), p.Digest)
	return nil
}

func coverage(set *flag.FlagSet, args []string, s streams) error {
	asJSON := set.Bool("json", false, "print JSON")
	seed := set.Uint64("seed", 1, "seed of the attempts")
	names, err := parse(set, args, 0, -1)
	if err != nil {
		return err
	}
	exercises, err := exercisesNamed(names, s)
	if err != nil {
		return err
	}
	var list []*authoring.Coverage
	for i, e := range exercises {
		fmt.Fprintf(s.err, "\r%d of %d exercises", i, len(exercises))
		c, err := authoring.Cover(e, *seed)
		if err != nil {
			return fmt.Errorf("exercise %s: %w", e.ID, err)
		}
		list = append(list, c)
	}
	fmt.Fprintf(s.err, "\r%d of %d exercises\n", len(exercises), len(exercises))
	if *asJSON {
		return writeJSON(s.out, list)
	}
	lacking := writeCoverage(s.out, list)
	if len(lacking) > 0 && len(names) == 0 {
		return &failure{reason: errors.New("brought by fewer than two exercises: " + strings.Join(lacking, ", ")), code: exitFailed}
	}
	return nil
}

// writeCoverage prints a row for each check and influence and a column for
// each exercise, and returns those that fewer than two exercises bring.
func writeCoverage(w io.Writer, list []*authoring.Coverage) (lacking []string) {
	for i, c := range list {
		fmt.Fprintf(w, "%3d  %-28s %2d checks, %2d influences\n", i+1, c.Exercise, len(c.Checks), len(c.Influences))
	}
	checks, influences := authoring.CoverageNames()
	rows := func(what string, names []string, of func(*authoring.Coverage) []string) {
		fmt.Fprintf(w, "\n%-24s", what)
		for i := range list {
			fmt.Fprintf(w, "%3d", i+1)
		}
		fmt.Fprintln(w, "   in all")
		for _, name := range names {
			fmt.Fprintf(w, "%-24s", name)
			n := 0
			for _, c := range list {
				mark := "  ."
				for _, x := range of(c) {
					if x == name {
						mark = "  +"
						n++
					}
				}
				fmt.Fprint(w, mark)
			}
			fmt.Fprintf(w, "   %d\n", n)
			if n < 2 {
				lacking = append(lacking, name)
			}
		}
	}
	rows("check", checks, func(c *authoring.Coverage) []string { return c.Checks })
	rows("influence", influences, func(c *authoring.Coverage) []string { return c.Influences })
	return lacking
}

func preview(set *flag.FlagSet, args []string, s streams) error {
	out := set.String("out", "", "folder for the pictures, which is made if it is not there")
	seed := set.Uint64("seed", 1, "seed of the attempt shown")
	size := set.String("size", "1280x800", "size of the pictures, WIDTHxHEIGHT")
	names, err := parse(set, args, 1, 1)
	if err != nil {
		return err
	}
	if *out == "" {
		return usageError("preview: name a folder with -out")
	}
	var w, h int
	if _, err := fmt.Sscanf(*size, "%dx%d", &w, &h); err != nil || w < 320 || h < 240 || w > 8000 || h > 8000 {
		return usageError("preview: -size %q: expected such as 1280x800", *size)
	}
	e, err := findExercise(names[0], s)
	if err != nil {
		return err
	}
	kept, err := os.MkdirTemp("", "foilwright-preview-*")
	if err != nil {
		return err
	}
	defer func() { _ = os.RemoveAll(kept) }()
	st, err := store.Open(kept)
	if err != nil {
		return err
	}
	pages, err := screens.Preview(e, *seed, st, w, h)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(*out, 0o755); err != nil {
		return err
	}
	for _, p := range pages {
		var picture bytes.Buffer
		if err := png.Encode(&picture, p.Image); err != nil {
			return err
		}
		file := filepath.Join(*out, p.Name+".png")
		// A preview is made again and again; the pictures of the last one go.
		if err := os.WriteFile(file, picture.Bytes(), 0o644); err != nil {
			return err
		}
		fmt.Fprintln(s.out, file)
	}
	return nil
}
