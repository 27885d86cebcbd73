package classtest

import (
	"archive/zip"
	"bytes"
	"io"
	"strings"
	"testing"
)

// Unzipped is all text in a zip file.
func Unzipped(t *testing.T, data []byte) string {
	t.Helper()
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		t.Fatal(err)
	}
	var all strings.Builder
	for _, f := range z.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		if _, err := io.Copy(&all, r); err != nil {
			t.Fatal(err)
		}
		r.Close()
	}
	return all.String()
}
