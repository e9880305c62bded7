package job

import (
	"context"
	"errors"
	"slices"
	"sync"

	"lastbolt/fault"
)

// A Book is the jobs of one host: a log, and who records in it. Its methods
// are safe for many goroutines.
type Book struct {
	Log      Log
	Recorder *Recorder

	mu   sync.Mutex
	busy map[string]*turn // by job

	memory memory
}

// A turn is who works on a job: one action at a time acts on what it has read.
type turn struct {
	sync.Mutex
	wanted int // by how many, with whoever has it
}

// hold waits for the job's turn, and gives what ends it.
func (b *Book) hold(job string) (release func()) {
	b.mu.Lock()
	t := b.busy[job]
	if t == nil {
		t = &turn{}
		if b.busy == nil {
			b.busy = map[string]*turn{}
		}
		b.busy[job] = t
	}
	t.wanted++
	b.mu.Unlock()
	t.Lock()
	return func() {
		t.Unlock()
		b.mu.Lock()
		defer b.mu.Unlock()
		if t.wanted--; t.wanted == 0 {
			delete(b.busy, job)
		}
	}
}

// NewBook opens a book on a log.
func NewBook(log Log, r *Recorder) *Book { return &Book{Log: log, Recorder: r} }

// Remember has the book keep what the events of so many jobs say, those of the
// latest used, and not decode them for every load. It is for a host that answers
// one person: what a job's events say takes a few times their size.
func (b *Book) Remember(jobs int) { b.memory.most = jobs }

// Start begins a job and gives its state. It wants a vehicle, a complaint or a
// title at least.
func (b *Book) Start(ctx context.Context, d Started) (*State, error) {
	if d.Title == "" && d.Vehicle == "" && d.Complaint == "" {
		return nil, refuse(CodeMissing, "Write which vehicle it is, or what is wrong with it.")
	}
	if err := odometerProblem(d.Odometer); err != nil {
		return nil, err
	}
	r := b.recorder(ctx)
	return b.Record(ctx, r.Event(r.NewID(), KindStarted, d))
}

// Load folds a job. A job that there is not is an Error with CodeUnknown.
func (b *Book) Load(ctx context.Context, job string) (*State, error) {
	known := b.memory.take(job)
	defer b.memory.give(job, known)
	s, _, err := b.load(ctx, job, known)
	return s, err
}

func (b *Book) load(ctx context.Context, job string, known map[string]decoded) (*State, []Event, error) {
	events, err := b.Log.Events(ctx, job)
	if err != nil {
		return nil, nil, err
	}
	if len(events) == 0 {
		return nil, nil, refuse(CodeUnknown, "There is no job %q here.", job)
	}
	s, err := fold(events, known)
	return s, events, err
}

// Do runs an action on a job as it is now. The state it gives is that after
// the action; with an *Error it is the state as it stands, for showing. Events
// of an action that says CodeAlready are kept.
func (b *Book) Do(ctx context.Context, job string, a Action) (*State, error) {
	defer b.hold(job)()
	read := b.memory.take(job)
	if read == nil {
		read = map[string]decoded{}
	}
	defer b.memory.give(job, read)
	s, have, err := b.load(ctx, job, read)
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
	all := slices.Concat(have, events)
	if s, err = fold(all, read); err != nil {
		return nil, err
	}
	if err = b.append(ctx, s, events); err != nil {
		return nil, err
	}
	if s, err = b.whole(ctx, s, all, read); err != nil {
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
	defer b.hold(events[0].Job)()
	if _, err := b.Log.Append(ctx, events...); err != nil {
		return nil, err
	}
	all, err := b.Log.Events(ctx, events[0].Job)
	if err != nil {
		return nil, err
	}
	return b.summarise(ctx, all, nil)
}

// summarise folds all events of a job, as far as they are known, and sets its
// line in the list.
func (b *Book) summarise(ctx context.Context, all []Event, known map[string]decoded) (*State, error) {
	s, err := fold(all, known)
	if err != nil {
		return nil, err
	}
	if err := b.Log.SetSummary(ctx, Summarise(s)); err != nil {
		return s, err
	}
	return b.whole(ctx, s, all, known)
}

// whole is s, the state of all, whose line in the list has just been set. Another
// process may have recorded meanwhile and set its line before this one: whoever
// sets last looks again, so the last one set is whole.
func (b *Book) whole(ctx context.Context, s *State, all []Event, known map[string]decoded) (*State, error) {
	now, err := b.since(ctx, all)
	if err != nil || len(now) == len(all) {
		return s, err
	}
	return b.summarise(ctx, now, known)
}

// A summariser is a log that stores events and the line they make at once.
type summariser interface {
	AppendSummarised(ctx context.Context, s Summary, events ...Event) (added int, err error)
}

// append stores events of one job, and the line in the list that s makes.
func (b *Book) append(ctx context.Context, s *State, events []Event) error {
	if l, ok := b.Log.(summariser); ok {
		_, err := l.AppendSummarised(ctx, Summarise(s), events...)
		if !fault.Is(err, fault.Bad) {
			return err
		}
		// A line that cannot be stored must not keep an event from being stored.
	}
	if _, err := b.Log.Append(ctx, events...); err != nil {
		return err
	}
	return b.Log.SetSummary(ctx, Summarise(s))
}

// A counter is a log that can count a job's events without reading them.
type counter interface {
	Count(ctx context.Context, job string) (int, error)
}

// since reads the job's events again, if there are others than all by now.
func (b *Book) since(ctx context.Context, all []Event) ([]Event, error) {
	if c, ok := b.Log.(counter); ok {
		if n, err := c.Count(ctx, all[0].Job); err != nil || n == len(all) {
			return all, err
		}
	}
	return b.Log.Events(ctx, all[0].Job)
}

// Summaries lists jobs, most recently touched first.
func (b *Book) Summaries(ctx context.Context, q Query) ([]Summary, error) {
	return b.Log.Summaries(ctx, q)
}
