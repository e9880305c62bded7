package opening

import (
	"math"
	"slices"
)

// A paused search for an order has spent its share of the budget. It goes on
// when nothing is left that may be better: often a better plan has ended it by
// then.
type paused struct {
	run    *run
	order  *order
	choice *choice
	bound  float64
}

// mostPaused searches are kept, for the sake of memory.
const mostPaused = 4

// orderShare is the part of what is left of a hunt's budget that one search for
// an order may spend at a time, and longShare that of a long one: the search gets
// nowhere near its end there, and what it leaves brings the mender further.
const (
	orderShare = 3
	longShare  = 8
)

// ordered reports whether the order of a choice was looked for already, since
// some hunts begin anew.
func (h *hunt) ordered(c *choice) bool {
	return slices.ContainsFunc(h.orders, func(way []int32) bool { return slices.Equal(way, c.way) })
}

// share is the budget for an order.
func (h *hunt) share(o *order) int {
	if len(o.items) > h.m.pace.long {
		return max(h.left/longShare, 200)
	}
	return max(h.left/orderShare, 200)
}

// pause keeps an unfinished search, or if there are too many gives it up.
func (h *hunt) pause(s sequence, o *order, c *choice) {
	bound := max(s.bound, h.known)
	if s.rest == nil || len(h.paused) == mostPaused {
		h.floor = min(h.floor, bound)
		return
	}
	h.paused = append(h.paused, paused{s.rest, o, c, bound})
}

// lowest is the least bound of the paused searches, infinite if there are none
// that may still find a better plan.
func (h *hunt) lowest() float64 {
	least := math.Inf(1)
	for i := range h.paused {
		least = min(least, h.paused[i].bound)
	}
	if least >= h.best.end-tolerance/2 {
		return math.Inf(1)
	}
	return least
}

// resume goes on with the paused search of the least bound.
func (h *hunt) resume() {
	k := 0
	for i := range h.paused {
		if h.paused[i].bound < h.paused[k].bound {
			k = i
		}
	}
	p := &h.paused[k]
	r := p.run
	r.cutoff, r.kept = min(r.cutoff, h.best.end), r.kept[:0]
	before, weight := r.nodes, p.order.weight()
	bound, done := r.hunt(h.share(p.order)/weight + 1)
	h.spend((r.nodes - before) * weight)
	if len(r.kept) > 0 {
		h.best, h.order, h.choice = r.sequence(bound), p.order, p.choice
	}
	p.bound = max(p.bound, bound)
	if done {
		h.paused = slices.Delete(h.paused, k, k+1)
	}
}
