package main

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"foilwright/internal/history"
	"foilwright/scenarios"
	"foilwright/sim/bench"
	"foilwright/sim/grade"
)

func init() {
	register(command{
		name: "history", args: "FOLDER [-trainee NAME] [-by-name] [-json]",
		summary: "follow trainees over the logs in a folder: mastery, learning curve, what to practise next and why",
		more: "Logs are files ending in .jsonl, taken in the order in which they were last written. A log that cannot be\n" +
			"graded is left out and named on standard error; the files are only ever read.\n",
		run: historyOf,
	})
}

// standingOf is one trainee's standing, as JSON gives it.
type standingOf struct {
	Trainee  string            `json:"trainee"`
	Standing *history.Standing `json:"standing"`
}

func historyOf(set *flag.FlagSet, args []string, s streams) error {
	trainee := set.String("trainee", "", "only this trainee")
	byName := set.Bool("by-name", false, "take the logs in the order of their names")
	asJSON := set.Bool("json", false, "print JSON")
	names, err := parse(set, args, 1, 1)
	if err != nil {
		return err
	}
	logs, err := logsIn(names[0], *byName)
	if err != nil {
		return err
	}
	attempts := gradeAll(logs, s)
	if len(attempts) == 0 {
		return inputError(fmt.Errorf("%s: no log could be graded", names[0]), "choose the folder that holds the .jsonl logs of attempts")
	}
	var offered []history.Exercise
	for _, e := range scenarios.Shipped() {
		offered = append(offered, history.Exercise{ID: e.ID, Title: e.Title, Skills: e.Skills, After: e.Prerequisites})
	}
	var list []standingOf
	for _, name := range traineesOf(attempts) {
		if *trainee != "" && name != *trainee {
			continue
		}
		st, err := history.Evaluate(history.OfTrainee(attempts, name), offered)
		if err != nil {
			return err
		}
		list = append(list, standingOf{name, st})
	}
	if len(list) == 0 {
		return inputError(fmt.Errorf("%s: no attempt of trainee %q", names[0], *trainee), "the logs are of: "+strings.Join(traineesOf(attempts), ", "))
	}
	if *asJSON {
		return writeJSON(s.out, list)
	}
	for i, x := range list {
		if i > 0 {
			fmt.Fprintln(s.out)
		}
		writeStanding(s.out, x)
	}
	return nil
}

// logFile is one log in a folder.
type logFile struct {
	name    string
	written time.Time
}

func logsIn(folder string, byName bool) ([]logFile, error) {
	entries, err := os.ReadDir(folder)
	if err != nil {
		return nil, inputError(err, "name a folder that you may read")
	}
	var list []logFile
	for _, e := range entries {
		if e.IsDir() || filepath.Ext(e.Name()) != ".jsonl" {
			continue
		}
		info, err := e.Info()
		if err != nil {
			return nil, inputError(err, "try again: the folder changed meanwhile")
		}
		list = append(list, logFile{filepath.Join(folder, e.Name()), info.ModTime()})
	}
	if !byName {
		slices.SortStableFunc(list, func(a, b logFile) int { return a.written.Compare(b.written) })
	}
	return list, nil
}

// gradeAll grades the logs in their order, preparing each exercise once.
func gradeAll(logs []logFile, s streams) []history.Attempt {
	worlds := map[string]*bench.World{}
	var list []history.Attempt
	for i, f := range logs {
		fmt.Fprintf(s.err, "\r%d of %d logs", i+1, len(logs))
		a, err := gradeOne(f, worlds, s)
		if err != nil {
			fmt.Fprintf(s.err, "\rleft out: %v\n", err)
			continue
		}
		list = append(list, a)
	}
	if len(logs) > 0 {
		fmt.Fprintln(s.err)
	}
	return list
}

func gradeOne(f logFile, worlds map[string]*bench.World, s streams) (history.Attempt, error) {
	var none history.Attempt
	data, err := readFile(f.name, s)
	if err != nil {
		return none, err
	}
	l, err := bench.ReadLog(f.name, bytes.NewReader(data))
	var d *bench.LogError
	if err != nil && !(errors.As(err, &d) && d.Torn) { // what a torn log holds is whole
		return none, err
	}
	first, ok := worlds[l.Header.Exercise]
	if !ok {
		e, err := findExercise(l.Header.Exercise, s)
		if err != nil {
			return none, fmt.Errorf("%s: %w", f.name, err)
		}
		if first, err = bench.NewWorld(e, l.Header.Seed); err != nil {
			return none, err
		}
		worlds[l.Header.Exercise] = first
	}
	b, err := bench.Replay(f.name, first.Reseed(l.Header.Seed), l)
	if err != nil {
		return none, err
	}
	sum := sha256.Sum256(data)
	return history.Of(history.Given{
		Trainee: l.Header.Trainee, Seed: l.Header.Seed, Date: f.written.UTC().Format(time.DateOnly), Log: hex.EncodeToString(sum[:]),
	}, grade.Grade(b.Record())), nil
}

// traineesOf lists the trainees by name.
func traineesOf(attempts []history.Attempt) []string {
	var names []string
	for _, a := range attempts {
		if !slices.Contains(names, a.Trainee) {
			names = append(names, a.Trainee)
		}
	}
	slices.Sort(names)
	return names
}

func writeStanding(w io.Writer, x standingOf) {
	st := x.Standing
	fmt.Fprintf(w, "%s: %d attempts that count, %d passed, %d left unfinished or without a result\n\n", cmp.Or(x.Trainee, "(no name)"), st.Attempts, st.Passed, st.Abandoned)
	fmt.Fprintf(w, "  %-24s %-15s %-10s %-19s %s\n", "skill", "stands as", "failed", "failure rate, 95 %", "successes in a row still needed")
	for _, k := range st.Skills {
		fmt.Fprintf(w, "  %-24s %-15s %3d of %3d  %5.1f to %5.1f %%    %d\n", k.Name, k.State, k.Failed, k.Tried, 100*k.Low, 100*k.High, k.ToGo)
	}
	if len(st.Curve) > 0 {
		fmt.Fprintf(w, "\n  %3s  %-10s  %-20s %9s  %-22s %9s\n", "no.", "written", "exercise", "technique", "mean of the last five", "|error|/U")
	}
	for _, p := range st.Curve {
		off, passed := "-", ""
		if p.OffBy != nil {
			off = fmt.Sprintf("%.2f", *p.OffBy)
		}
		if p.Passed {
			passed = "passed"
		}
		bar := strings.Repeat("#", int(p.Mean/6.25))
		fmt.Fprintf(w, "  %3d  %-10s  %-20.20s %9.0f  %-16s %5.0f %9s  %s\n", p.N, p.Date, p.Exercise, p.Technique, bar, p.Mean, off, passed)
	}
	fmt.Fprintf(w, "\n  Next: %s\n", st.Next.Why)
	fmt.Fprintln(w, "\nPractice on a simulated bench; it certifies nobody.")
}
