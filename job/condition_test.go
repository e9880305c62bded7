package job_test

import (
	"slices"
	"strings"
	"testing"

	"lastbolt/job"
	"lastbolt/plan/access"
	"lastbolt/plan/opening"
)

// coldBench is a job whose plan waits for a cold engine, cracks nuts and takes
// a cover off.
func coldBench(t *testing.T, cold access.Item) *bench {
	t.Helper()
	m := &access.Map{Format: access.Format, ID: "van", Name: "Invented van", Items: []access.Item{
		cold,
		{ID: "nuts", Name: "Wheel nuts", Ways: []access.Way{{ID: "crack", Minutes: minutes(2),
			Fasteners: list(access.Fastener{ID: "n", Name: "Wheel nuts", Count: 5, Loosen: true})}}},
		{ID: "cover", Name: "Cover", Ways: []access.Way{{ID: "off", Minutes: minutes(3), Needs: []access.Need{{Item: "cold"}, {Item: "nuts"}}}}},
	}}
	p, err := opening.Make(t.Context(), opening.Request{Map: m, Targets: []opening.Target{{Item: "cover", Action: access.AccessOnly}}})
	if err != nil {
		t.Fatal(err)
	}
	b := newBench(t, job.Started{Vehicle: "Tern van 1.4"})
	b.do(job.UsePlan(p, m, 1, nil))
	return b
}

func coldItem(change func(*access.Item)) access.Item {
	it := access.Item{ID: "cold", Name: "Engine cold", Kind: access.Condition, Ways: []access.Way{{
		ID: "wait", Minutes: access.BothWays{Off: access.Span{Low: 1, Likely: 1, High: 2}},
		Wait: &access.Wait{Kind: "cool", Minutes: access.Span{Low: 30, Likely: 45, High: 90}},
	}}}
	if change != nil {
		change(&it)
	}
	return it
}

func TestAConditionThatEndsItselfIsOwedNothing(t *testing.T) {
	for name, row := range map[string]struct {
		change func(*access.Item)
		owed   bool
	}{
		"left to cool":          {nil, false},
		"minutes to end it":     {func(it *access.Item) { it.Ways[0].Minutes.On = access.Span{Low: 1, Likely: 1, High: 1} }, true},
		"a clamp to tighten":    {func(it *access.Item) { it.Ways[0].Fasteners = list(access.Fastener{ID: "c", Count: 1}) }, true},
		"a fluid to fill":       {func(it *access.Item) { it.Ways[0].Fluids = list(access.Fluid{Name: "coolant"}) }, true},
		"a joint to close":      {func(it *access.Item) { it.Ways[0].Opens = []access.Joint{{Kind: "earth"}} }, true},
		"as often as is wanted": {func(it *access.Item) { it.Repeats = true }, true},
		"not a condition":       {func(it *access.Item) { it.Kind = access.Part }, true},
	} {
		t.Run(name, func(t *testing.T) {
			b := coldBench(t, coldItem(row.change))
			s := b.do(job.DoStep(job.StepDone{Step: "down/cold", NotCounted: []string{"c"}}))
			if owed := s.Ring("cold") != nil; owed != row.owed {
				t.Errorf("owed is %t, want %t", owed, row.owed)
			}
			if ends := s.StepByID("up/cold") != nil; ends != row.owed {
				t.Errorf("a step to end it is %t, want %t", ends, row.owed)
			}
			if row.owed {
				return
			}
			if len(s.Standing) != 1 || s.Standing[0].Item != "cold" {
				t.Errorf("standing %+v, want the engine cold", s.Standing)
			}
			for _, o := range s.OpenItems(b.now) {
				if strings.Contains(o.Text, "Engine cold") {
					t.Errorf("it is listed as open: %q", o.Text)
				}
			}
			if o := job.Opened(s, nil); len(o) != 1 || o[0].Item != "cold" {
				t.Errorf("a plan made anew would cool it again: %+v", o)
			}
		})
	}
}

// Logs written before such conditions were told apart hold a record of the end.
func TestAnEndThatWasRecordedIsKept(t *testing.T) {
	b := coldBench(t, coldItem(nil))
	b.do(doStep("down/cold"))
	b.events = append(b.events, b.rec.Event("job-1", job.KindDone, job.StepDone{Step: "up/cold"}))
	s := b.state()
	if len(s.Problems) > 0 || len(s.Standing) > 0 {
		t.Errorf("problems %v, standing %v; want none of either", s.Problems, s.Standing)
	}
	if st := s.StepByID("up/cold"); st == nil || !st.IsDone() {
		t.Error("the record of the end is lost")
	}
}

func TestWhatWasOnlyLoosenedIsToBeTightened(t *testing.T) {
	b := coldBench(t, coldItem(nil))
	s := b.do(doStep("down/cold"), job.DoStep(job.StepDone{Step: "down/nuts", Counts: map[string]int{"n": 5}}))
	if verb := s.StepByID("down/nuts").Verb() + ", " + s.StepByID("up/nuts").Verb(); verb != "Loosen, Tighten" {
		t.Errorf("the steps say %s; want Loosen, Tighten", verb)
	}
	items := s.OpenItems(b.now)
	if len(items) == 0 || items[0].Text != "Wheel nuts: loosened, and not tightened yet." {
		t.Errorf("open items %+v", items)
	}
}

func TestPiecesAreNamedAsAHandCountsThem(t *testing.T) {
	for _, row := range []struct {
		name string
		n    int
		want string
	}{
		{"Fasteners", 1, "fastener"}, {"", 2, "fasteners"}, {"Front tray bolts", 4, "front tray bolts"}, {"Push clips", 1, "push clip"},
		{"M6 bolts, 10 mm head", 1, "M6 bolt, 10 mm head"}, {"Earth clamp nut", 1, "earth clamp nut"}, {"TX screws", 3, "TX screws"}, {"T30", 1, "T30"}, {"Глушитель", 1, "глушитель"},
	} {
		if got := job.PiecesWord(row.name, row.n); got != row.want {
			t.Errorf("%d of %q are %q, want %q", row.n, row.name, got, row.want)
		}
	}
}

func TestWhatIsPrintedAheadWarnsOfTheStateToCome(t *testing.T) {
	b := plannedBench(t)
	s := b.state()
	has := func(list []job.StepCaution) bool {
		return slices.ContainsFunc(list, func(c job.StepCaution) bool { return c.ID == "jack" })
	}
	if has(s.Cautions("down/tray")) {
		t.Error("the van is on its wheels, and the page of the tray warns of the jack")
	}
	for _, c := range s.CautionsAhead("down/raised") {
		if c.ID == "jack" && c.ByState {
			t.Error("raising brings the danger itself, and it is said to come from the state")
		}
	}
	for _, c := range s.CautionsAhead("down/tray") {
		if c.ID == "jack" && !c.ByState {
			t.Error("the tray brings no danger of the jack itself")
		}
	}
	want := map[string]bool{"down/tray": true, "down/pipe": true, "up/tray": true, "up/raised": true, "up/fill-coolant": false}
	for step, warned := range want {
		if got := has(s.CautionsAhead(step)); got != warned {
			t.Errorf("%s: warned of the raised van %t, want %t", step, got, warned)
		}
	}
	s = b.do(doStep("down/raised"))
	if !has(s.Cautions("up/fill-coolant")) {
		t.Error("the van is up now, and the page of the filling does not warn of it")
	}
	for step, warned := range want {
		if got := has(s.CautionsAhead(step)); got != warned {
			t.Errorf("%s, printed while the van is up: warned of it %t, want %t", step, got, warned)
		}
	}
}
