package scenarios

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"foilwright/sim/bench"
)

// yardPack is a folder with one exercise and its shelf.
func yardPack(t testing.TB) fstest.MapFS {
	t.Helper()
	text := withShelf(t, "  - from: twin-3\n", "  - from: foil-25\n  - from: foil-50\n", "shelves: [shelf/yard.yaml]\n")
	text = strings.Replace(text, "id: painted-panel\n", "id: yard-panel\n", 1)
	return fstest.MapFS{"panel.yaml": {Data: []byte(text)}, "shelf/yard.yaml": {Data: []byte(yardShelf)}, "notes.txt": {Data: []byte("not part of it\n")}}
}

func zipOf(t testing.TB, files map[string]string, change func(*zip.FileHeader)) []byte {
	t.Helper()
	var out bytes.Buffer
	z := zip.NewWriter(&out)
	for _, name := range slices.Sorted(maps.Keys(files)) {
		h := &zip.FileHeader{Name: name, Method: zip.Deflate}
		if change != nil {
			change(h)
		}
		w, err := z.CreateHeader(h)
		if err == nil {
			_, err = w.Write([]byte(files[name]))
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

func TestAPackIsMadeAndReadBack(t *testing.T) {
	data, made, err := MakePack(yardPack(t), "yard", "yard-set", "Panels of the yard", "Instructor")
	if err != nil {
		t.Fatal(err)
	}
	again, _, err := MakePack(yardPack(t), "yard", "yard-set", "Panels of the yard", "Instructor")
	if err != nil || !bytes.Equal(data, again) {
		t.Errorf("the same folder makes another pack: %v", err)
	}
	p, err := ReadPackZip(data, "yard.zip")
	if err != nil {
		t.Fatal(err)
	}
	if p.Digest != made.Digest || len(p.Exercises) != 1 || p.Exercises[0].ID != "yard-panel" || len(p.Exercises[0].Foils) != 2 || p.Author != "Instructor" {
		t.Errorf("read back: %+v", p)
	}
	l := NewLibrary()
	before := len(l.Exercises)
	for range 2 { // the second time changes nothing
		if err := l.Add(p); err != nil {
			t.Fatal(err)
		}
	}
	if len(l.Exercises) != before+1 || len(l.Packs) != 1 {
		t.Errorf("%d exercises and %d packs after adding one", len(l.Exercises), len(l.Packs))
	}
	if _, err := l.ByID("yard-panel"); err != nil {
		t.Error(err)
	}
	// Another exercise of the same id refuses the pack whole.
	other := *p.Exercises[0]
	other.Digest = "other"
	clash := &Pack{ID: "clash", Digest: "d", Exercises: []*bench.Exercise{{ID: "fresh", Digest: "x"}, &other}}
	if err := l.Add(clash); err == nil || !strings.Contains(err.Error(), "here already with other contents") {
		t.Errorf("a clash of ids: %v", err)
	}
	if len(l.Exercises) != before+1 {
		t.Error("a refused pack left something behind")
	}
}

func TestBadPacksAreRefusedWhole(t *testing.T) {
	good := map[string]string{}
	data, _, err := MakePack(yardPack(t), "yard", "yard-set", "Panels of the yard", "Instructor")
	if err != nil {
		t.Fatal(err)
	}
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range z.File {
		text, err := fs.ReadFile(z, f.Name)
		if err != nil {
			t.Fatal(err)
		}
		good[f.Name] = string(text)
	}
	with := func(change func(m map[string]string)) []byte {
		m := map[string]string{}
		for k, v := range good {
			m[k] = v
		}
		change(m)
		return zipOf(t, m, nil)
	}
	manifest := func(old, new string) []byte {
		return with(func(m map[string]string) {
			if !strings.Contains(m[ManifestName], old) {
				t.Fatalf("no %q in\n%s", old, m[ManifestName])
			}
			m[ManifestName] = strings.Replace(m[ManifestName], old, new, 1)
		})
	}
	badExercise := func(old, new string) []byte {
		folder := yardPack(t)
		text := strings.Replace(string(folder["panel.yaml"].Data), old, new, 1)
		m := map[string]string{"panel.yaml": text, "shelf/yard.yaml": yardShelf}
		m[ManifestName] = strings.Replace(good[ManifestName], hexDigest([]byte(good["panel.yaml"])), hexDigest([]byte(text)), 1)
		return zipOf(t, m, nil)
	}
	for _, c := range []struct {
		name string
		data []byte
		want []string
	}{
		{"not a zip", []byte("plain words"), []string{"no zip file", "fetch it again"}},
		{"cut off", data[:len(data)/2], []string{"no zip file"}},
		{"empty", nil, []string{"no zip file"}},
		{"too large", make([]byte, mostZipBytes+1), []string{"at most"}},
		{"no manifest", with(func(m map[string]string) { delete(m, ManifestName) }), []string{"no pack.yaml", "foilwright-desk pack"}},
		{"a path that climbs", with(func(m map[string]string) { m["../evil.yaml"] = "x" }), []string{"leads out of the pack"}},
		{"an absolute path", with(func(m map[string]string) { m["/etc/evil.yaml"] = "x" }), []string{"leads out of the pack"}},
		{"a path of another system", with(func(m map[string]string) { m["C:\\evil.yaml"] = "x" }), []string{"leads out of the pack"}},
		{"a link", zipOf(t, good, func(h *zip.FileHeader) { h.SetMode(fs.ModeSymlink | 0o777) }), []string{"no plain file"}},
		{"many files", with(func(m map[string]string) {
			for i := range 2*mostPackFiles + 1 {
				m[fmt.Sprintf("f%d.txt", i)] = ""
			}
		}), []string{"holds at most"}},
		{"a file that unpacks to very much", with(func(m map[string]string) { m["panel.yaml"] = strings.Repeat("#\n", mostPackBytes) }), []string{"larger than 16 MiB"}},
		{"a long exercise", with(func(m map[string]string) { m["panel.yaml"] = strings.Repeat("#\n", maxBytes) }), []string{"panel.yaml: it is larger than"}},
		{"a changed file", with(func(m map[string]string) { m["panel.yaml"] += "# later\n" }), []string{"pack.yaml:", "panel.yaml: the file is not the one", "digest differs"}},
		{"a missing file", with(func(m map[string]string) { delete(m, "panel.yaml") }), []string{"panel.yaml", "does not exist", "not whole"}},
		{"a file too many", with(func(m map[string]string) { m["extra.yaml"] = "x: 1\n" }), []string{"extra.yaml is in the pack but not in its manifest"}},
		{"unknown field", manifest("author:", "autor:"), []string{"yard.zip/pack.yaml:5: autor: unknown field", `did you mean "author"?`}},
		{"other version", manifest("version: 1", "version: 9"), []string{"pack.yaml:2: version: expected a whole number"}},
		{"other format", manifest("format: foilwright-pack", "format: foilwright-exercise"), []string{"pack.yaml:1: format:"}},
		{"listed name climbs", manifest(`"panel.yaml"`, `"../panel.yaml"`), []string{"pack.yaml:7: files[0].name: expected the name of a .yaml file of the pack"}},
		{"listed twice", manifest(`"shelf/yard.yaml"`, `"panel.yaml"`), []string{"listed twice"}},
		{"no digest", manifest("sha256: ", "sha256: zz"), []string{"files[0].sha256: expected a SHA-256"}},
		{"manifest too long", with(func(m map[string]string) { m[ManifestName] += strings.Repeat("#\n", maxBytes) }), []string{"manifest is larger"}},
		{"a fault in an exercise", badExercise("minutes: 15", "minutes: long"), []string{"yard.zip/panel.yaml:", "minutes: expected a whole number"}},
		{"a shelf not in the pack", badExercise("shelf/yard.yaml", "shelf/other.yaml"), []string{"yard.zip/panel.yaml:", `the shelf "shelf/other.yaml" cannot be read: file does not exist`}},
	} {
		p, err := ReadPackZip(c.data, "yard.zip")
		if err == nil || p != nil {
			t.Errorf("%s: pack %v, error %v", c.name, p, err)
			continue
		}
		for _, w := range c.want {
			if !strings.Contains(err.Error(), w) {
				t.Errorf("%s: no %q in\n%v", c.name, w, err)
			}
		}
	}
}

// A folder is held to the same as a zip file, and links do not lead out of it.
func TestAPackMayBeAFolder(t *testing.T) {
	data, _, err := MakePack(yardPack(t), "yard", "yard-set", "Panels of the yard", "Instructor")
	if err != nil {
		t.Fatal(err)
	}
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		t.Fatal(err)
	}
	folder := t.TempDir()
	if err := os.CopyFS(folder, z); err != nil {
		t.Fatal(err)
	}
	root, err := os.OpenRoot(folder)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = root.Close() }()
	if _, err := ReadPack(root.FS(), "yard"); err != nil {
		t.Fatal(err)
	}
	outside := t.TempDir() + "/panel.yaml"
	if err := os.Rename(folder+"/panel.yaml", outside); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(outside, folder+"/panel.yaml"); err != nil {
		t.Fatal(err)
	}
	if _, err := ReadPack(root.FS(), "yard"); err == nil || !strings.Contains(err.Error(), "panel.yaml") {
		t.Errorf("a link that leads out of the folder: %v", err)
	}
}

func FuzzReadPackZip(f *testing.F) {
	data, _, err := MakePack(yardPack(f), "yard", "yard-set", "Panels of the yard", "Instructor")
	if err != nil {
		f.Fatal(err)
	}
	f.Add(data)
	f.Add(data[:len(data)-30])
	f.Add([]byte("PK\x05\x06"))
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := ReadPackZip(data, "fuzz.zip")
		if (p == nil) == (err == nil) {
			t.Fatalf("pack %v and error %v", p, err)
		}
		if err == nil && (p.ID == "" || len(p.Exercises) == 0) {
			t.Fatalf("an empty pack was taken: %+v", p)
		}
	})
}

// The manifest alone, without the zip around it, so that the fuzzer need not
// learn zip.
func FuzzManifest(f *testing.F) {
	folder := yardPack(f)
	data, _, err := MakePack(folder, "yard", "yard-set", "Panels of the yard", "Instructor")
	if err != nil {
		f.Fatal(err)
	}
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		f.Fatal(err)
	}
	manifest, err := fs.ReadFile(z, ManifestName)
	if err != nil {
		f.Fatal(err)
	}
	f.Add(manifest, folder["panel.yaml"].Data, []byte(yardShelf))
	f.Fuzz(func(t *testing.T, manifest, exercise, shelf []byte) {
		files := fstest.MapFS{ManifestName: {Data: manifest}, "panel.yaml": {Data: exercise}, "shelf/yard.yaml": {Data: shelf}}
		p, err := ReadPack(files, "fuzz")
		if (p == nil) == (err == nil) {
			t.Fatalf("pack %v and error %v", p, err)
		}
		if err == nil && len(p.Exercises) == 0 {
			t.Fatalf("an empty pack was taken: %+v", p)
		}
	})
}
