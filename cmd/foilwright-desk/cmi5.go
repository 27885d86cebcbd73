package main

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"os"
	"path/filepath"

	"foilwright/internal/class/cmi5"
	"foilwright/scenarios"
	"foilwright/sim/bench"
)

func init() {
	register(command{
		name: "cmi5", args: "EXERCISE|FILE.yaml|PACK/ID -out FILE.zip [-bench FOLDER]",
		summary: "one exercise, shipped, of a pack or your own, with the bench for browsers, as a course package for learning management systems",
		run:     coursePackage,
	})
}

func coursePackage(set *flag.FlagSet, args []string, s streams) error {
	out := set.String("out", "", "file to write; it must not be there yet")
	folder := set.String("bench", "", "folder with foilwright.wasm and wasm_exec.js; empty: the built-in ones, or built from source")
	rest, err := parse(set, args, 1, 1)
	if err != nil {
		return err
	}
	if *out == "" {
		return usageError("cmi5: name the file with -out")
	}
	e, err := findExercise(rest[0], s)
	if err != nil {
		return err
	}
	own, err := ownText(rest[0], e)
	if err != nil {
		return err
	}
	site, err := benchSite(context.Background(), *folder, os.Stderr)
	if err != nil {
		return err
	}
	var data bytes.Buffer
	if err := cmi5.Write(&data, e, own, site.Files()); err != nil {
		return err
	}
	if err := cmi5.Validate(data.Bytes()); err != nil {
		return err
	}
	if err := writeNew(*out, data.Bytes()); err != nil {
		return err
	}
	fmt.Fprintln(s.out, *out)
	return nil
}

// ownText returns the text of an exercise in a file or a pack; nil for one that
// comes with the bench.
func ownText(name string, e *bench.Exercise) (*scenarios.Text, error) {
	if shipped, err := scenarios.ByID(e.ID); err == nil && shipped.Digest == e.Digest {
		return nil, nil
	}
	if pack, id, ok := inPack(name); ok {
		_, text, err := fromPack(pack, id)
		return text, err
	}
	if !scenarios.IsFile(name) {
		return nil, inputError(fmt.Errorf("%s: a package is made of an exercise in a file or a pack", name), "give its .yaml file, or PACK.zip/ID; the shelves it takes from must be there too")
	}
	folder, err := os.OpenRoot(filepath.Dir(name))
	if err != nil {
		return nil, inputError(err, "check the name and that you may read the folder")
	}
	defer func() { _ = folder.Close() }()
	_, text, err := scenarios.ReadText(folder.FS(), filepath.Base(name), name)
	return &text, err
}
