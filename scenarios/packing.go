package scenarios

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io/fs"
	"time"
)

// MakePack writes the manifest of the exercises and shelves in a folder, and
// the pack as a zip file. It makes nothing that ReadPackZip would refuse, and
// the same folder always makes the same bytes.
func MakePack(folder fs.FS, shown, id, title, author string) ([]byte, *Pack, error) {
	var names []string
	err := fs.WalkDir(folder, ".", func(name string, entry fs.DirEntry, err error) error {
		if err == nil && entry.Type().IsRegular() && name != ManifestName && IsFile(name) {
			names = append(names, name)
		}
		return err
	})
	if err != nil {
		return nil, nil, err
	}
	if len(names) == 0 {
		return nil, nil, fmt.Errorf("%s: there is no .yaml file in this folder; write an exercise first, foilwright-desk new-exercise helps", shown)
	}
	var manifest bytes.Buffer
	fmt.Fprintf(&manifest, "format: %s\nversion: %d\nid: %s\ntitle: %q\nauthor: %q\nfiles:\n", PackFormat, FormatVersion, id, title, author)
	texts := make([][]byte, len(names))
	for i, name := range names {
		if texts[i], err = readBounded(folder, name, maxBytes); err != nil {
			return nil, nil, fmt.Errorf("%s: %s: %w", shown, name, err)
		}
		fmt.Fprintf(&manifest, "  - {name: %q, sha256: %s}\n", name, hexDigest(texts[i]))
	}
	var out bytes.Buffer
	z := zip.NewWriter(&out)
	write := func(name string, data []byte) error {
		// A fixed time, or the same folder would make other bytes tomorrow.
		w, err := z.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate, Modified: time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)})
		if err == nil {
			_, err = w.Write(data)
		}
		return err
	}
	if err := write(ManifestName, manifest.Bytes()); err != nil {
		return nil, nil, err
	}
	for i, name := range names {
		if err := write(name, texts[i]); err != nil {
			return nil, nil, err
		}
	}
	if err := z.Close(); err != nil {
		return nil, nil, err
	}
	p, err := ReadPackZip(out.Bytes(), shown)
	if err != nil {
		return nil, nil, err
	}
	return out.Bytes(), p, nil
}
