// Package usage says what takes room among everything that is kept, which files
// nothing refers to, and which are missing; and it takes the first kind away.
//
// Start with [Look] for a [Report], and [Sweep] to tidy up. A file counts as
// referred to when any event, undone or not, or any version of a document
// mentions its name: what was recorded can always be shown again. [Level] says
// when a disk is nearly full. The package reads through a store, knows no clock,
// and never takes away an event.
package usage

import (
	"cmp"
	"context"
	"slices"
	"strings"
	"time"

	"lastbolt/keep"
)

// A Sum is a number of files and what they take.
type Sum struct {
	Files int   `json:"files"`
	Bytes int64 `json:"bytes"`
}

func (s *Sum) add(bytes int64) {
	s.Files++
	s.Bytes += bytes
}

// A Job is what one job takes. A photo that two jobs show counts in both.
type Job struct {
	ID            string
	Photos, Clips Sum
	Events        int
	EventBytes    int64
}

// Bytes is all of it.
func (j Job) Bytes() int64 { return j.Photos.Bytes + j.Clips.Bytes + j.EventBytes }

// A Lost file is one that a job points to and that is not there.
type Lost struct {
	Name   string   `json:"name"`
	Jobs   []string `json:"jobs"`   // ids, in order
	Listed bool     `json:"listed"` // the database knows it, and its content is gone
}

// A Report is what takes room, at one look.
type Report struct {
	Photos, Clips, Others Sum
	Jobs                  []Job         // largest first
	Orphans               []keep.Stored // files that nothing refers to, by name
	Strays                []keep.Content
	Lost                  []Lost // by name

	position int64
}

// Files sums up every file.
func (r Report) Files() Sum {
	return Sum{r.Photos.Files + r.Clips.Files + r.Others.Files, r.Photos.Bytes + r.Clips.Bytes + r.Others.Bytes}
}

// Look looks over everything. What is recorded meanwhile may or may not be in
// the report.
func Look(ctx context.Context, from keep.Sweeper, x *Index) (Report, error) {
	x.mu.Lock()
	defer x.mu.Unlock()
	// The files come first: one kept later than that is no orphan of this look.
	stored, err := from.Stored(ctx)
	if err != nil {
		return Report{}, err
	}
	contents, err := from.Contents(ctx)
	if err != nil {
		return Report{}, err
	}
	if err := x.catchUp(ctx, from); err != nil {
		return Report{}, err
	}
	documents, err := inDocuments(ctx, from)
	if err != nil {
		return Report{}, err
	}
	r := Report{position: x.position}
	jobs := x.empty()
	listed, there := map[string]bool{}, map[string]bool{}
	for _, c := range contents {
		there[c.Name] = true
	}
	for _, f := range stored {
		listed[f.Name] = true
		r.count(f, x, jobs)
		if len(x.mentions[f.Name]) == 0 && !documents[f.Name] {
			r.Orphans = append(r.Orphans, f)
		}
	}
	for _, c := range contents {
		if !listed[c.Name] {
			r.Strays = append(r.Strays, c)
		}
	}
	for name, of := range x.points {
		if !there[name] {
			r.Lost = append(r.Lost, Lost{name, sorted(of), listed[name]})
		}
	}
	for _, j := range jobs {
		r.Jobs = append(r.Jobs, *j)
	}
	slices.SortFunc(r.Jobs, func(a, b Job) int { return cmp.Or(cmp.Compare(b.Bytes(), a.Bytes()), strings.Compare(a.ID, b.ID)) })
	slices.SortFunc(r.Strays, func(a, b keep.Content) int { return strings.Compare(a.Name, b.Name) })
	slices.SortFunc(r.Lost, func(a, b Lost) int { return strings.Compare(a.Name, b.Name) })
	return r, nil
}

// empty is every job with what its events take.
func (x *Index) empty() map[string]*Job {
	jobs := map[string]*Job{}
	for id, r := range x.jobs {
		jobs[id] = &Job{ID: id, Events: r.events, EventBytes: r.bytes}
	}
	return jobs
}

func (r *Report) count(f keep.Stored, x *Index, jobs map[string]*Job) {
	sum, of := &r.Others, func(*Job) *Sum { return nil }
	switch {
	case strings.HasPrefix(f.Media, "image/"):
		sum, of = &r.Photos, func(j *Job) *Sum { return &j.Photos }
	case strings.HasPrefix(f.Media, "audio/"):
		sum, of = &r.Clips, func(j *Job) *Sum { return &j.Clips }
	}
	sum.add(f.Bytes)
	for id := range x.mentions[f.Name] {
		if s := of(jobs[id]); s != nil {
			s.add(f.Bytes)
		}
	}
}

func sorted(set map[string]bool) []string {
	out := make([]string, 0, len(set))
	for s := range set {
		out = append(out, s)
	}
	slices.Sort(out)
	return out
}

// Age is how long a file must have been left alone before a sweep takes it,
// unless told otherwise: a phone may send a photo days before the event that
// shows it.
const Age = 7 * 24 * time.Hour

// batch is how many files are forgotten in one step, while nobody records.
const batch = 20

// Swept is what a sweep did.
type Swept struct {
	Removed Sum // files taken away
	Young   Sum // orphans left because they were kept a short time ago
	Begun   Sum // files whose age was not known: it counts from now on
}

// Sweep takes away the orphans of a report that were left alone since before a
// time. Contents that no database lists are listed, so that the next sweep after
// their time finds them as orphans, and not before.
func Sweep(ctx context.Context, from keep.Sweeper, r Report, before time.Time) (Swept, error) {
	var out Swept
	for _, c := range r.Strays {
		if err := from.Adopt(ctx, c.Name, "application/octet-stream", c.Bytes); err != nil {
			return out, err
		}
		out.Begun.add(c.Bytes)
	}
	size := map[string]int64{}
	var old []string
	for _, f := range r.Orphans {
		switch {
		case f.Kept.IsZero():
			if err := from.Adopt(ctx, f.Name, f.Media, f.Bytes); err != nil {
				return out, err
			}
			out.Begun.add(f.Bytes)
		case f.Kept.Before(before):
			size[f.Name] = f.Bytes
			old = append(old, f.Name)
		default:
			out.Young.add(f.Bytes)
		}
	}
	for names := range slices.Chunk(old, batch) {
		gone, err := from.Forget(ctx, names, before, r.position)
		for _, name := range gone {
			out.Removed.add(size[name])
		}
		if err != nil {
			return out, err
		}
	}
	return out, nil
}
