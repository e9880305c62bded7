package andor

// A solution of a net: the caller's methods it stands for, its cost, and a
// proven lower bound. found is false when none better than asked for exists
// (or was found).
type solution struct {
	methods []int32
	cost    int64
	bound   int64
	found   bool
}

// solveNet reduces a net whose goals can be reached, cuts it into independent
// parts and solves each. It looks only for solutions cheaper than cutoff.
func solveNet(n *net, b *budget, cutoff int64) solution {
	d := reduction{net: n}
	d.reduce()
	total := solution{methods: d.pick, cost: d.base, bound: d.base, found: true}
	if len(d.net.goals) == 0 {
		return total
	}
	for _, part := range d.net.split() {
		s := solvePart(part, b, cutoff-total.bound)
		total.bound += s.bound
		if !s.found {
			total.found = false
			return total
		}
		total.methods = append(total.methods, s.methods...)
		total.cost += s.cost
	}
	return total
}

// Rounds of the two searches: the frontier starts with firstWidth, the branch
// and bound, which joins in the second round, with firstNodes; each round has
// roundGrowth times as much. At carefulWidth the frontier is worth a better
// order of its blocks; after it the width grows twice as fast, since a sweep
// that is a little too narrow costs as much as one that is wide enough.
const (
	firstWidth   = 64
	firstNodes   = 64
	roundGrowth  = 8
	carefulWidth = 4096
)

// solvePart solves a connected net: bounds and heuristic solutions first. What
// these rule out is removed; if that was anything, the smaller net is reduced
// again. Otherwise the two exact searches take turns, since either can be far
// quicker than the other: dynamic programming over what is wanted, and branch
// and bound.
func solvePart(n *net, b *budget, cutoff int64) solution {
	s := newSearch(n, b, cutoff)
	cuts, ok := s.pricer.bound(n.goals, infinite)
	if !ok {
		return solution{cost: infinite, bound: infinite}
	}
	s.greedyRoot()
	lower := priceOf(cuts)
	f := newFrontier(s, cuts)
	for width, nodes := firstWidth, 0; lower < s.upper && !b.stopped; width *= roundGrowth {
		before := s.upper
		if f != nil && width == carefulWidth {
			f.arrange()
		}
		lower = max(lower, f.run(s, width))
		if lower >= s.upper || b.stopped {
			break
		}
		if (nodes == 0 || s.upper < before) && s.exclude(priceOf(cuts)) > 0 {
			return s.shrink(lower)
		}
		if f == nil || f.full { // nothing else is left to try: no pause
			return s.solution(max(lower, s.run(cuts, 0)))
		}
		if nodes > 0 {
			lower = max(lower, s.run(cuts, nodes))
		}
		nodes = max(firstNodes, nodes*roundGrowth)
		if width >= carefulWidth {
			width *= roundGrowth
		}
	}
	return s.solution(lower)
}

// shrink solves the net without the ops that can no longer be of use.
func (s *search) shrink(lower int64) solution {
	dead := make([]bool, len(s.n.ops))
	for o, live := range s.pricer.live {
		dead[o] = !live
	}
	best := s.solution(lower)
	s.n.drop(dead)
	if !s.n.reachable() {
		best.bound = best.cost
		return best
	}
	return better(best, solveNet(s.n, s.budget, s.upper))
}

// solution is the best found; when nothing was, its cost is the cutoff.
func (s *search) solution(lower int64) solution {
	return solution{methods: s.methods(), cost: s.upper, bound: min(lower, s.upper), found: len(s.best) > 0}
}

// better joins an incumbent with the outcome of a search for something
// cheaper.
func better(old, sub solution) solution {
	if sub.found && sub.cost < old.cost {
		sub.bound = max(sub.bound, min(old.bound, sub.cost))
		return sub
	}
	old.bound = min(old.cost, max(old.bound, sub.bound))
	return old
}

func priceOf(cuts []cut) int64 {
	var sum int64
	for _, c := range cuts {
		sum += c.price
	}
	return sum
}
