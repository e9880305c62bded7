package main

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"

	"lastbolt/plan/sequence"
)

// contextFor limits our own searches as the peers are limited.
func contextFor(b *bench) (context.Context, context.CancelFunc) {
	return context.WithTimeout(b.ctx, b.limit)
}

// sequences times the ordering of job-like sets of steps; there is no peer for
// this form (the matrix form is compared in plan/sequence's tests).
func sequences(b *bench) error {
	g := &grid{}
	g.add("steps", "waits", "ours ms", "proven", "minutes", "states")
	for _, c := range [][2]int{{8, 0}, {12, 0}, {12, 3}, {20, 0}, {20, 3}, {30, 0}, {30, 3}, {60, 0}, {120, 0}} {
		p := jobLike(rand.New(rand.NewPCG(1, 1)), c[0], c[1])
		var r sequence.Result
		var err error
		took := best(func() { r, err = sequence.Solve(b.ctx, p, sequence.Options{States: 200_000}) })
		if err != nil {
			return err
		}
		proven := "yes"
		if !r.Proven {
			proven = fmt.Sprintf("gap %.1f %%", 100*r.Gap())
		}
		g.add(fmt.Sprint(c[0]), fmt.Sprint(c[1]), ms(took), proven, fmt.Sprint(r.Cost), fmt.Sprint(r.States))
	}
	g.print(os.Stdout)
	return nil
}

// jobLike makes steps mostly behind one or two earlier ones, with four
// positions, six tools and a lift.
func jobLike(r *rand.Rand, n, waits int) *sequence.Problem {
	p := &sequence.Problem{Tool: sequence.Flat(6, 0.5), Position: sequence.Flat(4, 1.5),
		Switches: []sequence.Switch{{On: 6, Off: 4}},
		Start:    sequence.State{Position: 0, Tool: sequence.Any},
		End:      &sequence.Need{Position: sequence.Any, Tool: sequence.Any, Off: 1}}
	for i := range n {
		s := sequence.Step{Minutes: float64(1 + r.IntN(20)), Need: sequence.Need{Position: r.IntN(5) - 1, Tool: r.IntN(7) - 1}}
		switch r.IntN(6) {
		case 0, 1:
			s.On = 1
		case 2:
			s.Off = 1
		}
		p.Steps = append(p.Steps, s)
		for range r.IntN(3) {
			if i > 0 {
				p.Before = append(p.Before, [2]int{max(0, i-1-r.IntN(8)), i})
			}
		}
	}
	for range waits {
		i := r.IntN(n - 1)
		p.Lags = append(p.Lags, sequence.Lag{Before: i, After: i + 1 + r.IntN(n-i-1), Minutes: float64(5 + r.IntN(40))})
	}
	return p
}
