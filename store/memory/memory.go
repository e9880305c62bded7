// Package memory is a [keep.Backend] that lasts as long as the program: for
// tests, and for hosts that have no disk. [New] makes one. It writes nothing
// down, and copies everything that goes in or out.
package memory

import (
	"cmp"
	"context"
	"maps"
	"slices"
	"strings"
	"sync"
	"time"

	"lastbolt/garage"
	"lastbolt/job"
	"lastbolt/keep"
)

// A Store keeps everything in memory.
type Store struct {
	mu        sync.RWMutex
	log       []job.Event    // in the order they came; a position is an index + 1
	ids       map[string]int // event id to its index in log
	jobs      map[string][]int
	summaries map[string]job.Summary
	documents map[key][]garage.Document // by rising version
	files     map[string]file
}

type key struct{ kind, id string }

type file struct {
	content   []byte
	mediaType string
	kept      time.Time
}

var _ keep.Sweeper = (*Store)(nil)

// New returns an empty store.
func New() *Store {
	return &Store{
		ids:       map[string]int{},
		jobs:      map[string][]int{},
		summaries: map[string]job.Summary{},
		documents: map[key][]garage.Document{},
		files:     map[string]file{},
	}
}

// Append implements job.Log.
func (s *Store) Append(ctx context.Context, events ...job.Event) (int, error) {
	checked, err := keep.Events(events)
	if err != nil {
		return 0, err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if err := ctx.Err(); err != nil {
		return 0, err
	}
	return s.add(checked), nil
}

func (s *Store) add(events []job.Event) (added int) {
	for _, e := range events {
		if _, there := s.ids[e.ID]; there {
			continue
		}
		e.Data = slices.Clone(e.Data)
		s.ids[e.ID] = len(s.log)
		s.jobs[e.Job] = append(s.jobs[e.Job], len(s.log))
		s.log = append(s.log, e)
		added++
	}
	return added
}

func (s *Store) at(i int) job.Event {
	e := s.log[i]
	e.Data = slices.Clone(e.Data)
	return e
}

// Events implements job.Log.
func (s *Store) Events(ctx context.Context, id string) ([]job.Event, error) {
	s.mu.RLock()
	defer s.mu.RUnlock()
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	var out []job.Event
	for _, i := range s.jobs[id] {
		out = append(out, s.at(i))
	}
	slices.SortFunc(out, func(a, b job.Event) int { return cmp.Compare(a.ID, b.ID) })
	return out, nil
}

// Changed implements job.Log.
func (s *Store) Changed(ctx context.Context, after int64, limit int) ([]job.Event, int64, error) {
	s.mu.RLock()
	defer s.mu.RUnlock()
	if err := ctx.Err(); err != nil {
		return nil, after, err
	}
	var out []job.Event
	limit = keep.Limit(limit, keep.DefaultChanged)
	for ; max(after, 0) < int64(len(s.log)) && len(out) < limit; after++ {
		after = max(after, 0)
		out = append(out, s.at(int(after)))
	}
	return out, after, nil
}

// SetSummary implements job.Log.
func (s *Store) SetSummary(ctx context.Context, sum job.Summary) error {
	sum, err := keep.Summary(sum)
	if err != nil {
		return err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if err := ctx.Err(); err != nil {
		return err
	}
	s.summaries[sum.ID] = sum
	return nil
}

// Summaries implements job.Log.
func (s *Store) Summaries(ctx context.Context, q job.Query) ([]job.Summary, error) {
	s.mu.RLock()
	defer s.mu.RUnlock()
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	words := keep.Words(q.Text)
	var out []job.Summary
	for _, sum := range s.summaries {
		if matches(sum, q, words) {
			out = append(out, sum)
		}
	}
	slices.SortFunc(out, keep.SummaryOrder(q))
	out = out[min(max(q.Offset, 0), len(out)):]
	return out[:min(keep.Limit(q.Limit, keep.DefaultSummaries), len(out))], nil
}

func matches(s job.Summary, q job.Query, words []string) bool {
	text := keep.SearchText(s)
	for _, w := range words {
		if !strings.Contains(text, w) {
			return false
		}
	}
	return (q.Closed || s.Released.IsZero()) &&
		(q.Stage == "" || q.Stage == s.Stage) &&
		(q.Vehicle == "" || q.Vehicle == s.VehicleID) &&
		(q.Map == "" || q.Map == s.MapID) && keep.Due(s, q.DueBy)
}

// Jobs implements keep.Backend.
func (s *Store) Jobs(ctx context.Context) ([]string, error) {
	s.mu.RLock()
	defer s.mu.RUnlock()
	return slices.Sorted(maps.Keys(s.jobs)), ctx.Err()
}

// Merge implements keep.Backend.
func (s *Store) Merge(ctx context.Context, b keep.Batch) (keep.Merged, error) {
	b, err := b.Check()
	if err != nil {
		return keep.Merged{}, err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if err := ctx.Err(); err != nil {
		return keep.Merged{}, err
	}
	for _, e := range b.Events {
		if i, there := s.ids[e.ID]; there && !keep.Same(s.log[i], e) {
			return keep.Merged{}, keep.Contradiction(e)
		}
	}
	out := keep.Merged{Events: s.add(b.Events)}
	for _, come := range b.Histories() {
		k := key{come[0].Kind, come[0].ID}
		add, diverged := keep.MergeHistory(s.documents[k], come)
		for _, d := range add {
			s.documents[k] = append(s.documents[k], clone(d))
		}
		out.Note(k.kind, k.id, len(add), diverged)
	}
	return out, nil
}

func clone(d garage.Document) garage.Document {
	d.Body = append([]byte{}, d.Body...)
	return d
}
