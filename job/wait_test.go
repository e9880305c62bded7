package job_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"lastbolt/job"
	"lastbolt/plan/access"
	"lastbolt/plan/opening"
)

// curing is a plan on smallMap whose pipe has to cure an hour on the way back.
func curing(t *testing.T, waitFor ...string) *bench {
	plan, m := smallPlan(), smallMap()
	i := slices.IndexFunc(plan.Steps, func(p opening.Step) bool { return p.ID == "up/pipe" })
	plan.Steps[i].Wait = &access.Wait{Kind: "cure", Minutes: access.Span{Low: 50, Likely: 60, High: 90}, Source: "sheet 9 (invented)"}
	m.Items[2].Ways[0].Back.WaitFor = waitFor
	b := newBench(t, job.Started{Vehicle: "Tern van 1.4"})
	b.do(job.UsePlan(plan, m, 1, nil))
	for _, id := range []string{"down/raised", "down/tray", "down/pipe", "work/cooler/reseal", "up/pipe"} {
		b.do(doStep(id))
	}
	return b
}

func TestAFinishedStepStartsItsWait(t *testing.T) {
	s := curing(t).state()
	if len(s.Waits) != 1 {
		t.Fatalf("waits %+v, want one", s.Waits)
	}
	w, done := s.Waits[0], s.StepByID("up/pipe").Finished
	if w.Kind != "cure" || !w.Back || w.Until.Sub(done) != time.Hour || w.Latest.Sub(done) != 90*time.Minute || w.Source == "" {
		t.Errorf("wait %+v", w)
	}
}

func TestAWaitHoldsWhatItNames(t *testing.T) {
	b := curing(t, "tray")
	s := b.state()
	if got := s.WaitsFor("up/tray", b.now); len(got) != 1 {
		t.Errorf("the tray waits for %+v, want the pipe", got)
	}
	if got := s.WaitsFor("up/raised", b.now); len(got) != 0 {
		t.Errorf("lowering waits for %+v", got)
	}
	if got := s.WaitsFor("up/tray", b.now.Add(time.Hour)); len(got) != 0 {
		t.Errorf("after an hour the tray waits for %+v", got)
	}
}

func TestAWaitThatNamesNothingHoldsTheRelease(t *testing.T) {
	b := curing(t)
	b.do(doStep("up/tray"), doStep("up/raised"), doStep("up/fill-coolant"))
	e := b.refused(job.CodeRefused, job.ReleaseJob(job.Released{Who: "M. Carter"}))
	if len(e.Open) != 1 || e.Open[0].Kind != "wait" || !strings.Contains(e.Text, "Charge pipe has to cure for 5") {
		t.Errorf("%q, open %+v", e.Text, e.Open)
	}
	b.wait(time.Hour)
	b.do(job.ReleaseJob(job.Released{Who: "M. Carter"}))
}

func TestWhatThePlanHasFirstIsShownNotForced(t *testing.T) {
	b := plannedBench(t)
	if got := b.state().Ahead("down/pipe"); len(got) != 1 || got[0].ID != "down/tray" {
		t.Errorf("ahead of the pipe: %+v", got)
	}
	if s := b.do(doStep("down/pipe")); s.Ring("pipe") == nil {
		t.Error("what the hands did is not recorded")
	}
}

func TestAJobIsRenamedAndItsTargetsChange(t *testing.T) {
	b := newBench(t, job.Started{Complaint: "leak"})
	b.refused(job.CodeMissing, job.Rename(job.Renamed{}))
	s := b.do(job.Rename(job.Renamed{Title: "Oil leak", Vehicle: "Tern van 1.4"}), job.ReadOdometer("84,200 km"),
		job.SetTargets([]job.Target{{Name: "Oil cooler", Action: access.Reseal}, {Name: "Hose"}}, "no map"))
	if s.Title != "Oil leak" || s.Vehicle != "Tern van 1.4" || s.Complaint != "leak" || s.Odometer != "84,200 km" || len(s.Steps) != 2 {
		t.Errorf("state %+v", s)
	}
	b.do(doStep("work/hose/access-only"))
	s = b.do(job.SetTargets([]job.Target{{Name: "Belt", Action: access.Inspect}}, "no map"))
	var ids []string
	for _, st := range s.Steps {
		ids = append(ids, st.ID)
	}
	if want := []string{"work/hose/access-only", "work/belt/inspect"}; !slices.Equal(ids, want) {
		t.Errorf("steps %v, want what was done and what is to be done: %v", ids, want)
	}
}

func TestTheReleaseShowsWhatIsOpenAndDoesNotBlock(t *testing.T) {
	b := newBench(t, job.Started{Vehicle: "Tern van 1.4"})
	b.do(job.SetTargets([]job.Target{{Name: "Hose", Action: access.Inspect}}, "no map"),
		job.PutOnList(job.Wanted{Name: "Clip"}, "", "worn"), job.LeaveFound(job.FoundNotDone{What: "worn tyre", Severity: "soon"}))
	s := b.do(job.ReleaseJob(job.Released{Who: "M. Carter"}))
	want := []string{"The tools have not been counted back.", "Hose: inspect not done.", "Clip: still to get.", "Found, not done: worn tyre (soon)."}
	if !slices.Equal(s.Release.Open, want) {
		t.Errorf("open %q, want %q", s.Release.Open, want)
	}
}
