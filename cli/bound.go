package cli

import (
	"context"
	"io"
	"net"
	"net/http"
	"strings"
	"sync/atomic"
	"time"

	"lastbolt/fault"
	"lastbolt/lan"
	"lastbolt/web"
	"lastbolt/web/ui"
)

// What one process does at once, on this machine and for phones together. A
// shop has a handful of browsers; more than this is a script or a fault, and
// what waits is held in memory.
const (
	mostAtWork   = 64 // more than the processors have use for: some wait for the disk or a slow upload
	mostWaiting  = 256
	mostStreams  = 128 // pages that wait for news
	waitingTime  = 10 * time.Second
	retrySeconds = "2"
)

// tooMuch is what whoever is not let in is told.
const tooMuch = "Too much at once: Lastbolt is busy with other requests. Nothing was recorded; try again in a few seconds."

// A bound lets so many requests be at work and so many wait for that, in the
// order they came. Any other is answered at once by full and never reaches the
// pages, so what it asked for has not been begun. Streams of news, which stay
// open, are counted apart; styles and fonts, which cost next to nothing, are not.
type bound struct {
	next, full  http.Handler
	work        chan struct{} // as many as are at work
	waiting     atomic.Int64
	streams     atomic.Int64
	mostWaiting int64
	mostStreams int64
	patience    time.Duration
}

func newBound(next, full http.Handler) *bound {
	return &bound{next: next, full: full, work: make(chan struct{}, mostAtWork),
		mostWaiting: mostWaiting, mostStreams: mostStreams, patience: waitingTime}
}

// bounded is the pages within the bound.
func bounded(h *web.Host, pages http.Handler) http.Handler {
	return newBound(pages, http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Retry-After", retrySeconds)
		h.Fail(w, r, fault.New(fault.Busy, tooMuch))
	}))
}

func (b *bound) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	switch {
	case strings.HasPrefix(r.URL.Path, ui.Prefix): // the look of the page that says it is too much
		b.next.ServeHTTP(w, r)
	case isLive(r):
		b.stream(w, r)
	case b.enter(r.Context()):
		defer func() { <-b.work }()
		b.next.ServeHTTP(w, r)
	default:
		b.full.ServeHTTP(w, r)
	}
}

// enter waits for a place, and tells whether there was one.
func (b *bound) enter(ctx context.Context) bool {
	select {
	case b.work <- struct{}{}:
		return true
	default:
	}
	defer b.waiting.Add(-1)
	if b.waiting.Add(1) > b.mostWaiting {
		return false
	}
	patience := time.NewTimer(b.patience)
	defer patience.Stop()
	select {
	case b.work <- struct{}{}: // those who wait are served in turn
		return true
	case <-patience.C:
	case <-ctx.Done(): // nobody waits for the answer any more
	}
	return false
}

// stream ends one that is too many, so that the browser asks again later by
// itself: after another answer it would never.
func (b *bound) stream(w http.ResponseWriter, r *http.Request) {
	defer b.streams.Add(-1)
	if b.streams.Add(1) > b.mostStreams {
		w.Header().Set("Content-Type", "text/event-stream")
		w.Header().Set("Cache-Control", "no-store")
		_, _ = io.WriteString(w, "retry: 10000\n\n") // if it does not arrive the browser has gone
		return
	}
	b.next.ServeHTTP(w, r)
}

// Connections to this machine's own address: room for everything within the
// bound, and for browsers that keep one open.
const (
	mostConnections = 512
	mostRefusals    = 512 // connections being told so at once: a few kB each
	refusalTime     = 2 * time.Second
)

const tooManyConnections = "HTTP/1.1 503 Service Unavailable\r\nRetry-After: " + retrySeconds +
	"\r\nContent-Type: text/plain; charset=utf-8\r\nCache-Control: no-store\r\nConnection: close\r\n\r\n" + tooMuch + "\n"

// A connections is a listener that hands on so many connections, and tells the
// others that it is too much.
type connections struct {
	net.Listener
	open     atomic.Int64
	refusals chan struct{}
	most     int64
}

func newConnections(l net.Listener) *connections {
	return &connections{Listener: l, refusals: make(chan struct{}, mostRefusals), most: mostConnections}
}

func (l *connections) Accept() (net.Conn, error) {
	for {
		c, err := l.Listener.Accept()
		if err != nil {
			return nil, err
		}
		if l.open.Add(1) <= l.most {
			return &place{Conn: c, open: &l.open}, nil
		}
		l.open.Add(-1)
		l.refuse(c)
	}
}

// refuse answers without reading what is asked.
func (l *connections) refuse(c net.Conn) {
	select {
	case l.refusals <- struct{}{}:
	default:
		_ = c.Close() // too many even to be told
		return
	}
	go func() {
		defer func() { <-l.refusals }()
		defer c.Close()
		_ = c.SetDeadline(time.Now().Add(refusalTime)) // a dead connection fails at the next line
		if _, err := io.WriteString(c, tooManyConnections); err != nil {
			return
		}
		if half, ok := c.(interface{ CloseWrite() error }); ok && half.CloseWrite() == nil {
			_, _ = io.Copy(io.Discard, io.LimitReader(c, 1<<20)) // closed with something unread, the answer would be lost
		}
	}()
}

// letGo has connections closed after their answer while there are many, so that
// those kept for later leave room for others.
func (l *connections) letGo(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if l.open.Load() > l.most/2 {
			w.Header().Set("Connection", "close")
		}
		next.ServeHTTP(w, r)
	})
}

// place gives its place back when it is closed, once.
type place struct {
	net.Conn
	open   *atomic.Int64
	closed atomic.Bool
}

func (c *place) Close() error {
	if c.closed.CompareAndSwap(false, true) {
		c.open.Add(-1)
	}
	return c.Conn.Close()
}

// CloseWrite lets an answer arrive before the connection is closed.
func (c *place) CloseWrite() error { return lan.CloseWrite(c.Conn) }
