package sequence_test

import (
	"context"
	"errors"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"lastbolt/plan/sequence"
)

const anyOf = sequence.Any

func step(minutes float64) sequence.Step {
	return sequence.Step{Minutes: minutes, Need: sequence.Need{Position: anyOf, Tool: anyOf}}
}

func TestHandWorkFillsAWait(t *testing.T) {
	// Glue (5 min, cures 30), fit on the glue (2), and 20 minutes of other
	// work: the other work fits into the cure, 10 minutes stay idle.
	p := &sequence.Problem{
		Steps: []sequence.Step{step(20), step(5), step(2)},
		Lags:  []sequence.Lag{{Before: 1, After: 2, Minutes: 30}},
		Start: sequence.State{Position: anyOf, Tool: anyOf},
	}
	r := mustSolve(t, p, sequence.Options{})
	if want := []int{1, 0, 2}; !slices.Equal(r.Order, want) || r.Cost != 37 || !r.Proven {
		t.Errorf("Solve: %+v; want order %v, 37 minutes, proven", r, want)
	}
	timings, total, err := sequence.Schedule(p, r.Order)
	if err != nil || total != 37 || timings[2].Idle != 10 || timings[2].Start != 35 {
		t.Errorf("Schedule: %+v, %v, %v; want 10 idle minutes before the last step", timings, total, err)
	}
}

func TestSetUpGoesOnWhileAWaitRuns(t *testing.T) {
	p := &sequence.Problem{
		Steps:    []sequence.Step{step(1), {Minutes: 1, Need: sequence.Need{Position: 0, Tool: anyOf, On: 1}}},
		Lags:     []sequence.Lag{{Before: 0, After: 1, Minutes: 10}},
		Position: sequence.Flat(1, 0),
		Switches: []sequence.Switch{{On: 6, Off: 4}},
		Start:    sequence.State{Position: 0, Tool: anyOf},
		End:      &sequence.Need{Position: anyOf, Tool: anyOf, Off: 1},
	}
	if r := mustSolve(t, p, sequence.Options{}); r.Cost != 16 { // 1 + max(10, 6) + 1 + 4
		t.Errorf("Solve: cost %v; want 16", r.Cost)
	}
}

func TestStepsThatPrecedeEachOtherAreNamed(t *testing.T) {
	p := &sequence.Problem{
		Steps:  []sequence.Step{step(1), step(1), step(1), step(1)},
		Before: [][2]int{{0, 1}, {1, 2}, {3, 1}},
		Lags:   []sequence.Lag{{Before: 2, After: 3, Minutes: 1}},
		Start:  sequence.State{Position: anyOf, Tool: anyOf},
	}
	_, err := sequence.Solve(context.Background(), p, sequence.Options{})
	var circle *sequence.CircleError
	if !errors.As(err, &circle) || len(circle.Steps) != 3 || slices.Contains(circle.Steps, 0) {
		t.Fatalf("Solve: %v; want a circle of steps 1, 2 and 3", err)
	}
	precedes := map[[2]int]bool{{0, 1}: true, {1, 2}: true, {3, 1}: true, {2, 3}: true}
	for i, s := range circle.Steps {
		if next := circle.Steps[(i+1)%3]; !precedes[[2]int{s, next}] {
			t.Errorf("circle %v: step %d does not precede step %d", circle.Steps, s, next)
		}
	}
}

func TestEqualInputsGiveEqualOrders(t *testing.T) {
	p := jobLike(rand.New(rand.NewPCG(7, 7)), 25, 3)
	first := mustSolve(t, p, sequence.Options{})
	for range 3 {
		if again := mustSolve(t, p, sequence.Options{}); !slices.Equal(again.Order, first.Order) {
			t.Fatalf("orders differ: %v and %v", first.Order, again.Order)
		}
	}
}

func TestAJobOf120StepsIsOrderedWithABound(t *testing.T) {
	p := jobLike(rand.New(rand.NewPCG(3, 1)), 120, 3)
	ctx, cancel := context.WithCancel(context.Background())
	cancel() // the first sweep always ends with an order
	r, err := sequence.Solve(ctx, p, sequence.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if c, err := sequence.Check(p, r.Order); err != nil || c != r.Cost {
		t.Errorf("Check = %v, %v; want %v", c, err, r.Cost)
	}
	if r.Gap() > 0.05 || r.Bound <= 0 {
		t.Errorf("gap %v (cost %v, bound %v); want at most 5 %%", r.Gap(), r.Cost, r.Bound)
	}
}

func TestMalformedProblemsAreExplained(t *testing.T) {
	good := func() *sequence.Problem {
		return &sequence.Problem{Steps: []sequence.Step{step(1), step(2)}, Tool: sequence.Flat(2, 1),
			Position: sequence.Flat(1, 1), Switches: []sequence.Switch{{On: 1, Off: 1}},
			Start: sequence.State{Position: anyOf, Tool: anyOf}}
	}
	for _, c := range []struct {
		name, want string
		spoil      func(*sequence.Problem)
	}{
		{"minutes below nothing", "step 1 takes -2 minutes", func(p *sequence.Problem) { p.Steps[1].Minutes = -2 }},
		{"a tool that does not exist", "step 0 uses tool 2", func(p *sequence.Problem) { p.Steps[0].Tool = 2 }},
		{"a position that does not exist", "step 0 is at position 1", func(p *sequence.Problem) { p.Steps[0].Position = 1 }},
		{"an unknown switch", "the start names a switch", func(p *sequence.Problem) { p.Start.On = 2 }},
		{"a switch both on and off", "step 1 wants a switch both", func(p *sequence.Problem) { p.Steps[1].On, p.Steps[1].Off = 1, 1 }},
		{"a ragged table", "row 1 of the tool table", func(p *sequence.Problem) { p.Tool.Between[1] = nil }},
		{"first costs that do not fit", "2 rows but 1 first", func(p *sequence.Problem) { p.Tool.First = p.Tool.First[:1] }},
		{"a change below nothing", "from tool 0 to 1", func(p *sequence.Problem) { p.Tool.Between[0][1] = -1 }},
		{"a first cost below nothing", "taking up tool 1", func(p *sequence.Problem) { p.Tool.First[1] = -1 }},
		{"a flip below nothing", "switch 0 takes", func(p *sequence.Problem) { p.Switches[0].Off = -1 }},
		{"a pair out of range", "step 0 is to precede step 9", func(p *sequence.Problem) { p.Before = [][2]int{{0, 9}} }},
		{"a wait out of range", "step 9 is to wait for step 0", func(p *sequence.Problem) { p.Lags = []sequence.Lag{{After: 9}} }},
		{"a wait below nothing", "is to wait -1 minutes", func(p *sequence.Problem) { p.Lags = []sequence.Lag{{After: 1, Minutes: -1}} }},
		{"too many switches", "17 switches", func(p *sequence.Problem) { p.Switches = make([]sequence.Switch, 17) }},
		{"too many steps", "256 steps", func(p *sequence.Problem) { p.Steps = make([]sequence.Step, 256) }},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := good()
			c.spoil(p)
			_, err := sequence.Solve(context.Background(), p, sequence.Options{})
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("Solve: %v; want an error with %q", err, c.want)
			}
		})
	}
}

func TestCheckRefusesOrdersThatBreakARule(t *testing.T) {
	p := &sequence.Problem{Steps: []sequence.Step{step(1), step(1), step(1)},
		Before: [][2]int{{0, 1}}, Lags: []sequence.Lag{{Before: 1, After: 2}},
		Start: sequence.State{Position: anyOf, Tool: anyOf}}
	for want, order := range map[string][]int{
		"must precede":  {1, 0, 2},
		"waits for":     {0, 2, 1},
		"comes twice":   {0, 0, 1},
		"has 2 steps":   {0, 1},
		"is not there ": {0, 1, 7},
	} {
		if _, err := sequence.Check(p, order); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("Check(%v): %v; want an error with %q", order, err, want)
		}
	}
}

// jobLike makes a problem shaped like taking a part of a vehicle apart: steps
// mostly behind one or two earlier ones, four positions, six tools, a lift and
// another switch.
func jobLike(r *rand.Rand, n int, lags int) *sequence.Problem {
	p := &sequence.Problem{Tool: sequence.Flat(6, 0.5), Position: sequence.Flat(4, 1.5),
		Switches: []sequence.Switch{{On: 6, Off: 4}, {On: 2, Off: 2}},
		Start:    sequence.State{Position: 0, Tool: anyOf}}
	for i := range n {
		s := sequence.Step{Minutes: float64(1 + r.IntN(20)), Need: sequence.Need{Position: r.IntN(5) - 1, Tool: r.IntN(7) - 1}}
		switch r.IntN(6) {
		case 0, 1:
			s.On = 1
		case 2:
			s.Off = 1
		case 3:
			s.On = 2
		}
		p.Steps = append(p.Steps, s)
		for range r.IntN(3) {
			if i > 0 {
				p.Before = append(p.Before, [2]int{max(0, i-1-r.IntN(8)), i})
			}
		}
	}
	for range lags {
		i := r.IntN(n - 1)
		p.Lags = append(p.Lags, sequence.Lag{Before: i, After: i + 1 + r.IntN(n-i-1), Minutes: float64(5 + r.IntN(40))})
	}
	p.End = &sequence.Need{Position: anyOf, Tool: anyOf, Off: 1}
	return p
}

func BenchmarkSolve(b *testing.B) {
	for _, c := range []struct {
		name    string
		n, lags int
	}{{"12steps", 12, 0}, {"12steps3waits", 12, 3}, {"20steps", 20, 0}, {"30steps", 30, 0}} {
		p := jobLike(rand.New(rand.NewPCG(0, 1)), c.n, c.lags)
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				if _, err := sequence.Solve(context.Background(), p, sequence.Options{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func TestAFreeFlipIsNotDoneTooEarly(t *testing.T) {
	// Turning the switch off is free, turning it on is not: the step that
	// wants it on must come first although the other could be done for nothing.
	p := &sequence.Problem{
		Steps:    []sequence.Step{step(1), step(1)},
		Switches: []sequence.Switch{{On: 3, Off: 0}},
		Start:    sequence.State{Position: anyOf, Tool: anyOf, On: 1},
	}
	p.Steps[0].Off, p.Steps[1].On = 1, 1
	if r := mustSolve(t, p, sequence.Options{}); r.Cost != 2 || r.Order[0] != 1 {
		t.Errorf("Solve: %+v; want step 1 first, 2 minutes", r)
	}
}
