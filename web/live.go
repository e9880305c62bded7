package web

import (
	"context"
	"fmt"
	"net/http"
	"strconv"
	"time"

	"lastbolt/keep"
)

// How often a live page's stream gives a sign of life, and how often the job is
// looked at where the store does not tell of changes.
const (
	signEvery = 20 * time.Second
	lookEvery = time.Second
)

// live tells a page that the job has changed elsewhere, as server-sent events:
// on this server or on another one with the same database. The id of an event
// is how many the job has, so that a page that comes back after a cut is told
// at once what it missed. A store that cannot be read for a while ends no
// stream: the page would not come back.
func (h *Host) live(w http.ResponseWriter, r *http.Request) {
	job := r.PathValue("job")
	told, stop := h.watch(job)
	defer stop()
	seen, err := h.eventCount(r.Context(), job)
	if err == nil && seen == 0 {
		http.Error(w, "no such job", http.StatusNotFound)
		return
	}
	w.Header().Set("Content-Type", "text/event-stream")
	w.Header().Set("Cache-Control", "no-store")
	s := &stream{w: w, flush: http.NewResponseController(w).Flush}
	before, back := strconv.Atoi(r.Header.Get("Last-Event-ID"))
	switch {
	case err != nil:
		s.send(": here\n\n")
	case back == nil && before != seen:
		s.change(seen)
	default:
		s.send("id: %d\n\n", seen)
	}
	sign := time.NewTicker(signEvery)
	defer sign.Stop()
	for s.err == nil {
		select {
		case <-r.Context().Done():
			return
		case <-sign.C:
			s.send(": here\n\n")
		case <-told:
		}
		if now, err := h.eventCount(r.Context(), job); err == nil && now != seen {
			seen = now
			s.change(seen)
		}
	}
}

// A stream keeps the first error and sends nothing after it.
type stream struct {
	w     http.ResponseWriter
	flush func() error
	err   error
}

func (s *stream) send(format string, args ...any) {
	if s.err == nil {
		_, s.err = fmt.Fprintf(s.w, format, args...)
	}
	if s.err == nil {
		s.err = s.flush()
	}
}

func (s *stream) change(count int) { s.send("id: %d\nevent: change\ndata: %d\n\n", count, count) }

// watch is the store's own way to tell of changes, or else a look every second.
func (h *Host) watch(job string) (told <-chan struct{}, stop func()) {
	if w, ok := h.Book.Log.(keep.Watcher); ok {
		return w.Watch(job)
	}
	looks := make(chan struct{}, 1)
	ctx, stop := context.WithCancel(context.Background())
	go func() {
		every := time.NewTicker(lookEvery)
		defer every.Stop()
		for {
			select {
			case <-ctx.Done():
				return
			case <-every.C:
			}
			select {
			case looks <- struct{}{}:
			default:
			}
		}
	}()
	return looks, stop
}

// eventCount is -1 with an error. Some logs count without reading.
func (h *Host) eventCount(ctx context.Context, job string) (int, error) {
	if l, ok := h.Book.Log.(interface {
		Count(ctx context.Context, job string) (int, error)
	}); ok {
		n, err := l.Count(ctx, job)
		if err != nil {
			n = -1
		}
		return n, err
	}
	events, err := h.Book.Log.Events(ctx, job)
	if err != nil {
		return -1, err
	}
	return len(events), nil
}
