package lan

import (
	"sync"
	"time"
)

// A limiter lets each key through at a steady rate with a burst: a bucket of
// tokens that fills again with time. Safe for many goroutines.
type limiter struct {
	every time.Duration // one token comes back each
	burst float64

	mu      sync.Mutex
	buckets map[string]bucket
}

type bucket struct {
	tokens float64
	at     time.Time
}

// mostBuckets bounds what strangers can make the limiter remember; full ones
// are forgotten first, being worth nothing.
const mostBuckets = 10_000

func newLimiter(every time.Duration, burst int) *limiter {
	return &limiter{every: every, burst: float64(burst), buckets: map[string]bucket{}}
}

// take spends a token of the key, and tells whether there was one. A clock set
// back gives no tokens and takes none.
func (l *limiter) take(key string, now time.Time) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	b := l.filled(key, now)
	ok := b.tokens >= 1
	if ok {
		b.tokens--
	}
	if _, known := l.buckets[key]; !known && len(l.buckets) >= mostBuckets {
		l.forget(now)
		if len(l.buckets) >= mostBuckets {
			return false // a flood from everywhere: nobody new until it ends
		}
	}
	l.buckets[key] = b
	return ok
}

func (l *limiter) filled(key string, now time.Time) bucket {
	b, known := l.buckets[key]
	if !known {
		return bucket{l.burst, now}
	}
	if past := now.Sub(b.at); past > 0 {
		b.tokens = min(l.burst, b.tokens+float64(past)/float64(l.every))
	}
	b.at = now
	return b
}

func (l *limiter) forget(now time.Time) {
	for key := range l.buckets {
		if l.filled(key, now).tokens >= l.burst {
			delete(l.buckets, key)
		}
	}
}
