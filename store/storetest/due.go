package storetest

import (
	"fmt"
	"testing"
	"time"

	"lastbolt/job"
	"lastbolt/keep"
)

// LinesBeforeDue are lines of the list of jobs as they were stored before the
// databases had a column for what is due: with and without it, with a fraction
// of a second and without, with texts that look like the field itself.
func LinesBeforeDue() []job.Summary {
	whole := At.Truncate(time.Second)
	lines := []job.Summary{
		{ID: "whole", Due: whole, DueWhat: "Look again"},
		{ID: "nanoseconds", Due: whole.Add(123456789)},
		{ID: "tenth", Due: whole.Add(100 * time.Millisecond)},
		{ID: "one nanosecond", Due: whole.Add(1)},
		{ID: "next year", Due: whole.AddDate(1, 0, 0)},
		{ID: "none", Title: "nothing due"},
		{ID: "due in a title", Title: `"due":"2001-01-01T00:00:00Z"`, Complaint: `due":"2001-01-01T00:00:00Z","due":"`},
		{ID: "due in what is due", Due: whole.Add(-time.Hour), DueWhat: `\"due":"2099-01-01T00:00:00Z"`, Title: "due", Next: `","due":"`},
		{ID: "odd text", Due: whole.Add(time.Minute), Title: "a\x00b 'c' \"d\" \\ \n é 漢 \u2028 <&>", Complaint: `\u0000`},
	}
	for i := range lines {
		lines[i].Touched, lines[i].Released = At, At
	}
	return lines
}

// CheckDueAfter looks at what is due of [LinesBeforeDue], after a database with
// them was brought up to date.
func CheckDueAfter(t *testing.T, b keep.Backend) {
	t.Helper()
	by := func(at time.Time) []string { return list(t, b, job.Query{Closed: true, DueBy: at}) }
	whole := At.Truncate(time.Second)
	same(t, "due by a year from then", by(whole.AddDate(1, 0, 0)),
		[]string{"due in what is due", "whole", "one nanosecond", "tenth", "nanoseconds", "odd text", "next year"})
	same(t, "due on the instant", by(whole), []string{"due in what is due", "whole"})
	same(t, "due a nanosecond later", by(whole.Add(1)), []string{"due in what is due", "whole", "one nanosecond"})
	// Set again, a line stays where it is: the column is as this program writes it.
	before := must[[]job.Summary](t)(b.Summaries(t.Context(), job.Query{Closed: true, DueBy: whole.AddDate(9, 0, 0)}))
	set(t, b, before...)
	same(t, "set again", must[[]job.Summary](t)(b.Summaries(t.Context(), job.Query{Closed: true, DueBy: whole.AddDate(9, 0, 0)})), before)
}

func summariesDue(t *testing.T, b keep.Backend) {
	for i := range 1000 {
		set(t, b, job.Summary{ID: fmt.Sprintf("job-%04d", i), Touched: At.Add(time.Duration(i) * time.Hour), Released: At})
	}
	due := func(id string, at, touched time.Time) job.Summary {
		return job.Summary{ID: id, Due: at, Touched: touched, Released: At}
	}
	set(t, b,
		due("oldest", At, At.AddDate(-1, 0, 0)),
		due("fraction", At.Add(time.Nanosecond), At),
		due("another", At.Add(time.Nanosecond), At),
		due("later", At.Add(time.Hour), At),
		job.Summary{ID: "in hand", Due: At.Add(time.Minute), Touched: At},
	)
	for _, test := range []struct {
		name  string
		query job.Query
		want  []string
	}{
		{"before any", job.Query{Closed: true, DueBy: At.Add(-1)}, nil},
		{"on the instant", job.Query{Closed: true, DueBy: At}, []string{"oldest"}},
		{"some", job.Query{Closed: true, DueBy: At.Add(time.Minute)}, []string{"oldest", "another", "fraction", "in hand"}},
		{"all", job.Query{Closed: true, DueBy: At.Add(time.Hour)}, []string{"oldest", "another", "fraction", "in hand", "later"}},
		{"in hand", job.Query{DueBy: At.Add(time.Hour)}, []string{"in hand"}},
		{"a page", job.Query{Closed: true, DueBy: At.Add(time.Hour), Limit: 2, Offset: 1}, []string{"another", "fraction"}},
	} {
		same(t, test.name, list(t, b, test.query), test.want)
	}
	set(t, b, job.Summary{ID: "oldest", Touched: At, Released: At})
	same(t, "after it was done", list(t, b, job.Query{Closed: true, DueBy: At}), nil)
}
