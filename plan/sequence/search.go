package sequence

import (
	"context"
	"fmt"
	"slices"
)

const words = (MaxSteps + 1) / 64

type set [words]uint64

func (s *set) has(i int) bool { return s[i>>6]&(1<<(i&63)) != 0 }
func (s *set) add(i int)      { s[i>>6] |= 1 << (i & 63) }

// A label is a partial order: the steps done, the set-up they leave behind,
// and the cost so far. Two labels with the same steps and set-up differ only
// in cost and in waits still running.
type label struct {
	done   set
	at     int16 // position (or, for a matrix, the last step)
	tool   int16
	on     uint16
	step   int16 // the last step
	parent int32 // index in the layer before
	next   int32 // another label with the same steps and set-up, or -1
	cost   int64
	bound  int64 // no completion costs less
	work   int64 // hand work left
	waits  []wait
}

// A wait says when a step may start at the earliest.
type wait struct {
	step  int16
	ready int64
}

// A model gives the search its steps and costs.
type model interface {
	// size is the number of steps.
	size() int
	// expand calls emit with every label that l can be extended to in next.
	// The fields parent, next and bound are left to the search.
	expand(l, next *label, emit func())
	// rest is a lower bound on the cost of completing l; exact when l is
	// complete. Anything from enough on will do as well as more.
	rest(l *label, enough int64) int64
}

const infinite = int64(1) << 60

// runner is a search by layers: layer k holds the labels with k steps. It is
// dynamic programming over the sets that are closed under precedence, thinned
// by bounds, and by a width: of each layer only the most promising labels are
// kept. Nothing dropped for width means proven. Otherwise the least bound of
// what was dropped is a bound for all, and the width grows.
type runner struct {
	ctx    context.Context
	m      model
	layers [][]label
	table  []int32
	upper  int64
	order  []int16 // of the best
	lost   int64   // least bound dropped for width
	used   int
	limit  int
	stop   bool
}

// search runs the model with growing widths. input maps the model's steps to
// the caller's; scale is the worth of a cost unit in millionths.
func search(ctx context.Context, m model, origin label, input []int, opt Options, scale int64) (Result, error) {
	r := &runner{ctx: ctx, m: m, upper: infinite, limit: opt.States}
	if r.limit <= 0 {
		r.limit = DefaultStates
	}
	origin.bound = m.rest(&origin, infinite)
	lower := min(origin.bound, infinite)
	for width := 4; ; width *= 8 {
		r.lost = infinite
		r.sweep(origin, width)
		lower = max(lower, min(r.lost, r.upper))
		if lower >= r.upper || r.stop {
			break
		}
		r.better(width)
	}
	if r.order == nil {
		return Result{}, fmt.Errorf("%w (after %d states)", ErrStopped, r.used)
	}
	res := Result{States: r.used, Proven: lower >= r.upper,
		Cost: float64(r.upper*scale) * Unit, Bound: float64(min(lower, r.upper)*scale) * Unit}
	for _, s := range r.order {
		if int(s) < len(input) { // else the set-up to end in
			res.Order = append(res.Order, input[s])
		}
	}
	return res, nil
}

// kicksFor says how hard to look for a better order after a sweep of a width:
// little as long as the search may be over soon.
var kicksFor = map[int]int{32: 100, 256: 6000}

// better makes the best order cheaper, if the model can.
func (r *runner) better(width int) {
	if m, ok := r.m.(improver); ok && kicksFor[width] > 0 && r.order != nil {
		r.order, r.upper = m.improve(r.ctx, r.order, r.upper, kicksFor[width])
	}
}

// sweep fills the layers once.
func (r *runner) sweep(origin label, width int) {
	n := r.m.size()
	if len(r.layers) == 0 {
		r.layers = make([][]label, n+1)
	}
	origin.parent, origin.next = -1, -1
	r.layers[0] = append(r.layers[0][:0], origin)
	for k := range n {
		r.grow(k)
		if r.stop && r.order != nil {
			// What was not looked at is not ruled out.
			for i := range r.layers[k] {
				r.lost = min(r.lost, r.layers[k][i].bound)
			}
			return
		}
		r.thin(k+1, width)
		if len(r.layers[k+1]) == 0 {
			return
		}
	}
	for i := range r.layers[n] {
		l := &r.layers[n][i]
		if l.bound < r.upper {
			r.upper = l.bound
			r.trace(n, int32(i))
		}
	}
}

// grow fills layer k+1 from layer k.
func (r *runner) grow(k int) {
	from := r.layers[k]
	to := r.layers[k+1][:0]
	r.resize(64)
	var next label
	for i := range from {
		r.used++
		if r.used > r.limit || r.used&255 == 0 && r.ctx.Err() != nil {
			r.stop = true
			if r.order != nil {
				break
			}
		}
		if from[i].bound >= r.upper {
			continue
		}
		r.m.expand(&from[i], &next, func() {
			next.parent = int32(i)
			to = r.insert(to, &next, from[i].bound)
		})
	}
	r.layers[k+1] = to
}

// insert adds c to a layer unless a label there is as good; it takes the place
// of one that is worse.
func (r *runner) insert(layer []label, c *label, floor int64) []label {
	if 2*len(layer) >= len(r.table) {
		r.resize(4 * len(r.table))
		for i := range layer {
			r.link(layer, int32(i))
		}
	}
	slot := r.find(layer, c)
	for i := r.table[slot]; i >= 0; i = layer[i].next {
		if dominates(&layer[i], c) {
			return layer
		}
	}
	c.bound = max(floor, c.cost+r.m.rest(c, r.upper-c.cost))
	if c.bound >= r.upper {
		return layer
	}
	for i := r.table[slot]; i >= 0; i = layer[i].next {
		if dominates(c, &layer[i]) {
			c.next = layer[i].next
			layer[i] = *c
			return layer
		}
	}
	c.next = r.table[slot]
	r.table[slot] = int32(len(layer))
	return append(layer, *c)
}

// dominates reports that whatever follows b can follow a and end no later.
func dominates(a, b *label) bool {
	if a.cost > b.cost {
		return false
	}
	for _, w := range a.waits {
		if w.ready <= b.cost {
			continue
		}
		i := slices.IndexFunc(b.waits, func(v wait) bool { return v.step == w.step })
		if i < 0 || b.waits[i].ready < w.ready {
			return false
		}
	}
	return true
}

func (r *runner) resize(n int) {
	if n > cap(r.table) {
		r.table = make([]int32, n)
	}
	r.table = r.table[:n]
	for i := range r.table {
		r.table[i] = -1
	}
}

// find is the slot of the labels that share c's steps and set-up.
func (r *runner) find(layer []label, c *label) int {
	h := uint64(uint16(c.at)) | uint64(uint16(c.tool))<<16 | uint64(c.on)<<32
	for _, w := range c.done {
		h = (h ^ w) * 0x9e3779b97f4a7c15
		h ^= h >> 29
	}
	mask := len(r.table) - 1
	for i := int(h>>20) & mask; ; i = (i + 1) & mask {
		if j := r.table[i]; j < 0 || same(&layer[j], c) {
			return i
		}
	}
}

func (r *runner) link(layer []label, i int32) {
	slot := r.find(layer, &layer[i])
	layer[i].next = r.table[slot]
	r.table[slot] = i
}

func same(a, b *label) bool {
	return a.at == b.at && a.tool == b.tool && a.on == b.on && a.done == b.done
}

// thin drops what the best found has overtaken, and what exceeds the width.
func (r *runner) thin(k, width int) {
	layer := r.layers[k]
	if k == r.m.size() || len(layer) <= width {
		return
	}
	slices.SortStableFunc(layer, func(a, b label) int {
		switch {
		case a.bound != b.bound:
			return int(min(1, max(-1, a.bound-b.bound)))
		case a.cost != b.cost:
			return int(min(1, max(-1, b.cost-a.cost)))
		}
		return 0
	})
	r.lost = min(r.lost, layer[width].bound)
	r.layers[k] = layer[:width]
}

// trace reads the order that leads to a complete label.
func (r *runner) trace(k int, i int32) {
	r.order = make([]int16, k)
	for ; k > 0; k-- {
		l := &r.layers[k][i]
		r.order[k-1] = l.step
		i = l.parent
	}
}
