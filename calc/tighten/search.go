package tighten

import (
	"context"
	"math"
	"slices"
)

// work is one thing done bolt by bolt in a sequence that is searched: tightening
// in passes, or loosening.
type work struct {
	*model
	ctx    context.Context
	from   *state
	shares []float64 // of the passes; nil: loosening
	rank   []int     // of the bolts: those of a lower rank go first

	best  []int
	cost  float64 // of best, with its habit
	limit int     // of model.spent
	tried int     // whole sequences tried, many given up when they cost too much
	ended bool    // the limit was reached or ctx ended
	pool  []state // one for each depth
}

func (m *model) newWork(ctx context.Context, from *state, shares []float64, effort int) *work {
	w := &work{model: m, ctx: ctx, from: from, shares: shares, cost: math.Inf(1), limit: m.spent + effort}
	for _, b := range m.joint.Bolts {
		rank := 0
		if b.First == (shares == nil) {
			rank = 1
		}
		w.rank = append(w.rank, rank)
	}
	for range m.n + 2 {
		w.pool = append(w.pool, m.newState())
	}
	return w
}

// turn does one bolt in a pass.
func (w *work) turn(s *state, pass, bolt int) {
	if w.shares == nil {
		w.model.loosen(s, bolt)
		return
	}
	w.tighten(s, bolt, w.shares[pass]*w.target[bolt])
}

func (w *work) passes() int { return max(1, len(w.shares)) }

// tally is the cost of a sequence as far as it has been done; it never falls.
type tally struct{ peak, sum, habit float64 }

func (w *work) count(t tally, s *state) tally {
	u := w.rough(s)
	return tally{max(t.peak, u), t.sum + u/float64(w.n*w.passes()), t.habit}
}

func (t tally) cost() float64 { return t.peak + t.sum + t.habit }

// stop reports whether the search has used up its effort.
func (w *work) stop() bool {
	if !w.ended && (w.spent > w.limit || w.ctx.Err() != nil) {
		w.ended = true
	}
	return w.ended
}

// rest puts the later passes and the end on top of a first pass, and keeps the
// sequence when it is the best. It gives its cost, infinite when that was given
// up on the way.
func (w *work) rest(seq []int, s *state, t tally) float64 {
	for pass := 1; pass < w.passes(); pass++ {
		for _, b := range seq {
			w.turn(s, pass, b)
			if t = w.count(t, s); t.cost() >= w.cost {
				return math.Inf(1)
			}
		}
	}
	cost := t.cost()
	if w.shares != nil {
		scatter, _ := w.scatter(s, 1)
		cost += scatterCounts * scatter
	}
	if cost < w.cost-1e-12 {
		w.cost, w.best = cost, slices.Clone(seq)
	}
	return cost
}

// try puts a whole sequence through.
func (w *work) try(seq []int) float64 {
	w.tried++
	s, t := &w.pool[w.n+1], tally{}
	s.copyFrom(w.from)
	for k, b := range seq {
		w.turn(s, 0, b)
		t = w.count(t, s)
		t.habit += w.habit(seq[:k], b)
		if t.cost() >= w.cost {
			return math.Inf(1)
		}
	}
	return w.rest(seq, s, t)
}

// allowed reports whether a bolt may come next after those of seq.
func (w *work) allowed(seq []int, bolt int) bool {
	if slices.Contains(seq, bolt) {
		return false
	}
	for b, r := range w.rank {
		if r < w.rank[bolt] && !slices.Contains(seq, b) {
			return false
		}
	}
	return true
}

// ordered reports whether a whole sequence keeps the ranks.
func (w *work) ordered(seq []int) bool {
	return slices.IsSortedFunc(seq, func(a, b int) int { return w.rank[a] - w.rank[b] })
}

// What habits count: far less than what can be felt of unevenness, so that they
// decide between orders that are as good as equal.
const (
	balanceCounts = 0.008 // being off balance by the whole size, all the time
	walkCounts    = 0.002 // crossing the whole size at each move
	reachCounts   = 0.01  // each change of place for hands or mechanic
	firstCounts   = 1e-6  // a first bolt of a higher number
)

// habit is what the next bolt costs a person's habits: to start near the middle
// and cross over, to walk little, to stay where the hands are.
func (w *work) habit(seq []int, bolt int) float64 {
	at, n := w.lay.bolts, float64(w.n)
	middle := mean(at)
	sum := at[bolt].minus(middle)
	for _, b := range seq {
		sum = sum.plus(at[b].minus(middle))
	}
	cost := balanceCounts * sum.length() / (w.lay.size * n)
	if len(seq) == 0 {
		return cost + firstCounts*float64(bolt)/n
	}
	before := seq[len(seq)-1]
	cost += walkCounts * at[before].to(at[bolt]) / (2 * w.lay.size * n)
	if w.joint.Bolts[before].Reach != w.joint.Bolts[bolt].Reach {
		cost += reachCounts
	}
	return cost
}

// exact goes through all sequences, leaving out those whose beginning alone
// costs as much as the best so far, and reports whether it came to the end.
func (w *work) exact() bool {
	w.branch(make([]int, 0, w.n), w.from, tally{})
	return !w.ended
}

func (w *work) branch(seq []int, s *state, t tally) {
	if len(seq) == w.n {
		w.tried++
		last := &w.pool[w.n+1]
		last.copyFrom(s)
		w.rest(seq, last, t)
		return
	}
	type child struct {
		bolt int
		t    tally
	}
	var children [MaxBolts]child
	count := 0
	next := &w.pool[len(seq)]
	for b := range w.n {
		if !w.allowed(seq, b) {
			continue
		}
		if w.stop() {
			return
		}
		next.copyFrom(s)
		w.turn(next, 0, b)
		after := w.count(t, next)
		after.habit += w.habit(seq, b)
		children[count] = child{b, after}
		count++
	}
	list := children[:count]
	slices.SortStableFunc(list, func(a, b child) int { return compare(a.t.cost(), b.t.cost()) })
	for _, c := range list {
		if c.t.cost() >= w.cost-1e-12 || w.stop() {
			return
		}
		next.copyFrom(s)
		w.turn(next, 0, c.bolt)
		w.branch(append(seq, c.bolt), next, c.t)
	}
}

func compare(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}
