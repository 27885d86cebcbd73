package main

import (
	"flag"
	"fmt"
	"io"
	"math"

	"foilwright/sim/explain"
	"foilwright/sim/grade"
)

func init() {
	register(command{
		name: "explain", args: "LOG [-exercise FILE] [-readings] [-json]",
		summary: "share out the error of an attempt to its causes, micrometre by micrometre",
		run:     explainLog,
	})
}

func explainLog(set *flag.FlagSet, args []string, s streams) error {
	readings := set.Bool("readings", false, "explain every single reading as well")
	asJSON := set.Bool("json", false, "print JSON, readings included")
	r, err := oneLog(set, args, s)
	if err != nil {
		return err
	}
	e := explain.ExplainWith(r.record, explain.Options{Progress: percentOn(s.err, "replays")})
	e.Absolve(grade.Grade(r.record).Blamed())
	if *asJSON {
		return writeJSON(s.out, e)
	}
	writeExplanation(s.out, e, *readings)
	return nil
}

// percentOn tells on w how far a long piece of work is, at each whole per cent
// and nothing when it is short.
func percentOn(w io.Writer, what string) func(done, total int) {
	last := -1
	return func(done, total int) {
		if total < 4096 && what == "replays" || total == 0 {
			return
		}
		if now := 100 * done / total; now != last {
			last = now
			fmt.Fprintf(w, "\r%3d %% of %d %s", now, total, what)
			if done == total {
				fmt.Fprintln(w)
			}
		}
	}
}

func writeExplanation(w io.Writer, e *explain.Explanation, readings bool) {
	if !e.Reported {
		fmt.Fprintln(w, "Nothing was reported, so there is no mean to explain.")
	} else {
		fmt.Fprintf(w, "Reported mean %.1f µm, true mean over the area %.2f µm: error %+.2f µm\n\n", e.ReportedUm, e.TrueUm, e.Mean.TotalUm)
		writeShares(w, e.Mean, e.Exact)
		writeCauses(w, e.Mean)
		writeVerdict(w, e.Verdict)
	}
	way := fmt.Sprintf("exact: every combination of %d influences replayed", len(e.Players))
	if !e.Exact {
		way = fmt.Sprintf("sampled: %d replays of %d influences", e.Replays, len(e.Players))
	}
	fmt.Fprintf(w, "\nShapley values, %s.\n", way)
	if readings {
		writeReadings(w, e.Readings)
	}
}

func writeShares(w io.Writer, b explain.Breakdown, exact bool) {
	for _, s := range b.Shares {
		fmt.Fprintf(w, "  %-29s %+9.3f µm", s.Name, s.Um)
		if !exact {
			fmt.Fprintf(w, " ± %.3f", s.StdErrUm)
		}
		fmt.Fprintf(w, "   without it %7.2f µm\n", s.WithoutUm)
	}
	fmt.Fprintf(w, "  %-29s %+9.3f µm\n  %-29s %+9.3f µm\n", "left with all ideal", b.RemainderUm, "together", b.TotalUm)
}

// writeCauses puts the shares that matter into sentences.
func writeCauses(w io.Writer, b explain.Breakdown) {
	for _, s := range b.Shares {
		if math.Abs(s.Um) < 0.05 {
			continue
		}
		fmt.Fprintf(w, "\n%s, %+.1f µm\n  %s\n  %s\n  %s\n", s.Name, s.Um, s.Cause, s.WhatIf, s.Advice+s.Rest)
		if len(s.Entries) > 0 {
			fmt.Fprintf(w, "  It came in at entries %s.\n", numbers(s.Entries))
		}
	}
}

func writeVerdict(w io.Writer, v *explain.Verdict) {
	fmt.Fprintf(w, "\nVerdict given %s, by the rule %s, by the truth %s.\n", v.Given, v.ByRule, v.True)
	for _, f := range v.Flips {
		fmt.Fprintf(w, "  Without %q alone the rule would have said otherwise.\n", f.Name)
	}
	for i, f := range v.MustAll {
		if i == 0 {
			fmt.Fprintln(w, "  No single influence changes it; these together put it right:")
		}
		fmt.Fprintf(w, "    %s\n", f.Name)
	}
}

func writeReadings(w io.Writer, readings []explain.Reading) {
	fmt.Fprintln(w, "\nReadings")
	for _, r := range readings {
		fmt.Fprintf(w, "entry %d, %s, spot %d: %.1f µm, true %.2f µm, error %+.2f µm\n", r.Entry, r.Mode, r.Spot, r.ShownUm, r.TrueUm, r.TotalUm)
		for _, s := range r.Shares {
			fmt.Fprintf(w, "    %-29s %+9.3f µm\n", s.Name, s.Um)
		}
	}
}
