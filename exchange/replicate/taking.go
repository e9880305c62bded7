package replicate

import (
	"cmp"
	"context"
	"slices"

	"lastbolt/garage"
	"lastbolt/job"
	"lastbolt/keep"
)

// byJob groups events, in the order of the jobs' ids.
func byJob(events []job.Event) [][]job.Event {
	sorted := slices.SortedStableFunc(slices.Values(events), func(a, b job.Event) int { return cmp.Compare(a.Job, b.Job) })
	var out [][]job.Event
	for i, e := range sorted {
		if i == 0 || e.Job != sorted[i-1].Job {
			out = append(out, nil)
		}
		out[len(out)-1] = append(out[len(out)-1], e)
	}
	return out
}

// split tells apart, of events of one job, those that the log lacks and those
// it has with another meaning.
func split(ctx context.Context, log job.Log, events []job.Event) (lacking, other []job.Event, err error) {
	have, err := log.Events(ctx, events[0].Job)
	if err != nil {
		return nil, nil, err
	}
	here := make(map[string]job.Event, len(have))
	for _, e := range have {
		here[e.ID] = e
	}
	for _, e := range events {
		old, there := here[e.ID]
		switch {
		case !there:
			lacking = append(lacking, e)
			here[e.ID] = e
		case !keep.Same(old, e):
			other = append(other, e)
		}
	}
	return lacking, other, nil
}

// fitting is the longest beginning of events that one batch carries.
func fitting(events []job.Event) []job.Event {
	size := 0
	for i, e := range events {
		if size += len(e.Data) + 200; i > 0 && (size > batchBytes || i >= perBatch) {
			return events[:i]
		}
	}
	return events
}

// news are the versions in come that have lacks.
func news(have, come []garage.Document) []garage.Document {
	add, _ := keep.MergeHistory(have, come)
	return slices.DeleteFunc(add, func(d garage.Document) bool { // ours may be added once more
		return slices.ContainsFunc(have, func(h garage.Document) bool {
			return h.At.Equal(d.At) && h.By == d.By && h.Note == d.Note
		})
	})
}
