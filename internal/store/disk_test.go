package store

import (
	"errors"
	"os"
	"path/filepath"
	"testing"
)

func TestCreateRefusesTakenAndUnsafeNames(t *testing.T) {
	s, err := Open(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	l, err := s.Create("a-1")
	if err != nil {
		t.Fatal(err)
	}
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Create("a-1"); !errors.Is(err, ErrExists) {
		t.Errorf("second create: got %v, want ErrExists", err)
	}
	for _, name := range []string{"", "../x", "a/b", ".hidden", "a b", string(make([]byte, 200))} {
		if _, err := s.Create(name); err == nil {
			t.Errorf("create %q: no error", name)
		}
		if _, err := s.Read(name); err == nil {
			t.Errorf("read %q: no error", name)
		}
	}
}

func TestResumeKeepsTheTornTail(t *testing.T) {
	dir := t.TempDir()
	s, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	l, err := s.Create("a")
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range []string{"one\n", "two\n", "thr"} {
		if err := l.Append([]byte(line)); err != nil {
			t.Fatal(err)
		}
	}
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
	l, err = s.Resume("a", 8)
	if err != nil {
		t.Fatal(err)
	}
	if err := l.Append([]byte("three\n")); err != nil {
		t.Fatal(err)
	}
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
	got, err := s.Read("a")
	if err != nil || string(got) != "one\ntwo\nthree\n" {
		t.Errorf("after resume: %q, %v", got, err)
	}
	torn, err := os.ReadFile(filepath.Join(dir, "a.jsonl.torn"))
	if err != nil || string(torn) != "one\ntwo\nthr" {
		t.Errorf("torn copy: %q, %v", torn, err)
	}
	if names, err := s.List(); err != nil || len(names) != 1 || names[0] != "a" {
		t.Errorf("list: %v, %v", names, err)
	}
}

func TestAppendAfterAFailureFails(t *testing.T) {
	s, err := Open(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	l, err := s.Create("a")
	if err != nil {
		t.Fatal(err)
	}
	if err := l.file.Close(); err != nil {
		t.Fatal(err)
	}
	if err := l.Append([]byte("one\n")); err == nil {
		t.Fatal("append to a closed file: no error")
	}
	if err := l.Append([]byte("two\n")); err == nil {
		t.Error("append after a failure: no error")
	}
}

func TestSettingsRoundTrip(t *testing.T) {
	s, err := Open(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	if got, err := s.ReadSettings(); got != nil || err != nil {
		t.Errorf("fresh settings: %q, %v", got, err)
	}
	for _, want := range []string{`{"a":1}`, `{}`} {
		if err := s.WriteSettings([]byte(want)); err != nil {
			t.Fatal(err)
		}
		if got, err := s.ReadSettings(); string(got) != want || err != nil {
			t.Errorf("settings: %q, %v, want %q", got, err, want)
		}
	}
}

func TestTheBookIsNoAttempt(t *testing.T) {
	s, err := Open(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	if data, err := s.ReadBook(); data != nil || err != nil {
		t.Fatalf("an empty book reads %q, %v", data, err)
	}
	for _, line := range []string{"one\n", "two\n"} {
		if err := s.AppendBook([]byte(line)); err != nil {
			t.Fatal(err)
		}
	}
	if data, err := s.ReadBook(); string(data) != "one\ntwo\n" || err != nil {
		t.Errorf("reads %q, %v", data, err)
	}
	if names, err := s.List(); len(names) != 0 || err != nil {
		t.Errorf("listed as attempts: %v, %v", names, err)
	}
}
