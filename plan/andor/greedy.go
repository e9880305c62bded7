package andor

import "lastbolt/plan/heap"

// greedy finds good solutions fast: it settles facts in the order of the sum
// of their needs' costs under some weights, as if nothing were shared, takes
// the cheapest op of each, and then counts what is shared only once.
type greedy struct {
	n       *net
	weight  []int64
	cost    []int64
	sum     []int64
	missing []int32
	via     []int32
	settled []bool
	queue   []priced // heap
	used    []bool
	list    []int32
}

func (g *greedy) init(n *net) {
	*g = greedy{n: n, weight: make([]int64, len(n.ops)), cost: make([]int64, n.facts),
		sum: make([]int64, len(n.ops)), missing: make([]int32, len(n.ops)),
		via: make([]int32, n.facts), settled: make([]bool, n.facts), used: make([]bool, n.facts)}
}

// solve returns the ops of a solution and their true cost, or infinite. The
// result is valid until the next call.
func (g *greedy) solve(live []bool, goals []int32) ([]int32, int64) {
	g.settle(live)
	for _, o := range g.list {
		g.used[g.n.ops[o].fact] = false
	}
	g.list = g.list[:0]
	for _, t := range goals {
		if !g.settled[t] {
			return nil, infinite
		}
		g.open(t)
	}
	var total int64
	for i := 0; i < len(g.list); i++ {
		o := &g.n.ops[g.list[i]]
		total += o.cost
		for _, q := range o.pre {
			g.open(q)
		}
	}
	return g.list, total
}

func (g *greedy) open(f int32) {
	if !g.used[f] {
		g.used[f] = true
		g.list = append(g.list, g.via[f])
	}
}

// settle computes the additive costs (Knuth's generalisation of Dijkstra's
// algorithm, Inf. Proc. Lett. 6 (1977) 1-5; from memory).
func (g *greedy) settle(live []bool) {
	n := g.n
	g.queue = g.queue[:0]
	for f := range g.cost {
		g.cost[f], g.settled[f] = infinite, false
	}
	offer := func(o int32) {
		f := n.ops[o].fact
		if !g.settled[f] && g.sum[o] < g.cost[f] {
			g.cost[f], g.via[f] = g.sum[o], o
			g.queue = heap.Push(g.queue, priced{g.sum[o], f}, sooner)
		}
	}
	for o := range int32(len(n.ops)) {
		g.missing[o], g.sum[o] = int32(len(n.ops[o].pre)), g.weight[o]
		if live[o] && g.missing[o] == 0 {
			offer(o)
		}
	}
	for len(g.queue) > 0 {
		var next priced
		next, g.queue = heap.Pop(g.queue, sooner)
		d, f := next.cost, next.fact
		if g.settled[f] || d > g.cost[f] {
			continue
		}
		g.settled[f] = true
		for _, o := range n.users[f] {
			if g.sum[o] = min(g.sum[o]+d, infinite/4); live[o] {
				if g.missing[o]--; g.missing[o] == 0 {
					offer(o)
				}
			}
		}
	}
}

// greedyRoot looks for a first solution under several weights, and then again
// with what the best one uses made cheaper.
func (s *search) greedyRoot() {
	for _, mix := range [][2]int64{{1, 0}, {0, 1}, {1, 3}, {1, 8}, {1, 32}} {
		s.greedyMix(s.n.goals, mix[0], mix[1], 0)
	}
}

// greedyNode looks for a solution below the current node; paid is what its
// decided ops cost.
func (s *search) greedyNode(paid int64) {
	s.greedyMix(s.goals, 1, 16, paid)
}

// greedyMix weighs an op by own times its cost plus dual times its reduced
// cost; decided ops are free.
func (s *search) greedyMix(goals []int32, own, dual, paid int64) {
	g := &s.greedy
	for o := range g.weight {
		g.weight[o] = own*s.n.ops[o].cost + dual*s.pricer.reduced[o]
	}
	for _, f := range s.order {
		g.weight[s.chosen[f]] = 0
	}
	ops, cost := g.solve(s.pricer.live, goals)
	if cost >= infinite {
		return
	}
	cost += paid
	for _, o := range ops {
		if s.chosen[s.n.ops[o].fact] >= 0 {
			cost -= s.n.ops[o].cost
		}
	}
	if cost >= s.upper {
		return
	}
	s.upper = cost
	s.best = s.best[:0]
	for _, f := range s.order {
		s.best = append(s.best, s.chosen[f])
	}
	for _, o := range ops {
		if s.chosen[s.n.ops[o].fact] < 0 {
			s.best = append(s.best, o)
		}
	}
}
