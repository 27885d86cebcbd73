package auth

import (
	"sync"
	"time"

	"golang.org/x/time/rate"
)

// Limit says how often something may be tried by each of many.
type Limit struct {
	every time.Duration
	burst int
	clock func() time.Time

	mu   sync.Mutex
	keys map[string]*held
}

type held struct {
	limiter *rate.Limiter
	last    time.Time
}

// mostKeys bounds what is remembered; the least recent go first.
const mostKeys = 10000

// NewLimit allows burst tries at once and one more after each every.
func NewLimit(every time.Duration, burst int, clock func() time.Time) *Limit {
	return &Limit{every: every, burst: burst, clock: clock, keys: map[string]*held{}}
}

// Allow reports whether key may try now, and counts the try.
func (l *Limit) Allow(key string) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	now := l.clock()
	h := l.keys[key]
	if h == nil {
		if len(l.keys) >= mostKeys {
			l.prune(now)
		}
		h = &held{limiter: rate.NewLimiter(rate.Every(l.every), l.burst)}
		l.keys[key] = h
	}
	h.last = now
	return h.limiter.AllowN(now, 1)
}

// prune forgets who has tried nothing for so long that it makes no difference,
// and if that is nobody, everybody.
func (l *Limit) prune(now time.Time) {
	for key, h := range l.keys {
		if now.Sub(h.last) > time.Duration(l.burst)*l.every {
			delete(l.keys, key)
		}
	}
	if len(l.keys) >= mostKeys {
		clear(l.keys)
	}
}
