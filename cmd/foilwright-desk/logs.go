package main

import (
	"bytes"
	"errors"
	"flag"
	"fmt"

	"foilwright/sim/bench"
)

func init() {
	register(command{
		name: "verify-log", args: "LOG [-exercise FILE] [-json]",
		summary: "replay a log and print its digest; exit 3 when it is damaged or replays differently",
		run:     verifyLog,
	})
	register(command{
		name: "mend", args: "LOG -out NEW",
		summary: "copy a log whose last line was cut off up to its last whole line; the log itself is left as it is",
		run:     mend,
	})
}

func verifyLog(set *flag.FlagSet, args []string, s streams) error {
	asJSON := set.Bool("json", false, "print JSON")
	r, err := oneLog(set, args, s)
	if err != nil {
		return err
	}
	if !*asJSON {
		fmt.Fprintln(s.out, "the chain is whole and every event replays as it was seen")
	}
	return tellPlayed(r.record, s.out, *asJSON)
}

func mend(set *flag.FlagSet, args []string, s streams) error {
	out := set.String("out", "", "file for the mended copy, which must not exist yet")
	names, err := parse(set, args, 1, 1)
	if err != nil {
		return err
	}
	if *out == "" {
		return usageError("mend: name the mended copy with -out")
	}
	data, err := readFile(names[0], s)
	if err != nil {
		return err
	}
	l, err := bench.ReadLog(names[0], bytes.NewReader(data))
	var d *bench.LogError
	switch {
	case err == nil:
		fmt.Fprintf(s.out, "%s is whole, %d entries: there is nothing to mend, and nothing was written\n", names[0], len(l.Entries))
		return nil
	case !errors.As(err, &d) || !d.Torn:
		return inputError(err, "only a cut-off last line can be mended")
	}
	if err := writeNew(*out, data[:l.Whole]); err != nil {
		return err
	}
	fmt.Fprintf(s.out, "%s: %d whole entries copied, %d bytes of a cut-off line left out; %s is as it was\n", *out, len(l.Entries), int64(len(data))-l.Whole, names[0])
	return nil
}
