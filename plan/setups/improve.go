package setups

import (
	"context"
	"math"
	"slices"
)

// Improve takes up to so many subgradient steps towards shares with a greater
// value, and stops when the value reaches enough. It keeps the best shares.
func (s *Shares) Improve(ctx context.Context, steps int, enough float64) {
	best, pace, stale := math.Inf(-1), 1.0, 0
	for range steps {
		if s.value > best+1e-9 {
			if s.value > best+0.01 {
				stale = -1
			}
			best = s.value
			for i, p := range s.parts {
				copy(s.best[i], p.share)
			}
		}
		if stale++; stale > 8 {
			pace, stale = pace/2, 0
		}
		if s.value >= enough || ctx.Err() != nil {
			break
		}
		norm := s.uses()
		if norm == 0 {
			break
		}
		s.step(pace * (enough - s.value) / norm)
		s.solve()
	}
	if s.value < best {
		for i, p := range s.parts {
			copy(p.share, s.best[i])
		}
		s.solve()
	}
}

// uses counts the changes of the parts' best orders, less the mean over the
// parts, and gives the square of their length.
func (s *Shares) uses() float64 {
	for i := range s.use {
		clear(s.use[i])
	}
	s.hit = s.hit[:0]
	for i, p := range s.parts {
		p.plans[p.best].trace(p, func(op int) {
			s.use[i][op]++
			s.hit = append(s.hit, op)
		})
	}
	slices.Sort(s.hit)
	s.hit = slices.Compact(s.hit)
	norm := 0.0
	for _, op := range s.hit {
		mean := 0.0
		for i := range s.use {
			mean += s.use[i][op] / float64(len(s.use))
		}
		for i := range s.use {
			s.use[i][op] -= mean
			norm += s.use[i][op] * s.use[i][op]
		}
	}
	return norm
}

// step moves the shares along the uses, and back to what a change costs.
func (s *Shares) step(length float64) {
	x := make([]float64, len(s.parts))
	for _, op := range s.hit {
		for i, p := range s.parts {
			p.share[op] += length * s.use[i][op]
			x[i] = p.share[op]
		}
		cut := level(x, s.world.cost(s.ops, op))
		for _, p := range s.parts {
			p.share[op] = max(0, p.share[op]-cut)
		}
	}
}

// level is what to take off every number so that those left above zero add up
// to sum: the projection onto a simplex. It sorts x.
func level(x []float64, sum float64) float64 {
	slices.Sort(x)
	total, cut := 0.0, 0.0
	for i := len(x) - 1; i >= 0; i-- {
		total += x[i]
		if c := (total - sum) / float64(len(x)-i); c <= x[i] {
			cut = c
		}
	}
	return cut
}
