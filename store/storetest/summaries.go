package storetest

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"testing"
	"time"

	"lastbolt/fault"
	"lastbolt/job"
	"lastbolt/keep"
)

func set(t *testing.T, b keep.Backend, list ...job.Summary) {
	t.Helper()
	for _, s := range list {
		if err := b.SetSummary(t.Context(), s); err != nil {
			t.Fatal(err)
		}
	}
}

// list returns the ids of the jobs that a query picks.
func list(t *testing.T, b keep.Backend, q job.Query) (ids []string) {
	t.Helper()
	for _, s := range must[[]job.Summary](t)(b.Summaries(t.Context(), q)) {
		ids = append(ids, s.ID)
	}
	return ids
}

func summariesByTouch(t *testing.T, b keep.Backend) {
	full := job.Summary{
		ID: "full", Title: "Belt squeals cold", VehicleID: "tern-1", Vehicle: "Tern van 1.4", Complaint: "squeal <2 min>",
		Stage: "apart", Next: "Tensioner off", Owed: 7, Due: At.AddDate(0, 1, 0), DueWhat: "look at the belt",
		Touched: At, Started: At.AddDate(0, 0, -1), Released: At.Add(time.Nanosecond), Paused: true,
	}
	set(t, b, full)
	same(t, "summary", must[[]job.Summary](t)(b.Summaries(t.Context(), job.Query{Closed: true})), []job.Summary{full})

	set(t, b,
		job.Summary{ID: "old", Touched: At.Add(-time.Hour)},
		job.Summary{ID: "a", Touched: At.Add(time.Second)},
		job.Summary{ID: "b", Touched: At.Add(time.Second)},
		job.Summary{ID: "new", Touched: At.Add(time.Second + 1)},
		job.Summary{ID: "never"},
	)
	same(t, "order", list(t, b, job.Query{Closed: true}), []string{"new", "b", "a", "full", "old", "never"})
}

func summariesPicked(t *testing.T, b keep.Backend) {
	n := 0
	for _, stage := range []string{"plan", "apart"} {
		for _, vehicle := range []string{"v1", "v2"} {
			for _, released := range []time.Time{{}, At} {
				n++
				set(t, b, job.Summary{
					ID: fmt.Sprintf("%s %s %v", stage, vehicle, !released.IsZero()), Stage: stage,
					VehicleID: vehicle, Released: released, Touched: At.Add(time.Duration(-n) * time.Second),
				})
			}
		}
	}
	for _, test := range []struct {
		query job.Query
		want  []string
	}{
		{job.Query{}, []string{"plan v1 false", "plan v2 false", "apart v1 false", "apart v2 false"}},
		{job.Query{Stage: "plan"}, []string{"plan v1 false", "plan v2 false"}},
		{job.Query{Vehicle: "v2", Closed: true}, []string{"plan v2 false", "plan v2 true", "apart v2 false", "apart v2 true"}},
		{job.Query{Vehicle: "v2", Stage: "apart"}, []string{"apart v2 false"}},
		{job.Query{Stage: "no such stage"}, nil},
	} {
		same(t, fmt.Sprintf("%+v", test.query), list(t, b, test.query), test.want)
	}
}

func summariesSearched(t *testing.T, b keep.Backend) {
	set(t, b,
		job.Summary{ID: "1", Title: "Alternator off", Vehicle: "Tern van 1.4", Complaint: "light stays on", Touched: At.Add(3)},
		job.Summary{ID: "2", Title: "Ölwanne dichten", Vehicle: "Tern van", Complaint: "50% LOST in a week", Touched: At.Add(2)},
		job.Summary{ID: "3", Title: "under_tray", Vehicle: `a\b`, Touched: At.Add(1)},
	)
	for _, test := range []struct {
		text string
		want []string
	}{
		{"", []string{"1", "2", "3"}},
		{"  tern ", []string{"1", "2"}},
		{"TERN alter", []string{"1"}},
		{"tern lost", []string{"2"}},
		{"ölwanne", []string{"2"}},
		{"ÖLW", []string{"2"}},
		{"50%", []string{"2"}},
		{"%", []string{"2"}},
		{"_", []string{"3"}},
		{`\`, []string{"3"}},
		{"tern missing", nil},
		{"off\ntern", []string{"1"}},
	} {
		same(t, fmt.Sprintf("search %q", test.text), list(t, b, job.Query{Text: test.text}), test.want)
	}
}

func summariesPaged(t *testing.T, b keep.Backend) {
	var want []string
	for i := range 250 {
		id := fmt.Sprintf("job-%03d", i)
		set(t, b, job.Summary{ID: id, Touched: At.Add(-time.Duration(i/3) * time.Second)})
		want = append(want, id)
	}
	all := list(t, b, job.Query{Limit: 1000})
	same(t, "ids", slices.Sorted(slices.Values(all)), want)
	same(t, "without a limit", list(t, b, job.Query{}), all[:keep.DefaultSummaries])
	var got []string
	for offset := 0; offset < 300; offset += 7 {
		got = append(got, list(t, b, job.Query{Limit: 7, Offset: offset})...)
	}
	same(t, "pages of seven", got, all)
	same(t, "below zero", list(t, b, job.Query{Limit: 3, Offset: -5}), all[:3])
}

func summaryReplaced(t *testing.T, b keep.Backend) {
	set(t, b, job.Summary{ID: "a", Title: "first", Stage: "plan", Touched: At})
	last := job.Summary{ID: "a", Title: "second", Stage: "closed", Touched: At.Add(1), Released: At}
	set(t, b, last, last)
	same(t, "all", must[[]job.Summary](t)(b.Summaries(t.Context(), job.Query{Closed: true})), []job.Summary{last})
	same(t, "open", list(t, b, job.Query{}), nil)
	same(t, "by its old words", list(t, b, job.Query{Closed: true, Text: "first"}), nil)
}

// summarisedAtOnce is for the stores that can.
func summarisedAtOnce(t *testing.T, b keep.Backend) {
	l, ok := b.(interface {
		AppendSummarised(context.Context, job.Summary, ...job.Event) (int, error)
	})
	if !ok {
		t.Skip("this store does it one after the other")
	}
	list := Events("a", 5)
	sum := job.Summary{ID: "a", Title: "squeal", Touched: At}
	same(t, "added", must[int](t)(l.AppendSummarised(t.Context(), sum, list[:3]...)), 3)
	sum.Title = "squeal, cold"
	same(t, "added with one that is there", must[int](t)(l.AppendSummarised(t.Context(), sum, list[2:]...)), 2)
	same(t, "events", events(t, b, "a"), list)
	same(t, "summaries", must[[]job.Summary](t)(b.Summaries(t.Context(), job.Query{})), []job.Summary{sum})

	broken := Events("b", 2)
	broken[1].Data = []byte(`{"broken`)
	_, err := l.AppendSummarised(t.Context(), job.Summary{ID: "b"}, broken...)
	code(t, err, fault.Bad)
	_, err = l.AppendSummarised(t.Context(), job.Summary{}, Events("b", 2)...)
	code(t, err, fault.Bad)
	_, err = l.AppendSummarised(cancelledContext(t), job.Summary{ID: "b"}, Events("b", 2)...)
	if !errors.Is(err, context.Canceled) {
		t.Errorf("got %v, want context.Canceled", err)
	}
	same(t, "events of b", events(t, b, "b"), nil)
	same(t, "summaries", len(must[[]job.Summary](t)(b.Summaries(t.Context(), job.Query{}))), 1)
}
