package storetest

import (
	"encoding/json"
	"fmt"
	"slices"
	"testing"
	"time"

	"lastbolt/job"
	"lastbolt/keep"
)

func summariesByMap(t *testing.T, b keep.Backend) {
	for i := range 300 {
		set(t, b, job.Summary{ID: fmt.Sprintf("job-%03d", i), MapID: "other", Touched: At.Add(time.Duration(i+1) * time.Hour), Released: At})
	}
	set(t, b,
		job.Summary{ID: "first", MapID: "tern", Touched: At.Add(-time.Hour), Released: At},
		job.Summary{ID: "second", MapID: "tern", Touched: At, Released: At, Stage: "released"},
		job.Summary{ID: "in hand", MapID: "tern", Touched: At.Add(time.Minute)},
		job.Summary{ID: "no map", Touched: At, Released: At},
		job.Summary{ID: "begins alike", MapID: "tern-2", Touched: At, Released: At},
	)
	for _, test := range []struct {
		name  string
		query job.Query
		want  []string
	}{
		{"all", job.Query{Closed: true, Map: "tern"}, []string{"in hand", "second", "first"}},
		{"in hand", job.Query{Map: "tern"}, []string{"in hand"}},
		{"of one stage", job.Query{Closed: true, Map: "tern", Stage: "released"}, []string{"second"}},
		{"a page", job.Query{Closed: true, Map: "tern", Limit: 1, Offset: 1}, []string{"second"}},
		{"none", job.Query{Closed: true, Map: "ter"}, nil},
	} {
		same(t, test.name, list(t, b, test.query), test.want)
	}
	set(t, b, job.Summary{ID: "first", MapID: "other", Touched: At, Released: At})
	same(t, "after it was planned on another", list(t, b, job.Query{Closed: true, Map: "tern"}), []string{"in hand", "second"})
}

// EventsBeforeMaps are records of jobs whose lines were stored before the
// databases had a column for the map. Job "tern..." is on the map "tern-van".
func EventsBeforeMaps() []job.Event {
	var out []job.Event
	add := func(id string, kind job.Kind, data any) string {
		text, err := json.Marshal(data)
		if err != nil {
			panic(err)
		}
		e := job.Event{ID: fmt.Sprintf("%04d", len(out)+1), Job: id, Kind: kind, At: At, Data: text}
		out = append(out, e)
		return e.ID
	}
	on := func(m string) job.Planned { return job.Planned{MapID: m, MapName: m} }
	add("tern begun", job.KindStarted, job.Started{Vehicle: `"map":"x" \u0000`, MapID: "tern-van"})
	add("tern planned", job.KindStarted, job.Started{Vehicle: "v\x00", MapID: "other"})
	add("tern planned", job.KindPlanned, on("tern-van"))
	add("tern planned", job.KindWayBack, on(""))
	add("tern undone", job.KindPlanned, on("tern-van"))
	add("tern undone", job.KindUndo, job.Undone{Event: add("tern undone", job.KindPlanned, on("other"))})
	redone := add("tern redone", job.KindPlanned, on("tern-van"))
	add("tern redone", job.KindUndo, job.Undone{Event: add("tern redone", job.KindUndo, job.Undone{Event: redone})})
	add("other", job.KindStarted, job.Started{MapID: "tern-van"})
	add("other", job.KindPlanned, on("other"))
	add("none", job.KindStarted, job.Started{Complaint: `"map":"tern-van"`})
	out = append(out, job.Event{ID: "9999", Job: "none", Kind: job.KindStarted, At: At})
	return out
}

// CheckMapsAfter looks for the jobs of [EventsBeforeMaps] by their map, after a
// database with them was brought up to date.
func CheckMapsAfter(t *testing.T, b keep.Backend) {
	t.Helper()
	found := list(t, b, job.Query{Closed: true, Map: "tern-van"})
	slices.Sort(found)
	same(t, "on the map", found, []string{"tern begun", "tern planned", "tern redone", "tern undone"})
	same(t, "on another", list(t, b, job.Query{Closed: true, Map: "other"}), []string{"other"})
	same(t, "all", len(list(t, b, job.Query{Closed: true})), 6)
}
