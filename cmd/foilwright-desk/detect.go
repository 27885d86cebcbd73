package main

import (
	"flag"
	"fmt"
	"io"
	"strings"

	"foilwright/internal/detection"
	"foilwright/scenarios"
	"foilwright/sim/bench"
)

// What detection has to reach.
const (
	leastSingle = 0.99
	leastPairs  = 0.95
	mostFalse   = 0.01
)

func init() {
	register(command{
		name: "detect", args: "[EXERCISE...] [-seeds N] [-json]",
		summary: "play a population with planted faults and tell how many are found; exit 1 when too few are, or too many false alarms",
		run:     detect,
	})
}

func detect(set *flag.FlagSet, args []string, s streams) error {
	plan := detection.Plan{Levels: true}
	set.IntVar(&plan.Seeds, "seeds", 20, "worlds for each exercise")
	set.Uint64Var(&plan.FirstSeed, "first", 1, "first seed")
	set.IntVar(&plan.Competent, "competent", 20, "competent attempts in each world")
	set.IntVar(&plan.Pairs, "pairs", 40, "attempts with two planted faults in each world")
	misses := set.Bool("misses", false, "print every attempt that did not come out as planted")
	asJSON := set.Bool("json", false, "print JSON")
	names, err := parse(set, args, 0, -1)
	if err != nil {
		return err
	}
	if plan.Seeds < 1 || plan.Competent < 0 || plan.Pairs < 0 {
		return usageError("detect: -seeds must be at least 1, -competent and -pairs at least 0")
	}
	plan.Exercises, err = exercisesNamed(names, s)
	if err != nil {
		return err
	}
	plan.Progress = percentOn(s.err, "worlds")
	t, err := detection.Measure(plan)
	if err != nil {
		return err
	}
	if *asJSON {
		err = writeJSON(s.out, t)
	} else {
		writeTable(s.out, t, *misses)
	}
	if err != nil {
		return err
	}
	for _, r := range t.Rows {
		if r.Single.Of > 0 && r.Single.Share() < leastSingle {
			return &failure{reason: fmt.Errorf("%s was found in %d of %d attempts, less than %.0f %%", r.Check, r.Single.Count, r.Single.Of, 100*leastSingle)}
		}
	}
	switch {
	case t.Pairs.Of > 0 && t.Pairs.Share() < leastPairs:
		return &failure{reason: fmt.Errorf("%.1f %% of the faults in pairs were found, less than %.0f %%", 100*t.Pairs.Share(), 100*leastPairs)}
	case t.Competent.Share() > mostFalse:
		return &failure{reason: fmt.Errorf("%.1f %% of competent attempts have findings, more than %.0f %%", 100*t.Competent.Share(), 100*mostFalse)}
	}
	return nil
}

// exercisesNamed returns the named exercises, all shipped ones without names.
func exercisesNamed(names []string, s streams) ([]*bench.Exercise, error) {
	if len(names) == 0 {
		return scenarios.Shipped(), nil
	}
	var list []*bench.Exercise
	for _, n := range names {
		e, err := findExercise(n, s)
		if err != nil {
			return nil, err
		}
		list = append(list, e)
	}
	return list, nil
}

func rate(r detection.Rate) string {
	if r.Of == 0 {
		return fmt.Sprintf("%-24s", "-")
	}
	return fmt.Sprintf("%4d of %4d [%.3f-%.3f]", r.Count, r.Of, r.Low, r.High)
}

func writeTable(w io.Writer, t *detection.Table, misses bool) {
	fmt.Fprintf(w, "%-22s  %-27s %-27s %-27s %s\n", "check", "planted alone: found", "and nothing else", "planted in a pair: found", "false alarms, competent")
	for _, r := range t.Rows {
		fmt.Fprintf(w, "%-22s  %-27s %-27s %-27s %s\n", r.Check, rate(r.Single), rate(r.Alone), rate(r.InPair), rate(r.False))
	}
	fmt.Fprintf(w, "\nin brackets: Wilson intervals at 95 %%\n")
	fmt.Fprintf(w, "single faults found          %s\n", rate(t.Single))
	fmt.Fprintf(w, "faults in pairs found        %s\n", rate(t.Pairs))
	fmt.Fprintf(w, "competent with any finding   %s\n", rate(t.Competent))
	fmt.Fprintf(w, "competent within U           %s\n", rate(t.Within))
	fmt.Fprintf(w, "competent with right verdict %s\n", rate(t.Right))
	for _, l := range t.Levels {
		fmt.Fprintf(w, "%-12s %4d attempts, mean technique %5.1f", l.Name, l.Attempts, l.MeanScore)
		if l.AreaToNext > 0 {
			fmt.Fprintf(w, ", area under ROC to the next level %.3f", l.AreaToNext)
		}
		fmt.Fprintln(w)
	}
	for _, h := range t.Hardness {
		if h.Seeds > 1 && h.Attempts > 1 {
			fmt.Fprintf(w, "%-18s competent |error|/U: mean %.2f, easiest seed %.2f, hardest %.2f; part that comes with the seed %.2f; least distance of the true mean from the limit %.1f U\n",
				h.Exercise, h.MeanErrorU, h.EasiestU, h.HardestU, h.OfSeed, h.LeastMarginU)
		}
	}
	if misses {
		for _, m := range t.Misses {
			fmt.Fprintf(w, "%s seed %d hand %d: planted %s, found %s\n", m.Exercise, m.Seed, m.Hand, strings.Join(m.Planted, ","), strings.Join(m.Found, ","))
		}
	}
}
