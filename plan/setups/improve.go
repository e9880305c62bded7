package setups

import (
	"context"
	"math"
	"slices"
)

// layWays finds the least share from every node to every spot: a small
// shortest-path search backwards from each spot.
func (p *part) layWays() {
	n, h := p.nodes, p.hand
	for i := range p.edge {
		p.edge[i] = math.Inf(1)
	}
	for a := range p.ops.places {
		for b := range p.ops.places {
			if a == b {
				continue
			}
			for u := range h - 1 {
				p.edge[(b*h+u)*n+a*h+u] = p.share[p.ops.move(a, b, p.tools[u])]
			}
			_, p.edge[(b*h+h-1)*n+a*h+h-1] = p.other(a, b)
		}
		for u := range h {
			for v := range h {
				switch {
				case v == u:
				case v < h-1:
					p.edge[(a*h+v)*n+a*h+u] = p.share[p.ops.take(a, p.tools[v])]
				default:
					p.edge[(a*h+v)*n+a*h+u] = 0 // some other tool: others may pay for it
				}
			}
		}
	}
	for s, node := range p.spots {
		p.search(node, p.way[s*n:(s+1)*n], p.via[s*n:(s+1)*n])
	}
}

// other is the cheapest move with a tool in hand that is not of the group.
func (p *part) other(a, b int) (tool int, least float64) {
	tool, least = -1, math.Inf(1)
	for u, t := range p.toolAt {
		if int(t) == p.hand-1 && p.share[p.ops.move(a, b, u)] < least {
			tool, least = u, p.share[p.ops.move(a, b, u)]
		}
	}
	if tool < 0 {
		least = 0 // no tool at all in hand
	}
	return tool, least
}

// search finds the least share from every node to one, backwards: nodes whose
// share has become less wait in a queue to pass it on. Ways have few changes, so
// few nodes wait twice.
func (p *part) search(to int, cost []float64, via []int32) {
	for i := range cost {
		cost[i] = math.Inf(1)
	}
	cost[to], via[to] = 0, int32(to)
	p.queue = append(p.queue[:0], int32(to))
	p.waits[to] = true
	for n := 0; n < len(p.queue); n++ {
		at := int(p.queue[n])
		p.waits[at] = false
		place, hand := at/p.hand, at%p.hand
		for i := hand; i < p.nodes; i += p.hand {
			p.relax(i, at, cost, via)
		}
		for i := place * p.hand; i < (place+1)*p.hand; i++ {
			p.relax(i, at, cost, via)
		}
	}
}

func (p *part) relax(i, at int, cost []float64, via []int32) {
	c := p.edge[at*p.nodes+i] + cost[at]
	if c >= cost[i] {
		return
	}
	cost[i], via[i] = c, int32(at)
	if !p.waits[i] {
		p.waits[i] = true
		p.queue = append(p.queue, int32(i))
	}
}

// trace counts the changes of the group's best order from the start.
func (p *part) trace(count func(op int)) {
	at, spot, k := State(0), 0, len(p.spots)
	for int(at) < len(p.moves)-1 {
		mv := &p.moves[at]
		if mv.pass >= 0 {
			at = mv.pass
			continue
		}
		if f := mv.free[spot]; f >= 0 {
			at = f
			continue
		}
		best, least := -1, math.Inf(1)
		for i := range mv.hops {
			h := &mv.hops[i]
			if c := p.way[h.spot*p.nodes+p.spots[spot]] + h.extra + p.left[int(h.to)*k+h.spot]; c < least {
				best, least = i, c
			}
		}
		stay := State(-1)
		for _, h := range mv.here {
			if c := h.extra + p.left[int(h.to)*k+spot]; c < least {
				stay, least = h.to, c
			}
		}
		if stay >= 0 {
			at = stay
			continue
		}
		h := &mv.hops[best]
		p.walk(p.spots[spot], h.spot, count)
		at, spot = h.to, h.spot
	}
}

// walk counts the changes from a node to a spot.
func (p *part) walk(node, spot int, count func(op int)) {
	for to := p.spots[spot]; node != to; {
		next := int(p.via[spot*p.nodes+node])
		a, u, b, v := node/p.hand, node%p.hand, next/p.hand, next%p.hand
		switch {
		case a == b && v < p.hand-1:
			count(p.ops.take(b, p.tools[v]))
		case a != b && v < p.hand-1:
			count(p.ops.move(a, b, p.tools[v]))
		case a != b && u == v:
			if t, _ := p.other(a, b); t >= 0 {
				count(p.ops.move(a, b, t))
			}
		}
		node = next
	}
}

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
		if stale++; stale > 4 {
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
		p.trace(func(op int) {
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
