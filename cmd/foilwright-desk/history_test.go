package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A folder of logs, with a torn one, a damaged one and a file that is no log.
func TestHistoryOfAFolder(t *testing.T) {
	folder := t.TempDir()
	for i, name := range []string{"tilt.jsonl", "competent.jsonl"} {
		data, err := os.ReadFile(filepath.Join("..", "..", "testdata", "logs", name))
		if err != nil {
			t.Fatal(err)
		}
		write := func(as string, data []byte) {
			if err := os.WriteFile(filepath.Join(folder, as), data, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		write([]string{"1", "2"}[i]+".jsonl", data)
		if i == 0 {
			write("3-torn.jsonl", data[:len(data)-40])
			write("4-damaged.jsonl", append([]byte("x"), data...))
			write("notes.txt", []byte("not a log"))
		}
	}
	code, out, notes := desk("history", folder, "-by-name", "-json")
	if code != exitDone {
		t.Fatalf("exit %d: %s", code, notes)
	}
	var list []standingOf
	if err := json.Unmarshal([]byte(out), &list); err != nil {
		t.Fatal(err)
	}
	if len(list) != 1 || list[0].Trainee != "scripted" || list[0].Standing.Attempts != 2 || list[0].Standing.Abandoned != 1 {
		t.Fatalf("%+v", list)
	}
	curve := list[0].Standing.Curve
	if curve[0].Technique >= 100 || curve[1].Technique != 100 || !curve[1].Passed {
		t.Errorf("curve %+v", curve)
	}
	if !strings.Contains(notes, "left out: ") || !strings.Contains(notes, "4-damaged.jsonl:1:") {
		t.Errorf("the damaged log is not named: %q", notes)
	}
	code, out, _ = desk("history", folder, "-by-name")
	for _, want := range []string{"scripted: 2 attempts that count", "handling", "1 of   2", "Next: Practise handling", "certifies nobody"} {
		if code != exitDone || !strings.Contains(out, want) {
			t.Errorf("no %q in\n%s", want, out)
		}
	}
	if code, _, notes = desk("history", folder, "-trainee", "somebody"); code != exitInput || !strings.Contains(notes, "scripted") {
		t.Errorf("exit %d: %s", code, notes)
	}
	if code, _, notes = desk("history", t.TempDir()); code != exitInput || !strings.Contains(notes, "hint: ") {
		t.Errorf("exit %d: %s", code, notes)
	}
}
