package setups

import (
	"context"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// routeTwin finds the least moves and extras the slow and obvious way.
func routeTwin(move [][]float64, jobs []RouteJob, done uint64, place int, memo map[[2]uint64]float64) float64 {
	if done == 1<<len(jobs)-1 {
		return 0
	}
	key := [2]uint64{done, uint64(place)}
	if v, ok := memo[key]; ok {
		return v
	}
	best := math.Inf(1)
	for j := range jobs {
		if done>>j&1 != 0 {
			continue
		}
		for _, m := range jobs[j].Modes {
			if m.Pre[0]&^done != 0 {
				continue
			}
			to, cost := place, m.Extra
			if m.Place != Any {
				to = m.Place
				cost += move[place][to]
			}
			best = min(best, cost+routeTwin(move, jobs, done|1<<j, to, memo))
		}
	}
	memo[key] = best
	return best
}

// drawRoute makes jobs in groups, once as a route has them and once as a guide
// does. Each needs only earlier ones, so there is an order.
func drawRoute(t *rapid.T) ([][]float64, []RouteJob, *Shares) {
	n := rapid.IntRange(2, 5).Draw(t, "places")
	move := make([][]float64, n)
	for p := range move {
		move[p] = make([]float64, n)
		for q := range move {
			if q != p {
				move[p][q] = float64(rapid.IntRange(2, 4).Draw(t, "move")) // the triangle inequality holds
			}
		}
	}
	groups := make([]Group, rapid.IntRange(1, 3).Draw(t, "groups"))
	for g := range groups {
		groups[g].Stages = make([][]Job, 1)
	}
	var jobs []RouteJob
	for j := range rapid.IntRange(1, 9).Draw(t, "jobs") {
		r := RouteJob{Group: rapid.IntRange(-1, len(groups)-1).Draw(t, "group")}
		var twin Job
		for range rapid.IntRange(1, 3).Draw(t, "modes") {
			m := RouteMode{Place: rapid.IntRange(-1, n-1).Draw(t, "place"), Extra: float64(rapid.IntRange(0, 5).Draw(t, "extra")) / 2,
				Pre: []uint64{rapid.Uint64Range(0, 1<<j-1).Draw(t, "pre")}}
			r.Modes = append(r.Modes, m)
			pre := uint64(0)
			for k := range jobs {
				if m.Pre[0]>>k&1 != 0 && jobs[k].Group == r.Group {
					pre |= 1 << jobs[k].Number
				}
			}
			twin.Modes = append(twin.Modes, Mode{Place: m.Place, Tool: Any, Extra: m.Extra, Pre: pre})
		}
		if r.Group >= 0 {
			st := &groups[r.Group].Stages[0]
			r.Number = len(*st)
			*st = append(*st, twin)
		}
		jobs = append(jobs, r)
	}
	guide, ok := New(World{Move: move, Tools: 1}, groups, 1000)
	if !ok {
		t.Fatal("too many states")
	}
	return move, jobs, guide
}

func TestARouteIsTheLeastAndNeverTooMuch(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		move, jobs, guide := drawRoute(t)
		want := routeTwin(move, jobs, 0, 0, map[[2]uint64]float64{})
		guide.Improve(context.Background(), rapid.IntRange(0, 20).Draw(t, "steps"), want+1)
		if got, _ := Route(context.Background(), move, jobs, guide, 1_000_000); math.Abs(got-want) > 1e-9 {
			t.Fatalf("the least is %v, the twin finds %v", got, want)
		}
		few := rapid.IntRange(0, 20).Draw(t, "few")
		if got, looked := Route(context.Background(), move, jobs, guide, few); got > want+1e-9 || looked > few+1 {
			t.Fatalf("after %d states of %d the bound %v exceeds %v", looked, few, got, want)
		}
	})
}
