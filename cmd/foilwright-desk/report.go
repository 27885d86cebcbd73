package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime/debug"
	"strings"
	"time"

	pages "foilwright/internal/report"
	"foilwright/sim/explain"
	"foilwright/sim/grade"
)

func init() {
	register(command{
		name: "report", args: "LOG [-html FILE] [-pdf FILE] [-csv FILE] [-json FILE] [-exercise FILE] [-trainee NAME] [-date YYYY-MM-DD]",
		summary: "replay the log of an attempt, grade and explain it, and write it down for people or programs",
		run:     reportAttempt,
	})
}

// target is one file to be written.
type target struct {
	flag, file string
	write      func(*pages.Report, io.Writer) error
}

func reportAttempt(set *flag.FlagSet, args []string, s streams) error {
	targets := []*target{
		{flag: "html", write: (*pages.Report).HTML},
		{flag: "pdf", write: (*pages.Report).PDF},
		{flag: "csv", write: (*pages.Report).CSV},
		{flag: "json", write: (*pages.Report).JSON},
	}
	told := map[string]string{
		"html": "page for a browser and for printing", "pdf": "A4 pages", "csv": "one row for each reading", "json": "everything, for other programs",
	}
	for _, t := range targets {
		set.StringVar(&t.file, t.flag, "", told[t.flag])
	}
	exercise := ofExercise(set)
	trainee := set.String("trainee", "", "name to print in place of the one in the log")
	date := set.String("date", "", "date of the report; today if none is given")
	rest, err := parse(set, args, 1, 1)
	if err != nil {
		return err
	}
	var wanted []*target
	for _, t := range targets {
		if t.file != "" {
			wanted = append(wanted, t)
		}
	}
	if len(wanted) == 0 {
		return &failure{reason: errors.New("report: nothing to write"), hint: "name at least one of -html, -pdf, -csv and -json", code: exitUsage}
	}
	if *date == "" {
		*date = time.Now().Format(time.DateOnly)
	} else if _, err := time.Parse(time.DateOnly, *date); err != nil {
		return usageError("report: date %q: expected the form 2026-03-09", *date)
	}
	if err := checkTargets(rest[0], *exercise, wanted); err != nil {
		return err
	}
	p, err := readAttempt(rest[0], *exercise, *trainee, *date, s)
	if err != nil {
		return err
	}
	for _, t := range wanted {
		if err := t.save(p); err != nil {
			return err
		}
		fmt.Fprintln(s.out, t.file)
	}
	return nil
}

// checkTargets refuses to write over the log, the exercise, or one report over
// another.
func checkTargets(log, exercise string, wanted []*target) error {
	taken := []struct{ what, file string }{{"the log", log}}
	if exercise != "" {
		taken = append(taken, struct{ what, file string }{"the exercise", exercise})
	}
	for _, t := range wanted {
		for _, other := range taken {
			if sameFile(t.file, other.file) {
				return &failure{
					reason: fmt.Errorf("report: -%s %s is %s", t.flag, t.file, other.what),
					hint:   "give the report a file of its own", code: exitUsage,
				}
			}
		}
		taken = append(taken, struct{ what, file string }{"the file of -" + t.flag, t.file})
	}
	return nil
}

// sameFile tells whether two names lead to one file, which may not exist yet.
func sameFile(a, b string) bool {
	x, errA := os.Stat(a)
	y, errB := os.Stat(b)
	if errA == nil && errB == nil {
		return os.SameFile(x, y)
	}
	absA, errA := filepath.Abs(a)
	absB, errB := filepath.Abs(b)
	return errA == nil && errB == nil && absA == absB
}

// readAttempt replays a log, grades and explains it.
func readAttempt(name, exercise, trainee, date string, s streams) (*pages.Report, error) {
	data, err := readFile(name, s)
	if err != nil {
		return nil, err
	}
	s.in = bytes.NewReader(data) // for a log from standard input, which cannot be read twice
	r, err := replay(name, exercise, s)
	if err != nil {
		return nil, err
	}
	if trainee == "" {
		trainee = r.log.Header.Trainee
	}
	sum := sha256.Sum256(data)
	return pages.New(pages.Given{
		Trainee: trainee, Date: date, Program: programVersion(), Log: filepath.Base(name), LogDigest: hex.EncodeToString(sum[:]),
	}, r.record, grade.Grade(r.record), explain.Explain(r.record)), nil
}

// save writes the report beside its place first, so that a report that fails
// half-way leaves an older one as it was.
func (t *target) save(p *pages.Report) (err error) {
	fail := func(err error) error {
		return &failure{reason: fmt.Errorf("report: -%s %s cannot be written: %w", t.flag, t.file, err), hint: "name a file in a folder you may write to"}
	}
	if info, err := os.Stat(t.file); err == nil && !info.Mode().IsRegular() {
		return fail(errors.New("it is there already and is no plain file"))
	}
	draft, err := os.CreateTemp(filepath.Dir(t.file), ".report-*")
	if err != nil {
		return fail(err)
	}
	defer func() {
		if err != nil {
			_ = draft.Close()
			_ = os.Remove(draft.Name())
		}
	}()
	if err := t.write(p, draft); err != nil {
		return fail(err)
	}
	// Readable as any other file would be; drafts are kept private.
	if err := draft.Chmod(0o644); err != nil {
		return fail(err)
	}
	if err := draft.Close(); err != nil {
		return fail(err)
	}
	if err := os.Rename(draft.Name(), t.file); err != nil {
		return fail(err)
	}
	return nil
}

// programVersion is what the build says of itself.
func programVersion() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "unknown build"
	}
	version := strings.Trim(info.Main.Version, "()")
	if version == "devel" || version == "" {
		version = "development"
	}
	for _, s := range info.Settings {
		if s.Key == "vcs.revision" && len(s.Value) >= 10 && !strings.Contains(version, s.Value[:10]) {
			version += " " + s.Value[:10]
		}
	}
	return version
}
