package web

import (
	"context"
	"net/http"
	"sync"
	"time"

	"lastbolt/job"
)

// A Hold tells of one answer for how long a host may give it again: as long as
// nothing was recorded and no text of the host's own changed since, and until an
// instant. A page that depends on anything else is not to be kept at all.
type Hold struct {
	mu    sync.Mutex
	until time.Time // zero for good
	open  bool      // the time itself was asked for, so that nobody knows how long it holds
	page  bool      // it is one of the pages that may be kept
	ahead bool      // nobody looks at it yet
}

type holdKey struct{}

// WithHold has the page shown under the context note how long it holds.
func WithHold(ctx context.Context) (context.Context, *Hold) {
	hold := &Hold{}
	return context.WithValue(ctx, holdKey{}, hold), hold
}

// MakeAhead has the page made only to be kept: one that may not be, or whose
// opening would be recorded, is refused with the status 204.
func (h *Hold) MakeAhead() { h.ahead = true }

// HoldOf is the hold of a context, nil for none.
func HoldOf(ctx context.Context) *Hold {
	hold, _ := ctx.Value(holdKey{}).(*Hold)
	return hold
}

// Until notes that the page may be another one from an instant on.
func (h *Hold) Until(t time.Time) {
	if h == nil {
		return
	}
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.until.IsZero() || t.Before(h.until) {
		h.until = t
	}
}

func (h *Hold) leaveOpen() {
	h.mu.Lock()
	h.open = true
	h.mu.Unlock()
}

// Kept says whether the page may be kept, and until when; the zero time is for
// good. It is asked when the page has been written.
func (h *Hold) Kept() (until time.Time, may bool) {
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.until, h.page && !h.open
}

// keepable are the pages that show what is recorded, their address and whether
// some instant has come, and nothing else. A form is not kept, nor what asks the
// browser or another device, nor what is new each time.
var keepable = map[string]bool{
	"GET /jobs": true, "GET /jobs/{job}": true, "GET /jobs/{job}/plan": true, "GET /jobs/{job}/ready": true,
	"GET /jobs/{job}/steps": true, "GET /jobs/{job}/prove": true, "GET /jobs/{job}/record": true,
	"GET /jobs/{job}/step": true, "GET /jobs/{job}/bolts": true, "GET /jobs/{job}/belt": true,
	"GET /jobs/{job}/fluid": true, "GET /jobs/{job}/seals": true,
	"GET /work-out": true, "GET /work-out/{calc}": true, "GET /maps": true, "GET /maps/{map}": true,
	"GET /maps/{map}/items/{item}": true, "GET /vehicles": true, "GET /vehicles/{vehicle}": true, "GET /shelf": true,
}

// madeAhead tells that nobody has opened the page yet, so that its opening may not
// be recorded; it is refused then.
func madeAhead(w http.ResponseWriter, r *http.Request) bool {
	hold := HoldOf(r.Context())
	if hold == nil || !hold.ahead {
		return false
	}
	w.WriteHeader(http.StatusNoContent)
	return true
}

// holding notes of every answer for how long it holds, where the host asks.
func (h *Host) holding(pages *Router) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		hold := HoldOf(r.Context())
		if hold == nil {
			pages.ServeHTTP(w, r)
			return
		}
		if hold.ahead {
			if _, page := pages.Handler(r); !keepable[page] {
				w.WriteHeader(http.StatusNoContent)
				return
			}
		}
		defer h.clock.tell(hold)()
		pages.ServeHTTP(w, r) // says in r which page it was
		hold.mu.Lock()
		hold.page = keepable[r.Pattern]
		hold.mu.Unlock()
	})
}

// A clock is the host's, and tells the answers in the making what is asked of it:
// whether an instant has come, which holds until then, or the time itself. A page
// is told what others ask at the same time too, which only makes it hold shorter.
type clock struct {
	read func() time.Time

	mu    sync.Mutex
	holds map[*Hold]bool
}

// tell has a hold know what is asked until the end.
func (c *clock) tell(hold *Hold) (end func()) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.holds == nil {
		c.holds = map[*Hold]bool{}
	}
	c.holds[hold] = true
	return func() {
		c.mu.Lock()
		delete(c.holds, hold)
		c.mu.Unlock()
	}
}

func (c *clock) each(do func(*Hold)) {
	c.mu.Lock()
	defer c.mu.Unlock()
	for hold := range c.holds {
		do(hold)
	}
}

// watched is the clock as [Host.Now] once the pages are made: whoever asks it
// for the time leaves open for how long the page holds.
func (c *clock) watched(read func() time.Time) func() time.Time {
	if c.read != nil {
		return read // it is already
	}
	c.read = read
	return func() time.Time {
		c.each((*Hold).leaveOpen)
		return read()
	}
}

// at is the time, for who says by note how long the answer made of it holds.
func (h *Host) at() time.Time {
	if h.clock.read == nil {
		return h.Now()
	}
	return h.clock.read()
}

// passed tells whether an instant has come.
func (h *Host) passed(t time.Time) bool {
	if !h.at().Before(t) {
		return true
	}
	h.clock.each(func(hold *Hold) { hold.Until(t) })
	return false
}

// today is when the mechanic's day began.
func (h *Host) today() time.Time {
	y, m, d := h.at().In(h.zone()).Date()
	day := time.Date(y, m, d, 0, 0, 0, 0, h.zone())
	h.clock.each(func(hold *Hold) { hold.Until(day.AddDate(0, 0, 1)) })
	return day
}

// resumption is what is looked at again after a long rest.
func (h *Host) resumption(s *job.State) job.Resumption {
	now := h.at()
	if rested := s.Touched.Add(job.Idle); now.Before(rested) {
		h.clock.each(func(hold *Hold) { hold.Until(rested) })
	}
	return job.Resume(s, now, job.Idle)
}
