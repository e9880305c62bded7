// Package job is one repair from complaint to record: an append-only log of
// events, folded into a state from which every screen and page is derived.
//
// Start with [Event] (what is recorded), [Fold] (what it adds up to) and
// [Action] (what a tap records, run by a [Book]). The package reads no clock and keeps
// nothing: the host hands in a [Recorder] and a [Log].
package job

import (
	"context"
	"encoding/json"
	"time"
)

// An Event is one thing that was recorded. Its ID is made on the device that
// records, unique and sortable by time, so that sending twice is harmless and
// the order of arrival does not matter: a log is ordered by ID.
type Event struct {
	ID   string          `json:"id"`
	Job  string          `json:"job"`
	Kind Kind            `json:"kind"`
	At   time.Time       `json:"at"` // the recording device's clock, UTC
	By   string          `json:"by,omitempty"`
	Data json.RawMessage `json:"data,omitempty"`
}

// Kind says what an event records; each kind has its own data type.
type Kind string

// A Log is where events are kept. Append acknowledges only what is durably
// stored; an event whose ID is already there is passed over, not an error.
// The whole batch is stored or none of it.
type Log interface {
	Append(ctx context.Context, events ...Event) (added int, err error)
	// Events returns the events of one job ordered by ID; none is not an error.
	Events(ctx context.Context, job string) ([]Event, error)
	// SetSummary keeps the line a list of jobs shows; it is derived, and is
	// written in the same transaction scope as the host sees fit.
	SetSummary(ctx context.Context, s Summary) error
	// Summaries lists jobs, most recently touched first, or by what is due where
	// the query asks for that.
	Summaries(ctx context.Context, q Query) ([]Summary, error)
	// Changed returns events of any job stored after the given position, and
	// the new position, for live updates and exchange between devices.
	Changed(ctx context.Context, after int64, limit int) (events []Event, position int64, err error)
}

// A Query picks jobs for a list. The zero Query is every open job.
type Query struct {
	Stage   string // one stage, or empty for all
	Closed  bool   // released jobs too
	Vehicle string // a vehicle's id
	Map     string // an access map's id: jobs that began or were planned on it
	Text    string // words in the title, vehicle or complaint
	// DueBy picks jobs with something due at that instant or before it, earliest
	// first. Zero picks and orders by touch.
	DueBy  time.Time
	Limit  int // 0 means 100
	Offset int
}
