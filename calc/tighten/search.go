package tighten

import (
	"context"
	"math"
)

// plan searches the order.
func (m *model) plan(ctx context.Context, o Options) *Order {
	shares := o.Shares
	if len(shares) == 0 {
		n := o.Passes
		if n == 0 {
			n = 2
		}
		for i := range n {
			shares = append(shares, float64(i+1)/float64(n))
		}
	}
	var seq []int
	left := make([]bool, m.n)
	for range m.n {
		best, which := math.Inf(1), -1
		for b := range m.n {
			if left[b] {
				continue
			}
			s := m.newState()
			s.copyFrom(&m.start)
			for _, p := range append(seq[:len(seq):len(seq)], b) {
				m.tighten(&s, p, shares[0]*m.target[p])
			}
			if c := m.rough(&s); c < best-1e-9 {
				best, which = c, b
			}
		}
		left[which] = true
		seq = append(seq, which)
	}
	ord := &Order{}
	for _, s := range shares {
		ord.Passes = append(ord.Passes, Pass{s, seq})
	}
	ord.Run = m.run(ord.Passes)
	ord.Cost = ord.Run.Cost
	ord.Loosen = seq
	return ord
}

func single(m *model) *Order {
	p := []Pass{{1, []int{0}}}
	r := m.run(p)
	return &Order{Passes: p, Loosen: []int{0}, Around: []int{0}, Run: r, Proven: true, Cost: r.Cost, Bound: r.Cost}
}
