package sequence_test

import (
	"context"
	"math"
	"testing"

	"lastbolt/plan/sequence"
	"pgregory.net/rapid"
)

// drawProblem makes small problems of every feature: don't-cares, tables that
// may break the triangle inequality, first costs, switches, waits, an end.
func drawProblem(t *rapid.T, most int) *sequence.Problem {
	n := rapid.IntRange(0, most).Draw(t, "steps")
	minutes := rapid.Map(rapid.IntRange(0, 40), func(i int) float64 { return float64(i) / 4 })
	p := &sequence.Problem{Start: sequence.State{Position: sequence.Any, Tool: sequence.Any}}
	setup := func(name string) sequence.Setup {
		k := rapid.IntRange(0, 3).Draw(t, name)
		s := sequence.Flat(k, minutes.Draw(t, name+" flat"))
		if rapid.Bool().Draw(t, name+" uneven") {
			for i := range k {
				s.First[i] = minutes.Draw(t, "first")
				for j := range k {
					s.Between[i][j] = minutes.Draw(t, "change")
				}
			}
		} else if rapid.Bool().Draw(t, name+" first free") {
			s.First = nil
		}
		return s
	}
	p.Position, p.Tool = setup("positions"), setup("tools")
	for range rapid.IntRange(0, 2).Draw(t, "switches") {
		p.Switches = append(p.Switches, sequence.Switch{On: minutes.Draw(t, "on"), Off: minutes.Draw(t, "off")})
	}
	need := func() sequence.Need {
		d := sequence.Need{
			Position: rapid.IntRange(-1, len(p.Position.Between)-1).Draw(t, "position"),
			Tool:     rapid.IntRange(-1, len(p.Tool.Between)-1).Draw(t, "tool"),
		}
		for i := range p.Switches {
			switch rapid.IntRange(0, 2).Draw(t, "switch") {
			case 1:
				d.On |= 1 << i
			case 2:
				d.Off |= 1 << i
			}
		}
		return d
	}
	start := need()
	p.Start = sequence.State{Position: start.Position, Tool: start.Tool, On: start.On}
	for range n {
		p.Steps = append(p.Steps, sequence.Step{Minutes: minutes.Draw(t, "minutes"), Need: need()})
	}
	if rapid.Bool().Draw(t, "has end") {
		end := need()
		p.End = &end
	}
	if n < 2 {
		return p
	}
	perm := rapid.Permutation(numbers(n)).Draw(t, "hidden order")
	pair := func() (int, int) {
		b := rapid.IntRange(1, n-1).Draw(t, "later")
		return perm[rapid.IntRange(0, b-1).Draw(t, "earlier")], perm[b]
	}
	for range rapid.IntRange(0, n).Draw(t, "pairs") {
		a, b := pair()
		p.Before = append(p.Before, [2]int{a, b})
	}
	for range rapid.IntRange(0, 3).Draw(t, "lags") {
		a, b := pair()
		p.Lags = append(p.Lags, sequence.Lag{Before: a, After: b, Minutes: minutes.Draw(t, "lag")})
	}
	return p
}

func numbers(n int) []int {
	s := make([]int, n)
	for i := range s {
		s[i] = i
	}
	return s
}

// permute calls f with every order of s.
func permute(s []int, k int, f func([]int)) {
	if k == len(s) {
		f(s)
	}
	for i := k; i < len(s); i++ {
		s[k], s[i] = s[i], s[k]
		permute(s, k+1, f)
		s[k], s[i] = s[i], s[k]
	}
}

// least tries every order with the independent checker.
func least(p *sequence.Problem) float64 {
	best := math.Inf(1)
	permute(numbers(len(p.Steps)), 0, func(order []int) {
		if c, err := sequence.Check(p, order); err == nil {
			best = min(best, c)
		}
	})
	return best
}

func mustSolve(t interface{ Fatalf(string, ...any) }, p *sequence.Problem, opt sequence.Options) sequence.Result {
	r, err := sequence.Solve(context.Background(), p, opt)
	if err != nil {
		t.Fatalf("Solve: %v", err)
	}
	return r
}

func TestSolveFindsWhatTryingEveryOrderFinds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t, 6)
		r := mustSolve(t, p, sequence.Options{})
		if want := least(p); math.Abs(r.Cost-want) > 1e-9 || !r.Proven || r.Bound != r.Cost {
			t.Fatalf("Solve: %+v; want cost %v, proven", r, want)
		}
		if c, err := sequence.Check(p, r.Order); err != nil || math.Abs(c-r.Cost) > 1e-9 {
			t.Fatalf("Check(%v) = %v, %v; want %v", r.Order, c, err, r.Cost)
		}
	})
}

func TestOneMorePairNeverSavesTime(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t, 9)
		if len(p.Steps) < 2 {
			return
		}
		before := mustSolve(t, p, sequence.Options{})
		i := rapid.IntRange(0, len(before.Order)-2).Draw(t, "place")
		p.Before = append(p.Before, [2]int{before.Order[i+1], before.Order[i]})
		after, err := sequence.Solve(context.Background(), p, sequence.Options{})
		if err != nil {
			return // the pair closed a circle
		}
		if after.Cost < before.Cost-1e-9 {
			t.Fatalf("with the pair %v, without %v", after.Cost, before.Cost)
		}
	})
}

func TestLeavingAStepOutNeverCostsTimeWhereDetoursNeverPay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t, 8)
		p.Lags = nil
		p.Position, p.Tool = sequence.Flat(len(p.Position.Between), 2), sequence.Flat(len(p.Tool.Between), 1)
		if len(p.Steps) == 0 {
			return
		}
		whole := mustSolve(t, p, sequence.Options{})
		last := len(p.Steps) - 1
		less := *p
		less.Steps, less.Before = p.Steps[:last], nil
		for _, b := range p.Before {
			if b[0] != last && b[1] != last {
				less.Before = append(less.Before, b)
			}
		}
		if part := mustSolve(t, &less, sequence.Options{}); part.Cost > whole.Cost+1e-9 {
			t.Fatalf("without step %d %v, with it %v", last, part.Cost, whole.Cost)
		}
	})
}

func TestAStoppedSearchBracketsTheBest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t, 9)
		best := mustSolve(t, p, sequence.Options{})
		r := mustSolve(t, p, sequence.Options{States: rapid.IntRange(1, 60).Draw(t, "states")})
		if c, err := sequence.Check(p, r.Order); err != nil || math.Abs(c-r.Cost) > 1e-9 {
			t.Fatalf("Check(%v) = %v, %v; want %v", r.Order, c, err, r.Cost)
		}
		if r.Bound > best.Cost+1e-9 || r.Cost < best.Cost-1e-9 || r.Proven && r.Cost > best.Cost+1e-9 {
			t.Fatalf("stopped: %+v; best %v", r, best.Cost)
		}
	})
}

func TestMatrixFindsWhatTryingEveryPathFinds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 8).Draw(t, "nodes")
		cost := drawMatrix(t, n)
		r, err := sequence.SolveMatrix(context.Background(), cost, sequence.Options{})
		if err != nil {
			t.Fatalf("SolveMatrix: %v", err)
		}
		want := int64(math.MaxInt64)
		permute(numbers(n)[1:max(1, n-1)], 0, func(inner []int) {
			order := append(append([]int{0}, inner...), n-1)
			if c, err := sequence.CheckMatrix(cost, order); err == nil {
				want = min(want, c)
			}
		})
		got, err := sequence.CheckMatrix(cost, r.Order)
		if err != nil || got != want || r.Cost != float64(want) || !r.Proven {
			t.Fatalf("SolveMatrix: %+v (checked %d, %v); want %d, proven", r, got, err, want)
		}
	})
}

func drawMatrix(t *rapid.T, n int) [][]int64 {
	cost := make([][]int64, n)
	for i := range cost {
		cost[i] = rapid.SliceOfN(rapid.Int64Range(0, 50), n, n).Draw(t, "row")
	}
	for j := range n {
		cost[j][0] = -1
		cost[n-1][j] = -1
	}
	for i := 1; i < n-1; i++ {
		for j := i + 1; j < n-1; j++ {
			if rapid.IntRange(0, 3).Draw(t, "precede") == 0 {
				cost[j][i] = -1
			}
		}
	}
	for i := range n { // no path uses these two
		cost[i][i] = 0
	}
	return cost
}
