// Package seal closes the log of an assessment so that a later change shows:
// the log is a hash chain already, and its digest is signed with Ed25519.
//
// Whoever has the public key can check a sealed attempt; nothing else is
// needed, and no server. A seal says that this server kept this log, not that
// the candidate was who they said: the identity check stands in it as a word.
//
// Source: RFC 8032 (Ed25519), by the standard library.
package seal

import (
	"bytes"
	"crypto/ed25519"
	"crypto/rand"
	"crypto/sha256"
	"crypto/x509"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"encoding/pem"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"foilwright/sim/bench"
)

// Format and Version name the form of a sealed attempt.
const (
	Format  = "foilwright-sealed"
	Version = 1
)

// Names of the key files in the data folder.
const (
	PrivateFile = "seal.key"
	PublicFile  = "seal.pub"
)

// Facts are what a seal says of an attempt.
type Facts struct {
	Attempt        string   `json:"attempt"`
	Candidate      string   `json:"candidate"` // id; the name stands in the log's header
	Exercise       string   `json:"exercise"`
	ExerciseDigest string   `json:"exercise_digest"`
	Identity       string   `json:"identity"` // who saw proof, and when
	Turn           int64    `json:"turn"`
	Started        int64    `json:"started_ms"`
	Sealed         int64    `json:"sealed_ms"`
	Entries        int      `json:"entries"`
	LogDigest      string   `json:"log_sha256"`
	BroughtIn      []string `json:"brought_in"` // what an instructor did to it
}

// Seal is the signed facts. Signed is the JSON of the facts, byte for byte as
// it was signed.
type Seal struct {
	Format    string `json:"format"`
	Version   int    `json:"version"`
	Signed    string `json:"signed"`
	Signature string `json:"signature"`
	Key       string `json:"key"` // digest of the public key, to find the right one
}

// Keys returns the key of a data folder, making one if there is none.
func Keys(folder string) (ed25519.PrivateKey, error) {
	name := filepath.Join(folder, PrivateFile)
	data, err := os.ReadFile(name)
	if errors.Is(err, os.ErrNotExist) {
		return newKeys(folder)
	}
	if err != nil {
		return nil, err
	}
	block, _ := pem.Decode(data)
	if block == nil {
		return nil, fmt.Errorf("%s is no key file; restore it from a backup", name)
	}
	key, err := x509.ParsePKCS8PrivateKey(block.Bytes)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	private, ok := key.(ed25519.PrivateKey)
	if !ok {
		return nil, fmt.Errorf("%s holds another kind of key", name)
	}
	return private, nil
}

func newKeys(folder string) (ed25519.PrivateKey, error) {
	public, private, err := ed25519.GenerateKey(rand.Reader)
	if err != nil {
		return nil, err
	}
	secret, err := x509.MarshalPKCS8PrivateKey(private)
	if err != nil {
		return nil, err
	}
	open, err := x509.MarshalPKIXPublicKey(public)
	if err != nil {
		return nil, err
	}
	if err := os.WriteFile(filepath.Join(folder, PublicFile), pem.EncodeToMemory(&pem.Block{Type: "PUBLIC KEY", Bytes: open}), 0o644); err != nil {
		return nil, err
	}
	return private, os.WriteFile(filepath.Join(folder, PrivateFile), pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: secret}), 0o600)
}

// ReadPublic reads a public key file.
func ReadPublic(data []byte) (ed25519.PublicKey, error) {
	block, _ := pem.Decode(data)
	if block == nil || block.Type != "PUBLIC KEY" {
		return nil, errors.New("this is no public key file; take " + PublicFile + " of the server that sealed the attempt")
	}
	key, err := x509.ParsePKIXPublicKey(block.Bytes)
	if err != nil {
		return nil, err
	}
	public, ok := key.(ed25519.PublicKey)
	if !ok {
		return nil, errors.New("the key file holds another kind of key")
	}
	return public, nil
}

// Sign seals a log.
func Sign(key ed25519.PrivateKey, f Facts, log []byte) (*Seal, error) {
	f.LogDigest = digest(log)
	signed, err := json.Marshal(f)
	if err != nil {
		return nil, err
	}
	return &Seal{
		Format: Format, Version: Version, Signed: string(signed), Key: digest(key.Public().(ed25519.PublicKey)),
		Signature: base64.StdEncoding.EncodeToString(ed25519.Sign(key, signed)),
	}, nil
}

func digest(b []byte) string {
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:])
}

// File is a sealed attempt as it is handed on: the seal on the first line, the
// log after it.
func (s *Seal) File(log []byte) ([]byte, error) {
	head, err := json.Marshal(s)
	if err != nil {
		return nil, err
	}
	return append(append(head, '\n'), log...), nil
}

// Check reads a sealed attempt and reports what is wrong with it. The log in
// it is checked line by line; it is not replayed.
func Check(public ed25519.PublicKey, file []byte) (*Facts, *bench.Log, error) {
	head, log, _ := bytes.Cut(file, []byte{'\n'})
	var s Seal
	d := json.NewDecoder(bytes.NewReader(head))
	d.DisallowUnknownFields()
	if err := d.Decode(&s); err != nil || s.Format != Format {
		return nil, nil, errors.New("this is no sealed attempt: the first line is no seal")
	}
	if s.Version != Version {
		return nil, nil, fmt.Errorf("unknown version %d of the seal; this program knows %d", s.Version, Version)
	}
	signature, err := base64.StdEncoding.DecodeString(s.Signature)
	if err != nil {
		return nil, nil, errors.New("the signature is malformed")
	}
	if !ed25519.Verify(public, []byte(s.Signed), signature) {
		if s.Key != digest(public) {
			return nil, nil, errors.New("the attempt was sealed with another key, or the seal was changed")
		}
		return nil, nil, errors.New("the seal was changed: its signature does not fit")
	}
	var f Facts
	if err := json.Unmarshal([]byte(s.Signed), &f); err != nil {
		return nil, nil, fmt.Errorf("the signed facts are malformed: %w", err)
	}
	if digest(log) != f.LogDigest {
		return nil, nil, errors.New("the log was changed after it was sealed")
	}
	l, err := bench.ReadLog("sealed log", bytes.NewReader(log))
	if err != nil {
		return nil, nil, err
	}
	if len(l.Entries) != f.Entries {
		return nil, nil, fmt.Errorf("the log has %d entries, the seal says %d", len(l.Entries), f.Entries)
	}
	return &f, l, nil
}
