package andor_test

import (
	"context"
	"testing"
	"time"

	"lastbolt/plan/andor"
	"lastbolt/plan/andor/andortest"
)

func TestScratch(t *testing.T) {
	for _, n := range []int{40, 80, 160, 320} {
		for seed := uint64(1); seed <= 4; seed++ {
			in := andortest.Layered(n, seed)
			ctx, cancel := context.WithTimeout(context.Background(), 15*time.Second)
			st := time.Now()
			r, err := andor.Solve(ctx, in, andor.Options{})
			cancel()
			t.Log(n, seed, err, r.Cost, r.Bound, r.Proven, r.Nodes, time.Since(st))
		}
	}
	for _, n := range []int{60, 300, 1000, 3000} {
		for seed := uint64(1); seed <= 3; seed++ {
			in := andortest.Vehicle(n, max(3, n/250), seed)
			ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
			st := time.Now()
			r, err := andor.Solve(ctx, in, andor.Options{})
			cancel()
			t.Log(n, seed, err, r.Cost, r.Bound, r.Proven, r.Nodes, len(r.Order), time.Since(st))
		}
	}
}
