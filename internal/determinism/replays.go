package determinism

import (
	"bytes"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"

	"foilwright/scenarios"
	"foilwright/sim/bench"
	"foilwright/sim/trainee"
)

// played are the exercises of the trials: together they reach every part of the simulation, and an emulated processor
// still comes to the end of them.
var played = []string{
	"painted-panel",    // flat steel
	"upper-deckhouse",  // eddy current
	"handrail",         // curvature
	"duct-sheet",       // thin base
	"blasted-bulwark",  // texture and allowance
	"pump-flange",      // holes, a step
	"galvanised-frame", // layers
	"two-metals",       // a probe of two principles
	"neglected-bench",  // dirt, wear, foil faults, temperature, magnetism
	"soft-sealer",      // a film that gives way
	"bad-corner",       // film patches
}

// Plays returns a trial for each of them: an attempt of the competent trainee, from the first pose to the verdict.
func Plays() []Trial {
	var trials []Trial
	for _, id := range played {
		exercise, err := scenarios.ByID(id)
		if err != nil {
			trials = append(trials, Trial{"play." + id, func(func(float64)) error { return err }})
			continue
		}
		trials = append(trials, Trial{"play." + exercise.ID, func(emit func(float64)) error {
			world, err := bench.NewWorld(exercise, 20)
			if err != nil {
				return err
			}
			played, err := trainee.Play(world, 4)
			if err != nil {
				return err
			}
			return emitRecord(played.Record(), emit)
		}})
	}
	return trials
}

// Replays returns a trial for each log in a folder: everything that was seen in the attempt, and below what is seen,
// the error of each reading with all influences acting.
func Replays(folder string) ([]Trial, error) {
	logs, err := filepath.Glob(filepath.Join(folder, "*.jsonl"))
	if err != nil {
		return nil, err
	}
	var trials []Trial
	known := worlds{}
	for _, name := range logs {
		trials = append(trials, Trial{"log." + strings.TrimSuffix(filepath.Base(name), ".jsonl"), func(emit func(float64)) error {
			content, err := os.ReadFile(name)
			if err != nil {
				return err
			}
			return known.replay(filepath.Base(name), content, emit)
		}})
	}
	return trials, nil
}

// worlds keeps the worlds of the logs, since many logs share one and preparing it takes longest.
type worlds map[string]*bench.World

func (w worlds) of(exercise *bench.Exercise, seed uint64) (*bench.World, error) {
	key := fmt.Sprint(exercise.ID, " ", seed)
	if w[key] == nil {
		world, err := bench.NewWorld(exercise, seed)
		if err != nil {
			return nil, err
		}
		w[key] = world
	}
	return w[key], nil
}

func (w worlds) replay(name string, content []byte, emit func(float64)) error {
	log, err := bench.ReadLog(name, bytes.NewReader(content))
	if err != nil {
		return err
	}
	exercise, err := scenarios.ByID(log.Header.Exercise)
	if err != nil {
		return err
	}
	world, err := w.of(exercise, log.Header.Seed)
	if err != nil {
		return err
	}
	done, err := bench.Replay(name, world, log)
	if err != nil {
		return err
	}
	return emitRecord(done.Record(), emit)
}

// emitRecord hands on all that was seen in an attempt, and what was not: the truth and the error of each reading.
func emitRecord(record *bench.Record, emit func(float64)) error {
	digest, err := hex.DecodeString(record.Digest())
	if err != nil || len(digest)%8 != 0 {
		return fmt.Errorf("the record's digest is %q, expected hexadecimal digits of whole words", record.Digest())
	}
	for ; len(digest) > 0; digest = digest[8:] {
		// Split, because a number's bits taken whole could be those of a NaN.
		emit(float64(binary.LittleEndian.Uint32(digest)))
		emit(float64(binary.LittleEndian.Uint32(digest[4:])))
	}
	emit(record.World.TrueMeanUm)
	for contact := range record.Contacts {
		v, ok := record.ReadingErrorUm(contact, bench.All)
		if !ok {
			v = math.Inf(1)
		}
		emit(v)
	}
	return nil
}
