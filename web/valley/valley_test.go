package valley_test

import (
	"testing"

	"lastbolt/job"
	"lastbolt/plan/opening"
	"lastbolt/web/draw"
	"lastbolt/web/valley"
)

func name(st *job.Step) string { return st.Name }

func TestEveryStepIsAKnotOnItsSide(t *testing.T) {
	s := &job.State{NoReturn: 1, Steps: []*job.Step{
		{ID: "a", Name: "Tray", Phase: opening.Down, Status: job.Aside},
		{ID: "b", Name: "Pipe", Phase: opening.Down, Status: job.Done},
		{ID: "w1", Name: "Seal", Phase: opening.Bottom, Status: job.Done, Expected: 4},
		{ID: "w2", Name: "Belt", Phase: opening.Bottom, Status: job.ToCome, Expected: 3},
		{ID: "c", Name: "Pipe", Phase: opening.Up, Status: job.Dispute},
		{ID: "d", Name: "Tray", Phase: opening.Up, Status: job.Owed},
	}}
	s.Next = s.Steps[3]
	v := valley.Of(s, name, func(st *job.Step) string { return "/" + st.ID })
	if len(v.Down) != 2 || len(v.Up) != 2 || v.NoReturn != 1 {
		t.Fatalf("down %d, up %d, no return %d; want 2, 2, 1", len(v.Down), len(v.Up), v.NoReturn)
	}
	if v.Bottom != (draw.Knot{Label: "Seal, Belt", Minutes: 7, State: draw.Now, Href: "/w2"}) {
		t.Errorf("the box at the bottom is %+v, want both works, led to the one not done", v.Bottom)
	}
	for i, want := range []draw.KnotState{draw.Aside, draw.Done, draw.Dispute, draw.Owed} {
		if got := append(v.Down, v.Up...)[i].State; got != want {
			t.Errorf("knot %d is %v, want %v", i, got, want)
		}
	}
}

func TestADisputeInHandStaysADispute(t *testing.T) {
	st := &job.Step{ID: "a", Phase: opening.Down, Status: job.Dispute}
	v := valley.Of(&job.State{NoReturn: -1, Steps: []*job.Step{st}, Next: st}, name, nil)
	if v.Down[0].State != draw.Dispute || v.Down[0].Href != "" || v.NoReturn != -1 {
		t.Errorf("knot %+v, no return %d", v.Down[0], v.NoReturn)
	}
}
