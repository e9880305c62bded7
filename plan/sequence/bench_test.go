package sequence_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"lastbolt/plan/sequence"
)

// jobLike makes a problem shaped like taking a part of a vehicle apart: steps
// mostly behind one or two earlier ones, a few positions and tools, a lift.
func jobLike(r *rand.Rand, n int, lags int) *sequence.Problem {
	p := &sequence.Problem{Tool: sequence.Flat(6, 0.5), Switches: []sequence.Switch{{On: 6, Off: 4}, {On: 2, Off: 2}},
		Start: sequence.State{Position: 0, Tool: sequence.Any}}
	for i := range 4 {
		row := make([]float64, 4)
		for j := range row {
			if i != j {
				row[j] = 1.5
			}
		}
		p.Position.Between = append(p.Position.Between, row)
	}
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
	p.End = &sequence.Need{Position: sequence.Any, Tool: sequence.Any, Off: 1}
	return p
}

func TestScratchJob(t *testing.T) {
	for _, lags := range []int{0, 3} {
		for _, n := range []int{8, 12, 20, 30, 60, 120} {
			for seed := range uint64(4) {
				p := jobLike(rand.New(rand.NewPCG(seed, 1)), n, lags)
				ctx, cancel := context.WithTimeout(context.Background(), 3*time.Second)
				st := time.Now()
				r, err := sequence.Solve(ctx, p, sequence.Options{})
				el := time.Since(st)
				cancel()
				v, e2 := sequence.Check(p, r.Order)
				t.Log(n, lags, fmt.Sprintf("%.1f %.1f", r.Cost, r.Bound), r.Proven, r.States, el, err, v-r.Cost, e2)
			}
		}
	}
}
