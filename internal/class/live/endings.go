package live

import (
	"sync"
	"time"
)

// endings are the attempts that have ended and wait to be noted, replayed and
// graded. One is dealt with after the other, with rests between them: when a
// whole class finishes at once, those who still work must not notice. What is
// not dealt with when the server stops, Recover finds.
type endings struct {
	mu      sync.Mutex
	waiting []*seat
	working bool
}

// rest is how long nothing is done after each, as a multiple of the time it
// took: so much of a processor is left to others.
const rest = 5

func (e *endings) add(s *seat) {
	e.mu.Lock()
	defer e.mu.Unlock()
	e.waiting = append(e.waiting, s)
	if !e.working {
		e.working = true
		go e.work()
	}
}

func (e *endings) work() {
	for {
		e.mu.Lock()
		if len(e.waiting) == 0 {
			e.working = false
			e.mu.Unlock()
			return
		}
		s := e.waiting[0]
		e.waiting = e.waiting[1:]
		e.mu.Unlock()
		began := time.Now()
		s.room.ended(s)
		time.Sleep(rest * time.Since(began))
	}
}
