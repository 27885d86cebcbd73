// Package library is the exercises the running bench offers: the shipped ones,
// those of packs that were added and are kept, and those in files an author is
// writing, which are read anew when they change.
package library

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"foilwright/scenarios"
	"foilwright/sim/bench"
)

// Keeper keeps packs from one run to the next.
type Keeper interface {
	KeepPack(digest string, data []byte) error
	Packs() ([][]byte, error)
}

// Library is not for several goroutines at once.
type Library struct {
	keep  Keeper
	names []string // files, folders and packs given by name
	stamp string   // of what lay there when it was last read
	list  []*bench.Exercise
	added []*scenarios.Pack
}

// Open reads the kept packs and whatever is named: exercise files, folders of
// them, packs. A kept pack that cannot be read any more is left out and told
// of in the error beside the library; anything else wrong gives no library.
func Open(keep Keeper, names []string) (*Library, error) {
	l := &Library{keep: keep, names: names}
	kept, err := keep.Packs()
	if err != nil {
		return nil, err
	}
	var bad []error
	for _, data := range kept {
		p, err := scenarios.ReadPackZip(data, "a pack added earlier")
		if err != nil {
			bad = append(bad, err)
			continue
		}
		l.added = append(l.added, p)
	}
	if l.list, err = l.read(); err != nil {
		return nil, err
	}
	l.stamp = l.look()
	return l, errors.Join(bad...)
}

// Exercises returns what is on offer now, shipped ones as headings for
// scenarios.Whole.
func (l *Library) Exercises() []*bench.Exercise { return l.list }

// Fresh reads the named files again if one of them changed. While a file has a
// fault the exercises stay as they were, and the fault is returned once.
func (l *Library) Fresh() (changed bool, err error) {
	if len(l.names) == 0 {
		return false, nil
	}
	stamp := l.look()
	if stamp == l.stamp {
		return false, nil
	}
	l.stamp = stamp
	list, err := l.read()
	if err != nil {
		return false, err
	}
	l.list = list
	return true, nil
}

// AddPack takes a pack in, whole or not at all, and keeps it.
func (l *Library) AddPack(name string, data []byte) (*scenarios.Pack, error) {
	p, err := scenarios.ReadPackZip(data, name)
	if err != nil {
		return nil, err
	}
	before := l.added
	l.added = append(l.added[:len(l.added):len(l.added)], p)
	list, err := l.read()
	if err == nil {
		err = l.keep.KeepPack(p.Digest, data)
	}
	if err != nil {
		l.added = before
		return nil, err
	}
	l.list = list
	return p, nil
}

// read puts everything together. What is named comes first: it is what the
// author wants to see.
func (l *Library) read() ([]*bench.Exercise, error) {
	whole := &scenarios.Library{Exercises: scenarios.Headings()}
	for _, p := range l.added {
		if err := whole.Add(p); err != nil {
			return nil, err
		}
	}
	var own []*bench.Exercise
	for _, name := range l.names {
		list, err := open(name)
		if err != nil {
			return nil, err
		}
		own = append(own, list...)
	}
	list := own
	for _, e := range whole.Exercises {
		if !holds(own, e.ID) {
			list = append(list, e)
		}
	}
	return list, nil
}

func holds(list []*bench.Exercise, id string) bool {
	for _, e := range list {
		if e.ID == id {
			return true
		}
	}
	return false
}

// open reads an exercise file, a pack, or every exercise of a folder.
func open(name string) ([]*bench.Exercise, error) {
	info, err := os.Stat(name)
	if err != nil {
		return nil, err
	}
	if strings.HasSuffix(name, ".zip") {
		data, err := os.ReadFile(name)
		if err != nil {
			return nil, err
		}
		p, err := scenarios.ReadPackZip(data, name)
		if err != nil {
			return nil, err
		}
		return p.Exercises, nil
	}
	folder, within := name, "."
	if !info.IsDir() {
		folder, within = filepath.Dir(name), filepath.Base(name)
	}
	root, err := os.OpenRoot(folder)
	if err != nil {
		return nil, err
	}
	defer func() { _ = root.Close() }()
	var list []*bench.Exercise
	err = fs.WalkDir(root.FS(), within, func(file string, entry fs.DirEntry, err error) error {
		if err != nil || !entry.Type().IsRegular() || !scenarios.IsFile(file) || file == scenarios.ManifestName {
			return err
		}
		if data, err := fs.ReadFile(root.FS(), file); err != nil || scenarios.IsShelf(data) {
			return err
		}
		e, err := scenarios.LoadFile(root.FS(), file, filepath.Join(folder, file))
		if err != nil {
			return err
		}
		if holds(list, e.ID) {
			return fmt.Errorf("%s: another file here is the exercise %q too; give it an id of its own", filepath.Join(folder, file), e.ID)
		}
		list = append(list, e)
		return nil
	})
	if err == nil && len(list) == 0 {
		err = fmt.Errorf("%s: there is no exercise here; name a .yaml file, a folder of them, or a pack", name)
	}
	return list, err
}

// look says what lies under the names: sizes and times, shelves included.
func (l *Library) look() string {
	var b strings.Builder
	note := func(path string) {
		if info, err := os.Stat(path); err == nil {
			fmt.Fprintf(&b, "%s %d %d\n", path, info.Size(), info.ModTime().UnixNano())
		}
	}
	for _, name := range l.names {
		note(name)
		folder := name
		if info, err := os.Stat(name); err != nil || !info.IsDir() {
			folder = filepath.Dir(name)
		}
		if strings.HasSuffix(name, ".zip") {
			continue
		}
		seen := 0
		_ = filepath.WalkDir(folder, func(path string, entry fs.DirEntry, err error) error {
			if seen++; seen > 2000 {
				return fs.SkipAll // not a folder of exercises
			}
			if err == nil && scenarios.IsFile(path) {
				note(path)
			}
			return nil
		})
	}
	return b.String()
}
