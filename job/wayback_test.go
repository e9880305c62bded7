package job_test

import (
	"context"
	"slices"
	"testing"

	"lastbolt/job"
	"lastbolt/plan/access"
	"lastbolt/plan/opening"
)

func TestTheWayBackComesFromWhatIsReallyOpen(t *testing.T) {
	b := plannedBench(t)
	s := b.do(doStep("down/raised"), doStep("down/tray"),
		job.MeetInTheWay("down/pipe", job.TakenOff{Name: "Bracket", Fasteners: []access.Fastener{{Name: "nuts", Count: 2}}}))
	bracket := s.Open[0].Item
	plan, err := job.PlanBack(context.Background(), s, smallMap(), nil)
	if err != nil {
		t.Fatal(err)
	}
	s = b.do(job.TurnBack("the seal is the wrong one", plan, smallMap(), 3))
	if s.TurnedBack != "the seal is the wrong one" || s.Stage != job.StageBack {
		t.Errorf("turned back %q, stage %q", s.TurnedBack, s.Stage)
	}
	if s.StepByID("down/pipe") != nil {
		t.Error("the pipe is still to come off")
	}
	for range 10 {
		if s.Next == nil {
			break
		}
		counts := map[string]int{}
		for _, g := range s.Next.Groups {
			counts[g.ID] = g.Out
		}
		s = b.do(job.DoStep(job.StepDone{Step: s.Next.ID, Counts: counts}))
	}
	if len(s.Open) > 0 || len(s.Differences) > 0 || len(s.Problems) > 0 {
		t.Errorf("open %v, differences %v, problems %v", s.Open, s.Differences, s.Problems)
	}
	if st := s.StepByID("up/" + bracket); st == nil || !st.IsDone() {
		t.Error("the bracket that was met is not put back")
	}
}

func TestTheWayBackNeedsNoMap(t *testing.T) {
	b := newBench(t, job.Started{Vehicle: "Tern van 1.4"})
	s := b.do(job.SetTargets([]job.Target{{Name: "Oil cooler", Action: access.Reseal}}, "record as you go"),
		job.TakeOff(job.TakenOff{Name: "Grille"}))
	grille := s.Open[0].Item
	b.do(job.TakeOff(job.TakenOff{Name: "Bumper"}))
	s = b.do(job.LinkInTheWay(grille, mustItem(t, b, "Bumper")))
	plan, err := job.PlanBack(context.Background(), s, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	s = b.do(job.TurnBack("raining", plan, nil, 0))
	var order []string
	for _, st := range s.Steps {
		if st.Closes {
			order = append(order, st.Name)
		}
	}
	if want := []string{"Bumper", "Grille"}; !slices.Equal(order, want) {
		t.Errorf("the way back is %v, want %v", order, want)
	}
}

func mustItem(t *testing.T, b *bench, name string) string {
	t.Helper()
	for _, r := range b.state().Open {
		if r.Name == name {
			return r.Item
		}
	}
	t.Fatalf("%s is not off", name)
	return ""
}

func TestAPlanOfThePlannersGoesThroughTheValley(t *testing.T) {
	m := smallMap()
	plan, err := opening.Make(context.Background(), opening.Request{Map: m, Targets: []opening.Target{{Item: "cooler", Action: access.Reseal}}})
	if err != nil {
		t.Fatal(err)
	}
	b := newBench(t, job.Started{Vehicle: "Tern van 1.4"})
	s := b.do(job.UsePlan(plan, m, 1, nil))
	for range len(plan.Steps) {
		counts := map[string]int{}
		for _, g := range s.Next.Groups {
			counts[g.ID] = g.Want
		}
		s = b.do(job.DoStep(job.StepDone{Step: s.Next.ID, Counts: counts}))
	}
	if s.Next != nil || s.Stage != job.StageProve || len(s.Open) > 0 || len(s.Problems) > 0 {
		t.Errorf("next %v, stage %q, open %v, problems %v", s.Next, s.Stage, s.Open, s.Problems)
	}
	if s.Plan.Minutes != plan.Minutes {
		t.Errorf("the record's plan has %v minutes, want %v", s.Plan.Minutes, plan.Minutes)
	}
}
