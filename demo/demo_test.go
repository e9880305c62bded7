package demo

import (
	"context"
	"fmt"
	"slices"
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

// The oil cooler's bolts are on a map, so that a new user comes upon one.
func TestTheDemoHasABoltMapWithItsOrder(t *testing.T) {
	ctx := context.Background()
	st := memory.New()
	if err := Fill(ctx, st, time.Date(2026, 5, 20, 10, 0, 0, 0, time.UTC)); err != nil {
		t.Fatal(err)
	}
	list, err := st.Summaries(ctx, job.Query{Text: "Oil cooler reseal"})
	if err != nil || len(list) != 1 {
		t.Fatalf("%d jobs, %v", len(list), err)
	}
	s, err := job.NewBook(st, nil).Load(ctx, list[0].ID)
	if err != nil {
		t.Fatal(err)
	}
	m := s.BoltMap("oil-cooler")
	if m == nil || len(m.Bolts) != 9 || len(m.Keep) != 1 || len(m.Lengths()) != 3 || m.Phase != job.PhaseCrack || m.MM() != 190 {
		t.Fatalf("the map is %+v", m)
	}
	torques := map[string]int{}
	for _, b := range m.Bolts {
		torques[m.Torque(b).String()]++
	}
	if torques["20 N·m"] != 3 || torques["10 N·m"] != 6 {
		t.Errorf("torques %v, want three of 20 N·m and six of 10", torques)
	}
}

// What the log of the demo says of a job agrees with the job's pages: how many
// steps were planned, and at which of them something went wrong.
func TestTheDemosLogAgreesWithItsJobs(t *testing.T) {
	ctx := context.Background()
	st := memory.New()
	if err := Fill(ctx, st, time.Date(2026, 5, 20, 10, 0, 0, 0, time.UTC)); err != nil {
		t.Fatal(err)
	}
	list, err := st.Summaries(ctx, job.Query{Closed: true})
	if err != nil || len(list) != 3 {
		t.Fatalf("%d jobs, %v", len(list), err)
	}
	for _, j := range list {
		s, err := job.NewBook(st, nil).Load(ctx, j.ID)
		if err != nil {
			t.Fatal(err)
		}
		want := fmt.Sprintf("Planned: %d steps", s.Progress.Total)
		if !slices.ContainsFunc(s.History, func(e job.Entry) bool { return e.Text == want }) {
			t.Errorf("%s: the log does not say %q", s.Title, want)
		}
		for _, tr := range s.Troubles {
			if s.StepByID(tr.Step) == nil {
				t.Errorf("%s: %s is at no step", s.Title, tr.What)
			}
		}
	}
}
