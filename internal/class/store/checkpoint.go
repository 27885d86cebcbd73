package store

import (
	"context"
	"time"
)

const (
	pageBytes = 4096 // of SQLite

	// How much may be in the write-ahead file before it is copied into the
	// database, before it is begun anew, and how long a little may stay. Small
	// helpings often: commits wait for a disk that has much to write, and for a
	// file that grows longer than for one that is written over.
	copyAfter  = 256 << 10
	renewAfter = 8 << 20
	copyWithin = 30 * time.Second
)

// checkpoints copies SQLite's write-ahead file into the database now and then,
// beside the commits: within one, as SQLite does it by itself, it would keep a
// class waiting for as long as it takes.
func (s *Store) checkpoints(ctx context.Context) {
	tick := time.NewTicker(25 * time.Millisecond)
	defer tick.Stop()
	last := time.Now()
	for {
		select {
		case <-ctx.Done():
			return // to close the database copies the rest
		case <-tick.C:
		}
		if n := s.written.Load(); n == 0 || n < copyAfter && time.Since(last) < copyWithin {
			continue
		}
		s.written.Store(0)
		last = time.Now()
		if s.checkpoint(ctx)*pageBytes > renewAfter {
			// With the little that came in meanwhile copied too, and nobody
			// writing, the next commit begins the file anew.
			s.writing.Lock()
			s.checkpoint(ctx)
			s.writing.Unlock()
		}
	}
}

// checkpoint copies what can be copied without waiting for anybody and returns
// how many pages the write-ahead file has. What fails is tried again: nothing
// is lost by it.
func (s *Store) checkpoint(ctx context.Context) int64 {
	s.copying.Lock()
	defer s.copying.Unlock()
	var busy, pages, copied int64
	if err := s.db.QueryRowContext(ctx, "pragma wal_checkpoint(passive)").Scan(&busy, &pages, &copied); err != nil {
		return 0
	}
	return pages
}
