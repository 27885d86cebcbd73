package scenarios

import (
	"archive/zip"
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"slices"
	"strings"

	"go.yaml.in/yaml/v3"

	"foilwright/sim/bench"
)

// PackFormat names the manifest of a pack: exercises and their shelves in one
// folder or zip file, each with its digest. A pack is taken whole or refused
// whole.
const (
	PackFormat   = "foilwright-pack"
	ManifestName = "pack.yaml"
)

// Bounds of a pack, so that a small file cannot fill a machine.
const (
	mostPackFiles = 200
	mostPackBytes = 16 << 20 // of all files together, unpacked
	mostZipBytes  = 16 << 20
)

// Pack is a set of exercises that belong together.
type Pack struct {
	ID, Title, Author string
	Digest            string // of the manifest, which holds the digests of all files
	Exercises         []*bench.Exercise
	Texts             []Text // of the exercises, in their order
}

// packFile is a line of a manifest.
type packFile struct {
	name, sha256 string
	line         int
}

// ReadPack reads a pack from a folder. shown is what to call it in errors.
func ReadPack(folder fs.FS, shown string) (*Pack, error) {
	manifest, err := fs.Stat(folder, ManifestName)
	if err != nil {
		return nil, fmt.Errorf("%s: there is no %s in it, so it is no pack; foilwright-desk pack makes one", shown, ManifestName)
	}
	d := &decoder{file: path.Join(shown, ManifestName)}
	if manifest.Size() > maxBytes {
		d.fault(nil, "", "the manifest is larger than 256 KiB", "check that this is a pack")
		return nil, d.faults.err()
	}
	data, err := fs.ReadFile(folder, ManifestName)
	if err != nil {
		return nil, err
	}
	p := &Pack{Digest: hexDigest(data)}
	var files []packFile
	if root := d.document(data, "a manifest"); root != nil {
		files = d.manifest(root, p)
	}
	if err := d.faults.err(); err != nil {
		return nil, err
	}
	whole := d.listed(folder, files)
	if err := d.faults.err(); err != nil {
		return nil, err
	}
	d.unlisted(folder, files)
	seen := map[string]string{}
	for _, f := range files {
		text := whole[f.name]
		if IsShelf(text) {
			d.collect(f.line, CheckShelf(path.Join(shown, f.name), text))
			continue
		}
		own := Text{Source: string(text), Shelves: map[string]string{}}
		e, err := load(path.Join(shown, f.name), text, func(shelf string) ([]byte, error) {
			if data, listed := whole[path.Join(path.Dir(f.name), shelf)]; listed {
				own.Shelves[shelf] = string(data)
				return data, nil
			}
			return nil, fs.ErrNotExist
		})
		d.collect(f.line, err)
		if err != nil {
			continue
		}
		if other := seen[e.ID]; other != "" {
			d.faults = append(d.faults, Fault{File: d.file, Line: f.line, Field: "files", What: fmt.Sprintf("%s and %s are both the exercise %q", other, f.name, e.ID), Remedy: "give each exercise an id of its own"})
		}
		seen[e.ID] = f.name
		p.Exercises, p.Texts = append(p.Exercises, e), append(p.Texts, own)
	}
	if len(d.faults) == 0 && len(p.Exercises) == 0 {
		d.fault(nil, "files", "the pack holds no exercise", "list at least one")
	}
	if err := d.faults.err(); err != nil {
		return nil, err
	}
	return p, nil
}

// ReadPackZip reads a pack from a zip file. Nothing is unpacked to disk.
func ReadPackZip(data []byte, shown string) (*Pack, error) {
	if len(data) > mostZipBytes {
		return nil, fmt.Errorf("%s: %d bytes: a pack is at most %d", shown, len(data), mostZipBytes)
	}
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil, fmt.Errorf("%s: this is no zip file, or it is damaged: %w; fetch it again", shown, err)
	}
	if len(z.File) > 2*mostPackFiles {
		return nil, fmt.Errorf("%s: %d files: a pack holds at most %d", shown, len(z.File), mostPackFiles)
	}
	var declared uint64
	names := map[string]bool{}
	for _, f := range z.File {
		name := strings.TrimSuffix(f.Name, "/")
		if !fs.ValidPath(name) || strings.ContainsAny(name, "\\:") {
			return nil, fmt.Errorf("%s: the name %q leads out of the pack; make the pack anew with foilwright-desk pack", shown, f.Name)
		}
		if names[name] {
			return nil, fmt.Errorf("%s: %q is in it twice; make the pack anew with foilwright-desk pack", shown, name)
		}
		names[name] = true
		if mode := f.Mode(); !mode.IsRegular() && !mode.IsDir() {
			return nil, fmt.Errorf("%s: %q is no plain file; a pack holds plain files only", shown, f.Name)
		}
		if f.UncompressedSize64 > mostPackBytes {
			declared = mostPackBytes + 1
			break
		}
		declared += f.UncompressedSize64
	}
	if declared > mostPackBytes {
		return nil, fmt.Errorf("%s: its files are larger than %d MiB together; a pack is text, check that this is one", shown, mostPackBytes>>20)
	}
	return ReadPack(z, shown)
}

// ByID returns an exercise of the pack with its text.
func (p *Pack) ByID(id string) (*bench.Exercise, *Text, error) {
	e, err := (&Library{Exercises: p.Exercises}).ByID(id)
	if err != nil {
		return nil, nil, err
	}
	return e, &p.Texts[slices.Index(p.Exercises, e)], nil
}

// manifest reads the fields of a manifest.
func (d *decoder) manifest(n *yaml.Node, p *Pack) []packFile {
	var format string
	var version int
	var files []packFile
	d.mapping(n, "",
		must("format", d.choice(&format, PackFormat)),
		must("version", d.whole(&version, FormatVersion, FormatVersion)),
		must("id", d.identifier(&p.ID)),
		must("title", d.text(&p.Title)),
		must("author", d.text(&p.Author)),
		must("files", d.list(1, func(n *yaml.Node, path string) {
			f := packFile{line: n.Line}
			d.mapping(n, path, must("name", d.fileName(&f.name)), must("sha256", d.digest(&f.sha256)))
			if slices.ContainsFunc(files, func(x packFile) bool { return x.name == f.name }) {
				d.fault(n, path, fmt.Sprintf("%q is listed twice", f.name), "keep one of them")
			}
			files = append(files, f)
		})),
	)
	if len(files) > mostPackFiles {
		d.fault(n, "files", fmt.Sprintf("%d files", len(files)), fmt.Sprintf("a pack holds at most %d", mostPackFiles))
	}
	return files
}

// fileName reads the name of a file that stays inside its folder.
func (d *decoder) fileName(to *string) reader {
	return func(n *yaml.Node, path string) {
		ok := n.Kind == yaml.ScalarNode && fs.ValidPath(n.Value) && !strings.ContainsAny(n.Value, "\\:") &&
			n.Value != ManifestName && IsFile(n.Value)
		if !ok {
			d.fault(n, path, "expected the name of a .yaml file of the pack, found "+describe(n), "name a file in the folder of the manifest or below, with / between folders")
			return
		}
		*to = n.Value
	}
}

// digest reads a SHA-256 in hexadecimal.
func (d *decoder) digest(to *string) reader {
	return func(n *yaml.Node, path string) {
		b, err := hex.DecodeString(n.Value)
		if n.Kind != yaml.ScalarNode || err != nil || len(b) != sha256.Size {
			d.fault(n, path, "expected a SHA-256 in hexadecimal, found "+describe(n), "let foilwright-desk pack write the manifest")
			return
		}
		*to = hex.EncodeToString(b)
	}
}

// listed reads the files of a manifest, within the bounds, and compares their
// digests.
func (d *decoder) listed(folder fs.FS, files []packFile) map[string][]byte {
	whole := map[string][]byte{}
	left := int64(mostPackBytes)
	for _, f := range files {
		fault := func(what, remedy string) {
			d.faults = append(d.faults, Fault{File: d.file, Line: f.line, Field: "files", What: f.name + ": " + what, Remedy: remedy})
		}
		text, err := readBounded(folder, f.name, min(left, maxBytes))
		switch {
		case err != nil:
			fault(fmt.Sprint(reason(err)), "the pack is not whole: fetch it again, or make it anew with foilwright-desk pack")
			continue
		case hexDigest(text) != f.sha256:
			fault("the file is not the one the manifest speaks of: its digest differs", "fetch the pack again; if you changed the file, make the pack anew with foilwright-desk pack")
		}
		left -= int64(len(text))
		whole[f.name] = text
	}
	return whole
}

// readBounded reads a plain file of at most so many bytes.
func readBounded(folder fs.FS, name string, most int64) ([]byte, error) {
	f, err := folder.Open(name)
	if err != nil {
		return nil, err
	}
	defer func() { _ = f.Close() }()
	if info, err := f.Stat(); err != nil {
		return nil, err
	} else if !info.Mode().IsRegular() {
		return nil, errors.New("it is no plain file")
	}
	text, err := io.ReadAll(io.LimitReader(f, most+1))
	if err != nil {
		return nil, err
	}
	if int64(len(text)) > most {
		return nil, fmt.Errorf("it is larger than %d bytes", most)
	}
	return text, nil
}

// unlisted finds exercise files the manifest does not speak of.
func (d *decoder) unlisted(folder fs.FS, files []packFile) {
	seen := 0
	err := fs.WalkDir(folder, ".", func(name string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if seen++; seen > 4*mostPackFiles {
			return errors.New("too many files")
		}
		if entry.IsDir() || !IsFile(name) || name == ManifestName || slices.ContainsFunc(files, func(f packFile) bool { return f.name == name }) {
			return nil
		}
		d.fault(nil, "files", name+" is in the pack but not in its manifest", "take it out, or make the pack anew with foilwright-desk pack")
		return nil
	})
	if err != nil {
		d.fault(nil, "files", fmt.Sprintf("the pack cannot be read whole: %v", reason(err)), "fetch it again")
	}
}

// collect takes the faults of one file of a pack.
func (d *decoder) collect(line int, err error) {
	var faults Faults
	switch {
	case err == nil:
	case errors.As(err, &faults):
		d.faults = append(d.faults, faults...)
	default:
		d.faults = append(d.faults, Fault{File: d.file, Line: line, Field: "files", What: err.Error(), Remedy: "make the pack anew with foilwright-desk pack"})
	}
}

func hexDigest(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}
