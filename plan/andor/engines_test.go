package andor

import (
	"context"
	"testing"

	"pgregory.net/rapid"
)

// drawNet makes the reduced, connected parts of a random instance of medium
// size in which circles are common.
func drawNet(t *rapid.T) []*net {
	in := &Instance{Parts: rapid.IntRange(6, 24).Draw(t, "parts")}
	in.Resources = []float64{3, 1, 2}
	for p := range in.Parts {
		for range rapid.SampledFrom([]int{1, 2, 2, 3}).Draw(t, "ways") {
			near := rapid.IntRange(max(0, p-5), min(in.Parts-1, p+2))
			needs := rapid.SliceOfN(near, 0, 3).Draw(t, "needs")
			in.Methods = append(in.Methods, Method{Part: p, Needs: needs,
				Cost:      float64(rapid.IntRange(0, 30).Draw(t, "cost")),
				Resources: []int{rapid.IntRange(0, 2).Draw(t, "resource")}})
		}
	}
	in.Targets = []int{in.Parts - 1, in.Parts - 2}
	n := compile(in, Options{})
	if !n.reachable() {
		return nil
	}
	d := reduction{net: n}
	d.reduce()
	if len(d.net.goals) == 0 {
		return nil
	}
	return d.net.split()
}

func TestBothSearchesAgreeOnEveryNet(t *testing.T) {
	compared := 0
	rapid.Check(t, func(t *rapid.T) {
		for _, n := range drawNet(t) {
			b := newBudget(context.Background(), 0)
			s := newSearch(n, b, infinite)
			cuts, _ := s.pricer.bound(n.goals, infinite)
			f := newFrontier(s, cuts)
			if f == nil {
				continue
			}
			byBranching := newSearch(n, b, infinite)
			more, _ := byBranching.pricer.bound(n.goals, infinite)
			bound := byBranching.run(more, 0)
			f.run(s, 1<<30)
			if f.upper != byBranching.upper || bound < byBranching.upper || f.lost < f.upper {
				t.Fatalf("branch and bound: %d (bound %d), dynamic programming: %d (lost %d)", byBranching.upper, bound, f.upper, f.lost)
			}
			if lower := priceOf(cuts); lower > f.upper {
				t.Fatalf("the landmark bound %d exceeds the best %d", lower, f.upper)
			}
			for _, ops := range [][]int32{byBranching.best, s.best} {
				if cost := costOf(n, ops); cost != f.upper {
					t.Fatalf("the ops of the best cost %d, not %d", cost, f.upper)
				}
			}
			compared++
		}
	})
	if compared == 0 {
		t.Error("no net was compared")
	}
}

// costOf checks that ops establish the goals in some order and adds them up.
func costOf(n *net, ops []int32) int64 {
	held := make([]bool, n.facts)
	var cost int64
	left := len(ops)
	done := make([]bool, len(n.ops))
	for again := true; again; {
		again = false
		for _, o := range ops {
			ready := !done[o]
			for _, q := range n.ops[o].pre {
				ready = ready && held[q]
			}
			if ready {
				done[o], held[n.ops[o].fact], again = true, true, true
				cost += n.ops[o].cost
				left--
			}
		}
	}
	for _, g := range n.goals {
		if !held[g] {
			return -1
		}
	}
	if left > 0 {
		return -1
	}
	return cost
}

func TestAPausedSearchGoesOnWhereItsBoundsLeftIt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		for _, n := range drawNet(t) {
			b := newBudget(context.Background(), 0)
			whole := newSearch(n, b, infinite)
			cuts, _ := whole.pricer.bound(n.goals, infinite)
			whole.run(cuts, 0)
			s := newSearch(n, b, infinite)
			cuts, _ = s.pricer.bound(n.goals, infinite)
			for nodes := 1; ; nodes *= 2 {
				lower := s.run(cuts, nodes)
				if lower > whole.upper && lower < s.upper {
					t.Fatalf("paused after %d nodes: bound %d, best %d", nodes, lower, whole.upper)
				}
				if lower >= s.upper {
					break
				}
			}
			if s.upper != whole.upper {
				t.Fatalf("with pauses %d, without %d", s.upper, whole.upper)
			}
		}
	})
}
