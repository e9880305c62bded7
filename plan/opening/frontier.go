package opening

import (
	"context"
	"math"
	"slices"

	"lastbolt/plan/heap"
)

// A hunt is the search over choices of ways, cheapest bound first. Every choice
// that is complete becomes an order; the hunt ends when no bound is left below
// the best order.
type hunt struct {
	m      *model
	ctx    context.Context
	heap   []*choice
	made   int
	left   int // budget
	used   int
	best   sequence
	order  *order
	choice *choice
	floor  float64   // least bound of what was given up
	asked  bool      // package andor has been asked
	known  float64   // a bound on every choice
	groups *grouping // of the first choice, once they are asked for
	orders [][]int32 // the choices whose order was looked for, by item
	paused []paused
}

// run searches and returns the proven bound.
func (h *hunt) run(root *choice) float64 {
	h.best.end = math.Inf(1)
	h.floor = math.Inf(1)
	h.push(root)
	for len(h.heap) > 0 || h.lowest() < math.Inf(1) {
		if len(h.heap) == 0 || h.lowest() < h.heap[0].bound {
			if h.resume(); h.left <= 0 || h.ctx.Err() != nil {
				return min(h.floor, h.lowest(), h.top(), h.best.end)
			}
			continue
		}
		c := h.pop()
		h.seeded(root)
		if h.deepen(root) {
			continue
		}
		c.bound = max(c.bound, h.known)
		if c.bound >= h.best.end-tolerance/2 {
			return min(h.floor, c.bound)
		}
		h.spend(1 + len(h.m.items)/10)
		if h.left <= 0 || h.ctx.Err() != nil {
			h.floor = min(h.floor, c.bound, h.lowest())
			if h.best.labels == nil {
				h.dive(c)
			}
			return h.floor
		}
		if !h.sound(c) || !h.viewed(c) {
			continue
		}
		if !c.open {
			h.sequence(c)
		}
		for _, n := range h.m.branch(c) {
			n.bound = max(h.m.least(n), c.bound)
			if n.bound < h.best.end-tolerance/2 {
				h.push(n)
			}
		}
	}
	return min(h.floor, h.best.end)
}

// top is the least bound of the choices still to be looked at.
func (h *hunt) top() float64 {
	if len(h.heap) == 0 {
		return math.Inf(1)
	}
	return h.heap[0].bound
}

func (h *hunt) spend(n int) {
	h.used += n
	h.left -= n
}

// sequence orders a complete choice.
func (h *hunt) sequence(c *choice) {
	if h.ordered(c) {
		return
	}
	h.orders = append(h.orders, c.way)
	o := newOrder(h.m, c)
	if !o.possible() {
		return
	}
	s := o.solve(h.ctx, c, h.groups, h.best.end, h.share(o))
	h.spend(s.nodes)
	if s.labels != nil {
		h.best, h.order, h.choice = s, o, c
	}
	if s.bound < min(s.end, h.best.end)-tolerance/2 {
		h.pause(s, o, c)
	}
}

// dive completes a choice by always taking the cheapest branch, so that a
// search that is stopped early still has a plan.
func (h *hunt) dive(c *choice) {
	for c.open {
		parts := h.m.branch(c)
		if len(parts) == 0 {
			return
		}
		for _, n := range parts {
			n.bound = h.m.least(n)
		}
		c = slices.MinFunc(parts, func(a, b *choice) int { return int(math.Copysign(1, a.bound-b.bound)) })
	}
	h.sequence(c)
}

func (h *hunt) less(a, b *choice) bool {
	return a.bound < b.bound || a.bound == b.bound && a.seq > b.seq
}

func (h *hunt) push(c *choice) {
	h.made++
	c.seq = h.made
	h.heap = heap.Push(h.heap, c, h.less)
}

func (h *hunt) pop() (c *choice) {
	c, h.heap = heap.Pop(h.heap, h.less)
	return c
}

// least is the least minutes of any plan within a choice: the works, every
// item that is sure to be in it by its cheapest way left, and the fillings and
// set-ups that the decided ways cannot do without.
func (m *model) least(c *choice) float64 {
	var downPlaces, upPlaces uint64
	downTools, upTools := make([]bool, len(m.tools)), make([]bool, len(m.tools))
	note := func(places *uint64, tools []bool, place, tool int) {
		if place != nothing {
			*places |= 1 << (place & 63)
		}
		if tool != nothing {
			tools[tool] = true
		}
	}
	for i := range m.works {
		note(&downPlaces, downTools, m.works[i].place, m.works[i].tool)
	}
	for i, k := range c.way {
		if k < 0 || m.items[i].src.Repeats {
			continue
		}
		w := &m.ways[k]
		note(&upPlaces, upTools, w.backPlace, w.tool)
		if m.items[i].already == nothing {
			note(&downPlaces, downTools, w.place, w.tool)
		}
	}
	setUps := m.leastMoves(downPlaces, 0) + m.leastMoves(upPlaces, nothing) +
		float64(count(downTools)+max(0, count(upTools)-1))*m.req.Map.SetUp.Tool
	return m.leastHands(c) + max(setUps, c.extra)
}

// leastHands is the part of least that is not set-ups.
func (m *model) leastHands(c *choice) float64 {
	sum := m.fillings(c)
	for i := range m.works {
		sum += m.works[i].minutes
	}
	for i, k := range c.way {
		switch {
		case k == fitted:
		case k == wanted:
			sum += m.cheapest(c, i)
		case m.items[i].already != nothing:
			sum += m.ways[k].up
		default:
			sum += m.ways[k].minutes()
		}
	}
	return sum
}

// fillings is the hand minutes of filling what the decided ways let out.
func (m *model) fillings(c *choice) float64 {
	if len(m.fluids) == 0 {
		return 0
	}
	longest := make([]float64, len(m.fluids))
	for i, k := range c.way {
		if k < 0 || m.items[i].src.Repeats {
			continue
		}
		for _, f := range m.ways[k].fluids {
			longest[f] = max(longest[f], m.ways[k].fillingOf(f).Mean())
		}
	}
	sum := 0.0
	for _, t := range longest {
		sum += t
	}
	return sum
}

func count(b []bool) int {
	n := 0
	for _, x := range b {
		if x {
			n++
		}
	}
	return n
}

func (m *model) cheapest(c *choice, item int) float64 {
	least := math.Inf(1)
	for _, k := range m.items[item].ways {
		if !c.banned(k) {
			least = min(least, m.ways[k].minutes())
		}
	}
	return least
}

// leastMoves is the least minutes to visit some places from a place, or from
// whichever is best.
func (m *model) leastMoves(places uint64, from int) float64 {
	l := limits{path: m.paths()}
	if from != nothing {
		return l.visit(m, places&^(1<<from), from)
	}
	least := math.Inf(1)
	for p := range m.places {
		least = min(least, l.visit(m, places, p))
	}
	return least
}

// possible tells quickly that some order's items can neither all come off nor
// all go back. It looks away from conditions and alternatives on the way back.
func (o *order) possible() bool {
	for _, p := range []int{down, up} {
		done := o.bits()
		if p == down {
			copy(done, o.first)
		}
		for changed := true; changed; {
			changed = false
			for i := range o.jobs[p] {
				j := &o.jobs[p][i]
				if has(done, i) || !covers(done, j.pre) {
					continue
				}
				if p == down && slices.ContainsFunc(j.gates, func(g gate) bool { return !g.open(done, math.MaxUint32) }) {
					continue
				}
				set(done, i)
				changed = true
			}
		}
		for i := range o.jobs[p] {
			if !has(done, i) {
				return false
			}
		}
	}
	return true
}
