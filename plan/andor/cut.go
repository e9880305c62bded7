package andor

import "lastbolt/plan/heap"

const infinite = int64(1) << 60

// A cut is a landmark: a set of ops of which every solution uses at least one,
// and the price that the bound charges for that.
type cut struct {
	price int64
	ops   []int32
}

// pricer computes lower bounds on a net by disjunctive landmarks (the LM-cut
// bound of Helmert & Domshlak, ICAPS 2009; method from memory). The dearest
// goal under the maximum cost of needs is looked at; the ops on the border of
// the region from which it is free form a landmark; its price, the least
// reduced cost among them, is taken off their reduced costs and added to the
// bound; again, until every goal is free. The prices form a dual solution: any
// solution costs at least the sum of the prices plus its own reduced cost.
type pricer struct {
	n       *net
	live    []bool  // ops that may still be used
	reduced []int64 // reduced cost of each op

	cone    []int32 // facts that the goals may need, by live ops
	inCone  []int32 // stamp
	stamp   int32
	cost    []int64  // cheapest maximum cost of each fact in the cone
	support []int32  // dearest need of an op: -1 without needs
	missing []int32  // needs of an op not settled yet
	queue   []priced // heap
	zone    []int32  // stamp: the region before the border
	front   []int32  // stamp: facts reached without entering the zone
	marker  int32
	stack   []int32
}

func newPricer(n *net) *pricer {
	p := &pricer{n: n,
		live: make([]bool, len(n.ops)), reduced: make([]int64, len(n.ops)),
		inCone: make([]int32, n.facts), cost: make([]int64, n.facts),
		support: make([]int32, len(n.ops)), missing: make([]int32, len(n.ops)),
		zone: make([]int32, n.facts), front: make([]int32, n.facts),
	}
	for i := range n.ops {
		p.live[i], p.reduced[i] = true, n.ops[i].cost
	}
	return p
}

// bound raises the dual solution until every goal is free and returns the new
// cuts. It stops early once the sum of their prices reaches enough. The
// second value is false when a goal cannot be established at all.
func (p *pricer) bound(goals []int32, enough int64) ([]cut, bool) {
	p.collect(goals)
	p.explore()
	var cuts []cut
	var total int64
	for {
		worst, at := int64(0), int32(-1)
		for _, g := range goals {
			if p.cost[g] > worst {
				worst, at = p.cost[g], g
			}
		}
		if worst >= infinite {
			return cuts, false
		}
		if at < 0 || total >= enough {
			return cuts, true
		}
		c := p.separate(at)
		total += c.price
		cuts = append(cuts, c)
	}
}

// collect finds the cone of the goals.
func (p *pricer) collect(goals []int32) {
	p.stamp++
	p.cone = p.cone[:0]
	add := func(f int32) {
		if p.inCone[f] != p.stamp {
			p.inCone[f] = p.stamp
			p.cone = append(p.cone, f)
		}
	}
	for _, g := range goals {
		add(g)
	}
	for i := 0; i < len(p.cone); i++ {
		for _, o := range p.n.by[p.cone[i]] {
			if p.live[o] {
				for _, q := range p.n.ops[o].pre {
					add(q)
				}
			}
		}
	}
}

// usable reports that an op may be used and establishes something wanted.
func (p *pricer) usable(o int32) bool {
	return p.live[o] && p.inCone[p.n.ops[o].fact] == p.stamp
}

// explore settles the cost of every fact in the cone, cheapest first.
func (p *pricer) explore() {
	p.queue = p.queue[:0]
	for _, f := range p.cone {
		p.cost[f] = infinite
	}
	for _, f := range p.cone {
		for _, o := range p.n.by[f] {
			p.missing[o], p.support[o] = int32(len(p.n.ops[o].pre)), -1
			if p.missing[o] == 0 && p.live[o] {
				p.offer(f, p.reduced[o])
			}
		}
	}
	for len(p.queue) > 0 {
		var next priced
		next, p.queue = heap.Pop(p.queue, sooner)
		d, f := next.cost, next.fact
		if d > p.cost[f] {
			continue
		}
		for _, o := range p.n.users[f] {
			if !p.usable(o) {
				continue
			}
			if p.missing[o]--; p.missing[o] == 0 {
				p.support[o] = f
				p.offer(p.n.ops[o].fact, d+p.reduced[o])
			}
		}
	}
}

func (p *pricer) offer(f int32, d int64) {
	if d < p.cost[f] {
		p.cost[f] = d
		p.queue = heap.Push(p.queue, priced{d, f}, sooner)
	}
}

// separate finds the landmark before a goal, takes its price off and repairs
// the costs.
func (p *pricer) separate(goal int32) cut {
	p.marker++
	p.markZone(goal)
	c := cut{price: infinite}
	p.stack = p.stack[:0]
	reach := func(o int32) {
		f := p.n.ops[o].fact
		switch {
		case p.zone[f] == p.marker:
			c.ops = append(c.ops, o)
			c.price = min(c.price, p.reduced[o])
		case p.front[f] != p.marker:
			p.front[f] = p.marker
			p.stack = append(p.stack, f)
		}
	}
	for _, f := range p.cone {
		for _, o := range p.n.by[f] {
			if p.live[o] && p.support[o] < 0 && p.missing[o] == 0 {
				reach(o)
			}
		}
	}
	for len(p.stack) > 0 {
		f := p.stack[len(p.stack)-1]
		p.stack = p.stack[:len(p.stack)-1]
		for _, o := range p.n.users[f] {
			if p.usable(o) && p.missing[o] == 0 && p.support[o] == f {
				reach(o)
			}
		}
	}
	for _, o := range c.ops {
		p.reduced[o] -= c.price
	}
	p.repair(c.ops)
	return c
}

// markZone marks the facts from which the goal is free.
func (p *pricer) markZone(goal int32) {
	p.zone[goal] = p.marker
	p.stack = append(p.stack[:0], goal)
	for len(p.stack) > 0 {
		f := p.stack[len(p.stack)-1]
		p.stack = p.stack[:len(p.stack)-1]
		for _, o := range p.n.by[f] {
			if s := p.support[o]; p.live[o] && p.reduced[o] == 0 && p.missing[o] == 0 && s >= 0 && p.zone[s] != p.marker {
				p.zone[s] = p.marker
				p.stack = append(p.stack, s)
			}
		}
	}
}

// repair lowers the costs after some ops have become cheaper.
func (p *pricer) repair(cheaper []int32) {
	p.queue = p.queue[:0]
	before := func(o int32) int64 {
		if p.support[o] < 0 {
			return 0
		}
		return p.cost[p.support[o]]
	}
	for _, o := range cheaper {
		p.offer(p.n.ops[o].fact, before(o)+p.reduced[o])
	}
	for len(p.queue) > 0 {
		var next priced
		next, p.queue = heap.Pop(p.queue, sooner)
		d, f := next.cost, next.fact
		if d > p.cost[f] {
			continue
		}
		for _, o := range p.n.users[f] {
			if p.support[o] != f || p.missing[o] != 0 || !p.usable(o) {
				continue
			}
			s := f
			for _, q := range p.n.ops[o].pre {
				if p.cost[q] > p.cost[s] {
					s = q
				}
			}
			p.support[o] = s
			p.offer(p.n.ops[o].fact, p.cost[s]+p.reduced[o])
		}
	}
}

// needs is the maximum cost of the needs of an op after [pricer.bound].
func (p *pricer) needs(o int32) int64 {
	var worst int64
	for _, q := range p.n.ops[o].pre {
		worst = max(worst, p.cost[q])
	}
	return worst
}

// A priced is a fact in the queue, with what it costs.
type priced struct {
	cost int64
	fact int32
}

// sooner orders facts by cost, then by number.
func sooner(a, b priced) bool {
	return a.cost < b.cost || a.cost == b.cost && a.fact < b.fact
}
