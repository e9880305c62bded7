// Package storetest is the behaviour every store must show. A store's own
// tests call [Run] with a function that opens an empty one; package memory and
// package sqlite do, and so must any that comes later.
//
// It tests what callers can see, not how a store does it: what a crash or a
// full disk does is for the store's own tests.
package storetest

import (
	"context"
	"encoding/json"
	"fmt"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"lastbolt/fault"
	"lastbolt/garage"
	"lastbolt/job"
	"lastbolt/keep"
)

// Run runs the suite. Open returns an empty store and sees to its closing.
func Run(t *testing.T, open func(t *testing.T) keep.Backend) {
	for _, test := range []struct {
		name string
		run  func(*testing.T, keep.Backend)
	}{
		{"an empty store answers with nothing", empty},
		{"events come back as they went in, ordered by id", eventsComeBack},
		{"an event sent twice is kept once", appendTwice},
		{"a batch is stored whole or not at all", wholeBatch},
		{"what cannot be stored is refused in words", refused},
		{"events are copied in and out", copied},
		{"changed events follow each other without gaps", changed},
		{"a batch of ten thousand goes in", largeBatch},
		{"names in any script come back", anyScript},
		{"summaries are listed by last touch", summariesByTouch},
		{"summaries are picked by every field of a query", summariesPicked},
		{"a search looks for every word, capitals or not", summariesSearched},
		{"pages of summaries meet without gap or overlap", summariesPaged},
		{"jobs are found by their map", summariesByMap},
		{"what is due is listed earliest first, however long ago its job was touched", summariesDue},
		{"a summary set again replaces the one before", summaryReplaced},
		{"every version of a document stays", versionsStay},
		{"an edit from an old version is refused and stores nothing", staleEdit},
		{"events and a summary at once are both there or neither", summarisedAtOnce},
		{"an edit on a late clock is newer than what it began from", lateClock},
		{"the history has no bodies and begins with the newest", historyOrder},
		{"all documents of a kind come in their newest version", allNewest},
		{"what is not there is said to be unknown", unknown},
		{"a file is named by its hash and kept once", filesKept},
		{"a file name that is no hash opens nothing", filesOddNames},
		{"a sweep takes what is old and mentioned nowhere", forgotten},
		{"a file kept while a sweep runs is there afterwards", keptWhileSwept},
		{"merging is the same the second time", mergeTwice},
		{"histories edited on both sides keep every version", mergeDiverged},
		{"a batch that contradicts what is there changes nothing", mergeContradiction},
		{"a cancelled call stores nothing", cancelled},
		{"many writers at once lose nothing", manyWriters},
		{"of many edits from one version a single one wins", manyEditors},
		{"readers see whole batches while others write", readersSeeWhole},
		{"any run of calls matches a plain model", matchesModel},
	} {
		t.Run(test.name, func(t *testing.T) { test.run(t, open(t)) })
	}
}

// At is a fixed instant to count from, with nanoseconds that must survive.
var At = time.Date(2031, 5, 4, 9, 30, 0, 123456789, time.UTC)

// Event makes the nth event of a job, n minutes after At. Ids sort as n does.
func Event(jobID string, n int) job.Event {
	return job.Event{
		ID:   fmt.Sprintf("%s-%06d", jobID, n),
		Job:  jobID,
		Kind: "note",
		At:   At.Add(time.Duration(n) * time.Minute),
		By:   "bay 1",
		Data: json.RawMessage(fmt.Sprintf(`{"n":%d}`, n)),
	}
}

// Events makes n events of a job.
func Events(jobID string, n int) []job.Event {
	out := make([]job.Event, n)
	for i := range out {
		out[i] = Event(jobID, i)
	}
	return out
}

// Document makes a version of a vehicle.
func Document(id string, n int) garage.Document {
	return garage.Document{
		Kind: garage.KindVehicle, ID: id, At: At.Add(time.Duration(n) * time.Hour), By: "bay 1",
		Note: fmt.Sprintf("edit %d", n), Body: fmt.Appendf(nil, `{"id":%q,"n":%d}`, id, n),
	}
}

// same fails the test when got is not want. Nil and empty lists are the same.
func same[T any](t *testing.T, what string, got, want T) {
	t.Helper()
	if d := cmp.Diff(want, got, cmpopts.EquateEmpty()); d != "" {
		t.Fatalf("%s differs (-want +got):\n%s", what, d)
	}
}

func must[T any](t *testing.T) func(T, error) T {
	return func(v T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

func appended(t *testing.T, b keep.Backend, events ...job.Event) int {
	t.Helper()
	return must[int](t)(b.Append(t.Context(), events...))
}

func events(t *testing.T, b keep.Backend, id string) []job.Event {
	t.Helper()
	return must[[]job.Event](t)(b.Events(t.Context(), id))
}

func code(t *testing.T, err error, want fault.Code) {
	t.Helper()
	if got := fault.CodeOf(err); got != want {
		t.Fatalf("got the error %v with code %q, want code %q", err, got, want)
	}
}

func cancelledContext(t *testing.T) context.Context {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	return ctx
}
