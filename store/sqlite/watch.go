package sqlite

import (
	"context"
	"sync"
	"time"

	"lastbolt/keep"
	"lastbolt/store/tables"
)

var _ keep.Watcher = (*Store)(nil)

// lookEvery is how soon a page hears of what another one saved. The look costs
// some microseconds, for all pages of the process together, and sees what other
// processes saved as well.
const lookEvery = 250 * time.Millisecond

// An eye looks for new events while somebody watches.
type eye struct {
	keep.Watchers
	begin sync.Once
	end   context.CancelFunc // nil until it begins
	ended chan struct{}
}

// Watch implements keep.Watcher.
func (s *Store) Watch(job string) (told <-chan struct{}, stop func()) {
	s.eye.begin.Do(func() {
		ctx, end := context.WithCancel(context.Background())
		s.eye.end, s.eye.ended = end, make(chan struct{})
		go s.look(ctx)
	})
	return s.eye.Watch(job)
}

func (e *eye) close() {
	e.begin.Do(func() {}) // from here on it begins no more
	if e.end != nil {
		e.end()
		<-e.ended
	}
}

// unknown is the position before the first look, and after a time in which
// nobody watched.
const unknown = -1

func (s *Store) look(ctx context.Context) {
	defer close(s.eye.ended)
	seen := int64(unknown)
	every := time.NewTicker(lookEvery)
	defer every.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-every.C:
		}
		if !s.eye.Any() {
			seen = unknown
			continue
		}
		// What fails here, the next look tries again; whoever saves or reads is
		// told.
		var newest int64
		if s.read.QueryRowContext(ctx, "SELECT coalesce(max(position), 0) FROM event").Scan(&newest) != nil || newest == seen {
			continue
		}
		if seen == unknown {
			seen = newest
			s.eye.TellAll()
			continue
		}
		rows, err := s.read.QueryContext(ctx, "SELECT DISTINCT job FROM event WHERE position > $1 AND position <= $2", seen, newest)
		jobs, err := tables.Collect(s.explain, rows, err, tables.ScanText)
		if err != nil {
			continue
		}
		seen = newest
		s.eye.Tell(jobs...)
	}
}
