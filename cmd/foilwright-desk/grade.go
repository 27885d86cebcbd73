package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"strings"

	"foilwright/sim/grade"
)

func init() {
	register(command{
		name: "grade", args: "LOG [-exercise FILE] [-must-pass] [-json]",
		summary: "mark an attempt: technique with its evidence, and the result apart from it",
		run:     gradeLog,
	})
}

func gradeLog(set *flag.FlagSet, args []string, s streams) error {
	mustPass := set.Bool("must-pass", false, "exit 1 when the attempt does not pass")
	asJSON := set.Bool("json", false, "print JSON")
	r, err := oneLog(set, args, s)
	if err != nil {
		return err
	}
	sheet := grade.Grade(r.record)
	if *asJSON {
		err = writeJSON(s.out, sheet)
	} else {
		writeSheet(s.out, sheet, r)
	}
	if err == nil && *mustPass && !sheet.Passed {
		return &failure{reason: errors.New("the attempt does not pass"), code: exitFailed}
	}
	return err
}

func writeSheet(w io.Writer, s *grade.Sheet, r *replayed) {
	fmt.Fprintf(w, "%s, seed %d, %d entries\n", r.record.World.Exercise.Title, r.log.Header.Seed, len(r.record.Entries))
	if !s.Finished {
		fmt.Fprintln(w, "The attempt was not finished.")
	}
	fmt.Fprintf(w, "\nTechnique %.0f of 100\n", s.Technique)
	for _, g := range s.Groups {
		fmt.Fprintf(w, "  %-23s %4.1f of %2.0f\n", g.Group, g.Score, g.Weight)
	}
	if s.Capped {
		fmt.Fprintln(w, "  held at 49: there is a critical finding")
	}
	writeFindings(w, s.Findings)
	writeResult(w, s)
	writeLimits(w, s.Limits)
	fmt.Fprintln(w)
	verdict := "NOT PASSED"
	if s.Passed {
		verdict = "PASSED"
	}
	fmt.Fprintln(w, verdict)
	for _, line := range s.Why {
		fmt.Fprintf(w, "  %s\n", line)
	}
	fmt.Fprintln(w, "\nPractice on a simulated bench; it certifies nobody.")
}

func writeFindings(w io.Writer, findings []grade.Finding) {
	if len(findings) == 0 {
		fmt.Fprintln(w, "\nNo findings.")
		return
	}
	fmt.Fprintln(w, "\nFindings")
	for i, f := range findings {
		fmt.Fprintf(w, "%3d  %s: %s (%s), %.1f points", i+1, f.Severity, f.Name, f.Check, f.Points)
		if f.CostUm > 0.05 || f.CostUm < -0.05 {
			fmt.Fprintf(w, ", changed the mean by %+.1f µm", f.CostUm)
		}
		fmt.Fprintf(w, "\n     %s\n     %s\n", f.What, f.Do)
		if len(f.Entries) > 0 {
			fmt.Fprintf(w, "     entries %s; source: %s\n", numbers(f.Entries), f.Source)
		}
		for _, x := range f.Followed {
			fmt.Fprintf(w, "     followed from it: %s (%s)\n", x.What, x.Check)
		}
	}
}

func writeResult(w io.Writer, s *grade.Sheet) {
	r := s.Result
	if r == nil {
		fmt.Fprintln(w, "\nNo result was reported.")
		return
	}
	fmt.Fprintf(w, "\nResult\n  reported %.1f µm, true mean %.1f µm, error %+.1f µm\n", r.ReportedUm, r.TrueUm, r.ErrorUm)
	fmt.Fprintf(w, "  expanded uncertainty ±%.1f µm (95 %%, k = %.2f)\n", r.ExpandedUm, r.Coverage)
	for _, b := range r.Budget {
		fmt.Fprintf(w, "    %-28s %.3f µm  %s\n", b.Name, b.Contribution, b.Evaluation)
	}
	fmt.Fprintf(w, "  verdict given %s, by the rule %s, by the truth %s\n", r.Given, r.ByRule, r.True)
	writeGrounds(w, &r.Grounds)
	for _, c := range s.Consequences {
		fmt.Fprintf(w, "  %s\n", c.What)
	}
}

// writeGrounds tells which rules led to the verdict and by which limits.
func writeGrounds(w io.Writer, g *grade.Grounds) {
	fmt.Fprintf(w, "  acceptance  %s: %s (%s)\n  decision    %s\n  sampling    %s\n  accuracy    %s\n  edges       %s\n",
		g.Rule, g.Text, g.Source, g.Decision, g.Plan, g.Accuracy, g.Edge)
	for _, r := range g.Reasons {
		mark := "met    "
		if !r.Met {
			mark = "not met"
		}
		fmt.Fprintf(w, "    %s  %s\n", mark, r.Text)
	}
}

// writeLimits tells the thresholds the marking used, those of the exercise by
// name.
func writeLimits(w io.Writer, limits []grade.LimitUsed) {
	fmt.Fprintln(w, "\nThresholds used")
	usual := 0
	for _, l := range limits {
		if l.Usual {
			usual++
			continue
		}
		fmt.Fprintf(w, "  %-22s %g %s (set by the exercise; %s)\n", l.Key, l.Value, l.Unit, l.Text)
	}
	fmt.Fprintf(w, "  %d at their usual values; -json lists them\n", usual)
}

// numbers writes entry numbers, the first few of many.
func numbers(list []int) string {
	const most = 12
	var parts []string
	for i, n := range list {
		if i == most {
			parts = append(parts, fmt.Sprintf("and %d more", len(list)-most))
			break
		}
		parts = append(parts, fmt.Sprint(n))
	}
	return strings.Join(parts, ", ")
}
