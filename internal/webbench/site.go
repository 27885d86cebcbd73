// Package webbench serves the browser build of the bench: a handful of files held in memory, to browsers on this
// machine. It is not the class server and keeps nothing.
//
// Checked by: RFC 9110 (HTTP Semantics, 2022) sections 8.8.3 (entity tags), 9.3.2 (HEAD), 12.5.3 (Accept-Encoding).
package webbench

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io/fs"
	"maps"
	"mime"
	"net/http"
	"path"
	"slices"
	"strconv"
	"strings"
)

// Names of the two files that a build makes and that join the page's own files.
const (
	ProgramName = "foilwright.wasm" // the bench, compiled for browsers
	LoaderName  = "wasm_exec.js"    // the Go distribution's loader, of the same Go version as the program
)

// File is one file as it is served.
type File struct {
	Name    string // slash-separated, without a leading slash
	Content []byte
	Gzip    []byte // the same content packed, or nil
}

// Site answers GET and HEAD for its files, packed where the browser takes it.
type Site struct {
	files map[string]served
}

type served struct {
	File
	contentType string
	tag         string // of the content; the packed form has its own
}

// PageFiles reads the page's files from a file system, packing those that gain from it.
func PageFiles(pages fs.FS) ([]File, error) {
	var files []File
	err := fs.WalkDir(pages, ".", func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		content, err := fs.ReadFile(pages, name)
		if err != nil {
			return err
		}
		packed := pack(content)
		if len(packed) > len(content)*9/10 {
			packed = nil
		}
		files = append(files, File{Name: name, Content: content, Gzip: packed})
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("reading the page's files: %w", err)
	}
	return files, nil
}

func pack(content []byte) []byte {
	var out bytes.Buffer
	w, err := gzip.NewWriterLevel(&out, gzip.BestCompression)
	if err != nil {
		panic(err) // the level is a constant
	}
	if _, err := w.Write(content); err != nil {
		panic(err) // a buffer takes everything
	}
	if err := w.Close(); err != nil {
		panic(err)
	}
	return out.Bytes()
}

// NewSite returns a site of the files; a later file replaces an earlier one of the same name.
// It refuses a set without index.html, which no browser could start from.
func NewSite(files ...File) (*Site, error) {
	s := &Site{files: make(map[string]served, len(files))}
	for _, f := range files {
		sum := sha256.Sum256(f.Content)
		s.files["/"+f.Name] = served{File: f, contentType: contentType(f.Name), tag: hex.EncodeToString(sum[:12])}
	}
	index, ok := s.files["/index.html"]
	if !ok {
		return nil, fmt.Errorf("the site has no index.html")
	}
	s.files["/"] = index
	return s, nil
}

// contentType does not ask the machine's own tables: browsers compile the program while it loads only when the type is
// exactly application/wasm, and a Windows registry may call a script text/plain.
func contentType(name string) string {
	switch path.Ext(name) {
	case ".html":
		return "text/html; charset=utf-8"
	case ".js", ".mjs":
		return "text/javascript; charset=utf-8"
	case ".css":
		return "text/css; charset=utf-8"
	case ".wasm":
		return "application/wasm"
	case ".json":
		return "application/json"
	case ".webmanifest":
		return "application/manifest+json"
	case ".svg":
		return "image/svg+xml"
	case ".png":
		return "image/png"
	case ".ico":
		return "image/vnd.microsoft.icon"
	case ".ttf":
		return "font/ttf"
	case ".txt":
		return "text/plain; charset=utf-8"
	}
	if t := mime.TypeByExtension(path.Ext(name)); t != "" {
		return t
	}
	return "application/octet-stream"
}

// ServeHTTP implements http.Handler.
func (s *Site) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	h := w.Header()
	h.Set("X-Content-Type-Options", "nosniff")
	if r.Method != http.MethodGet && r.Method != http.MethodHead {
		h.Set("Allow", "GET, HEAD")
		http.Error(w, "only GET and HEAD are answered here", http.StatusMethodNotAllowed)
		return
	}
	f, ok := s.files[r.URL.Path]
	if !ok {
		http.Error(w, "no such file", http.StatusNotFound)
		return
	}
	body, tag := f.Content, `"`+f.tag+`"`
	if f.Gzip != nil {
		h.Set("Vary", "Accept-Encoding")
		if acceptsGzip(r.Header.Values("Accept-Encoding")) {
			body, tag = f.Gzip, `"`+f.tag+`-gzip"`
			h.Set("Content-Encoding", "gzip")
		}
	}
	// A rebuilt bench has the same address, so the browser must ask each time; the tag spares the transfer.
	h.Set("Cache-Control", "no-cache")
	h.Set("ETag", tag)
	if matches(r.Header.Values("If-None-Match"), tag) {
		h.Del("Content-Encoding")
		w.WriteHeader(http.StatusNotModified)
		return
	}
	h.Set("Content-Type", f.contentType)
	h.Set("Content-Length", strconv.Itoa(len(body)))
	if f.Gzip != nil {
		// What a progress bar needs: Content-Length counts packed bytes, the page sees unpacked ones.
		h.Set("X-Unpacked-Length", strconv.Itoa(len(f.Content)))
	}
	if r.Method == http.MethodGet {
		w.Write(body)
	}
}

// acceptsGzip reads the Accept-Encoding header fields: gzip or * is listed with a weight that is not zero.
func acceptsGzip(fields []string) bool {
	star := false
	for item := range strings.SplitSeq(strings.Join(fields, ","), ",") {
		name, parameters, _ := strings.Cut(item, ";")
		name = strings.ToLower(strings.TrimSpace(name))
		if name != "gzip" && name != "x-gzip" && name != "*" {
			continue
		}
		wanted := true
		if key, weight, found := strings.Cut(strings.TrimSpace(parameters), "="); found &&
			strings.EqualFold(strings.TrimSpace(key), "q") {
			q, err := strconv.ParseFloat(strings.TrimSpace(weight), 64)
			wanted = err == nil && q > 0
		}
		if name != "*" {
			return wanted
		}
		star = wanted
	}
	return star
}

// matches reports whether a list of entity tags names this one, or any.
func matches(fields []string, tag string) bool {
	for item := range strings.SplitSeq(strings.Join(fields, ","), ",") {
		item = strings.TrimPrefix(strings.TrimSpace(item), "W/")
		if item == "*" || item == tag {
			return true
		}
	}
	return false
}

// Files returns the files of the site by name, for whoever packs them.
func (s *Site) Files() []File {
	var list []File
	for _, name := range slices.Sorted(maps.Keys(s.files)) {
		if name != "/" {
			list = append(list, s.files[name].File)
		}
	}
	return list
}
