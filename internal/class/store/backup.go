package store

import (
	"archive/zip"
	"bufio"
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// A backup is a zip file: one JSON Lines file for each table, each line an
// array of the row's values in the order of the columns on the first line, and
// the other files of the data folder. It goes from one kind of database to the
// other.

// tables are all tables, in the order they are written.
var tables = []string{
	"setting", "person", "session", "class", "trainee", "handout", "exercise", "attempt", "chunk", "inbox", "intervention", "mark", "judgement", "angoff", "audit", "outbox",
}

// tablesLater came after the first version: a backup from before lacks them.
var tablesLater = []string{"exercise", "inbox"}

// Backup writes everything to w as of one moment, while others may go on
// writing. It returns the number of rows.
func (s *Store) Backup(ctx context.Context, folder string, w io.Writer) (int, error) {
	z := zip.NewWriter(w)
	options := &sql.TxOptions{ReadOnly: true}
	if s.postgres {
		options.Isolation = sql.LevelRepeatableRead
	}
	tx, err := s.db.BeginTx(ctx, options)
	if err != nil {
		return 0, err
	}
	defer tx.Rollback()
	total := 0
	for _, table := range tables {
		n, err := dump(ctx, tx, z, table)
		if err != nil {
			return 0, fmt.Errorf("backing up %s: %w", table, err)
		}
		total += n
	}
	err = filepath.WalkDir(folder, func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() || strings.HasPrefix(entry.Name(), FileName) || !entry.Type().IsRegular() {
			return err
		}
		inside, err := filepath.Rel(folder, name)
		if err != nil {
			return err
		}
		content, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		to, err := z.Create("files/" + filepath.ToSlash(inside))
		if err != nil {
			return err
		}
		_, err = to.Write(content)
		return err
	})
	return total, errors.Join(err, z.Close())
}

func dump(ctx context.Context, tx *sql.Tx, z *zip.Writer, table string) (int, error) {
	rows, err := tx.QueryContext(ctx, "select * from "+table)
	if err != nil {
		return 0, err
	}
	defer rows.Close()
	columns, err := rows.Columns()
	if err != nil {
		return 0, err
	}
	to, err := z.Create("tables/" + table + ".jsonl")
	if err != nil {
		return 0, err
	}
	out := json.NewEncoder(to)
	if err := out.Encode(columns); err != nil {
		return 0, err
	}
	n := 0
	values, into := make([]any, len(columns)), make([]any, len(columns))
	for i := range values {
		into[i] = &values[i]
	}
	for rows.Next() {
		if err := rows.Scan(into...); err != nil {
			return 0, err
		}
		for i, v := range values {
			if b, ok := v.([]byte); ok {
				values[i] = string(b)
			}
		}
		if err := out.Encode(values); err != nil {
			return 0, err
		}
		n++
	}
	return n, rows.Err()
}

// mostRestored bounds a single file of a backup.
const mostRestored = 4 << 30

// Restore brings a backup back into a data folder that has no database yet, or
// into an empty PostgreSQL database. All rows come back, or none.
func Restore(ctx context.Context, backup, folder, address string) (int, error) {
	z, err := zip.OpenReader(backup)
	if err != nil {
		return 0, fmt.Errorf("%s is no backup: %w", backup, err)
	}
	defer z.Close()
	if address == "" {
		if _, err := os.Stat(filepath.Join(folder, FileName)); err == nil {
			return 0, fmt.Errorf("%s has a database already", folder)
		}
	}
	s, err := Open(ctx, folder, address)
	if err != nil {
		return 0, err
	}
	defer s.Close()
	total := 0
	err = s.Write(ctx, func(tx *Tx) error {
		var people, classes int64
		if err := tx.Row("select (select count(*) from person), (select count(*) from class)", nil, &people, &classes); err != nil {
			return err
		}
		if people+classes > 0 {
			return errors.New("the database is not empty")
		}
		if err := tx.Exec("delete from setting"); err != nil {
			return err
		}
		for _, table := range tables {
			f, err := z.Open("tables/" + table + ".jsonl")
			if errors.Is(err, fs.ErrNotExist) && slices.Contains(tablesLater, table) {
				continue
			}
			if err != nil {
				return fmt.Errorf("%s is no whole backup: %w", backup, err)
			}
			n, err := load(tx, f, table)
			if err := errors.Join(err, f.Close()); err != nil {
				return fmt.Errorf("%s, table %s: %w", backup, table, err)
			}
			total += n
		}
		return tx.Set("schema", schemaVersion) // in place of the backup's
	})
	if err != nil {
		return 0, err
	}
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return 0, err
	}
	for _, f := range z.File {
		inside, ok := strings.CutPrefix(f.Name, "files/")
		if !ok {
			continue
		}
		if !filepath.IsLocal(inside) {
			return 0, fmt.Errorf("%s holds a file outside the data folder: %q", backup, f.Name)
		}
		if err := unpack(f, filepath.Join(folder, filepath.FromSlash(inside))); err != nil {
			return 0, err
		}
	}
	return total, nil
}

func unpack(f *zip.File, name string) error {
	from, err := f.Open()
	if err != nil {
		return err
	}
	defer from.Close()
	if err := os.MkdirAll(filepath.Dir(name), 0o700); err != nil {
		return err
	}
	to, err := os.OpenFile(name, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(to, io.LimitReader(from, mostRestored))
	return errors.Join(err, to.Close())
}

func load(tx *Tx, from io.Reader, table string) (int, error) {
	lines := bufio.NewScanner(from)
	lines.Buffer(nil, 64<<20)
	var columns []string
	n := 0
	for lines.Scan() {
		if columns == nil {
			if err := json.Unmarshal(lines.Bytes(), &columns); err != nil {
				return 0, fmt.Errorf("the first line names no columns: %w", err)
			}
			for _, c := range columns {
				if strings.Trim(c, "abcdefghijklmnopqrstuvwxyz") != "" {
					return 0, fmt.Errorf("column %q", c)
				}
			}
			continue
		}
		var row []any
		d := json.NewDecoder(strings.NewReader(lines.Text()))
		d.UseNumber()
		if err := d.Decode(&row); err != nil || len(row) != len(columns) {
			return 0, fmt.Errorf("row %d is malformed", n+1)
		}
		for i, v := range row {
			if x, ok := v.(json.Number); ok {
				whole, err := x.Int64()
				if err != nil {
					return 0, fmt.Errorf("row %d: %w", n+1, err)
				}
				row[i] = whole
			}
		}
		statement := "insert into " + table + " (" + strings.Join(columns, ", ") + ") values (?" + strings.Repeat(", ?", len(columns)-1) + ")"
		if err := tx.Exec(statement, row...); err != nil {
			return 0, fmt.Errorf("row %d: %w", n+1, err)
		}
		n++
	}
	return n, lines.Err()
}
