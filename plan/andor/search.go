package andor

import "slices"

// search is a depth-first branch and bound over one connected net. A node has
// decided an op for some facts; the facts that those need are wanted; it
// branches on the ops of one wanted fact.
type search struct {
	n      *net
	pricer *pricer
	budget *budget
	upper  int64   // cost of the best solution so far
	best   []int32 // its ops
	memo   memo
	greedy greedy

	rank   []int32 // facts in an order in which needs come first
	cyclic []bool  // the fact lies on a cycle of possible needs
	comp   []int32
	chosen []int32 // op decided for a fact, or -1
	wanted []bool
	wants  []int32 // wanted facts, in order of wanting
	killed []int32 // ops no longer live, in order
	order  []int32 // facts decided, in order
	goals  []int32 // scratch: wanted and undecided
	saved  [][]int64
}

func newSearch(n *net, b *budget, cutoff int64) *search {
	s := &search{n: n, budget: b, pricer: newPricer(n), upper: cutoff,
		chosen: make([]int32, n.facts), wanted: make([]bool, n.facts), cyclic: make([]bool, n.facts)}
	for f := range s.chosen {
		s.chosen[f] = -1
	}
	var loops []bool
	s.comp, loops = n.components()
	s.rank = slices.Clone(s.comp)
	for f, c := range s.comp {
		s.cyclic[f] = loops[c]
	}
	s.greedy.init(n)
	s.memo.init(n.facts)
	return s
}

// methods are the caller's methods of the best solution.
func (s *search) methods() []int32 {
	var m []int32
	for _, o := range s.best {
		m = append(m, s.n.ops[o].methods...)
	}
	return m
}

// run searches below the given cuts, for so many nodes if that is not 0, and
// returns a lower bound on what it did not rule out (at least upper, if it
// finished). What it remembers serves the next run.
func (s *search) run(cuts []cut, nodes int) int64 {
	s.budget.pauseAfter(nodes)
	defer s.budget.pauseAfter(0)
	reduced := slices.Clone(s.pricer.reduced)
	m := s.mark()
	for _, g := range s.n.goals {
		s.want(g)
	}
	lower := s.node(0, cuts, priceOf(cuts), 0)
	s.undo(m)
	copy(s.pricer.reduced, reduced)
	return lower
}

func (s *search) want(f int32) {
	if !s.wanted[f] {
		s.wanted[f] = true
		s.wants = append(s.wants, f)
	}
}

func (s *search) kill(o int32) {
	if s.pricer.live[o] {
		s.pricer.live[o] = false
		s.killed = append(s.killed, o)
	}
}

// state is what node must put back.
type state struct{ wants, killed, order int }

func (s *search) mark() state { return state{len(s.wants), len(s.killed), len(s.order)} }

func (s *search) undo(m state) {
	for _, f := range s.wants[m.wants:] {
		s.wanted[f] = false
	}
	for _, o := range s.killed[m.killed:] {
		s.pricer.live[o] = true
	}
	for _, f := range s.order[m.order:] {
		s.chosen[f] = -1
	}
	s.wants, s.killed, s.order = s.wants[:m.wants], s.killed[:m.killed], s.order[:m.order]
}

// decide uses op o for its fact. It gives back the prices of the cuts that o
// is in, since its whole cost counts from now on, and returns the other cuts
// (appended to into) and the change of the bound.
func (s *search) decide(o int32, cuts, into []cut) ([]cut, int64) {
	f := s.n.ops[o].fact
	s.chosen[f] = o
	s.order = append(s.order, f)
	for _, other := range s.n.by[f] {
		if other != o {
			s.kill(other)
		}
	}
	for _, q := range s.n.ops[o].pre {
		s.want(q)
	}
	change := s.n.ops[o].cost
	for _, c := range cuts {
		if !slices.Contains(c.ops, o) {
			into = append(into, c)
			continue
		}
		change -= c.price
		for _, a := range c.ops {
			s.pricer.reduced[a] += c.price
		}
	}
	s.pricer.reduced[o] = 0
	return into, change
}

// circular reports whether deciding o would close a circle of decided ops.
func (s *search) circular(o int32) bool {
	f := s.n.ops[o].fact
	if !s.cyclic[f] {
		return false
	}
	return slices.ContainsFunc(s.n.ops[o].pre, func(q int32) bool { return s.dependsOn(q, f) })
}

// dependsOn reports whether q is f or rests on f through decided ops.
func (s *search) dependsOn(q, f int32) bool {
	if q == f {
		return true
	}
	if s.comp[q] != s.comp[f] || s.chosen[q] < 0 {
		return false
	}
	return slices.ContainsFunc(s.n.ops[s.chosen[q]].pre, func(r int32) bool { return s.dependsOn(r, f) })
}

// node explores the current state, whose decided ops cost paid and whose bound
// is lower with the given cuts. It returns a lower bound on every completion;
// anything from upper on means that none is cheaper than the best found.
func (s *search) node(paid int64, cuts []cut, lower int64, depth int) int64 {
	if !s.budget.spend() {
		return lower
	}
	cuts = slices.Clone(cuts)
	for {
		ok := true
		if cuts, paid, lower, ok = s.propagate(cuts, paid, lower); !ok {
			return infinite
		}
		more, ok := s.pricer.bound(s.goals, s.upper-lower)
		if !ok {
			return infinite
		}
		cuts = append(cuts, more...)
		lower += priceOf(more)
		if lower >= s.upper {
			return lower
		}
		if len(s.goals) == 0 {
			s.record(paid)
			return paid
		}
		if s.exclude(lower) == 0 || !s.single() {
			break
		}
	}
	key := s.memo.key(s)
	if known := s.memo.get(key); paid+known >= s.upper {
		return paid + known
	}
	if depth < 8 || s.budget.used&15 == 0 {
		s.greedyNode(paid)
	}
	least := s.branch(paid, cuts, lower, depth)
	if !s.budget.halted() {
		s.memo.put(key, min(least, s.upper)-paid)
	}
	return max(lower, least)
}

// propagate decides every wanted fact that has a single live op left, and
// collects the wanted facts that remain undecided in s.goals.
func (s *search) propagate(cuts []cut, paid, lower int64) ([]cut, int64, int64, bool) {
	for again := true; again; {
		again = false
		s.goals = s.goals[:0]
		for i := 0; i < len(s.wants); i++ {
			f := s.wants[i]
			if s.chosen[f] >= 0 {
				continue
			}
			only, count := s.onlyOp(f)
			if count == 0 || count == 1 && s.circular(only) {
				return cuts, paid, lower, false
			}
			if count > 1 {
				s.goals = append(s.goals, f)
				continue
			}
			var change int64
			cuts, change = s.decide(only, cuts, nil)
			paid += s.n.ops[only].cost
			lower += change
			again = again || s.cyclic[f]
		}
	}
	return cuts, paid, lower, true
}

// onlyOp counts the live ops of a fact that close no circle and returns one.
func (s *search) onlyOp(f int32) (int32, int) {
	only, count := int32(-1), 0
	for _, o := range s.n.by[f] {
		if s.pricer.live[o] && !s.circular(o) {
			only = o
			count++
		}
	}
	return only, count
}

// single reports whether a wanted, undecided fact has fewer than two ops left.
func (s *search) single() bool {
	return slices.ContainsFunc(s.goals, func(f int32) bool { _, c := s.onlyOp(f); return c < 2 })
}

// exclude kills the ops that no solution cheaper than the best found can use,
// by reduced cost, and returns how many it killed.
func (s *search) exclude(lower int64) int {
	before := len(s.killed)
	for _, f := range s.pricer.cone {
		if s.chosen[f] >= 0 {
			continue
		}
		for _, o := range s.n.by[f] {
			if s.pricer.live[o] && lower+s.pricer.reduced[o]+s.pricer.needs(o) >= s.upper {
				s.kill(o)
			}
		}
	}
	return len(s.killed) - before
}

// branch tries the live ops of one wanted fact, the most promising first.
func (s *search) branch(paid int64, cuts []cut, lower int64, depth int) int64 {
	f := s.pickFact()
	type child struct {
		op    int32
		price int64
	}
	var children []child
	for _, o := range s.n.by[f] {
		if s.pricer.live[o] && !s.circular(o) {
			children = append(children, child{o, s.pricer.reduced[o]})
		}
	}
	slices.SortStableFunc(children, func(a, b child) int {
		switch {
		case a.price < b.price:
			return -1
		case a.price > b.price:
			return 1
		}
		return 0
	})
	for len(s.saved) <= depth {
		s.saved = append(s.saved, make([]int64, len(s.n.ops)))
	}
	copy(s.saved[depth], s.pricer.reduced)
	least := infinite
	for i, c := range children {
		if i > 0 {
			copy(s.pricer.reduced, s.saved[depth])
		}
		if lower+c.price >= s.upper {
			least = min(least, lower+c.price)
			continue
		}
		m := s.mark()
		kept, change := s.decide(c.op, cuts, nil)
		least = min(least, s.node(paid+s.n.ops[c.op].cost, kept, lower+change, depth+1))
		s.undo(m)
		if s.budget.halted() {
			return min(least, lower)
		}
	}
	return least
}

// pickFact is the undecided wanted fact nearest to the targets.
func (s *search) pickFact() int32 {
	best := s.goals[0]
	for _, f := range s.goals[1:] {
		if s.rank[f] > s.rank[best] || s.rank[f] == s.rank[best] && f > best {
			best = f
		}
	}
	return best
}

// record keeps the current complete decision as the best.
func (s *search) record(paid int64) {
	if paid >= s.upper {
		return
	}
	s.upper = paid
	s.best = s.best[:0]
	for _, f := range s.order {
		s.best = append(s.best, s.chosen[f])
	}
}
