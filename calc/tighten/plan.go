package tighten

import (
	"context"
	"math"
	"slices"
)

// What Plan goes by.
const (
	// familiar is how much worse a usual order may be and still be taken: the model
	// knows no better than that, and people make fewer mistakes in the order they know.
	familiar = 0.05
	// thirdPass is what a third pass must take off the worst unevenness.
	thirdPass = 0.1
	// aroundWorth is what a last pass around must take off the scatter.
	aroundWorth = 0.01
)

// plan searches the orders of tightening and loosening.
func (m *model) plan(ctx context.Context, o Options) *Order {
	effort := o.Effort * 1e6
	if effort == 0 {
		effort = usualEffort(m.n)
	}
	shares := o.Shares
	if len(shares) == 0 && o.Passes > 0 {
		shares = equalShares(o.Passes)
	}
	var w *work
	if len(shares) > 0 {
		w = m.search(ctx, shares, effort)
	} else {
		w = m.choosePasses(ctx, effort)
	}
	order := &Order{Proven: !w.ended, Tried: w.tried}
	order.Gap = w.takeFamiliar(w.usual())
	order.Passes = w.asPasses(w.best)
	order.Run = m.run(order.Passes)
	order.Around = m.around()
	order.Loosen = m.loosening(ctx, w.best, effort/4)
	order.Why = m.why(order)
	last := order.Why.Around
	order.Circular = order.Run.Scatter-last.Scatter >= aroundWorth
	return order
}

// usualEffort is how many multiplications a search may take: what keeps 12 bolts
// well under 200 ms and 30 under a second on an ordinary machine.
func usualEffort(n int) int {
	switch {
	case n <= 8: // enough to go through nearly all
		return 300e6
	case n <= 12:
		return 45e6
	}
	return min(1000, 45+11*(n-12)) * 1e6
}

// choosePasses searches with two passes and, where a third takes enough off the
// worst unevenness, again with three.
func (m *model) choosePasses(ctx context.Context, effort int) *work {
	two := m.search(ctx, equalShares(2), effort*3/5)
	third := func() float64 {
		passes := []Pass{{1. / 3, two.best}, {2. / 3, two.best}, {1, two.best}}
		return m.run(passes).Peak
	}
	if m.run(two.asPasses(two.best)).Peak-third() < thirdPass {
		return two
	}
	return m.search(ctx, equalShares(3), effort*2/5, two.best)
}

// search finds the best sequence for passes: well, and for few bolts for certain.
func (m *model) search(ctx context.Context, shares []float64, effort int, starts ...[]int) *work {
	w := m.newWork(ctx, &m.start, shares, effort)
	w.seek(starts...)
	w.exact()
	return w
}

func (w *work) asPasses(seq []int) []Pass {
	var passes []Pass
	for _, s := range w.shares {
		passes = append(passes, Pass{s, seq})
	}
	return passes
}

func equalShares(n int) []float64 {
	var shares []float64
	for i := range n {
		shares = append(shares, float64(i+1)/float64(n))
	}
	return shares
}

// takeFamiliar takes the best of the ways given in place of the best found when
// it is as good as that, and tells by how much it is worse.
func (w *work) takeFamiliar(ways [][]int) (gap float64) {
	least, seq := math.Inf(1), w.best
	found := w.cost
	for _, way := range ways {
		if !w.ordered(way) {
			continue
		}
		w.cost = math.Inf(1) // or the try would be given up
		best := w.best
		if cost := w.try(way); cost < least {
			least, seq = cost, way
		}
		w.best, w.cost = best, found
	}
	if least > found*(1+familiar) {
		return 0
	}
	w.best, w.cost = seq, least
	return max(0, least/found-1)
}

// loosening searches the order in which all bolts are cracked.
func (m *model) loosening(ctx context.Context, tightening []int, effort int) []int {
	back := slices.Clone(tightening)
	slices.Reverse(back)
	full, ok := m.pull(1)
	if !ok {
		return back
	}
	w := m.newWork(ctx, &full, nil, effort)
	w.seek(back)
	w.takeFamiliar([][]int{back})
	return w.best
}

// single is the order of one bolt.
func single(m *model) *Order {
	passes := []Pass{{1, []int{0}}}
	run := m.run(passes)
	return &Order{Passes: passes, Loosen: []int{0}, Around: []int{0}, Run: run, Why: &Why{Around: run}, Proven: true, Tried: 1}
}
