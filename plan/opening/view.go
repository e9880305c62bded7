package opening

import "math"

// viewed improves the bound of a choice by the order of what is decided. It
// reports whether the choice is still to be looked at, now.
func (h *hunt) viewed(c *choice) bool {
	if c.seen || h.best.labels == nil && (h.made > 1 || !c.open) {
		return true
	}
	c.seen = true
	h.spend(h.m.view(c))
	c.bound = math.Max(c.bound, h.m.leastHands(c)+c.extra)
	if c.bound >= h.best.end-tolerance/2 {
		return false
	}
	if len(h.heap) > 0 && h.heap[0].bound < c.bound {
		h.push(c)
		return false
	}
	return true
}

// view finds set-ups and switches that the decided steps of a choice cannot do
// without, in whatever order what they are known to need of one another allows.
// They hold for whatever the choice may still become: leaving steps out costs
// nothing, by the triangle inequality of the set-ups. Only the changes of place
// are followed; those of tool take long to follow and say little. It gives what
// that took, in nodes.
func (m *model) view(c *choice) int {
	o := layOrder(m, c, true)
	o.limits.relaxPlaces(o)
	extra := o.limits.setUps(o, down, o.first, 0, 0) - o.hand[up]
	for k, i := range o.conds {
		holds, once := 0, m.ways[c.way[i]].minutes()
		if o.on&(1<<k) != 0 {
			holds, once = 1, m.ways[c.way[i]].up
		}
		extra += o.limits.flip[down][k][holds][o.limits.asks(down, k)] - once
	}
	c.extra = math.Max(c.extra, extra)
	return (len(o.limits.place[0].key) + len(o.limits.place[1].key)) / statesANode * o.weight()
}

// statesANode is how many states of a relaxation take as long as a node.
const statesANode = 8
