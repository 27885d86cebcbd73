package main

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"io"
	"strings"

	"foilwright/internal/script"
	"foilwright/sim/bench"
	"foilwright/sim/grade"
	"foilwright/sim/trainee"
)

func init() {
	register(command{
		name: "play", args: "EXERCISE (-script FILE | -trainee WHO) [-seed N] [-out LOG] [-json]",
		summary: "play an attempt without a display, from an action script or by a scripted trainee; -trainee list names them",
		more:    scriptHelp, run: play,
	})
}

const scriptHelp = `Script: one action on a line; # begins a comment. A line may begin with a time:
+0.4s or +350ms after the action before, 12.5s since the attempt began. Without
one an action follows half a second after the one before.

  read-job | look-tip | wipe-tip | read-certificate FOIL
  place PIECE | look-piece | wipe-piece | demagnetise
  lay-foil FOIL | take-foil-away | smooth-foil | look-foil FOIL | wipe-foil FOIL
  begin-zero | store-zero
  begin-foil | set-foil-value 77.2 | store-foil        (µm)
  begin-verify | judge-verify good, or bad
  begin-measure | new-spot | delete-last REASON | clear-memory | reset-adjustment
  touch X Y [lift 40] [hold 800ms] [press 2] [tilt 0 [0]] [land 20] [slide 0]
                                 a whole reading (mm, N, degrees, mm/s)
  probe X Y up H [press N] [tilt X [Y]]                a single pose
  report 78.4 [less 25] accept, or reject | finish | wait
`

func play(set *flag.FlagSet, args []string, s streams) error {
	scriptFile := set.String("script", "", "action script to play; see internal/script for its words")
	who := set.String("trainee", "", "competent, a level of skill, or ids of faults to plant joined by commas; list prints them")
	seed := set.Uint64("seed", 1, "seed of the hidden truth")
	handSeed := set.Uint64("hand", 0, "seed of the scripted trainee's hands; 0: the seed")
	out := set.String("out", "", "file for the log, which must not exist yet; - for standard output")
	asJSON := set.Bool("json", false, "print JSON")
	names, err := parse(set, args, 0, 1)
	if err != nil {
		return err
	}
	if *who == "list" {
		return listFaults(s.out, *asJSON)
	}
	if len(names) != 1 || (*scriptFile == "") == (*who == "") {
		return &failure{reason: errors.New("play: name an exercise, and either -script or -trainee"), hint: "foilwright-desk help play", code: exitUsage}
	}
	e, err := findExercise(names[0], s)
	if err != nil {
		return err
	}
	w, err := bench.NewWorld(e, *seed)
	if err != nil {
		return err
	}
	var b *bench.Bench
	if *scriptFile != "" {
		b, err = playScript(w, *scriptFile, s)
	} else {
		if *handSeed == 0 {
			*handSeed = *seed
		}
		b, err = playTrainee(w, *who, *handSeed)
	}
	if err != nil {
		return err
	}
	log, err := logBytes(b.Record(), strings.TrimSpace("scripted "+*who))
	if err != nil {
		return err
	}
	switch *out {
	case "":
	case "-":
		_, err := io.Copy(s.out, bytes.NewReader(log))
		return err
	default:
		if err := writeNew(*out, log); err != nil {
			return err
		}
	}
	return tellPlayed(b.Record(), s.out, *asJSON)
}

// playScript plays an action script. Refusals are told but do not stop it: a
// trainee may try what the bench refuses.
func playScript(w *bench.World, name string, s streams) (*bench.Bench, error) {
	data, err := readFile(name, s)
	if err != nil {
		return nil, err
	}
	actions, err := script.Parse(name, data, w.Exercise.Instrument.ResolutionUm)
	if err != nil {
		return nil, inputError(err, "")
	}
	b := bench.New(w)
	for _, a := range actions {
		events, err := b.Do(a)
		if err != nil {
			return nil, inputError(fmt.Errorf("%s: %w", name, err), "")
		}
		for _, e := range events {
			if e.Kind == bench.Refused {
				fmt.Fprintf(s.err, "at %.1fs the bench refused %s: %s\n", float64(a.At)/1000, a.Do, e.Text)
			}
		}
	}
	return b, nil
}

func playTrainee(w *bench.World, who string, hand uint64) (*bench.Bench, error) {
	var faults []string
	for _, s := range trainee.Skills() {
		if who == s.Name {
			return trainee.PlaySkill(w, hand, s)
		}
	}
	if who != "competent" {
		faults = strings.Split(who, ",")
	}
	b, err := trainee.Play(w, hand, faults...)
	if err != nil {
		return nil, &failure{reason: err, hint: "foilwright-desk play -trainee list names the faults", code: exitUsage}
	}
	return b, nil
}

// tellPlayed prints what a trainee would know at the end.
func tellPlayed(r *bench.Record, w io.Writer, asJSON bool) error {
	readings := 0
	for i := range r.Contacts {
		if r.Contacts[i].Outcome == bench.Read {
			readings++
		}
	}
	told := struct {
		Exercise string `json:"exercise"`
		Seed     uint64 `json:"seed,string"`
		Entries  int    `json:"entries"`
		Readings int    `json:"readings"`
		Finished bool   `json:"finished"`
		Digest   string `json:"digest"`
	}{r.World.Exercise.ID, r.World.Seed, len(r.Entries), readings, r.Finished, r.Digest()}
	if asJSON {
		return writeJSON(w, told)
	}
	state := "not finished"
	if told.Finished {
		state = "finished"
	}
	fmt.Fprintf(w, "%s, seed %d, %s; entries: %d, readings: %d\n", told.Exercise, told.Seed, state, told.Entries, told.Readings)
	if r.Result != nil {
		fmt.Fprintf(w, "reported %.1f µm, %s\n", r.Result.MeanUm, r.Result.Verdict)
	}
	fmt.Fprintf(w, "digest %s\n", told.Digest)
	return nil
}

// listFaults prints the faults a scripted trainee can be given.
func listFaults(w io.Writer, asJSON bool) error {
	type row struct {
		ID    string `json:"id"`
		Text  string `json:"text"`
		Check string `json:"check"`
		Group string `json:"group"`
	}
	var rows []row
	for _, f := range trainee.Faults() {
		c, _ := grade.CheckByID(f.Check)
		rows = append(rows, row{f.ID, f.Text, f.Check, string(c.Group)})
	}
	if asJSON {
		return writeJSON(w, rows)
	}
	fmt.Fprintln(w, "competent               does the job as it should be done")
	for _, s := range trainee.Skills() {
		fmt.Fprintf(w, "%-23s makes each fault with a chance of %g %%\n", s.Name, 100*s.Chance)
	}
	for _, r := range rows {
		fmt.Fprintf(w, "%-23s %s\n", r.ID, r.Text)
	}
	return nil
}
