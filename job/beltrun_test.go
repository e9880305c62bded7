package job_test

import (
	"strings"
	"testing"

	"lastbolt/calc/belt"
	"lastbolt/job"
	"lastbolt/quantity"
)

// length is a written length for the tests.
func length(text string) *quantity.Written[quantity.Length] {
	w := quantity.MustParse[quantity.Length](text)
	return &w
}

// threePulleys records a belt over three pulleys, typed in millimetres. The
// small plan has no belt; the tray stands in for it.
func threePulleys(b *bench) *job.State {
	for _, p := range []job.BeltPulleySet{
		{Item: "tray", Name: "crank", X: length("0 mm"), Y: length("0 mm"), Diameter: length("160 mm"), Surface: belt.Grooved},
		{Item: "tray", Name: "generator", X: length("-200 mm"), Y: length("250 mm"), Diameter: length("60 mm"), Surface: belt.Grooved, Turns: "same"},
		{Item: "tray", Name: "idler", X: length("-30 mm"), Y: length("180 mm"), Diameter: length("70 mm"), Surface: belt.Plain},
	} {
		b.do(job.SetBeltPulley(p))
	}
	return b.state()
}

func TestBeltRunIsRecordedSolvedAndSeated(t *testing.T) {
	b := plannedBench(t)
	s := threePulleys(b)
	run := s.BeltRun("tray")
	if run == nil || len(run.Pulleys) != 3 || !run.Pulleys[0].Crank {
		t.Fatalf("the run is %+v", run)
	}
	ids := []string{run.Pulleys[0].ID, run.Pulleys[1].ID, run.Pulleys[2].ID}
	b.do(job.SetBeltRouting(job.BeltRoutingSet{Item: "tray", Run: []job.BeltTouch{
		{Pulley: ids[0], Side: belt.Ribs}, {Pulley: ids[1], Side: belt.Ribs}, {Pulley: ids[2], Side: belt.Back}}}))
	run = b.state().BeltRun("tray")
	sol, err := run.Solve()
	if err != nil {
		t.Fatal(err)
	}
	if mm := sol.Effective.In(quantity.Millimetre); mm < 800 || mm > 1300 {
		t.Errorf("the belt would be %v mm long", mm)
	}
	if idler, _ := sol.Stop(2); idler.Turns == belt.Clockwise {
		t.Error("a pulley on the belt's back turns the other way round")
	}
	order, why := run.PutOnOrder()
	if order[2].Name != "idler" || why == "" {
		t.Errorf("the belt goes on %q last (%s); the smooth one is the idler", order[2].Name, why)
	}
	if left := run.Unseated(); len(left) != 3 {
		t.Errorf("%d pulleys to look at, want 3", len(left))
	}
}

func TestBeltRunRefusesWhatCannotBe(t *testing.T) {
	b := plannedBench(t)
	s := threePulleys(b)
	id := s.BeltRun("tray").Pulleys[1].ID
	for _, test := range []struct {
		name, say string
		act       job.Action
	}{
		{"a belt of 1 mm", "cannot be", job.ChangeBeltRun(job.BeltRunSet{Item: "tray", Length: *length("1 mm")})},
		{"an unknown item", "takes nothing off", job.ChangeBeltRun(job.BeltRunSet{Item: "nowhere", Ribs: 6})},
		{"no place", "Say where", job.SetBeltPulley(job.BeltPulleySet{Item: "tray", Name: "pump"})},
		{"a name twice", "another name", job.SetBeltPulley(job.BeltPulleySet{Item: "tray", Name: "Idler", X: length("1 mm"), Y: length("1 mm")})},
		{"a pulley twice in a run", "twice", job.SetBeltRouting(job.BeltRoutingSet{Item: "tray", Run: []job.BeltTouch{{id, belt.Ribs}, {id, belt.Ribs}}})},
		{"no side", "which side", job.SetBeltRouting(job.BeltRoutingSet{Item: "tray", Run: []job.BeltTouch{{id, ""}}})},
	} {
		t.Run(test.name, func(t *testing.T) {
			_, err := test.act(b.rec, b.state())
			if err == nil || !strings.Contains(err.Error(), test.say) {
				t.Errorf("got %v, want a sentence with %q", err, test.say)
			}
		})
	}
}
