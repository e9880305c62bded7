package main

import (
	"bytes"
	"context"
	"crypto/rand"
	"encoding/json"
	"fmt"
	"time"

	"lastbolt/demo"
	"lastbolt/job"
	"lastbolt/keep"
	"lastbolt/store/memory"
)

// A pattern is a job of the demo, with notes behind it until it has eventsPerJob
// events. At are since its start.
type pattern struct {
	events []job.Event
	refs   [][]int // by event: those whose ids its data names
}

// patterns are the demo's jobs.
func patterns(ctx context.Context) ([]pattern, error) {
	st := memory.New()
	if err := demo.Fill(ctx, st, time.Now()); err != nil {
		return nil, err
	}
	ids, err := st.Jobs(ctx)
	if err != nil {
		return nil, err
	}
	var out []pattern
	for _, id := range ids {
		events, err := st.Events(ctx, id)
		if err != nil {
			return nil, err
		}
		for n := 0; len(events) < eventsPerJob; n++ {
			text, err := json.Marshal(job.NoteMade{Text: fmt.Sprintf("Looked at number %d once more; the bracket is dry, its paint is sound.", n)})
			if err != nil {
				return nil, err
			}
			last := events[len(events)-1]
			events = append(events, job.Event{ID: fmt.Sprintf("note %d", n), Job: id, Kind: job.KindNote, At: last.At.Add(time.Second), By: last.By, Data: text})
		}
		p := pattern{events: events, refs: make([][]int, len(events))}
		for i, e := range events {
			for j, o := range events {
				if bytes.Contains(e.Data, []byte(o.ID)) {
					p.refs[i] = append(p.refs[i], j)
				}
			}
		}
		out = append(out, p)
	}
	return out, nil
}

// as is the pattern as another job, begun at an instant.
func (p pattern) as(begun time.Time) []job.Event {
	now := begun
	ids := job.NewIDs(func() time.Time { return now }, rand.Reader)
	id := ids.New()
	out := make([]job.Event, len(p.events))
	for i, e := range p.events {
		now = begun.Add(e.At.Sub(p.events[0].At))
		e.ID, e.Job, e.At = ids.New(), id, now.UTC().Truncate(time.Millisecond)
		for _, j := range p.refs[i] {
			e.Data = bytes.ReplaceAll(e.Data, []byte(p.events[j].ID), []byte(out[j].ID))
		}
		out[i] = e
	}
	return out
}

// fillLoad stores jobs that are spread over three years, eight of ten finished,
// and gives their ids.
func fillLoad(ctx context.Context, st keep.Backend, jobs int) ([]string, error) {
	all, err := patterns(ctx)
	if err != nil {
		return nil, err
	}
	const perAppend = 10 // jobs in one transaction
	const years = 3 * 365 * 24 * time.Hour
	begun := time.Now().Add(-years)
	var ids []string
	var batch []job.Event
	for i := range jobs {
		p := all[min(max(i%10-7, 0), len(all)-1)]
		events := p.as(begun.Add(years / time.Duration(jobs) * time.Duration(i)))
		s, err := job.Fold(events)
		if err != nil {
			return nil, err
		}
		if len(s.Problems) > 0 {
			return nil, fmt.Errorf("a job that was made up does not read: %v", s.Problems[0])
		}
		ids = append(ids, s.ID)
		if batch = append(batch, events...); i%perAppend == perAppend-1 || i == jobs-1 {
			if _, err := st.Append(ctx, batch...); err != nil {
				return nil, err
			}
			batch = batch[:0]
		}
		if err := st.SetSummary(ctx, job.Summarise(s)); err != nil {
			return nil, err
		}
	}
	return ids, nil
}
