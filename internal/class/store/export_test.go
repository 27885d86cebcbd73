package store

import "context"

// For the tests of this package.
var (
	ReadRuns = readRuns
	WriteRun = writeRun
)

func (s *Store) TakeUp(ctx context.Context) error {
	return s.keeping(func() error { return s.takeUp(ctx) }) // the store is open, and may be sorting
}

// Quiet runs work while nothing is written and no checkpoint runs.
func (s *Store) Quiet(work func()) {
	s.copying.Lock()
	defer s.copying.Unlock()
	s.keeping(func() error { work(); return nil })
}
