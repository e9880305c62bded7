package postgres

import (
	"context"
	"errors"
	"strings"
	"sync"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"lastbolt/keep"
)

var _ keep.Watcher = (*Store)(nil)

// How long to wait before the server is tried again, and for how long silence
// is taken for peace: then the connection is tried.
const (
	shortestPause = 250 * time.Millisecond
	longestPause  = 5 * time.Second
	silence       = 30 * time.Second
)

// An ear hears of events that any process stores, over a connection of its own,
// which it opens anew when the server went away. It begins with the first who
// watches: most commands do not.
type ear struct {
	keep.Watchers
	config *pgx.ConnConfig
	begin  sync.Once
	end    context.CancelFunc // nil until it begins
	ended  chan struct{}
}

// Watch implements keep.Watcher.
func (s *Store) Watch(job string) (told <-chan struct{}, stop func()) {
	s.ear.begin.Do(func() {
		ctx, end := context.WithCancel(context.Background())
		s.ear.end, s.ear.ended = end, make(chan struct{})
		go s.ear.listen(ctx)
	})
	return s.ear.Watch(job)
}

func (e *ear) close() {
	e.begin.Do(func() {}) // from here on it begins no more
	if e.end != nil {
		e.end()
		<-e.ended
	}
}

// listen hears until the context ends. What the server says when it goes away
// is no news here: whoever saves or reads is told.
func (e *ear) listen(ctx context.Context) {
	defer close(e.ended)
	pause := shortestPause
	for ctx.Err() == nil {
		if heard := e.hear(ctx); heard {
			pause = shortestPause
		}
		select {
		case <-ctx.Done():
		case <-time.After(pause):
		}
		pause = min(2*pause, longestPause)
	}
}

// hear listens on one connection until that ends, and reports whether it ever
// worked.
func (e *ear) hear(ctx context.Context) (worked bool) {
	c, err := pgx.ConnectConfig(ctx, e.config.Copy())
	if err != nil {
		return false
	}
	defer func() {
		end, cancel := context.WithTimeout(context.WithoutCancel(ctx), connectTime)
		defer cancel()
		_ = c.Close(end) // a broken connection may say so again
	}()
	var schema string
	if c.QueryRow(ctx, "SELECT current_schema()").Scan(&schema) != nil {
		return false
	}
	if _, err := c.Exec(ctx, "LISTEN lastbolt_event"); err != nil {
		return false
	}
	e.TellAll() // what was stored while nobody listened
	for {
		told, err := next(ctx, c)
		switch {
		case err != nil:
			return true
		case told == nil:
			if !answers(ctx, c) {
				return true
			}
		default:
			if in, job, ok := strings.Cut(told.Payload, " "); ok && in == schema {
				e.Tell(job)
			}
		}
	}
}

// next waits for the next notification; nil is silence.
func next(ctx context.Context, c *pgx.Conn) (*pgconn.Notification, error) {
	patience, cancel := context.WithTimeout(ctx, silence)
	defer cancel()
	told, err := c.WaitForNotification(patience)
	if errors.Is(err, context.DeadlineExceeded) && ctx.Err() == nil && !c.IsClosed() {
		return nil, nil
	}
	return told, err
}

// answers reports whether the server is still at the other end.
func answers(ctx context.Context, c *pgx.Conn) bool {
	soon, cancel := context.WithTimeout(ctx, connectTime)
	defer cancel()
	return c.Ping(soon) == nil
}
