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
// parts and solves each.
func solveNet(n *net, b *budget) solution {
	d := reduction{net: n}
	d.reduce()
	total := solution{methods: d.pick, cost: d.base, bound: d.base, found: true}
	if len(d.net.goals) == 0 {
		return total
	}
	for _, part := range d.net.split() {
		s := solvePart(part, b)
		total.methods = append(total.methods, s.methods...)
		total.cost += s.cost
		total.bound += s.bound
		total.found = total.found && s.found
	}
	return total
}

// solvePart solves a connected net: a heuristic solution and the landmark
// bound first. What the two together rule out is removed; if that was
// anything, the smaller net is reduced again, otherwise it is searched.
func solvePart(n *net, b *budget) solution {
	s := newSearch(n, b)
	cuts, ok := s.pricer.bound(n.goals, infinite)
	if !ok {
		return solution{cost: infinite, bound: infinite}
	}
	lower := priceOf(cuts)
	s.greedyRoot()
	best := solution{methods: s.methods(), cost: s.upper, bound: min(lower, s.upper), found: true}
	if lower >= s.upper {
		return best
	}
	if s.exclude(lower) > 0 {
		dead := make([]bool, len(n.ops))
		for o, live := range s.pricer.live {
			dead[o] = !live
		}
		n.drop(dead)
		if !n.reachable() {
			best.bound = best.cost
			return best
		}
		return better(best, solveNet(n, b))
	}
	best.bound = max(best.bound, min(s.run(cuts, lower), s.upper))
	best.methods, best.cost = s.methods(), s.upper
	return best
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
