package seal

import (
	"bytes"
	"crypto/ed25519"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"foilwright/sim/bench"
)

func aLog(t *testing.T) []byte {
	t.Helper()
	var w bench.Writer
	out, err := w.Header(bench.Header{Format: bench.Format, Version: bench.FormatVersion, Physics: bench.PhysicsVersion, Exercise: "x", Seed: 5})
	if err != nil {
		t.Fatal(err)
	}
	for n := 1; n <= 3; n++ {
		line, err := w.Entry(bench.Entry{N: n, Action: bench.Action{At: int64(n), Do: bench.Wait}})
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, line...)
	}
	return out
}

// Every single changed byte of a sealed attempt must show.
func TestEveryChangeBreaksTheSeal(t *testing.T) {
	folder := t.TempDir()
	key, err := Keys(folder)
	if err != nil {
		t.Fatal(err)
	}
	again, err := Keys(folder)
	if err != nil || !again.Equal(key) {
		t.Fatalf("the key of the folder is not the same the second time: %v", err)
	}
	text, err := os.ReadFile(filepath.Join(folder, PublicFile))
	if err != nil {
		t.Fatal(err)
	}
	public, err := ReadPublic(text)
	if err != nil {
		t.Fatal(err)
	}
	log := aLog(t)
	s, err := Sign(key, Facts{Attempt: "a", Candidate: "c", Exercise: "x", Entries: 3}, log)
	if err != nil {
		t.Fatal(err)
	}
	file, err := s.File(log)
	if err != nil {
		t.Fatal(err)
	}
	facts, l, err := Check(public, file)
	if err != nil || facts.Entries != 3 || len(l.Entries) != 3 {
		t.Fatalf("a seal as it was made: %+v, %v", facts, err)
	}
	keyAt := bytes.Index(file, []byte(`"key":"`))
	for i := range file {
		if i >= keyAt && i < keyAt+7+64 {
			continue // a help to find the key; the signature does not rest on it
		}
		changed := bytes.Clone(file)
		changed[i] ^= 1
		if got, _, err := Check(public, changed); err == nil {
			t.Fatalf("byte %d (%q) can be changed: %+v", i, file[i], got)
		}
	}
	for _, cut := range []int{1, len(file) / 2, len(file) - 1} {
		if _, _, err := Check(public, file[:cut]); err == nil {
			t.Errorf("cut after %d bytes, the seal still holds", cut)
		}
	}
	otherKey, err := Keys(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	forged, err := Sign(otherKey, Facts{Attempt: "a", Entries: 3}, log)
	if err != nil {
		t.Fatal(err)
	}
	if file, err = forged.File(log); err != nil {
		t.Fatal(err)
	}
	if _, _, err := Check(public, file); err == nil || !strings.Contains(err.Error(), "another key") {
		t.Errorf("sealed with another key: error %v", err)
	}
}

func FuzzCheck(f *testing.F) {
	key, err := Keys(f.TempDir())
	if err != nil {
		f.Fatal(err)
	}
	s, err := Sign(key, Facts{}, []byte("x\n"))
	if err != nil {
		f.Fatal(err)
	}
	file, _ := s.File([]byte("x\n"))
	f.Add(file)
	f.Add([]byte("{}\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		if _, _, err := Check(key.Public().(ed25519.PublicKey), data); err == nil {
			t.Errorf("%q passes for a sealed attempt", data)
		}
	})
}
