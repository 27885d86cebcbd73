package store

import (
	"encoding/base64"
	"errors"
	"fmt"
	"sort"
	"strings"
	"syscall/js"
)

// Store is the browser's local storage under keys of our own. An attempt is
// kept in numbered pieces, so that appending rewrites a small one only.
type Store struct{ storage js.Value }

const (
	prefix     = "foilwright/"
	logPrefix  = prefix + "log/"
	pieceBytes = 16 << 10
)

// Open opens the browser's storage; folder is of no use there.
func Open(folder string) (*Store, error) {
	storage := js.Global().Get("localStorage")
	if !storage.Truthy() {
		return nil, errors.New("this browser keeps no data for this page; allow it, or attempts cannot be resumed")
	}
	return &Store{storage}, nil
}

// Place says where attempts are kept, for messages.
func (s *Store) Place() string { return "this browser" }

func pieceKey(name string, i int) string { return fmt.Sprintf("%s%s/%06d", logPrefix, name, i) }

// set stores a value; a full storage is an error, not a panic.
func (s *Store) set(key, value string) (err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("the browser's storage is full (%v); export and delete old attempts", r)
		}
	}()
	s.storage.Call("setItem", key, value)
	return nil
}

func (s *Store) get(key string) (string, bool) {
	v := s.storage.Call("getItem", key)
	if v.IsNull() || v.IsUndefined() {
		return "", false
	}
	return v.String(), true
}

// List returns the names of all attempts, newest name last.
func (s *Store) List() ([]string, error) {
	seen := map[string]bool{}
	for i := range s.storage.Get("length").Int() {
		key := s.storage.Call("key", i).String()
		if rest, ok := strings.CutPrefix(key, logPrefix); ok {
			if name, _, ok := strings.Cut(rest, "/"); ok {
				seen[name] = true
			}
		}
	}
	names := make([]string, 0, len(seen))
	for n := range seen {
		names = append(names, n)
	}
	sort.Strings(names)
	return names, nil
}

// Read returns the log of an attempt as it stands.
func (s *Store) Read(name string) ([]byte, error) {
	if err := checkName(name); err != nil {
		return nil, err
	}
	var all strings.Builder
	for i := 0; ; i++ {
		piece, ok := s.get(pieceKey(name, i))
		if !ok {
			if i == 0 {
				return nil, fmt.Errorf("there is no attempt %q in this browser", name)
			}
			return []byte(all.String()), nil
		}
		all.WriteString(piece)
	}
}

// Log is the log of an attempt, open for appending.
type Log struct {
	store *Store
	name  string
	piece int
	text  string // of the open piece
}

// Create begins the log of a new attempt.
func (s *Store) Create(name string) (*Log, error) {
	if err := checkName(name); err != nil {
		return nil, err
	}
	if _, taken := s.get(pieceKey(name, 0)); taken {
		return nil, fmt.Errorf("%s: %w", name, ErrExists)
	}
	return &Log{store: s, name: name}, nil
}

// Replace puts a log in the place of what is kept under a name, if anything.
func (s *Store) Replace(name string, data []byte) error {
	if err := checkName(name); err != nil {
		return err
	}
	if err := s.set(pieceKey(name, 0), string(data)); err != nil {
		return err
	}
	for i := 1; ; i++ {
		if _, ok := s.get(pieceKey(name, i)); !ok {
			return nil
		}
		s.storage.Call("removeItem", pieceKey(name, i))
	}
}

// Resume opens the log of an attempt at the end of its last whole line. When
// something follows, the log as it was is kept under a key ending in .torn.
func (s *Store) Resume(name string, whole int64) (*Log, error) {
	data, err := s.Read(name)
	if err != nil {
		return nil, err
	}
	if whole > int64(len(data)) {
		return nil, fmt.Errorf("%s: shorter than when it was read; is it open in another tab?", name)
	}
	if whole < int64(len(data)) {
		if err := s.set(prefix+"torn/"+name, string(data)); err != nil {
			return nil, err
		}
	}
	// Lay the whole lines down again in pieces, then drop what is left over.
	l := &Log{store: s, name: name}
	text := string(data[:whole])
	for len(text) > pieceBytes {
		if err := s.set(pieceKey(name, l.piece), text[:pieceBytes]); err != nil {
			return nil, err
		}
		text = text[pieceBytes:]
		l.piece++
	}
	l.text = text
	if err := s.set(pieceKey(name, l.piece), text); err != nil {
		return nil, err
	}
	for i := l.piece + 1; ; i++ {
		if _, ok := s.get(pieceKey(name, i)); !ok {
			return l, nil
		}
		s.storage.Call("removeItem", pieceKey(name, i))
	}
}

// Append writes a line, its line feed included.
func (l *Log) Append(line []byte) error {
	if len(l.text) > pieceBytes {
		l.piece, l.text = l.piece+1, ""
	}
	text := l.text + string(line)
	if err := l.store.set(pieceKey(l.name, l.piece), text); err != nil {
		return err
	}
	l.text = text
	return nil
}

// Sync has nothing to do: the browser keeps what it was given.
func (l *Log) Sync() error { return nil }

// Close ends the writing.
func (l *Log) Close() error { return nil }

// ReadSettings returns the settings as they were written, nil when there are none.
func (s *Store) ReadSettings() ([]byte, error) {
	if v, ok := s.get(prefix + "settings"); ok {
		return []byte(v), nil
	}
	return nil, nil
}

// WriteSettings replaces the settings as a whole.
func (s *Store) WriteSettings(data []byte) error { return s.set(prefix+"settings", string(data)) }

// ReadBook returns the book of attempts, nil when nothing has been noted.
func (s *Store) ReadBook() ([]byte, error) {
	if v, ok := s.get(prefix + "book"); ok {
		return []byte(v), nil
	}
	return nil, nil
}

// AppendBook adds a line, its line feed included, to the book of attempts.
func (s *Store) AppendBook(line []byte) error {
	before, _ := s.get(prefix + "book")
	return s.set(prefix+"book", before+string(line))
}

const packPrefix = prefix + "pack/"

// KeepPack keeps a pack of exercises under its digest.
func (s *Store) KeepPack(digest string, data []byte) error {
	if err := checkName(digest); err != nil {
		return err
	}
	return s.set(packPrefix+digest, base64.StdEncoding.EncodeToString(data))
}

// Packs returns the packs that are kept, in the order of their digests.
func (s *Store) Packs() ([][]byte, error) {
	var keys []string
	for i := range s.storage.Get("length").Int() {
		if key := s.storage.Call("key", i).String(); strings.HasPrefix(key, packPrefix) {
			keys = append(keys, key)
		}
	}
	sort.Strings(keys)
	var packs [][]byte
	for _, key := range keys {
		text, _ := s.get(key)
		data, err := base64.StdEncoding.DecodeString(text)
		if err != nil {
			return nil, fmt.Errorf("a pack kept in this browser is damaged: %w", err)
		}
		packs = append(packs, data)
	}
	return packs, nil
}
