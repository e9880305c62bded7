package web_test

import (
	"fmt"
	"net/http"
	"strings"
	"testing"
	"time"

	"lastbolt/job"
)

// Reading a part of a long list and picking from that part loses what lies
// behind it.
func TestEveryJobOfAVehicleIsListed(t *testing.T) {
	h, _, st := demoPages(t)
	for i := range 120 {
		for _, s := range []job.Summary{
			{ID: fmt.Sprint("by-id-", i), VehicleID: "tern-1", Title: "kept", Released: noon},
			{ID: fmt.Sprint("another-", i), Vehicle: "Tern van 1.4 of the neighbour", Title: "another's", Released: noon, Touched: noon},
		} {
			if err := st.SetSummary(t.Context(), s); err != nil {
				t.Fatal(err)
			}
		}
	}
	car := get(t, h, "/vehicles/tern-1").Body.String()
	name := between(t, car, `<h1 dir="auto">`, "</h1>")
	named := job.Summary{ID: "by-name", Vehicle: name, Title: "the very first", Released: noon, Touched: noon.AddDate(-9, 0, 0)}
	if err := st.SetSummary(t.Context(), named); err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	for at, pages := "/vehicles/tern-1", 0; at != ""; pages++ {
		page := get(t, h, at).Body.String()
		for _, m := range href.FindAllStringSubmatch(page, -1) {
			seen[m[1]] = true
		}
		at = ""
		if _, rest, more := strings.Cut(page, `href="/vehicles/tern-1?from=`); more {
			n, _, _ := strings.Cut(rest, `"`)
			at = "/vehicles/tern-1?from=" + n
		}
		if pages > 9 {
			t.Fatal("the pages of older jobs do not end")
		}
	}
	for i := range 120 {
		if !seen[fmt.Sprint("/jobs/by-id-", i)] {
			t.Fatalf("job %d of the vehicle is on none of its pages", i)
		}
		if seen[fmt.Sprint("/jobs/another-", i)] {
			t.Fatalf("job %d of another vehicle is on its page", i)
		}
	}
	if !seen["/jobs/by-name"] {
		t.Error("the job that has the vehicle's name only is on none of its pages")
	}
}

func between(t *testing.T, s, from, to string) string {
	t.Helper()
	_, rest, found := strings.Cut(s, from)
	part, _, ended := strings.Cut(rest, to)
	if !found || !ended {
		t.Fatalf("nothing between %q and %q", from, to)
	}
	return part
}

func TestWhatFinishedJobsSayOfAMapIsFoundBehindManyOthers(t *testing.T) {
	h, _, st := demoPages(t)
	started := func(id, m string, at time.Time) {
		t.Helper()
		r := &job.Recorder{Now: func() time.Time { return at }, NewID: func() string { return id + "-start" }}
		if _, err := job.NewBook(st, r).Record(t.Context(), job.Event{ID: id + "-start", Job: id, Kind: job.KindStarted, At: at, Data: []byte(`{"title":"t","map":"` + m + `"}`)}); err != nil {
			t.Fatal(err)
		}
		s := job.Summary{ID: id, MapID: m, Stage: string(job.StageReleased), Released: at, Touched: at}
		if err := st.SetSummary(t.Context(), s); err != nil {
			t.Fatal(err)
		}
	}
	before := between(t, get(t, h, demoMap+"/learned").Body.String(), `<header class="page-head">`, "</header>")
	for i := range 205 {
		started(fmt.Sprint("other-", i), "another-map", noon.AddDate(0, 0, 1))
	}
	after := between(t, get(t, h, demoMap+"/learned").Body.String(), `<header class="page-head">`, "</header>")
	if before != after || !strings.Contains(after, "finished job") {
		t.Errorf("behind 205 jobs on another map the page says %q, want as before: %q", after, before)
	}
	for i := range 201 {
		started(fmt.Sprint("same-", i), "tern-van-14", noon.AddDate(0, 0, 2))
	}
	wants(t, get(t, h, demoMap+"/learned"), http.StatusOK, "200 finished jobs: the 200 finished last are read, older ones are not")
}

func TestThatMoreIsDueIsSaidAndTheRestIsReached(t *testing.T) {
	h, _, st := demoPages(t)
	for i := range 75 {
		s := job.Summary{ID: fmt.Sprintf("due-%02d", i), Title: "t", DueWhat: "Look again", Due: noon.Add(time.Duration(i) * time.Hour), Released: noon}
		if err := st.SetSummary(t.Context(), s); err != nil {
			t.Fatal(err)
		}
	}
	wants(t, get(t, h, "/jobs"), http.StatusOK, "More is due than the 20 that come first.", `href="/jobs?show=due"`)
	pages := get(t, h, "/jobs?show=due").Body.String()
	next := between(t, pages, `href="/jobs?show=due&amp;from=`, `"`)
	pages += get(t, h, "/jobs?show=due&from="+next).Body.String()
	for i := range 75 {
		if n := strings.Count(pages, fmt.Sprintf(`href="/jobs/due-%02d/prove"`, i)); n != 1 {
			t.Errorf("number %d stands %d times on the pages of what is due, want once", i, n)
		}
	}
}
