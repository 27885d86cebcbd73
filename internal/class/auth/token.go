package auth

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"strings"
)

// NewToken returns 256 random bits as text that fits a cookie or an address.
func NewToken() string {
	b := make([]byte, 32)
	rand.Read(b) // never fails
	return base64.RawURLEncoding.EncodeToString(b)
}

// NewID returns a name for a row: 96 random bits, so that nobody guesses one.
func NewID() string {
	b := make([]byte, 12)
	rand.Read(b)
	return hex.EncodeToString(b)
}

// Digest is what is kept of a token or a code.
func Digest(token string) string {
	sum := sha256.Sum256([]byte(token))
	return hex.EncodeToString(sum[:])
}

// letters of codes that people read aloud and type: none that look alike.
const letters = "ABCDEFGHJKLMNPQRSTUVWXYZ23456789"

// NewCode returns n letters of a code; 6 give 30 bits, 12 give 60.
func NewCode(n int) string {
	b := make([]byte, n)
	rand.Read(b)
	for i := range b {
		b[i] = letters[int(b[i])%len(letters)] // 32 letters: no bias
	}
	return string(b)
}

// TidyCode takes a code as people type it.
func TidyCode(s string) string {
	return strings.Map(func(r rune) rune {
		if strings.ContainsRune(letters, r) {
			return r
		}
		return -1
	}, strings.ToUpper(s))
}
