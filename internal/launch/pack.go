package launch

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"os"
)

// Packed returns a program's content, and its gzip form from the file beside it, which is made anew only when the
// program is another one than it was packed from: the packed file's comment holds the digest of what is inside.
func Packed(program string, progress io.Writer) (content, packed []byte, err error) {
	content, err = os.ReadFile(program)
	if err != nil {
		return nil, nil, fmt.Errorf("reading the program: %w", err)
	}
	sum := sha256.Sum256(content)
	digest := hex.EncodeToString(sum[:])
	beside := program + ".gz"
	if packed, err = os.ReadFile(beside); err == nil {
		if r, err := gzip.NewReader(bytes.NewReader(packed)); err == nil && r.Comment == digest {
			return content, packed, nil
		}
	}
	var out bytes.Buffer
	w, err := gzip.NewWriterLevel(&out, gzip.BestCompression)
	if err != nil {
		return nil, nil, err
	}
	w.Comment = digest
	if _, err := w.Write(content); err != nil {
		return nil, nil, err
	}
	if err := w.Close(); err != nil {
		return nil, nil, err
	}
	// Written aside and renamed, so that a stop in between leaves no half file with a full digest.
	aside := beside + ".part"
	if err := os.WriteFile(aside, out.Bytes(), 0o644); err != nil {
		return nil, nil, fmt.Errorf("packing the program: %w", err)
	}
	if err := os.Rename(aside, beside); err != nil {
		return nil, nil, fmt.Errorf("packing the program: %w", err)
	}
	fmt.Fprintf(progress, "packed to %.1f MB\n", float64(out.Len())/1e6)
	return content, out.Bytes(), nil
}
