package job

import (
	"context"
	"encoding/json"
	"testing"
)

// events is a log of a few jobs, of which only Events is asked.
type events map[string][]Event

func (l events) Events(_ context.Context, job string) ([]Event, error) { return l[job], nil }
func (events) Append(context.Context, ...Event) (int, error)           { return 0, nil }
func (events) SetSummary(context.Context, Summary) error               { return nil }
func (events) Changed(context.Context, int64, int) ([]Event, int64, error) {
	return nil, 0, nil
}
func (events) Summaries(context.Context, Query) ([]Summary, error) { return nil, nil }

func startedAs(job, title string) Event {
	data, _ := json.Marshal(Started{Title: title}) // a struct of texts
	return Event{ID: "e-" + job, Job: job, Kind: KindStarted, Data: data}
}

func TestWhatEventsSayIsDecodedOnce(t *testing.T) {
	log := events{"a": {startedAs("a", "Belt")}}
	b := NewBook(log, nil)
	b.Remember(2)
	title := func(job string) string {
		t.Helper()
		s, err := b.Load(t.Context(), job)
		if err != nil {
			t.Fatal(err)
		}
		return s.Title
	}
	if got := title("a"); got != "Belt" {
		t.Fatalf("the title is %q", got)
	}
	// What is remembered is marked, so that it shows where it is used.
	d := b.memory.jobs[0].known["e-a"]
	d.data = Started{Title: "remembered"}
	b.memory.jobs[0].known["e-a"] = d
	if got := title("a"); got != "remembered" {
		t.Errorf("an event that was read before is decoded again: %q", got)
	}
	// Another event by the same name is not what was read.
	log["a"] = []Event{startedAs("a", "Pump")}
	if got := title("a"); got != "Pump" {
		t.Errorf("of an event with other data what the old one said is taken: %q", got)
	}
	for _, job := range []string{"b", "c"} {
		log[job] = []Event{startedAs(job, job)}
		title(job)
	}
	if n := len(b.memory.jobs); n != 2 || b.memory.jobs[0].job != "c" || b.memory.jobs[1].job != "b" {
		t.Errorf("%d jobs are remembered, want the two used last", n)
	}
}

func TestABookRemembersNothingUnlessTold(t *testing.T) {
	b := NewBook(events{"a": {startedAs("a", "Belt")}}, nil)
	if _, err := b.Load(t.Context(), "a"); err != nil {
		t.Fatal(err)
	}
	if n := len(b.memory.jobs); n > 0 {
		t.Errorf("%d jobs are remembered", n)
	}
}
