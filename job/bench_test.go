package job_test

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"lastbolt/job"
	"lastbolt/plan/access"
	"lastbolt/plan/opening"
)

var morning = time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC)

// A bench is one job and a clock that moves a minute with every look.
type bench struct {
	t      testing.TB
	now    time.Time
	rec    *job.Recorder
	events []job.Event
}

// benches counts them, so that no two make the same ids.
var benches int

func newBench(t testing.TB, d job.Started) *bench {
	b := &bench{t: t, now: morning}
	benches++
	ids := job.NewIDs(b.clock, rand.NewChaCha8([32]byte{byte(benches), byte(benches >> 8), byte(benches >> 16)}))
	b.rec = &job.Recorder{Now: b.clock, NewID: ids.New, By: "phone"}
	b.events = append(b.events, b.rec.Event("job-1", job.KindStarted, d))
	return b
}

func (b *bench) clock() time.Time { b.now = b.now.Add(10 * time.Second); return b.now }

func (b *bench) wait(d time.Duration) { b.now = b.now.Add(d) }

func (b *bench) state() *job.State {
	b.t.Helper()
	s, err := job.Fold(b.events)
	if err != nil {
		b.t.Fatal(err)
	}
	return s
}

// do runs an action that must be recorded.
func (b *bench) do(actions ...job.Action) *job.State {
	b.t.Helper()
	for _, a := range actions {
		events, err := a(b.rec, b.state())
		if err != nil {
			b.t.Fatalf("refused: %v", err)
		}
		b.events = append(b.events, events...)
	}
	return b.state()
}

// refused runs an action that must be refused with a code, and gives the error.
func (b *bench) refused(code job.Code, a job.Action) *job.Error {
	b.t.Helper()
	events, err := a(b.rec, b.state())
	var e *job.Error
	if !errors.As(err, &e) || e.Code != code {
		b.t.Fatalf("got error %v, want code %q", err, code)
	}
	if len(events) > 0 {
		b.events = append(b.events, events...)
	}
	if len(e.Text) < 10 || e.Text[len(e.Text)-1] != '.' {
		b.t.Errorf("%q is not a sentence", e.Text)
	}
	return e
}

func list[T any](items ...T) access.List[T] { return access.List[T]{Given: true, Items: items} }

func minutes(m float64) access.BothWays {
	return access.BothWays{Off: access.Span{Low: m, Likely: m, High: m}, On: access.Span{Low: m, Likely: m, High: m}}
}

// smallMap is an invented van: to reseal the cooler, the tray and the pipe
// come off, with the van raised.
func smallMap() *access.Map {
	return &access.Map{Format: access.Format, ID: "van", Name: "Invented van", Invented: true, Items: []access.Item{
		{ID: "raised", Name: "Raised", Kind: access.Condition, Repeats: true, Ways: []access.Way{
			{ID: "lift", Minutes: minutes(8), Hazards: []string{"jack"}, Tools: list(access.Tool{Any: []string{"jack"}})}}},
		{ID: "tray", Name: "Undertray", Ways: []access.Way{{
			ID: "off", Minutes: minutes(6), Needs: []access.Need{{Item: "raised"}},
			Tools:     list(access.Tool{Any: []string{"10 mm socket", "10 mm spanner"}}),
			Fasteners: list(access.Fastener{ID: "screws", Name: "screws", Count: 6}), SingleUse: list[access.Piece](),
			Opens:   []access.Joint{{Kind: "guard"}},
			Trouble: []access.Trouble{{What: "broken clip", Odds: 0.3, Minutes: 2, Needs: []access.Piece{{Name: "Tray clip"}}}},
		}}},
		{ID: "pipe", Name: "Charge pipe", Critical: "", Immobile: true, Ways: []access.Way{
			{ID: "off", Minutes: minutes(9), Needs: []access.Need{{Item: "tray"}},
				Fasteners:   list(access.Fastener{ID: "bolts", Name: "bolts", Count: 4, Thread: "M6"}),
				SingleUse:   list(access.Piece{Name: "Pipe seal", Count: 2}),
				Consumables: list(access.Consumable{Name: "Brake cleaner", Amount: "100 ml", For: "off"}),
				Fluids:      list(access.Fluid{Name: "coolant"}),
				Opens:       []access.Joint{{Kind: "coolant"}, {Kind: "air intake"}}},
			{ID: "aside", Kind: access.Aside, Minutes: minutes(5)},
		}},
		{ID: "cooler", Name: "Oil cooler", Critical: "", Ways: []access.Way{{ID: "off", Minutes: minutes(20), Needs: []access.Need{{Item: "pipe"}}}},
			Work: []access.Work{{Action: access.Reseal, Minutes: access.Span{Low: 10, Likely: 10, High: 10}, Needs: []access.Need{{Item: "pipe"}},
				Parts:       list(access.Piece{Name: "Cooler seal"}),
				Consumables: list(access.Consumable{Name: "Brake cleaner", Amount: "0.2 L"}),
				Tests:       []access.Test{{Name: "Oil pressure, hot idle", Unit: "bar", Low: ptr(1.0), Source: access.Maker, Where: "sheet 4 (invented)"}}}}},
	}}
}

func ptr(f float64) *float64 { return &f }

// smallPlan is a plan on smallMap, by hand.
func smallPlan() *opening.Plan {
	step := func(id string, phase opening.Phase, item, name, way string, before ...string) opening.Step {
		return opening.Step{ID: id, Phase: phase, Item: item, Name: name, Way: way, Hand: 5, Before: before, Back: phase == opening.Up}
	}
	work := step("work/cooler/reseal", opening.Bottom, "cooler", "Oil cooler", "")
	work.Action = access.Reseal
	fill := opening.Step{ID: "up/fill-coolant", Phase: opening.Up, Name: "coolant", Fluid: "coolant", Back: true}
	return &opening.Plan{MapID: "van", Targets: []opening.Target{{Item: "cooler", Action: access.Reseal}}, NoReturn: 2, Steps: []opening.Step{
		step("down/raised", opening.Down, "raised", "Raised", "lift"),
		step("down/tray", opening.Down, "tray", "Undertray", "off", "down/raised"),
		step("down/pipe", opening.Down, "pipe", "Charge pipe", "off", "down/tray"),
		work,
		step("up/pipe", opening.Up, "pipe", "Charge pipe", "off"),
		step("up/tray", opening.Up, "tray", "Undertray", "off", "up/pipe"),
		step("up/raised", opening.Up, "raised", "Raised", "lift", "up/tray"),
		fill,
	}}
}

func plannedBench(t testing.TB) *bench {
	b := newBench(t, job.Started{Vehicle: "Tern van 1.4", Complaint: "Oil in the tray", Odometer: "84,200 km"})
	b.do(job.UsePlan(smallPlan(), smallMap(), 3, nil))
	return b
}

// counts are what the map says of each step.
var counts = map[string]map[string]int{"tray": {"screws": 6}, "pipe": {"bolts": 4}}

func doStep(id string) job.Action {
	return func(r *job.Recorder, s *job.State) ([]job.Event, error) {
		st := s.StepByID(id)
		if st == nil {
			return nil, fmt.Errorf("no step %s", id)
		}
		return job.DoStep(job.StepDone{Step: id, Counts: counts[st.Item]})(r, s)
	}
}

// apart takes the van apart and does the work.
func apart(t testing.TB) *bench {
	b := plannedBench(t)
	b.do(doStep("down/raised"), doStep("down/tray"), doStep("down/pipe"), doStep("work/cooler/reseal"))
	return b
}

// together is a van put back, its tests still to be done.
func together(t testing.TB) *bench {
	b := apart(t)
	b.do(doStep("up/pipe"), doStep("up/tray"), doStep("up/raised"), doStep("up/fill-coolant"))
	return b
}

func openItems(s *job.State) string {
	text := ""
	for _, r := range s.Open {
		text += r.Item + " "
	}
	return text
}
