package store

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
)

// Audit is one line of the audit trail: who did what to what, and when. Each
// line carries the digest of the line before it.
type Audit struct {
	N, At             int64
	Who, Did, Subject string
	Detail            string
	Prev, Digest      string
}

func (a *Audit) fields() []any {
	return []any{&a.N, &a.At, &a.Who, &a.Did, &a.Subject, &a.Detail, &a.Prev, &a.Digest}
}

func (a *Audit) digest() string {
	text, err := json.Marshal([]any{a.N, a.At, a.Who, a.Did, a.Subject, a.Detail, a.Prev})
	if err != nil {
		panic(err) // numbers and strings always marshal
	}
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:])
}

// Note adds a line to the audit trail, in the transaction of what it tells of.
func (t *Tx) Note(who, did, subject, detail string) error {
	if t.s.postgres {
		// Two writers must not take the same number.
		if err := t.Exec("lock table audit in exclusive mode"); err != nil {
			return err
		}
	}
	a := Audit{N: 1, At: Now(), Who: who, Did: did, Subject: subject, Detail: detail}
	var last int64
	err := t.Row("select n, digest from audit order by n desc limit 1", nil, &last, &a.Prev)
	if err != nil && !errors.Is(err, ErrMissing) {
		return err
	}
	a.N = last + 1
	a.Digest = a.digest()
	return t.Exec("insert into audit (n, at, who, did, subject, detail, prev, digest) values (?, ?, ?, ?, ?, ?, ?, ?)",
		a.N, a.At, a.Who, a.Did, a.Subject, a.Detail, a.Prev, a.Digest)
}

// AuditTrail returns the newest lines of the trail, newest first, at most limit; with
// a subject only those about it.
func (s *Store) AuditTrail(ctx context.Context, subject string, limit int) ([]Audit, error) {
	const columns = "select n, at, who, did, subject, detail, prev, digest from audit "
	if subject != "" {
		return list(ctx, s, columns+"where subject = ? order by n desc limit ?", []any{subject, limit}, (*Audit).fields)
	}
	return list(ctx, s, columns+"order by n desc limit ?", []any{limit}, (*Audit).fields)
}

// CheckAudit goes through the whole trail and tells the first line that was
// changed, lost or moved.
func (s *Store) CheckAudit(ctx context.Context) (lines int, err error) {
	trail, err := list(ctx, s, "select n, at, who, did, subject, detail, prev, digest from audit order by n", nil, (*Audit).fields)
	if err != nil {
		return 0, err
	}
	prev := ""
	for i, a := range trail {
		if a.N != int64(i)+1 || a.Prev != prev || a.digest() != a.Digest {
			return i, fmt.Errorf("line %d of the audit trail was changed, lost or moved", i+1)
		}
		prev = a.Digest
	}
	return len(trail), nil
}
