package opening

import (
	"context"
	"math"
	"math/bits"
	"math/rand/v2"
	"slices"
)

// A mender makes a plan better step by step. It takes a few items out of an
// order, perhaps with another way for one of them, and puts them back where
// they cost least between the steps that stay: the least over all places for
// them, found over the sets of them that are done before each step that stays
// (large neighbourhoods; Shaw 1998, from memory). It proves nothing.
type mender struct {
	m      *model
	ctx    context.Context
	root   *choice
	rand   *rand.Rand
	plan   mended
	effort int // in fifths of a label's work
}

// A mended is a plan as the mender has it.
type mended struct {
	c      *choice
	o      *order
	tokens [phases][]token
	labels []label
	end    float64
}

// A token is a step by what it is about, whatever the order's numbers.
type token struct {
	kind tokenKind
	ref  int
}

type tokenKind int8

const (
	ofItem tokenKind = iota
	ofWork
	ofFluid
	ofSwitchOn
	ofSwitchOff
)

func (o *order) token(p int, code int32) token {
	switch {
	case code < 0 && ^code%2 == 0:
		return token{ofSwitchOn, o.conds[^code/2]}
	case code < 0:
		return token{ofSwitchOff, o.conds[^code/2]}
	case p == bottom:
		return token{ofWork, o.jobs[p][code].ref}
	case o.jobs[p][code].fill:
		return token{ofFluid, o.jobs[p][code].ref}
	}
	return token{ofItem, o.jobs[p][code].ref}
}

// code is a token's number in an order; false if the order has no such step.
func (o *order) code(p int, t token) (int32, bool) {
	switch t.kind {
	case ofSwitchOn, ofSwitchOff:
		k := o.cond[t.ref]
		return ^int32(2*k + int(t.kind-ofSwitchOn)), k != nothing
	case ofItem:
		return int32(o.at[t.ref]), o.at[t.ref] != nothing
	case ofWork:
		return int32(t.ref), true
	}
	for i := len(o.items); i < len(o.jobs[p]); i++ {
		if o.jobs[p][i].ref == t.ref {
			return int32(i), true
		}
	}
	return 0, false
}

// mend makes the best plan of a hunt better, with no more than budget's worth
// of labels.
func (h *hunt) mend(root *choice, budget int) {
	d := &mender{m: h.m, ctx: h.ctx, root: root, rand: rand.New(rand.NewPCG(1, 2))}
	if !d.begin(h) || len(d.plan.o.items) == 0 {
		return
	}
	d.improve(5 * budget)
	h.spend(d.effort / 5)
	if d.plan.end < h.best.end-tolerance/2 {
		h.best.labels, h.best.end = d.plan.labels, d.plan.end
		h.order, h.choice = d.plan.o, d.plan.c
	}
}

// begin takes over the hunt's best plan.
func (d *mender) begin(h *hunt) bool {
	d.plan = mended{c: h.choice, o: newOrder(d.m, h.choice), end: h.best.end, labels: h.best.labels}
	p := int8(down)
	if r := d.fresh(d.plan.o, math.Inf(1)); true {
		p = r.labels[0].phase
	}
	for i := range d.plan.labels {
		l := &d.plan.labels[i]
		if p >= phases {
			p = up
		}
		d.plan.tokens[p] = append(d.plan.tokens[p], d.plan.o.token(int(p), l.act))
		p = l.phase
	}
	return len(d.plan.labels) > 0
}

func (d *mender) fresh(o *order, cutoff float64) *run {
	r := d.m.spare.run(0, o, d.ctx, cutoff)
	r.reset()
	return r
}

// improve tries one change after the other.
func (d *mender) improve(budget int) {
	for d.effort < budget && d.ctx.Err() == nil {
		d.effort += 20
		c, o := d.plan.c, d.plan.o
		var out []int
		if d.rand.IntN(3) == 0 {
			if c, out = d.otherWay(); c == nil {
				continue
			}
			if o = newOrder(d.m, c); len(o.items) == 0 || !o.possible() {
				continue
			}
			d.effort += len(o.items)
		} else {
			out = []int{o.items[d.rand.IntN(len(o.items))]}
		}
		d.try(c, o, d.grow(o, out))
	}
}

// otherWay is the plan's choice with one item's way changed, and the items by
// which the two differ.
func (d *mender) otherWay() (*choice, []int) {
	var can []int
	for i, w := range d.plan.c.way {
		if w >= 0 && d.m.items[i].already == nothing && len(d.m.items[i].ways) > 1 {
			can = append(can, i)
		}
	}
	if len(can) == 0 {
		return nil, nil
	}
	i := can[d.rand.IntN(len(can))]
	k := d.m.items[i].ways[d.rand.IntN(len(d.m.items[i].ways))]
	if d.root.banned(k) || int32(k) == d.plan.c.way[i] {
		return nil, nil
	}
	c := d.like(i, k)
	if c == nil {
		return nil, nil
	}
	var out []int
	for x, w := range c.way {
		if w >= 0 && w != d.plan.c.way[x] && !d.m.items[x].src.Repeats {
			out = append(out, x)
		}
	}
	return c, out
}

// like completes the choice of a way for an item as the plan has the rest.
func (d *mender) like(item, way int) *choice {
	c := d.root.clone()
	if w := c.way[item]; w >= 0 && int(w) != way {
		return nil
	}
	for _, k := range d.m.items[item].ways {
		if k != way {
			c.rule(k)
		}
	}
	for d.m.settle(c) {
		if !c.open {
			return c
		}
		if !d.decide(c) {
			return nil
		}
	}
	return nil
}

// decide takes one decision as the plan has it.
func (d *mender) decide(c *choice) bool {
	if i := d.m.toDecide(c); i != nothing {
		k := d.plan.c.way[i]
		if k < 0 || c.banned(int(k)) {
			least := math.Inf(1)
			for _, w := range d.m.items[i].ways {
				if min := d.m.ways[w].minutes(); !c.banned(w) && min < least {
					k, least = int32(w), min
				}
			}
		}
		if k < 0 {
			return false
		}
		c.way[i] = k
		return true
	}
	var kids []*tree
	d.m.needs(c, func(t *tree) {
		if len(kids) == 0 {
			kids = d.m.alternatives(c, t, kids)
		}
	})
	if len(kids) == 0 {
		return false
	}
	pick := kids[0]
	for _, k := range kids {
		if k.test(func(l *tree) bool { return d.plan.c.way[l.item] >= 0 }) {
			pick = k
			break
		}
	}
	ok, changed := d.m.want(c, pick)
	return ok && changed
}

// mostOut is how many items are taken out at a time.
const mostOut = 10

// grow adds to the items to take out some that are next to them in the order
// of needs, or in the plan.
func (d *mender) grow(o *order, out []int) []int {
	size := 2 + d.rand.IntN(mostOut-1)
	for tries := 0; len(out) < size && tries < 4*size; tries++ {
		var x int
		if len(out) == 0 || d.rand.IntN(5) == 0 {
			x = o.items[d.rand.IntN(len(o.items))]
		} else {
			x = d.neighbour(o, out[d.rand.IntN(len(out))])
		}
		if x != nothing && !slices.Contains(out, x) {
			out = append(out, x)
		}
	}
	return out
}

// neighbour is an item that directly needs the other or is needed by it.
func (d *mender) neighbour(o *order, item int) int {
	b := o.at[item]
	if b == nothing {
		return nothing
	}
	n, found := 0, nothing
	for x := range o.items {
		if x != b && (has(o.jobs[down][b].pre, x) || has(o.jobs[down][x].pre, b)) {
			if n++; d.rand.IntN(n) == 0 {
				found = o.items[x]
			}
		}
	}
	return found
}

// try takes items out of the plan's order, of which those that another order
// has too are kept, puts them back and keeps what has become no worse.
func (d *mender) try(c *choice, o *order, out []int) {
	var tokens [phases][]token
	var codes []int32
	before := stand{}
	for p := range phases {
		w := weave{d: d, o: o, p: p, from: before, next: d.nextStand(p + 1)}
		for _, t := range d.plan.tokens[p] {
			if t.kind == ofItem && slices.Contains(out, t.ref) {
				continue
			}
			if code, ok := o.code(p, t); ok {
				w.rest = append(w.rest, code)
			}
		}
		if p != bottom {
			for _, i := range out {
				if b := o.at[i]; b != nothing && !(p == down && has(o.first, b)) {
					w.jobs = append(w.jobs, b)
				}
			}
		}
		seq, ok := w.best()
		if !ok {
			return
		}
		before = w.end
		for _, code := range seq {
			codes = append(codes, code)
			tokens[p] = append(tokens[p], o.token(p, code))
		}
	}
	labels, end := d.replay(o, codes)
	if labels != nil && end <= d.plan.end+1e-9 {
		d.plan = mended{c, o, tokens, labels, end}
	}
}

// nextStand is where the first steps of the plan from a phase on want the
// hands.
func (d *mender) nextStand(p int) stand {
	s := stand{nothing, nothing}
	for ; p < phases; p++ {
		for _, t := range d.plan.tokens[p] {
			code, ok := d.plan.o.code(p, t)
			if !ok {
				continue
			}
			j := d.plan.o.job(p, code)
			if s.place == nothing {
				s.place = int16(j.place)
			}
			if s.tool == nothing {
				s.tool = int16(j.tool)
			}
		}
	}
	return s
}

func (o *order) job(p int, code int32) *job {
	if code < 0 {
		return &o.flips[^code].job
	}
	return &o.jobs[p][code]
}

// replay plays a sequence through. It gives no labels if it cannot be done, or
// ends later than the plan.
func (d *mender) replay(o *order, codes []int32) ([]label, float64) {
	d.effort += len(codes)
	r := d.fresh(o, d.plan.end+tolerance)
	l := int32(0)
	for _, code := range codes {
		out := r.outNow(l)
		p := int(r.labels[l].phase)
		r.acts = r.acts[:0]
		if code < 0 {
			r.gatherFlip(l, int(^code), out)
		} else if p < phases && int(code) < len(o.jobs[p]) && !has(r.bitsOf(l), int(code)) && r.possible(l, int(code), out) {
			r.acts = append(r.acts, r.timed(l, &o.jobs[p][code], code))
		}
		if len(r.acts) == 0 || math.IsInf(r.acts[0].start, 1) {
			return nil, 0
		}
		a := r.acts[0]
		r.outNow(l)
		if l = r.follow(l, a); l == nothing {
			return nil, 0
		}
	}
	if !r.finished(l) {
		return nil, 0
	}
	end := r.labels[l].time
	r.keep(l)
	return slices.Clone(r.kept), end
}

// A stand is where the hands are and what they hold.
type stand struct{ place, tool int16 }

// A weave puts jobs of a phase between the steps that stay, at the least
// set-ups.
type weave struct {
	d     *mender
	o     *order
	p     int
	rest  []int32
	jobs  []int
	from  stand
	next  stand // what comes after wants
	end   stand // reached by the best
	masks []uint32
	after [][]int32 // by mask and job: the mask with it, nothing if it cannot be next
	cells [2][][]int32
	all   []strand
	probe run
}

// A strand is the cheapest way so far to have done some of both.
type strand struct {
	stand
	cost   float64
	parent int32
	code   int32
}

// mostMasks bounds the sets of jobs that a weave tells apart.
const mostMasks = 100

// layMasks lists the sets of jobs that can be done before the others.
func (w *weave) layMasks() bool {
	if len(w.jobs) > 31 {
		return false
	}
	pre := make([]uint32, len(w.jobs))
	for a, i := range w.jobs {
		for b, k := range w.jobs {
			if a != b && has(w.o.jobs[w.p][i].pre, k) {
				pre[a] |= 1 << b
			}
		}
	}
	at := map[uint32]int32{0: 0}
	w.masks = append(w.masks[:0], 0)
	for n := 0; n < len(w.masks); n++ {
		follow := make([]int32, len(w.jobs))
		for a := range w.jobs {
			follow[a] = nothing
			to := w.masks[n] | 1<<a
			if to == w.masks[n] || pre[a]&^w.masks[n] != 0 {
				continue
			}
			k, ok := at[to]
			if !ok {
				k = int32(len(w.masks))
				at[to] = k
				w.masks = append(w.masks, to)
			}
			follow[a] = k
		}
		w.after = append(w.after, follow)
		if len(w.masks) > mostMasks {
			return false
		}
	}
	return bits.OnesCount32(w.masks[len(w.masks)-1]) == len(w.jobs)
}

// best is the cheapest order of the steps that stay and the jobs.
func (w *weave) best() ([]int32, bool) {
	if !w.layMasks() {
		return nil, false
	}
	o := w.o
	n := len(w.masks)
	w.cells[0], w.cells[1] = make([][]int32, n), make([][]int32, n)
	w.probe = run{o: o, labels: make([]label, 1), done: o.bits(), out: make([]uint64, o.words)}
	w.probe.labels[0].phase = int8(w.p)
	w.probe.labels[0].on = w.startOn()
	w.all = append(w.all[:0], strand{stand: w.from, parent: nothing})
	w.cells[0][0] = []int32{0}
	prefix := o.bits()
	if w.p == down {
		copy(prefix, o.first)
	}
	for g := 0; g <= len(w.rest); g++ {
		here, then := w.cells[g&1], w.cells[g&1^1]
		for m := range then {
			then[m] = then[m][:0]
		}
		for m := range n { // masks of fewer jobs come first
			if len(here[m]) > 0 {
				w.step(here, then, m, g, prefix)
			}
		}
		if g < len(w.rest) {
			if code := w.rest[g]; code >= 0 {
				set(prefix, int(code))
			} else {
				w.probe.labels[0].on ^= 1 << (^code / 2)
			}
		}
		w.d.effort += n / 8
	}
	return w.trace(w.cells[len(w.rest)&1][n-1])
}

// startOn is the conditions that hold when the phase begins.
func (w *weave) startOn() uint32 {
	on := w.o.on
	for p := range w.p {
		for _, t := range w.d.plan.tokens[p] {
			if t.kind >= ofSwitchOn {
				if k := w.o.cond[t.ref]; k != nothing {
					on ^= 1 << k
				}
			}
		}
	}
	return on
}

// step goes on from a set of jobs before the g-th step that stays.
func (w *weave) step(here, then [][]int32, m, g int, prefix []uint64) {
	r := &w.probe
	copy(r.done, prefix)
	for b := w.masks[m]; b != 0; b &= b - 1 {
		set(r.done, w.jobs[bits.TrailingZeros32(b)])
	}
	out := r.outNow(0)
	for a, to := range w.after[m] {
		if to != nothing && r.possible(0, w.jobs[a], out) {
			j := &w.o.jobs[w.p][w.jobs[a]]
			for _, s := range here[m] {
				w.add(&here[to], s, j, int32(w.jobs[a]))
			}
		}
	}
	if g == len(w.rest) || !w.stays(w.rest[g], out) {
		return
	}
	j := w.o.job(w.p, w.rest[g])
	for _, s := range here[m] {
		w.add(&then[m], s, j, w.rest[g])
	}
}

// stays reports whether a step that stays can be done now.
func (w *weave) stays(code int32, out []uint64) bool {
	r := &w.probe
	if code >= 0 {
		return r.possible(0, int(code), out)
	}
	f := &w.o.flips[^code]
	on := r.labels[0].on
	if f.on&^on != 0 || f.off&on != 0 || !covers(out, f.out) || meets(out, f.in) {
		return false
	}
	return !slices.ContainsFunc(f.gates, func(g gate) bool { return !g.open(out, on) })
}

// change is the set-up from one stand to another.
func (w *weave) change(from, to stand) float64 {
	cost := w.d.m.move[from.place][to.place]
	if from.tool != to.tool {
		cost += w.d.m.req.Map.SetUp.Tool
	}
	return cost
}

// add enters a strand unless another is as good.
func (w *weave) add(cell *[]int32, from int32, j *job, code int32) {
	f := &w.all[from]
	to := stand{int16(now(j.place, f.place)), int16(now(j.tool, f.tool))}
	s := strand{to, f.cost + w.change(f.stand, to), from, code}
	for _, k := range *cell {
		if o := &w.all[k]; o.cost+w.change(o.stand, to) <= s.cost+1e-9 {
			return
		}
	}
	k := int32(len(w.all))
	w.all = append(w.all, s)
	*cell = append(*cell, k)
}

func (w *weave) trace(cell []int32) ([]int32, bool) {
	best, least := int32(nothing), math.Inf(1)
	for _, k := range cell {
		s := &w.all[k]
		to := stand{int16(now(int(w.next.place), s.place)), int16(now(int(w.next.tool), s.tool))}
		if cost := s.cost + w.change(s.stand, to); cost < least {
			best, least = k, cost
		}
	}
	if best == nothing {
		return nil, false
	}
	w.end = w.all[best].stand
	var seq []int32
	for k := best; w.all[k].parent != nothing; k = w.all[k].parent {
		seq = append(seq, w.all[k].code)
	}
	slices.Reverse(seq)
	return seq, true
}
