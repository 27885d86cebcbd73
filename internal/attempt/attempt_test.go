package attempt

import (
	"bufio"
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"foilwright/internal/store"
	"foilwright/scenarios"
	"foilwright/sim/bench"
)

func world(t testing.TB) *bench.World {
	t.Helper()
	e, err := scenarios.ByID("painted-panel")
	if err != nil {
		t.Fatal(err)
	}
	w, err := bench.NewWorld(e, 11)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// touch is the i-th action of an endless string of readings on the panel.
func touch(i int) bench.Action {
	if i == 0 {
		return bench.Action{Do: bench.PlacePiece, Item: "panel"}
	}
	heights := []int64{40_000, 2_000, 0, 0, 40_000}
	p := &bench.Pose{XUm: 150_000, YUm: 100_000, HeightUm: heights[i%5]}
	if p.HeightUm == 0 {
		p.PressMN = 2000
	}
	return bench.Action{At: int64(i) * 400, Do: bench.MoveProbe, Pose: p}
}

// TestMain doubles as the program that gets killed.
func TestMain(m *testing.M) {
	if dir := os.Getenv("ATTEMPT_TEST_KILLED"); dir != "" {
		writeForEver(dir)
	}
	os.Exit(m.Run())
}

// writeForEver works at an attempt and acknowledges each action on stdout.
func writeForEver(dir string) {
	fail := func(err error) {
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
	}
	s, err := store.Open(dir)
	fail(err)
	e, err := scenarios.ByID("painted-panel")
	fail(err)
	w, err := bench.NewWorld(e, 11)
	fail(err)
	a, err := Begin(s, "killed", w, "")
	fail(err)
	for i := 0; ; i++ {
		_, err := a.Do(touch(i))
		fail(err)
		fmt.Println(i + 1)
	}
}

// A program killed at any moment loses nothing it had acknowledged, and the
// attempt resumes. The kill falls at a different place in each round.
func TestAKilledAttemptResumes(t *testing.T) {
	if testing.Short() {
		t.Skip("starts processes")
	}
	for round := range 8 {
		dir := t.TempDir()
		cmd := exec.Command(os.Args[0])
		cmd.Env = append(os.Environ(), "ATTEMPT_TEST_KILLED="+dir)
		cmd.Stderr = os.Stderr
		out, err := cmd.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		acknowledged := 0
		lines := bufio.NewScanner(out)
		for acknowledged < 20+37*round && lines.Scan() {
			acknowledged, err = strconv.Atoi(lines.Text())
			if err != nil {
				t.Fatal(err)
			}
		}
		if err := cmd.Process.Kill(); err != nil {
			t.Fatal(err)
		}
		for lines.Scan() { // what it still said before it died
			if n, err := strconv.Atoi(lines.Text()); err == nil {
				acknowledged = n
			}
		}
		_ = cmd.Wait() // it was killed: its exit is an error by intention
		s, err := store.Open(dir)
		if err != nil {
			t.Fatal(err)
		}
		a, err := Resume(s, "killed", scenarios.ByID)
		if err != nil {
			t.Fatalf("round %d: %v", round, err)
		}
		got := len(a.Bench.Record().Entries)
		if got < acknowledged || got > acknowledged+1 {
			t.Errorf("round %d: %d actions acknowledged, %d found", round, acknowledged, got)
		}
		if _, err := a.Do(touch(got)); err != nil {
			t.Errorf("round %d: cannot go on: %v", round, err)
		}
		if err := a.Close(); err != nil {
			t.Error(err)
		}
	}
}

// Whatever byte the last line was cut at, the attempt resumes from the lines
// before it and the torn file is kept.
func TestEveryCutOfTheLastLineResumes(t *testing.T) {
	dir := t.TempDir()
	s, err := store.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	a, err := Begin(s, "a", world(t), "")
	if err != nil {
		t.Fatal(err)
	}
	for i := range 12 {
		if _, err := a.Do(touch(i)); err != nil {
			t.Fatal(err)
		}
	}
	if err := a.Close(); err != nil {
		t.Fatal(err)
	}
	whole, err := s.Read("a")
	if err != nil {
		t.Fatal(err)
	}
	last := bytes.LastIndexByte(whole[:len(whole)-1], '\n') + 1
	for cut := last + 1; cut < len(whole); cut += 7 {
		path := filepath.Join(dir, "a.jsonl")
		if err := os.WriteFile(path, whole[:cut], 0o644); err != nil {
			t.Fatal(err)
		}
		b, err := Resume(s, "a", scenarios.ByID)
		if err != nil {
			t.Fatalf("cut at %d: %v", cut, err)
		}
		if n := len(b.Bench.Record().Entries); n != 11 {
			t.Errorf("cut at %d: %d entries, want 11", cut, n)
		}
		if _, err := b.Do(touch(11)); err != nil {
			t.Error(err)
		}
		if err := b.Close(); err != nil {
			t.Error(err)
		}
		if again, err := s.Read("a"); err != nil || !bytes.Equal(again, whole) {
			t.Errorf("cut at %d: the resumed log differs (%v)", cut, err)
		}
		if torn, err := os.ReadFile(path + ".torn"); err != nil || !bytes.Equal(torn, whole[:cut]) {
			t.Errorf("cut at %d: the torn file was not kept (%v)", cut, err)
		}
	}
}

func TestADamagedLogIsNotTouched(t *testing.T) {
	dir := t.TempDir()
	s, err := store.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	a, err := Begin(s, "a", world(t), "")
	if err != nil {
		t.Fatal(err)
	}
	for i := range 9 {
		if _, err := a.Do(touch(i)); err != nil {
			t.Fatal(err)
		}
	}
	if err := a.Close(); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(dir, "a.jsonl")
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	bad := []byte(strings.Replace(string(data), `"h":2000`, `"h":2001`, 1))
	if err := os.WriteFile(path, bad, 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := Resume(s, "a", scenarios.ByID); err == nil || !strings.Contains(err.Error(), "hash chain") {
		t.Errorf("resume of an altered log: %v", err)
	}
	if after, err := os.ReadFile(path); err != nil || !bytes.Equal(after, bad) {
		t.Errorf("the altered log was touched (%v)", err)
	}
}

func TestABranchBeginsAsItsTrunkDid(t *testing.T) {
	s, err := store.Open(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	w := world(t)
	a, err := Begin(s, "trunk", w, "")
	if err != nil {
		t.Fatal(err)
	}
	for i := range 23 {
		if _, err := a.Do(touch(i)); err != nil {
			t.Fatal(err)
		}
	}
	begun := a.Bench.Record().Entries[:14]
	b, err := Branch(s, "branch", w, "", begun)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := b.Do(bench.Action{At: begun[13].Action.At, Do: bench.BeginZero}); err != nil {
		t.Fatal(err)
	}
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
	find := func(string) (*bench.Exercise, error) { return w.Exercise, nil }
	again, l, err := Open(s, "branch", find)
	if err != nil {
		t.Fatal(err)
	}
	trunk, err := s.Read("trunk")
	if err != nil {
		t.Fatal(err)
	}
	branch, err := s.Read("branch")
	if err != nil {
		t.Fatal(err)
	}
	head := bytes.Join(bytes.SplitAfter(trunk, []byte("\n"))[:15], nil)
	if len(again.Record().Entries) != 15 || l.Header.Seed != w.Seed || !bytes.HasPrefix(branch, head) {
		t.Errorf("%d entries; the log begins like the trunk's: %v", len(again.Record().Entries), bytes.HasPrefix(branch, head))
	}
}

func TestATrialIsNotWrittenDown(t *testing.T) {
	a := Unkept(world(t))
	for i := range 6 {
		if _, err := a.Do(touch(i)); err != nil {
			t.Fatal(err)
		}
	}
	if n := len(a.Bench.Record().Entries); n != 6 {
		t.Errorf("%d entries", n)
	}
	if err := a.Close(); err != nil {
		t.Error(err)
	}
}
