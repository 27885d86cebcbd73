// Package auth is who may do what in a class: passphrases, sign-in tokens,
// roles and limits on how often something may be tried.
//
// It keeps nothing itself; internal/class/store keeps digests only.
package auth

import (
	"crypto/rand"
	"crypto/subtle"
	"encoding/base64"
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"

	"golang.org/x/crypto/argon2"
)

// Cost of a passphrase: argon2id with 19 MiB, two passes, one lane.
// Source: OWASP password storage recommendations (from memory); RFC 9106
// describes the function.
const (
	passes    = 2
	memoryKiB = 19 << 10
	lanes     = 1
	keyBytes  = 32
	saltBytes = 16
)

// Bounds of a passphrase, in characters. Length is what counts; there is no
// rule about kinds of characters (NIST SP 800-63B, from memory).
const (
	LeastPassphrase = 12
	MostPassphrase  = 200
)

// CheckPassphrase tells what is wrong with a new passphrase.
func CheckPassphrase(s string) error {
	switch n := utf8.RuneCountInString(s); {
	case n < LeastPassphrase:
		return fmt.Errorf("the passphrase has %d characters; take at least %d, such as four words", n, LeastPassphrase)
	case n > MostPassphrase:
		return fmt.Errorf("the passphrase has %d characters; at most %d are taken", n, MostPassphrase)
	case strings.TrimSpace(s) == "":
		return errors.New("the passphrase is blank")
	}
	return nil
}

// turns lets two passphrases be worked on at a time: each takes 19 MiB and a
// processor for tens of milliseconds, which a crowd could use to stop a class.
var turns = make(chan struct{}, 2)

// Hash returns what is kept of a passphrase, in the usual PHC string form.
func Hash(passphrase string) string {
	salt := make([]byte, saltBytes)
	rand.Read(salt) // never fails
	return fmt.Sprintf("$argon2id$v=%d$m=%d,t=%d,p=%d$%s$%s", argon2.Version, memoryKiB, passes, lanes,
		encode(salt), encode(derive(passphrase, salt, passes, memoryKiB, lanes)))
}

func derive(passphrase string, salt []byte, t, m uint32, p uint8) []byte {
	turns <- struct{}{}
	defer func() { <-turns }()
	return argon2.IDKey([]byte(passphrase), salt, t, m, p, keyBytes)
}

// nobody is worked through when there is no such person, so that the time of
// an answer does not tell who exists.
var nobody = Hash("nobody signs in with this")

// Matches reports whether a passphrase is the one that was hashed. An empty
// hash matches nothing, and takes as long.
func Matches(hash, passphrase string) bool {
	known := hash != ""
	if !known {
		hash = nobody
	}
	if utf8.RuneCountInString(passphrase) > MostPassphrase {
		passphrase = ""
	}
	var version int
	var m, t uint32
	var p uint8
	parts := strings.Split(hash, "$")
	if len(parts) != 6 || parts[1] != "argon2id" {
		return false
	}
	if _, err := fmt.Sscanf(parts[2], "v=%d", &version); err != nil || version != argon2.Version {
		return false
	}
	if _, err := fmt.Sscanf(parts[3], "m=%d,t=%d,p=%d", &m, &t, &p); err != nil || m > 1<<20 || t > 100 || t == 0 || p == 0 {
		return false
	}
	salt, err := base64.RawStdEncoding.DecodeString(parts[4])
	if err != nil {
		return false
	}
	want, err := base64.RawStdEncoding.DecodeString(parts[5])
	if err != nil || len(want) != keyBytes {
		return false
	}
	return subtle.ConstantTimeCompare(derive(passphrase, salt, t, m, p), want) == 1 && known
}

func encode(b []byte) string { return base64.RawStdEncoding.EncodeToString(b) }
