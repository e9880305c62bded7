package tables

import (
	"context"
	"database/sql"
	"slices"
	"sync"
	"sync/atomic"

	"lastbolt/job"
)

// mostTogether is how many writings one transaction carries, and mostOfOne how
// many events one of them may have: what is larger has one for itself, so that
// nobody waits long for somebody else's.
const (
	mostTogether = 64
	mostOfOne    = perInsert
)

// A writing is what one caller wants kept, all of it or nothing.
type writing struct {
	ctx    context.Context
	events []job.Event
	line   []any // the values of the job's line in the list; nil where it stays

	told  chan verdict // holds one
	added int
}

// A verdict is how it goes on for a writing that waited.
type verdict int

const (
	written verdict = iota // it is durably kept
	leads                  // it writes, with whatever waits by then
	alone                  // the transaction of several failed: each tries for itself
)

// A queue is the writings that wait while one transaction is being made durable.
// That takes nearly all of the time of a small one, and it takes hardly longer for
// many: so whoever comes next writes for everybody who waits, and a flush of the
// disk acknowledges them all. Who comes alone waits for nobody.
type queue struct {
	mu      sync.Mutex
	busy    bool
	waiting []*writing
}

// put keeps a writing and gives how many of its events are new. It returns once
// they are durably kept, or not at all.
func (t *Tables) put(ctx context.Context, events []job.Event, line []any) (added int, err error) {
	w := &writing{ctx: ctx, events: events, line: line, told: make(chan verdict, 1)}
	if len(events) > mostOfOne {
		return w.kept(t.writeAlone(w))
	}
	if t.queue.enter(w) {
		return w.kept(t.lead(w))
	}
	select {
	case v := <-w.told:
		return w.kept(t.follow(w, v))
	case <-ctx.Done():
	}
	if t.queue.leave(w) {
		return 0, t.Explain(ctx.Err())
	}
	select {
	case v := <-w.told:
		if v == leads { // the others wait for it
			return w.kept(t.lead(w))
		}
		return w.kept(t.follow(w, v))
	default: // it is being written, and may be kept all the same
		return 0, t.Explain(ctx.Err())
	}
}

func (w *writing) kept(err error) (int, error) {
	if err != nil {
		return 0, err
	}
	return w.added, nil
}

// follow does what a verdict says.
func (t *Tables) follow(w *writing, v verdict) error {
	switch v {
	case leads:
		return t.lead(w)
	case alone:
		return t.writeAlone(w)
	}
	return nil
}

// enter tells whether a writing is to lead at once; else it waits.
func (q *queue) enter(w *writing) bool {
	q.mu.Lock()
	defer q.mu.Unlock()
	if !q.busy {
		q.busy = true
		return true
	}
	q.waiting = append(q.waiting, w)
	return false
}

// leave takes a writing out that has only waited so far, and tells whether it had.
func (q *queue) leave(w *writing) bool {
	q.mu.Lock()
	defer q.mu.Unlock()
	i := slices.Index(q.waiting, w)
	if i >= 0 {
		q.waiting = slices.Delete(q.waiting, i, i+1)
	}
	return i >= 0
}

// others are those who are written together with the one that leads.
func (q *queue) others() []*writing {
	q.mu.Lock()
	defer q.mu.Unlock()
	n := min(len(q.waiting), mostTogether-1)
	taken := slices.Clone(q.waiting[:n])
	q.waiting = slices.Delete(q.waiting, 0, n)
	return taken
}

// passOn has the next one lead, if anybody waits. The lock is held while it is
// told, so that one who leaves either still waits or has been told.
func (q *queue) passOn() {
	q.mu.Lock()
	defer q.mu.Unlock()
	if len(q.waiting) == 0 {
		q.busy = false
		return
	}
	q.waiting[0].told <- leads
	q.waiting = slices.Delete(q.waiting, 0, 1)
}

// lead writes w and everybody who waits.
func (t *Tables) lead(w *writing) error {
	defer t.queue.passOn()
	others := t.queue.others()
	if len(others) == 0 {
		return t.writeAlone(w)
	}
	all := append(others, w)
	ctx, done := whileAnyWants(all)
	defer done()
	if err := t.Do(ctx, func(tx *sql.Tx) error {
		for _, one := range all {
			if err := t.write(ctx, tx, one); err != nil {
				return err
			}
		}
		return nil
	}); err != nil {
		for _, one := range others {
			one.told <- alone
		}
		return t.writeAlone(w)
	}
	for _, one := range others {
		one.told <- written
	}
	return nil
}

// whileAnyWants is a context that ends when those of all writings have ended.
func whileAnyWants(all []*writing) (context.Context, func()) {
	ctx, cancel := context.WithCancel(context.WithoutCancel(all[0].ctx))
	var left atomic.Int64
	left.Store(int64(len(all)))
	stops := []func() bool{}
	for _, w := range all {
		stops = append(stops, context.AfterFunc(w.ctx, func() {
			if left.Add(-1) == 0 {
				cancel()
			}
		}))
	}
	return ctx, func() {
		for _, stop := range stops {
			stop()
		}
		cancel()
	}
}

// writeAlone writes one in a transaction of its own.
func (t *Tables) writeAlone(w *writing) (err error) {
	if len(w.events) == 1 && w.line == nil {
		// One statement is a transaction by itself, in half the time.
		w.added, err = affected(t.insert.ExecContext(w.ctx, eventValues(w.events[0])...))
		return t.Explain(err)
	}
	return t.Do(w.ctx, func(tx *sql.Tx) error { return t.write(w.ctx, tx, w) })
}

func (t *Tables) write(ctx context.Context, tx *sql.Tx, w *writing) error {
	w.added = 0
	for part := range slices.Chunk(w.events, perInsert) {
		n, err := t.insertPart(ctx, tx, part)
		if err != nil {
			return err
		}
		w.added += n
	}
	if w.line == nil {
		return nil
	}
	_, err := tx.ExecContext(ctx, upsertSummary, w.line...)
	return err
}
