package demo

import (
	"context"
	"testing"
	"time"

	"lastbolt/job"
	"lastbolt/store/memory"
)

// The demo is what a new user sees first: it must fill, and its three jobs
// must stand where the handbook says.
func TestTheDemoHasAFinishedAHalfApartAndAPlannedJob(t *testing.T) {
	ctx := context.Background()
	st := memory.New()
	now := time.Date(2026, 5, 20, 10, 0, 0, 0, time.UTC)
	if err := Fill(ctx, st, now); err != nil {
		t.Fatal(err)
	}
	list, err := st.Summaries(ctx, job.Query{Closed: true})
	if err != nil {
		t.Fatal(err)
	}
	got := map[string]string{}
	for _, s := range list {
		got[s.Title] = s.Stage
	}
	want := map[string]job.Stage{
		"Front left pads and drop link": job.StageReleased,
		"Oil cooler reseal and belt":    job.StageApart,
		"Alternator":                    job.StageReady,
	}
	for title, stage := range want {
		if got[title] != string(stage) {
			t.Errorf("job %q is at %q, want %q", title, got[title], stage)
		}
	}
	if len(got) != len(want) {
		t.Errorf("got %d jobs, want %d: %v", len(got), len(want), got)
	}
}
