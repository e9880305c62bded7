package tighten

import "slices"

// seek looks for a good sequence without going through all: it widens the best
// beginnings step by step, adds the usual ways, and betters the best of them by
// moving one bolt or exchanging two until nothing helps.
func (w *work) seek(starts ...[]int) {
	for _, seq := range append(starts, w.usual()...) {
		if w.ordered(seq) {
			w.try(seq)
		}
	}
	// Widening may use a third of the effort, or little is left to better it.
	limit := w.limit
	w.limit = w.spent + (limit-w.spent)/3
	width := 24
	if w.n > 12 {
		width = 8
	}
	found := w.widen(width)
	w.limit = limit
	w.ended = w.ctx.Err() != nil
	for _, seq := range found {
		w.try(seq)
	}
	for w.better() && !w.stop() {
	}
}

// beginning is a first part of a sequence.
type beginning struct {
	seq []int
	s   state
	t   tally
}

// widen keeps the given number of best beginnings at each length.
func (w *work) widen(width int) [][]int {
	first := beginning{s: w.newState()}
	first.s.copyFrom(w.from)
	now := []beginning{first}
	for range w.n {
		type child struct {
			from, bolt int
			t          tally
		}
		var children []child
		s := &w.pool[0]
		for i, at := range now {
			for b := range w.n {
				if !w.allowed(at.seq, b) || w.stop() && len(children) > 0 {
					continue
				}
				s.copyFrom(&at.s)
				w.turn(s, 0, b)
				t := w.count(at.t, s)
				t.habit += w.habit(at.seq, b)
				children = append(children, child{i, b, t})
			}
		}
		slices.SortStableFunc(children, func(a, b child) int { return compare(a.t.cost(), b.t.cost()) })
		var then []beginning
		for _, c := range children[:min(width, len(children))] {
			b := beginning{append(slices.Clone(now[c.from].seq), c.bolt), w.newState(), c.t}
			b.s.copyFrom(&now[c.from].s)
			w.turn(&b.s, 0, c.bolt)
			then = append(then, b)
		}
		now = then
	}
	var all [][]int
	for _, b := range now {
		all = append(all, b.seq)
	}
	return all
}

// better tries every exchange of two bolts and every move of one in the best
// sequence, going on from each that is better, and reports whether one was. The
// beginning that a change leaves as it was is not gone through again.
func (w *work) better() bool {
	was := w.cost
	base := slices.Clone(w.best)
	states, tallies := w.along(base)
	seq := make([]int, w.n)
	for i := range base {
		for k := i + 1; k < w.n; k++ {
			for way := range 3 {
				if w.stop() {
					return w.cost < was
				}
				if way > 0 && k == i+1 { // the same as the exchange
					continue
				}
				changed(seq, base, i, k, way)
				if !w.ordered(seq) {
					continue
				}
				before := w.cost
				w.tryFrom(seq, i, &states[i], tallies[i])
				if w.cost < before {
					copy(base, w.best)
					states, tallies = w.along(base)
				}
			}
		}
	}
	return w.cost < was
}

// changed makes seq of base with two bolts exchanged, or one moved up or down.
func changed(seq, base []int, i, k, way int) {
	copy(seq, base)
	switch way {
	case 0:
		seq[i], seq[k] = seq[k], seq[i]
	case 1:
		copy(seq[i:], base[i+1:k+1])
		seq[k] = base[i]
	default:
		copy(seq[i+1:], base[i:k])
		seq[i] = base[k]
	}
}

// along gives the states and costs before each bolt of a first pass.
func (w *work) along(seq []int) ([]state, []tally) {
	s, t := w.newState(), tally{}
	s.copyFrom(w.from)
	states, tallies := make([]state, w.n), make([]tally, w.n)
	for k, b := range seq {
		states[k], tallies[k] = w.newState(), t
		states[k].copyFrom(&s)
		w.turn(&s, 0, b)
		t = w.count(t, &s)
		t.habit += w.habit(seq[:k], b)
	}
	return states, tallies
}

// tryFrom puts a sequence through of which the first bolts are done.
func (w *work) tryFrom(seq []int, done int, at *state, t tally) {
	w.tried++
	s := &w.pool[w.n+1]
	s.copyFrom(at)
	for k := done; k < w.n; k++ {
		w.turn(s, 0, seq[k])
		t = w.count(t, s)
		t.habit += w.habit(seq[:k], seq[k])
		if t.cost() >= w.cost {
			return
		}
	}
	w.rest(seq, s, t)
}

// usual gives the ways a person would go: crossing over around the middle, and
// from the middle out, each with the bolts that must be first ahead.
func (w *work) usual() [][]int {
	var all [][]int
	for _, seq := range [][]int{w.crossing(), w.places(crossPairs(w.n)), w.outward()} {
		slices.SortStableFunc(seq, func(a, b int) int { return w.rank[a] - w.rank[b] })
		all = append(all, seq)
	}
	return all
}
