package main

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"os"

	"foilwright/internal/class/cmi5"
	"foilwright/scenarios"
)

func init() {
	register(command{
		name: "cmi5", args: "EXERCISE -out FILE.zip [-bench FOLDER]",
		summary: "one shipped exercise, with the bench for browsers, as a course package for learning management systems",
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
	if own, err := scenarios.ByID(e.ID); err != nil || own.Digest != e.Digest {
		return inputError(fmt.Errorf("%s is no shipped exercise", rest[0]), "the bench in a package knows its own exercises only")
	}
	site, err := benchSite(context.Background(), *folder, os.Stderr)
	if err != nil {
		return err
	}
	var data bytes.Buffer
	if err := cmi5.Write(&data, e, site.Files()); err != nil {
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
