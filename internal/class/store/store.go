// Package store keeps a class on disk: people, classes, handed-out exercises,
// the logs of attempts, marks and the audit trail.
//
// It is SQLite in a file of the data folder unless a PostgreSQL address is
// given; the schema and the statements are the same. Logs are only ever
// appended to, and Append reports a line as kept only after the commit that
// holds it has reached the disk.
//
// A commit writes the lines of all trainees that have come in as one row of
// the table inbox, one after the other, because to write to hundreds of logs
// at once costs a page of the file for each. They are sorted into the logs
// later, many lines at a time, and are held in memory until then.
package store

import (
	"context"
	"database/sql"
	_ "embed"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"

	_ "github.com/jackc/pgx/v5/stdlib" // registers "pgx"
	_ "modernc.org/sqlite"             // registers "sqlite"
)

//go:embed schema.sql
var schema string

// schemaVersion is written into new stores. Stores of the versions before lack
// tables, which they are given; any other is refused.
const schemaVersion = "3"

var versionsBefore = []string{"1", "2"}

// ErrMissing says that a row that was asked for is not there.
var ErrMissing = errors.New("not found")

// FileName is the database of a data folder.
const FileName = "class.sqlite"

// Store is an open database.
type Store struct {
	db       *sql.DB
	postgres bool
	// SQLite has one writer at a time; to queue for it here is quicker and
	// fairer than to poll for its lock. It is always the same connection, so
	// that its cache of pages stays good.
	writer   *sql.DB
	writing  sync.Mutex
	putting  *sql.Stmt    // SQLite: into the inbox
	copying  sync.Mutex   // held during a checkpoint
	written  atomic.Int64 // bytes since the last checkpoint, roughly
	queueing sync.Mutex
	queue    []Append
	queued   chan struct{}
	running  sync.WaitGroup
	stop     context.CancelFunc
	inbox    inbox

	statements sync.Map // as written -> as the database wants it
}

// Open opens the database in a folder, or the PostgreSQL server at address
// where that is not empty, and makes the tables if there are none.
func Open(ctx context.Context, folder, address string) (*Store, error) {
	s := &Store{postgres: address != "", queued: make(chan struct{}, 1), inbox: newInbox()}
	var err error
	if s.postgres {
		if s.db, err = sql.Open("pgx", address); err != nil {
			return nil, fmt.Errorf("the database address is malformed: %w", redact(err, address))
		}
		s.db.SetMaxOpenConns(12)
		s.writer = s.db
	} else {
		if err := os.MkdirAll(folder, 0o700); err != nil {
			return nil, fmt.Errorf("cannot make the data folder: %w", err)
		}
		name := "file:" + filepath.ToSlash(filepath.Join(folder, FileName)) +
			"?_pragma=busy_timeout(10000)&_pragma=journal_mode(WAL)&_pragma=synchronous(FULL)" +
			"&_pragma=wal_autocheckpoint(0)"
		if s.db, err = sql.Open("sqlite", name); err != nil {
			return nil, err
		}
		s.db.SetMaxOpenConns(6)
		if s.writer, err = sql.Open("sqlite", name); err != nil {
			return nil, errors.Join(err, s.db.Close())
		}
		s.writer.SetMaxOpenConns(1)
	}
	err = s.prepare(ctx)
	if err == nil {
		err = s.takeUp(ctx)
	}
	if err != nil {
		return nil, errors.Join(redact(err, address), s.close())
	}
	run, stop := context.WithCancel(context.Background())
	s.stop = stop
	s.running.Go(func() { s.keep(run) })
	if !s.postgres {
		s.running.Go(func() { s.checkpoints(run) })
	}
	return s, nil
}

func (s *Store) close() error {
	if s.writer == nil || s.writer == s.db {
		return s.db.Close()
	}
	return errors.Join(s.writer.Close(), s.db.Close())
}

// redact keeps a password in a database address out of messages.
func redact(err error, address string) error {
	if address == "" || !strings.Contains(err.Error(), address) {
		return err
	}
	return errors.New(strings.ReplaceAll(err.Error(), address, "(address)"))
}

func (s *Store) prepare(ctx context.Context) error {
	if err := s.db.PingContext(ctx); err != nil {
		return fmt.Errorf("the database does not answer: %w", err)
	}
	version, err := s.Setting(ctx, "schema")
	switch {
	case err == nil && version == schemaVersion:
		return nil
	case err == nil && !slices.Contains(versionsBefore, version):
		return fmt.Errorf("the database has schema %q, this program knows %q; use the program that made it", version, schemaVersion)
	}
	return s.Write(ctx, func(tx *Tx) error {
		for statement := range strings.SplitSeq(schema, ";\n") {
			if strings.TrimSpace(statement) == "" {
				continue
			}
			if err := tx.Exec(statement); err != nil {
				return fmt.Errorf("making the tables: %w", err)
			}
		}
		return tx.Set("schema", schemaVersion)
	})
}

// Close waits for what is being appended and closes the database.
func (s *Store) Close() error {
	s.stop()
	s.running.Wait()
	// What fails here stays in the inbox and is taken up when the store is opened.
	s.keeping(func() error { return s.sortIn(context.Background(), everything) })
	return s.close()
}

// Place says where the data are, for messages.
func (s *Store) Place() string {
	if s.postgres {
		return "PostgreSQL"
	}
	return "SQLite"
}

// q turns the question marks of a statement into what PostgreSQL reads.
func (s *Store) q(statement string) string {
	if !s.postgres {
		return statement
	}
	if known, ok := s.statements.Load(statement); ok {
		return known.(string)
	}
	var b strings.Builder
	n := 0
	for _, r := range statement {
		if r == '?' {
			n++
			b.WriteString("$" + strconv.Itoa(n))
			continue
		}
		b.WriteRune(r)
	}
	s.statements.Store(statement, b.String())
	return b.String()
}

// Tx is a transaction that writes.
type Tx struct {
	ctx context.Context
	s   *Store
	tx  *sql.Tx
}

// Exec carries out a statement.
func (t *Tx) Exec(statement string, values ...any) error {
	_, err := t.tx.ExecContext(t.ctx, t.s.q(statement), values...)
	return err
}

// Changed carries out a statement and returns how many rows it changed.
func (t *Tx) Changed(statement string, values ...any) (int64, error) {
	result, err := t.tx.ExecContext(t.ctx, t.s.q(statement), values...)
	if err != nil {
		return 0, err
	}
	return result.RowsAffected()
}

// Row reads one row; ErrMissing when there is none.
func (t *Tx) Row(statement string, values []any, into ...any) error {
	return missing(t.tx.QueryRowContext(t.ctx, t.s.q(statement), values...).Scan(into...))
}

// Write runs a transaction: all of it happens, or nothing.
func (s *Store) Write(ctx context.Context, work func(*Tx) error) error {
	if !s.postgres {
		s.writing.Lock()
		defer s.writing.Unlock()
	}
	tx, err := s.writer.BeginTx(ctx, nil)
	if err != nil {
		return fmt.Errorf("the database cannot be written: %w", err)
	}
	s.written.Add(pageBytes)
	if err := work(&Tx{ctx, s, tx}); err != nil {
		return errors.Join(err, ignoreDone(tx.Rollback()))
	}
	if err := tx.Commit(); err != nil {
		return fmt.Errorf("the database cannot be written: %w", err)
	}
	return nil
}

func ignoreDone(err error) error {
	if errors.Is(err, sql.ErrTxDone) {
		return nil
	}
	return err
}

// Row reads one row; ErrMissing when there is none.
func (s *Store) Row(ctx context.Context, statement string, values []any, into ...any) error {
	return missing(s.db.QueryRowContext(ctx, s.q(statement), values...).Scan(into...))
}

func missing(err error) error {
	if errors.Is(err, sql.ErrNoRows) {
		return ErrMissing
	}
	return err
}

// each reads all rows of a query, calling scan for each.
func (s *Store) each(ctx context.Context, statement string, values []any, scan func(*sql.Rows) error) error {
	rows, err := s.db.QueryContext(ctx, s.q(statement), values...)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		if err := scan(rows); err != nil {
			return err
		}
	}
	return rows.Err()
}

// list reads all rows of a query.
func list[T any](ctx context.Context, s *Store, statement string, values []any, fields func(*T) []any) ([]T, error) {
	var out []T
	err := s.each(ctx, statement, values, func(rows *sql.Rows) error {
		var v T
		if err := rows.Scan(fields(&v)...); err != nil {
			return err
		}
		out = append(out, v)
		return nil
	})
	return out, err
}

// one reads the single row of a query.
func one[T any](ctx context.Context, s *Store, statement string, values []any, fields func(*T) []any) (*T, error) {
	var v T
	if err := s.Row(ctx, statement, values, fields(&v)...); err != nil {
		return nil, err
	}
	return &v, nil
}

// Setting returns a value kept by name; ErrMissing when there is none.
func (s *Store) Setting(ctx context.Context, name string) (string, error) {
	var v string
	err := s.Row(ctx, "select value from setting where name = ?", []any{name}, &v)
	return v, err
}

// Set keeps a value by name.
func (t *Tx) Set(name, value string) error {
	return t.Exec("insert into setting (name, value) values (?, ?) on conflict (name) do update set value = excluded.value", name, value)
}
