// Package keep says what everything recorded is kept in: one [Backend] for
// the events of jobs, the versions of documents, and files.
//
// Package sqlite keeps it in a folder and is what the program uses; package
// memory keeps it nowhere and serves tests and hosts without a disk. Both, and
// any later one, run the same behavioural suite in package storetest. This
// package holds what all of them must agree on: the limits, what may be stored,
// how a list is searched, and how two histories of one document become one. It
// opens no files itself.
package keep

import (
	"cmp"
	"context"
	"slices"
	"time"

	"lastbolt/garage"
	"lastbolt/job"
)

// A Backend keeps everything. Its methods may be called from many goroutines
// at once.
type Backend interface {
	job.Log
	garage.Documents
	garage.Files

	// Jobs returns the id of every job that has an event, in order.
	Jobs(ctx context.Context) ([]string, error)
	// Kinds returns the kinds of document that are kept, in order.
	Kinds(ctx context.Context) ([]string, error)
	// Merge takes in events and document versions from elsewhere, all or none
	// of them. Merging the same batch again changes nothing.
	Merge(ctx context.Context, b Batch) (Merged, error)
}

// A Contents holds the content of photos and clips, each under its name, the
// SHA-256 of it, and nothing else: which there are, and of what media type, the
// database knows. Its methods may be called from many goroutines at once.
type Contents interface {
	// Keep stores the content under its name, and is done once it is durably
	// there. Nothing is ever overwritten by something else.
	Keep(ctx context.Context, name string, content []byte) error
	// Read returns a content, checked against its name. One that is gone or
	// changed is a Damaged fault.
	Read(ctx context.Context, name string) ([]byte, error)
	// All lists what is there, in no order, whether the database knows it or
	// not.
	All(ctx context.Context) ([]Content, error)
	// Remove takes a content away. Only a sweep does that. One that is not there
	// is no error.
	Remove(ctx context.Context, name string) error
	Close() error
}

// A Content is one that a [Contents] holds.
type Content struct {
	Name  string
	Bytes int64
	At    time.Time // when it was written there
}

// A Stored is a file as a [Backend] lists it.
type Stored struct {
	Name, Media string
	Bytes       int64
	Kept        time.Time // when it was last kept; zero where that is not known
}

// A Sweeper is a Backend whose files can be looked over and taken away.
type Sweeper interface {
	Backend
	// Stored lists the files, by name.
	Stored(ctx context.Context) ([]Stored, error)
	// Contents lists what is really there, as [Contents] does.
	Contents(ctx context.Context) ([]Content, error)
	// Adopt lists a content that is there and was not listed, as kept just now;
	// of a file that is listed it sets that time where none is known.
	Adopt(ctx context.Context, name, mediaType string, bytes int64) error
	// Forget takes away those of the files that were last kept before a time,
	// and that neither a document nor an event behind a position of the log
	// mentions, and returns them. That is decided and done in one step: nothing
	// is recorded in between. What stands before the position the caller has
	// looked at.
	Forget(ctx context.Context, names []string, before time.Time, position int64) ([]string, error)
}

// A Batch is what one Merge takes in. The versions of one document may be in
// any order.
type Batch struct {
	Events    []job.Event
	Documents []garage.Document
}

// Merged is what a Merge changed.
type Merged struct {
	Events   int // events that were not there yet
	Versions int // document versions that were not there yet
	// Diverged names documents ("vehicle tern-1") that had been edited on both
	// sides. Every version is kept; the one edited last is the newest.
	Diverged []string
}

// Note adds what one document's history brought.
func (m *Merged) Note(kind, id string, added int, diverged bool) {
	m.Versions += added
	if diverged {
		m.Diverged = append(m.Diverged, kind+" "+id)
	}
}

// Check returns the batch as it is stored, or what is wrong with it.
func (b Batch) Check() (Batch, error) {
	events, err := Events(b.Events)
	if err != nil {
		return b, err
	}
	seen := make(map[string]int, len(events))
	for i, e := range events {
		if before, twice := seen[e.ID]; twice && !Same(events[before], e) {
			return b, Contradiction(e)
		}
		seen[e.ID] = i
	}
	documents := make([]garage.Document, len(b.Documents))
	for i, d := range b.Documents {
		if documents[i], err = Document(d); err != nil {
			return b, err
		}
	}
	return Batch{events, documents}, nil
}

// Histories groups the documents by kind and id, in order.
func (b Batch) Histories() [][]garage.Document {
	sorted := slices.SortedStableFunc(slices.Values(b.Documents), func(x, y garage.Document) int {
		return cmp.Or(cmp.Compare(x.Kind, y.Kind), cmp.Compare(x.ID, y.ID), cmp.Compare(x.Version, y.Version))
	})
	var out [][]garage.Document
	for i, d := range sorted {
		if i == 0 || d.Kind != sorted[i-1].Kind || d.ID != sorted[i-1].ID {
			out = append(out, nil)
		}
		out[len(out)-1] = append(out[len(out)-1], d)
	}
	return out
}
