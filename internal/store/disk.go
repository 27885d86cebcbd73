//go:build !js

package store

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sort"
	"strings"
)

// Store is a folder with one file for each attempt.
type Store struct{ folder string }

const logSuffix = ".jsonl"

// Open opens the store in a folder, which is made if it is not there. With an
// empty folder it is the one of this user on this machine.
func Open(folder string) (*Store, error) {
	if folder == "" {
		base, err := os.UserConfigDir()
		if err != nil {
			return nil, fmt.Errorf("no folder to keep attempts in: %w; name one with -data", err)
		}
		folder = filepath.Join(base, "foilwright")
	}
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return nil, fmt.Errorf("cannot make the folder for attempts: %w; name another with -data", err)
	}
	return &Store{folder: folder}, nil
}

// Place says where attempts are kept, for messages.
func (s *Store) Place() string { return s.folder }

func (s *Store) path(name string) string { return filepath.Join(s.folder, name+logSuffix) }

// List returns the names of all attempts, newest name last.
func (s *Store) List() ([]string, error) {
	entries, err := os.ReadDir(s.folder)
	if err != nil {
		return nil, err
	}
	var names []string
	for _, e := range entries {
		if name, ok := strings.CutSuffix(e.Name(), logSuffix); ok && e.Type().IsRegular() {
			names = append(names, name)
		}
	}
	sort.Strings(names)
	return names, nil
}

// Read returns the log of an attempt as it stands.
func (s *Store) Read(name string) ([]byte, error) {
	if err := checkName(name); err != nil {
		return nil, err
	}
	return os.ReadFile(s.path(name))
}

// Log is the log of an attempt, open for appending.
type Log struct {
	file   *os.File
	broken error // a line was written in part; nothing may follow it
}

// Create begins the log of a new attempt.
func (s *Store) Create(name string) (*Log, error) {
	if err := checkName(name); err != nil {
		return nil, err
	}
	f, err := os.OpenFile(s.path(name), os.O_CREATE|os.O_EXCL|os.O_WRONLY|os.O_APPEND, 0o644)
	if errors.Is(err, fs.ErrExist) {
		return nil, fmt.Errorf("%s: %w", name, ErrExists)
	}
	if err != nil {
		return nil, err
	}
	return &Log{file: f}, nil
}

// Replace puts a log in the place of what is kept under a name, if anything.
func (s *Store) Replace(name string, data []byte) error {
	if err := checkName(name); err != nil {
		return err
	}
	return writeWhole(s.path(name), data)
}

// Resume opens the log of an attempt at the end of its last whole line. When
// something follows, a line that was being written when the program was
// killed, the file as it was is kept beside it with the suffix .torn.
func (s *Store) Resume(name string, whole int64) (*Log, error) {
	data, err := s.Read(name)
	if err != nil {
		return nil, err
	}
	if whole > int64(len(data)) {
		return nil, fmt.Errorf("%s: shorter than when it was read; is it open in another window?", name)
	}
	if whole < int64(len(data)) {
		if err := writeWhole(s.path(name)+".torn", data); err != nil {
			return nil, err
		}
		if err := os.Truncate(s.path(name), whole); err != nil {
			return nil, err
		}
	}
	f, err := os.OpenFile(s.path(name), os.O_WRONLY|os.O_APPEND, 0o644)
	if err != nil {
		return nil, err
	}
	return &Log{file: f}, nil
}

// Append writes a line, its line feed included. After a failure, such as a full
// disk, every further Append fails too: the log ends at its last whole line and
// can be resumed from there.
func (l *Log) Append(line []byte) error {
	if l.broken == nil {
		_, l.broken = l.file.Write(line)
	}
	return l.broken
}

// Sync asks the disk to keep what has been appended.
func (l *Log) Sync() error { return l.file.Sync() }

// Close ends the writing.
func (l *Log) Close() error { return errors.Join(l.file.Sync(), l.file.Close()) }

// ReadSettings returns the settings as they were written, nil when there are none.
func (s *Store) ReadSettings() ([]byte, error) {
	data, err := os.ReadFile(filepath.Join(s.folder, "settings.json"))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	return data, err
}

// WriteSettings replaces the settings as a whole.
func (s *Store) WriteSettings(data []byte) error {
	return writeWhole(filepath.Join(s.folder, "settings.json"), data)
}

// bookFile must not end like a log.
const bookFile = "book.lines"

// ReadBook returns the book of attempts, nil when nothing has been noted.
func (s *Store) ReadBook() ([]byte, error) {
	data, err := os.ReadFile(filepath.Join(s.folder, bookFile))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	return data, err
}

// AppendBook adds a line, its line feed included, to the book of attempts.
func (s *Store) AppendBook(line []byte) error {
	before, err := s.ReadBook()
	if err != nil {
		return err
	}
	return writeWhole(filepath.Join(s.folder, bookFile), append(before, line...))
}

const packFolder = "packs"

// KeepPack keeps a pack of exercises under its digest.
func (s *Store) KeepPack(digest string, data []byte) error {
	if err := checkName(digest); err != nil {
		return err
	}
	folder := filepath.Join(s.folder, packFolder)
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return err
	}
	return writeWhole(filepath.Join(folder, digest+".zip"), data)
}

// Packs returns the packs that are kept, in the order of their digests.
func (s *Store) Packs() ([][]byte, error) {
	names, err := filepath.Glob(filepath.Join(s.folder, packFolder, "*.zip"))
	if err != nil {
		return nil, err
	}
	var packs [][]byte
	for _, name := range names {
		data, err := os.ReadFile(name)
		if err != nil {
			return nil, err
		}
		packs = append(packs, data)
	}
	return packs, nil
}

// writeWhole writes a file so that it is there whole or as it was before.
func writeWhole(path string, data []byte) error {
	f, err := os.CreateTemp(filepath.Dir(path), ".new-*")
	if err != nil {
		return err
	}
	defer os.Remove(f.Name())
	if _, err := f.Write(data); err != nil {
		return errors.Join(err, f.Close())
	}
	if err := errors.Join(f.Sync(), f.Close()); err != nil {
		return err
	}
	return os.Rename(f.Name(), path)
}
