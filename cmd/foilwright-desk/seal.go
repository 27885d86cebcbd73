package main

import (
	"flag"
	"fmt"
	"time"

	"foilwright/internal/class/seal"
	"foilwright/sim/bench"
)

func init() {
	register(command{
		name: "verify-seal", args: "SEALED-FILE -key seal.pub [-replay]",
		summary: "check that a sealed attempt is as the class server sealed it; only its public key is needed",
		run:     verifySeal,
	})
}

func verifySeal(set *flag.FlagSet, args []string, s streams) error {
	key := set.String("key", "", "public key of the server that sealed it (seal.pub)")
	again := set.Bool("replay", false, "also replay the log and compare every reading; for exercises this program holds")
	rest, err := parse(set, args, 1, 1)
	if err != nil {
		return err
	}
	if *key == "" {
		return usageError("verify-seal: name the public key with -key")
	}
	text, err := readFile(*key, s)
	if err != nil {
		return err
	}
	public, err := seal.ReadPublic(text)
	if err != nil {
		return inputError(fmt.Errorf("%s: %w", *key, err), "a class server gives its key out at /seal.pub")
	}
	file, err := readFile(rest[0], s)
	if err != nil {
		return err
	}
	facts, log, err := seal.Check(public, file)
	if err != nil {
		return &failure{reason: fmt.Errorf("%s: %w", rest[0], err), hint: "do not rely on this file; ask for it again from the server that sealed it"}
	}
	if *again {
		e, err := findExercise(log.Header.Exercise, s)
		if err != nil {
			return err
		}
		w, err := bench.NewWorld(e, log.Header.Seed)
		if err != nil {
			return err
		}
		if _, err := bench.Replay(rest[0], w, log); err != nil {
			return err
		}
	}
	fmt.Fprintf(s.out, "the seal holds\nattempt %s, turn %d, exercise %s\ncandidate %s (%s)\nidentity: %s\nbegun %s, sealed %s, %d entries\n",
		facts.Attempt, facts.Turn, facts.Exercise, log.Header.Trainee, facts.Candidate, facts.Identity,
		time.UnixMilli(facts.Started).UTC().Format(time.RFC3339), time.UnixMilli(facts.Sealed).UTC().Format(time.RFC3339), facts.Entries)
	for _, b := range facts.BroughtIn {
		fmt.Fprintln(s.out, "brought in by the person in charge:", b)
	}
	if *again {
		fmt.Fprintln(s.out, "the replay gives every reading as the log says")
	}
	return nil
}
