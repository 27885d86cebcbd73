// Foilwright-desk is the tool of instructors and assessors: one program that needs no display and no C compiler.
//
// Each subcommand lives in its own file, which registers it in an init function. Results go to standard output,
// everything else to standard error; an error is one line that starts with "foilwright-desk: ", followed by one
// "hint: " line where there is a next step.
package main

import (
	"cmp"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"slices"
)

// Exit codes of the program. Scripts rely on them; help prints them.
const (
	exitDone   = 0 // the work was done and nothing was found wrong
	exitFailed = 1 // what was checked failed, or the work could not be done
	exitUsage  = 2 // the command line was not understood
	exitInput  = 3 // an input could not be read: missing, damaged, or of an unknown version
)

// command is one row of the table of subcommands.
type command struct {
	name    string
	args    string // arguments as help shows them
	summary string // one line
	more    string // further help, after the flags; may be empty
	// run does the work. It parses args with the set it is given, whose usage text comes from this row.
	run func(set *flag.FlagSet, args []string, streams streams) error
}

// streams are what a subcommand reads and writes.
type streams struct {
	in       io.Reader
	out, err io.Writer
}

// failure is an error with the next step for the user and the exit code it leads to. Any other error exits 1, and has
// no hint.
type failure struct {
	reason error
	hint   string
	code   int
}

func (f *failure) Error() string { return f.reason.Error() }
func (f *failure) Unwrap() error { return f.reason }

// usageError reports a command line that was not understood.
func usageError(format string, values ...any) error {
	return &failure{reason: fmt.Errorf(format, values...), code: exitUsage}
}

var commands []command

// register adds a row to the table of subcommands.
func register(c command) { commands = append(commands, c) }

func main() {
	os.Exit(run(os.Args[1:], streams{in: os.Stdin, out: os.Stdout, err: os.Stderr}))
}

// run carries out one command line and returns the exit code.
func run(args []string, s streams) int {
	if len(args) == 0 {
		writeHelp(s.err)
		return exitUsage
	}
	name := args[0]
	if name == "help" || name == "-h" || name == "-help" || name == "--help" {
		if len(args) == 1 {
			writeHelp(s.out)
			return exitDone
		}
		name, args = args[1], []string{args[1], "-h"}
	}
	at := slices.IndexFunc(commands, func(c command) bool { return c.name == name })
	if at < 0 {
		return report(s.err, &failure{
			reason: fmt.Errorf("no subcommand %q", name), hint: "foilwright-desk help lists them", code: exitUsage,
		})
	}
	c := commands[at]
	set := flag.NewFlagSet(c.name, flag.ContinueOnError)
	set.SetOutput(io.Discard)
	set.Usage = func() {}
	err := c.run(set, args[1:], s)
	if errors.Is(err, flag.ErrHelp) {
		writeUsage(s.out, c, set)
		return exitDone
	}
	return report(s.err, err)
}

// report prints an error and its hint, and returns the exit code.
func report(w io.Writer, err error) int {
	if err == nil {
		return exitDone
	}
	fmt.Fprintf(w, "foilwright-desk: %v\n", err)
	var f *failure
	if !errors.As(err, &f) {
		return exitFailed
	}
	if f.hint != "" {
		fmt.Fprintf(w, "hint: %s\n", f.hint)
	}
	return cmp.Or(f.code, exitFailed)
}

// parse reads the flags of a subcommand and returns the remaining arguments, of which there must be least to most;
// most < 0 means any number. Flags may stand before, between or after arguments.
func parse(set *flag.FlagSet, args []string, least, most int) ([]string, error) {
	var rest []string
	for {
		if err := set.Parse(args); err != nil {
			if errors.Is(err, flag.ErrHelp) {
				return nil, err
			}
			return nil, &failure{reason: err, hint: "foilwright-desk help " + set.Name(), code: exitUsage}
		}
		if set.NArg() == 0 {
			break
		}
		rest, args = append(rest, set.Arg(0)), set.Args()[1:]
	}
	if len(rest) < least || most >= 0 && len(rest) > most {
		return nil, &failure{
			reason: fmt.Errorf("%s: %d arguments given, expected %s", set.Name(), len(rest), expected(least, most)),
			hint:   "foilwright-desk help " + set.Name(), code: exitUsage,
		}
	}
	return rest, nil
}

func expected(least, most int) string {
	switch {
	case most < 0:
		return fmt.Sprintf("at least %d", least)
	case least == most:
		return fmt.Sprintf("%d", least)
	}
	return fmt.Sprintf("%d to %d", least, most)
}

func writeHelp(w io.Writer) {
	fmt.Fprint(w, "foilwright-desk: exercises, attempts and classes of the Foilwright bench\n\n")
	sorted := slices.SortedFunc(slices.Values(commands), func(a, b command) int { return cmp.Compare(a.name, b.name) })
	for _, c := range sorted {
		fmt.Fprintf(w, "  %-10s %s\n", c.name, c.summary)
	}
	fmt.Fprint(w, `
foilwright-desk help NAME tells the arguments of one of them.

Exit codes: 0 done, nothing wrong; 1 what was checked failed, or it could not be done;
            2 command line not understood; 3 an input is missing, damaged or of an unknown version.
`)
}

func writeUsage(w io.Writer, c command, set *flag.FlagSet) {
	fmt.Fprintf(w, "foilwright-desk %s %s\n%s\n", c.name, c.args, c.summary)
	set.SetOutput(w)
	set.PrintDefaults()
	if c.more != "" {
		fmt.Fprintf(w, "\n%s", c.more)
	}
}
