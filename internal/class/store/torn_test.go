package store_test

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"foilwright/internal/class/store"
)

// Power that fails while a page is being written leaves the end of the
// write-ahead file torn or full of rubbish. What was committed before it is
// there, and the log is whole up to some entry.
func TestATornWriteLeavesAWholeBeginning(t *testing.T) {
	folder := t.TempDir()
	s, err := store.Open(t.Context(), folder, "")
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	anAttempt(t, s, "a")
	var sizes []int64 // of the write-ahead file after each acknowledgement
	const runs = 12
	for n := 1; n <= runs; n++ {
		if err := appendAndWait(s, "a", n, n, fmt.Sprintf("line %d\n", n)); err != nil {
			t.Fatal(err)
		}
		info, err := os.Stat(filepath.Join(folder, store.FileName+"-wal"))
		if err != nil {
			t.Fatal(err)
		}
		sizes = append(sizes, info.Size())
	}
	data, err := os.ReadFile(filepath.Join(folder, store.FileName))
	if err != nil {
		t.Fatal(err)
	}
	wal, err := os.ReadFile(filepath.Join(folder, store.FileName+"-wal"))
	if err != nil {
		t.Fatal(err)
	}
	for cut := sizes[3]; cut < int64(len(wal)); cut += 997 {
		for _, rubbish := range []bool{false, true} {
			copied := t.TempDir()
			torn := append([]byte(nil), wal[:cut]...)
			if rubbish {
				for range 3000 {
					torn = append(torn, 0xa5)
				}
			}
			for name, content := range map[string][]byte{store.FileName: data, store.FileName + "-wal": torn} {
				if err := os.WriteFile(filepath.Join(copied, name), content, 0o600); err != nil {
					t.Fatal(err)
				}
			}
			kept := 0
			for i, size := range sizes {
				if size <= cut {
					kept = i + 1
				}
			}
			back, err := store.Open(t.Context(), copied, "")
			if err != nil {
				t.Fatalf("cut at %d: %v", cut, err)
			}
			_, n, err := back.Log(t.Context(), "a")
			if err != nil || n < kept {
				t.Errorf("cut at %d of %d: %d entries, %v; at least %d were acknowledged before that place", cut, len(wal), n, err, kept)
			}
			back.Close()
		}
	}
}
