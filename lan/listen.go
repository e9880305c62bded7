package lan

import (
	"bufio"
	"crypto/tls"
	"net"
	"net/http"
	"sync"
	"time"
)

// Limits of connections from the network.
const (
	firstByteTime   = 10 * time.Second
	mostConnections = 512
	mostFromOne     = 64 // from one address: a browser opens six, or one over HTTP/2
)

// Serve answers on the listener until it is closed: TLS by secure, plain HTTP
// by plain, told apart by the first byte (22 begins a TLS handshake, RFC 8446
// section 5.1). It returns the listener's error.
func (d *Door) Serve(l net.Listener, secure, plain *http.Server) error {
	d.mu.Lock()
	d.at = l.Addr()
	d.mu.Unlock()
	s, p := newQueue(l.Addr()), newQueue(l.Addr())
	go func() { _ = secure.Serve(tls.NewListener(s, d.tls())) }() // ends with its queue, below
	go func() { _ = plain.Serve(p) }()
	defer s.Close()
	defer p.Close()
	var all places
	for {
		c, err := l.Accept()
		if err != nil {
			return err
		}
		from, _, _ := net.SplitHostPort(c.RemoteAddr().String())
		if !all.take(from) {
			_ = c.Close() // as many as can be borne: they try again
			continue
		}
		go sort(&slotted{Conn: c, free: func() { all.free(from) }}, s, p)
	}
}

// places counts connections, so that no one takes all of them.
type places struct {
	mu  sync.Mutex
	all int
	of  map[string]int
}

func (p *places) take(from string) bool {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.all >= mostConnections || p.of[from] >= mostFromOne {
		return false
	}
	if p.of == nil {
		p.of = map[string]int{}
	}
	p.all++
	p.of[from]++
	return true
}

func (p *places) free(from string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.all--
	if p.of[from]--; p.of[from] == 0 {
		delete(p.of, from)
	}
}

func (d *Door) tls() *tls.Config { return d.Authority.TLS() }

// sort waits for the first byte, not for ever, and hands the connection on.
func sort(c net.Conn, secure, plain *queue) {
	_ = c.SetReadDeadline(time.Now().Add(firstByteTime)) // a dead connection fails at the read
	r := bufio.NewReaderSize(c, 16)
	first, err := r.Peek(1)
	if err != nil {
		_ = c.Close()
		return
	}
	_ = c.SetReadDeadline(time.Time{})
	to := plain
	if first[0] == 22 {
		to = secure
	}
	to.put(&peeked{c, r})
}

type peeked struct {
	net.Conn
	r *bufio.Reader
}

func (p *peeked) Read(b []byte) (int, error) { return p.r.Read(b) }

// CloseWrite lets an answer arrive before the connection is closed.
func (p *peeked) CloseWrite() error { return CloseWrite(p.Conn) }

// CloseWrite ends what is sent while the other side may still be sending, as
// package net/http does after an answer to a request that it does not read to
// its end: closed at once, the answer may be lost on the way.
func CloseWrite(c net.Conn) error {
	if half, ok := c.(interface{ CloseWrite() error }); ok {
		return half.CloseWrite()
	}
	return nil
}

// slotted gives its place back when it is closed, once.
type slotted struct {
	net.Conn
	once sync.Once
	free func()
}

func (s *slotted) Close() error {
	s.once.Do(s.free)
	return s.Conn.Close()
}

// CloseWrite lets an answer arrive before the connection is closed.
func (s *slotted) CloseWrite() error { return CloseWrite(s.Conn) }

// A queue is a listener fed by hand.
type queue struct {
	at   net.Addr
	in   chan net.Conn
	end  chan struct{}
	once sync.Once
}

func newQueue(at net.Addr) *queue {
	return &queue{at: at, in: make(chan net.Conn), end: make(chan struct{})}
}

func (q *queue) put(c net.Conn) {
	select {
	case q.in <- c:
	case <-q.end:
		_ = c.Close()
	}
}

func (q *queue) Accept() (net.Conn, error) {
	select {
	case c := <-q.in:
		return c, nil
	case <-q.end:
		return nil, net.ErrClosed
	}
}

func (q *queue) Close() error   { q.once.Do(func() { close(q.end) }); return nil }
func (q *queue) Addr() net.Addr { return q.at }
