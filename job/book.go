package job

import (
	"context"
	"errors"
	"sync"
)

// A Book is the jobs of one host: a log, and who records in it. Its methods
// are safe for many goroutines.
type Book struct {
	Log      Log
	Recorder *Recorder

	mu sync.Mutex // one action at a time: it acts on what it has read
}

// NewBook opens a book on a log.
func NewBook(log Log, r *Recorder) *Book { return &Book{Log: log, Recorder: r} }

// Start begins a job and gives its state. It wants a vehicle, a complaint or a
// title at least.
func (b *Book) Start(ctx context.Context, d Started) (*State, error) {
	if d.Title == "" && d.Vehicle == "" && d.Complaint == "" {
		return nil, refuse(CodeMissing, "Write which vehicle it is, or what is wrong with it.")
	}
	r := b.recorder(ctx)
	return b.Record(ctx, r.Event(r.NewID(), KindStarted, d))
}

// Load folds a job. A job that there is not is an Error with CodeUnknown.
func (b *Book) Load(ctx context.Context, job string) (*State, error) {
	events, err := b.Log.Events(ctx, job)
	if err != nil {
		return nil, err
	}
	if len(events) == 0 {
		return nil, refuse(CodeUnknown, "There is no job %q here.", job)
	}
	return Fold(events)
}

// Do runs an action on a job as it is now. The state it gives is that after
// the action; with an *Error it is the state as it stands, for showing. Events
// of an action that says CodeAlready are kept.
func (b *Book) Do(ctx context.Context, job string, a Action) (*State, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	s, err := b.Load(ctx, job)
	if err != nil {
		return nil, err
	}
	if err := may(ctx); err != nil {
		return s, err
	}
	events, said := a(b.recorder(ctx).behind(s), s)
	var known *Error
	if said != nil && !errors.As(said, &known) {
		return s, said
	}
	if len(events) == 0 {
		return s, said
	}
	s, err = b.record(ctx, events)
	if err != nil {
		return nil, err
	}
	return s, said
}

// Record keeps events of one job, from wherever they come, and brings its
// summary up to date. It gives the state after them.
func (b *Book) Record(ctx context.Context, events ...Event) (*State, error) {
	if len(events) == 0 {
		return nil, refuse(CodeMissing, "There is nothing to record.")
	}
	if err := may(ctx); err != nil {
		return nil, err
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.record(ctx, events)
}

func (b *Book) record(ctx context.Context, events []Event) (*State, error) {
	if _, err := b.Log.Append(ctx, events...); err != nil {
		return nil, err
	}
	all, err := b.Log.Events(ctx, events[0].Job)
	for err == nil {
		s, err := Fold(all)
		if err != nil {
			return nil, err
		}
		if err := b.Log.SetSummary(ctx, Summarise(s)); err != nil {
			return s, err
		}
		// Another process may have recorded meanwhile and set its summary before
		// this one: whoever sets last looks again, so the last one set is whole.
		now, err := b.Log.Events(ctx, events[0].Job)
		if err != nil || len(now) == len(all) {
			return s, err
		}
		all = now
	}
	return nil, err
}

// Summaries lists jobs, most recently touched first.
func (b *Book) Summaries(ctx context.Context, q Query) ([]Summary, error) {
	return b.Log.Summaries(ctx, q)
}
