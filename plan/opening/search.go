package opening

import (
	"context"
	"math"
	"slices"

	"lastbolt/plan/heap"
	"lastbolt/plan/setups"
)

// pairCost stands for one more stretch of steps that need a second person. It
// is small enough to decide only between plans of equal minutes.
const pairCost = 1e-4

// tolerance is the difference in minutes that the search does not pursue. It
// absorbs rounding and pairCost.
const tolerance = 1e-3

// A label is a state of an order: which jobs of the present phase are done,
// what is set up, the time, and the least time by which the plan can end.
type label struct {
	phase  int8
	pair   bool
	place  int16
	tool   int16
	act    int32 // the job done last, or ^flip
	parent int32
	depth  int32
	on     uint32 // conditions that hold
	used   uint32 // conditions whose state something has asked for since it was switched
	time   float64
	left   float64 // hand minutes left in the phase
	f      float64
}

// noAct is the act of the label at the start.
const noAct = -1 << 30

// A run is one search for the best order.
type run struct {
	o      *order
	ctx    context.Context
	labels []label
	done   []uint64       // words a label
	ready  []float64      // slots a label: when each wait is over
	parts  []setups.State // groups a label, while the order has any: what of each is done
	seen   table
	open   []int32 // heap of labels by f, deepest first
	cutoff float64 // only orders below this are wanted
	kept   []label // the best complete order so far, nil if none
	nodes  int
	acts   []act // scratch
	out    []uint64
}

// An act is something that can be done next.
type act struct {
	code  int32 // a job of the phase, or ^flip
	place int16 // set up afterwards
	tool  int16
	setUp float64
	start float64
	plain bool // it may be done early and delays nothing by it
}

// A sequence is the outcome of a search for an order.
type sequence struct {
	labels []label // from the first act to the last
	end    float64 // pairCost included
	bound  float64 // no order ends before
	nodes  int
	rest   *run // can go on where the budget ended, nil if it has come to its end or must begin anew
}

// solve finds the best order that ends before cutoff, looking at no more than
// budget's worth of labels. The sequence has no labels when none was found; then bound
// tells whether there is any. What is cheap is tried first: the bound of the
// start, a beam, a short exact search, then beams and a long search with the
// bounds of groups of items. Of a long order only the last is any use.
func (o *order) solve(ctx context.Context, c *choice, before *grouping, cutoff float64, budget int) (s sequence) {
	r := o.m.spare.run(0, o, ctx, cutoff)
	weight := o.weight()
	budget = budget/weight + 1
	defer func() { s.nodes *= weight }()
	bound, done := r.bound()
	if !done && len(o.items) <= o.m.pace.long {
		bound, done = r.quick(budget)
	}
	if !done && budget > o.m.pace.order && len(o.items) <= o.m.pace.short {
		bound, done = r.longer(budget / 4)
	}
	switch {
	case done:
	case budget > o.m.pace.order:
		if bound, done = r.deep(c, before, budget); !done && o.groups != nil && len(o.items) <= o.m.pace.long {
			s = r.sequence(bound)
			s.rest = o.m.spare.part(0)
			return s
		}
	case len(r.kept) == 0:
		r.beam(1)
	}
	return r.sequence(bound)
}

// quick looks for an order with the bounds that cost little, and reports
// whether it has proven the bound it gives.
func (r *run) quick(budget int) (float64, bool) {
	r.o.limits.relaxPlaces(r.o)
	if bound, done := r.bound(); done {
		return bound, true
	}
	r.o.limits.relaxTools(r.o)
	bound, done := r.bound()
	if done {
		return bound, true
	}
	for _, width := range beams(budget, len(r.o.items)) {
		r.beam(width)
	}
	if bound, done = r.bound(); done {
		return bound, true
	}
	if gap := r.cutoff - bound; gap > 3*r.o.m.req.Map.SetUp.Tool {
		r.nodes += r.o.limits.improveAll(r.ctx, r.o, gap, min(budget, r.o.m.pace.order)/4)
		if bound, done = r.bound(); done {
			return bound, true
		}
	}
	return r.exact(min(budget, r.o.m.pace.order))
}

// longer searches exactly with better bounds of the way up.
func (r *run) longer(budget int) (float64, bool) {
	r.nodes += r.o.limits.improve(r.ctx, r.o, budget/4)
	if bound, done := r.bound(); done {
		return bound, true
	}
	return r.exact(budget)
}

// deep is quick with the bounds of groups of items.
func (r *run) deep(c *choice, before *grouping, budget int) (float64, bool) {
	o := r.o
	g := o.m.groupUp(c, o.m.noWeights(), before)
	if g == nil {
		r.beam(1)
		return r.exact(budget - r.nodes)
	}
	o.m.spare.grouped++
	steps := g.steps(budget / 4)
	enough := r.cutoff - o.hand[down] - o.hand[bottom] - o.hand[up]
	g.improve(r.ctx, steps, min(enough, 2*g.bound()+1))
	r.nodes += steps * g.effort()
	o.share(g)
	start, done := r.bound()
	o.groups.coarsen(o)
	bound := start
	for _, width := range []int{1, 10, 100} {
		if !done && r.nodes+width*2*len(o.items) < budget {
			r.beam(width)
			done = start >= r.cutoff-tolerance/2
		}
	}
	if !done {
		bound, done = r.exact(max(1, budget-r.nodes))
	}
	return max(bound, start), done
}

// weight is what a label counts in the budget: more for a longer order, whose
// labels take longer.
func (o *order) weight() int { return 1 + len(o.items)*len(o.items)/1000 }

// spare is memory that one search leaves to the next.
type spare struct {
	runs        [2]run
	grouped     int // searches that asked for groups
	place, tool [2]*relaxation
}

// usualLabels is room for what most searches look at.
const usualLabels = 512

// run is a fresh search in the memory of the last of its kind.
func (s *spare) run(kind int, o *order, ctx context.Context, cutoff float64) *run {
	r := &s.runs[kind]
	if r.labels == nil {
		r.labels, r.done, r.open = make([]label, 0, usualLabels), make([]uint64, 0, usualLabels), make([]int32, 0, usualLabels)
	}
	r.o, r.ctx, r.cutoff, r.nodes, r.kept = o, ctx, cutoff, 0, r.kept[:0]
	return r
}

// part takes the memory of a search away, so that it can go on later.
func (s *spare) part(kind int) *run {
	r := s.runs[kind]
	s.runs[kind] = run{}
	return &r
}

// beams are the widths of the quick searches that come before the exact one.
func beams(budget, items int) []int {
	if items < 40 {
		return []int{2}
	}
	return []int{1, max(2, min(24, budget/(items*40+1)))}
}

// bound is the bound of the start, and whether it proves that nothing better
// than the cutoff is left.
func (r *run) bound() (float64, bool) {
	r.reset()
	b := r.labels[0].f
	return b, b >= r.cutoff-tolerance/2
}

func (r *run) sequence(bound float64) sequence {
	s := sequence{end: math.Inf(1), bound: bound, nodes: r.nodes}
	if len(r.kept) > 0 {
		s.labels = slices.Clone(r.kept)
		s.end = r.kept[len(r.kept)-1].time
		s.bound = min(bound, s.end)
	}
	return s
}

// reset starts afresh from the start.
func (r *run) reset() {
	o := r.o
	r.labels = append(r.labels[:0], label{parent: nothing, on: o.on, used: math.MaxUint32, left: o.hand[down], act: noAct})
	r.done = append(r.done[:0], o.first...)
	r.ready = r.ready[:0]
	for range o.slots {
		r.ready = append(r.ready, 0)
	}
	r.parts = o.groups.start(r.parts[:0], down)
	r.seen.reset()
	r.open = r.open[:0]
	r.out = append(r.out[:0], o.first...)
	r.advance(0)
	r.labels[0].f = r.estimate(0)
}

func (r *run) bitsOf(l int32) []uint64 {
	w := int32(r.o.words)
	return r.done[l*w : (l+1)*w : (l+1)*w]
}

func (r *run) readyOf(l int32) []float64 {
	s := int32(r.o.slots)
	return r.ready[l*s : (l+1)*s : (l+1)*s]
}

func (r *run) partsOf(l int32) []setups.State {
	n := int32(r.o.groups.count())
	return r.parts[l*n : (l+1)*n : (l+1)*n]
}

// advance moves a label on to the next phase while its phase has nothing left.
func (r *run) advance(l int32) {
	lab := &r.labels[l]
	bits := r.bitsOf(l)
	for int(lab.phase) < phases && r.full(int(lab.phase), bits) {
		lab.phase++
		clear(bits)
		lab.left = 0
		if int(lab.phase) < phases {
			r.o.groups.start(r.partsOf(l)[:0], int(lab.phase))
			lab.left = r.o.hand[lab.phase]
		}
	}
}

func (r *run) full(p int, bits []uint64) bool {
	n := 0
	for _, w := range bits {
		n += popcount(w)
	}
	return n == len(r.o.jobs[p])
}

// finished reports a label with nothing left to do.
func (r *run) finished(l int32) bool {
	return int(r.labels[l].phase) == phases && r.labels[l].on == 0
}

// outNow fills r.out with the items that are out of the way at a label.
func (r *run) outNow(l int32) []uint64 {
	bits := r.bitsOf(l)
	n := len(r.o.items)
	for i := range r.out {
		all := fill(n, i)
		switch int(r.labels[l].phase) {
		case down:
			r.out[i] = bits[i]
		case bottom:
			r.out[i] = all
		case up:
			r.out[i] = all &^ bits[i]
		default:
			r.out[i] = 0
		}
	}
	return r.out
}

// fill is word i of a bitset of n ones.
func fill(n, i int) uint64 {
	n -= i * 64
	switch {
	case n <= 0:
		return 0
	case n >= 64:
		return math.MaxUint64
	}
	return 1<<n - 1
}

// exact is an A* search. It returns the bound it has proven, and whether it
// has come to its end.
func (r *run) exact(budget int) (float64, bool) {
	r.reset()
	r.push(0)
	return r.hunt(budget)
}

// upAlone is the least minutes of the way up from some places with any tool in
// hand and any conditions, less the switches that the limits count: what it
// has proven when the budget is spent.
func (r *run) upAlone(places []int, budget int) float64 {
	r.reset()
	r.labels, r.done, r.ready, r.parts = r.labels[:0], r.done[:0], r.ready[:0], r.parts[:0]
	r.seen.reset()
	head := make([]float64, 1<<len(r.o.conds)) // by conditions: switches counted anyway
	for on := range head {
		for k := range r.o.conds {
			head[on] += r.o.limits.flip[up][k][on>>k&1][r.o.limits.asks(up, k)]
		}
	}
	zero := slices.Max(head) // times are not negative: a wait that never ran is over at 0
	for _, place := range places {
		for on := range head {
			r.labels = append(r.labels, label{phase: up, place: int16(place), tool: anyTool, parent: nothing,
				on: uint32(on), used: math.MaxUint32, time: zero - head[on], left: r.o.hand[up], act: noAct})
			r.done = append(r.done, r.o.bits()...)
			r.ready = append(r.ready, make([]float64, r.o.slots)...)
			r.parts = r.o.groups.start(r.parts, up)
			k := int32(len(r.labels) - 1)
			if k > 0 {
				r.seen.add(r, k)
			}
			r.advance(k)
			r.labels[k].f = r.estimate(k)
			r.push(k)
		}
	}
	r.cutoff += zero
	bound, _ := r.hunt(budget)
	return bound - zero
}

// hunt takes the open labels, cheapest first, until the end is reached. It
// returns the bound it has proven, and whether it has come to its end.
func (r *run) hunt(budget int) (float64, bool) {
	limit := r.nodes + budget
	for len(r.open) > 0 {
		l := r.pop()
		if r.labels[l].f >= r.cutoff-tolerance/2 {
			return r.labels[l].f, true
		}
		if r.finished(l) {
			r.keep(l)
			return r.labels[l].f, true
		}
		if r.seen.dead(l) {
			continue
		}
		r.nodes++
		if r.nodes >= limit || r.nodes&255 == 0 && r.ctx.Err() != nil {
			r.push(l)
			return r.labels[l].f, false
		}
		r.expand(l, r.push)
	}
	return r.cutoff, true
}

// beam keeps the width most promising labels of each depth, and so finds an
// order quickly, but not for sure.
func (r *run) beam(width int) {
	r.reset()
	layer := []int32{0}
	for len(layer) > 0 {
		var next []int32
		for _, l := range layer {
			if r.finished(l) {
				if r.labels[l].f < r.cutoff-tolerance/2 {
					r.keep(l)
				}
				continue
			}
			r.nodes++
			r.expand(l, func(k int32) { next = append(next, k) })
		}
		next = slices.DeleteFunc(next, func(k int32) bool {
			return r.seen.dead(k) || r.labels[k].f >= r.cutoff-tolerance/2
		})
		slices.SortStableFunc(next, func(a, b int32) int { return r.compare(a, b) })
		layer = next[:min(width, len(next))]
	}
}

func (r *run) compare(a, b int32) int {
	x, y := &r.labels[a], &r.labels[b]
	switch {
	case x.f < y.f:
		return -1
	case x.f > y.f:
		return 1
	}
	return int(y.depth - x.depth)
}

// keep remembers the order that leads to a finished label.
func (r *run) keep(l int32) {
	r.cutoff = r.labels[l].time
	r.kept = r.kept[:0]
	for ; r.labels[l].parent != nothing; l = r.labels[l].parent {
		r.kept = append(r.kept, r.labels[l])
	}
	slices.Reverse(r.kept)
	if len(r.kept) == 0 {
		r.kept = append(r.kept, r.labels[l])
	}
}

// expand makes the labels that can follow one, and hands on those that are
// not dominated.
func (r *run) expand(l int32, yield func(int32)) {
	r.gather(l)
	r.outNow(l)
	for _, a := range r.acts {
		if k := r.follow(l, a); k != nothing {
			yield(k)
		}
	}
}

// follow makes the label after an act; nothing if it is no use.
func (r *run) follow(l int32, a act) int32 {
	o := r.o
	k := int32(len(r.labels))
	next := r.labels[l]
	next.parent, next.act = l, a.code
	next.depth++
	var j *job
	if a.code < 0 {
		f := &o.flips[^a.code]
		j = &f.job
		next.used |= j.uses(r.out, next.on, r.readyOf(l), a.start)
		next.on ^= 1 << (^a.code / 2)
		next.used &^= 1 << (^a.code / 2)
	} else {
		j = &o.jobs[next.phase][a.code]
		next.left -= j.hand + j.trouble
		next.used |= j.uses(r.out, next.on, r.readyOf(l), a.start)
	}
	next.place, next.tool, next.pair = a.place, a.tool, j.pair
	next.time = a.start + j.hand + j.trouble
	r.labels = append(r.labels, next)
	r.done = append(r.done, r.bitsOf(l)...)
	r.ready = append(r.ready, r.readyOf(l)...)
	r.parts = append(r.parts, r.partsOf(l)...)
	if a.code >= 0 {
		set(r.bitsOf(k), int(a.code))
		o.groups.follow(r.partsOf(k), int(next.phase), int(a.code))
	}
	if j.slot != nothing {
		r.readyOf(k)[j.slot] = next.time + j.wait
	}
	r.advance(k)
	if r.finished(k) {
		for _, s := range o.last {
			r.labels[k].time = max(r.labels[k].time, r.readyOf(k)[s])
		}
	}
	r.labels[k].f = max(r.estimate(k), r.labels[l].f)
	if r.labels[k].f >= r.cutoff-tolerance/2 || !r.seen.add(r, k) {
		r.labels = r.labels[:k]
		r.done = r.done[:int(k)*o.words]
		r.ready = r.ready[:int(k)*o.slots]
		r.parts = r.parts[:int(k)*o.groups.count()]
		return nothing
	}
	return k
}

// push and pop keep the heap of open labels.
func (r *run) push(l int32) { r.open = heap.Push(r.open, l, r.less) }

func (r *run) pop() (l int32) {
	l, r.open = heap.Pop(r.open, r.less)
	return l
}

func (r *run) less(a, b int32) bool { return r.compare(a, b) < 0 }
