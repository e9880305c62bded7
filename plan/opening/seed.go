package opening

import (
	"math"
	"slices"

	"lastbolt/plan/andor"
)

// A pace says after how much of its budget a search turns to what takes long to
// begin with.
type pace struct {
	seed  int // a hunt asks package andor for the cheapest selection: a good first choice, and a bound
	deep  int // a hunt bounds all plans by groups of items
	order int // labels after which a search for an order does so
	short int // items of an order whose labels are soon exhausted, so that it need not
	long  int // items of an order from which on only groups are any use, and the changes of place alone take too long to follow
}

// usual suits maps from a dozen to thousands of items; most never get so far.
var usual = pace{seed: 300, deep: 8000, order: 2000, short: 30, long: 60}

// seedNodes is the budget of that question.
const seedNodes = 20_000

// seed solves the choice of ways by hand minutes alone. It orders the choice
// found, so that there is a plan, and returns a bound on the minutes of any
// plan.
func (h *hunt) seed(root *choice) float64 {
	s := seeder{m: h.m, in: andor.Instance{Parts: len(h.m.items) + len(h.m.ways)}, w: h.m.noWeights()}
	bound := s.build(root)
	r, err := andor.Solve(h.ctx, &s.in, andor.Options{Off: s.off, Nodes: seedNodes})
	if err != nil {
		return 0
	}
	h.spend(r.Nodes)
	c := root.clone()
	for _, k := range r.Order {
		if w := s.wayOf[k]; w != nothing && c.way[h.m.ways[w].item] < 0 && !c.banned(w) {
			c.way[h.m.ways[w].item] = int32(w)
		}
	}
	if h.m.settle(c) {
		h.dive(c)
	}
	return bound + r.Bound + h.m.sureSetUps(root)
}

// sureSetUps bounds the set-ups of every plan: those that the steps whose way
// is decided cannot do without, in whatever order what they are known to need
// of one another allows. Leaving the other steps out costs nothing, by the
// triangle inequality of the set-ups.
func (m *model) sureSetUps(root *choice) float64 {
	o := layOrder(m, root, true)
	o.limits.relaxPlaces(o)
	o.limits.relaxTools(o)
	return o.limits.setUps(o, down, o.first, 0, 0) - o.hand[up]
}

// A seeder states the choice of ways as an instance of package andor: parts
// are items, then ways, then the anys of needs.
type seeder struct {
	m     *model
	in    andor.Instance
	wayOf []int // by method; nothing for methods that only join parts
	off   []int
	w     weights // what is counted elsewhere
}

func (s *seeder) method(part, way int, cost float64, needs []int) {
	s.in.Methods = append(s.in.Methods, andor.Method{Part: part, Needs: needs, Cost: cost})
	s.wayOf = append(s.wayOf, way)
}

// part adds a part.
func (s *seeder) part() int {
	s.in.Parts++
	return s.in.Parts - 1
}

// build states the instance and returns the minutes that are sure anyway.
func (s *seeder) build(root *choice) float64 {
	m := s.m
	sure := 0.0
	for i := range m.items {
		if a := m.items[i].already; a != nothing {
			s.off = append(s.off, i, len(m.items)+a)
			sure += m.ways[a].up
			continue
		}
		for _, k := range m.items[i].ways {
			if w := root.way[i]; w >= 0 && int(w) != k {
				continue
			}
			if !root.banned(k) {
				minutes := m.ways[k].minutes()
				minutes += s.w.skip[i] - s.w.extra[k]
				s.method(len(m.items)+k, k, minutes, s.needs(m.ways[k].need))
				s.method(i, nothing, 0, []int{len(m.items) + k})
			}
		}
	}
	for i := range m.works {
		sure += m.works[i].minutes
		s.in.Targets = append(s.in.Targets, s.needs(m.works[i].need)...)
	}
	for i, w := range root.way {
		if w != fitted && m.items[i].already == nothing {
			s.in.Targets = append(s.in.Targets, i)
		}
	}
	slices.Sort(s.in.Targets)
	s.in.Targets = slices.Compact(s.in.Targets)
	return sure
}

// needs gives the parts that stand for a need.
func (s *seeder) needs(t *tree) []int {
	n := len(s.m.items)
	if t.item != nothing {
		if t.ways == nil {
			return []int{t.item}
		}
		if len(t.ways) == 1 {
			return []int{n + t.ways[0]}
		}
		p := s.part()
		for _, k := range t.ways {
			s.method(p, nothing, 0, []int{n + k})
		}
		return []int{p}
	}
	var out []int
	if t.all {
		for _, k := range t.kids {
			out = append(out, s.needs(k)...)
		}
		return out
	}
	p := s.part()
	for _, k := range t.kids {
		s.method(p, nothing, 0, s.needs(k))
	}
	return []int{p}
}

// seeded lets the hunt start from the cheapest selection.
func (h *hunt) seeded(root *choice) {
	if h.asked || h.best.labels != nil || h.used < h.m.pace.seed {
		return
	}
	h.asked = true
	h.known = math.Max(h.known, h.seed(root))
}

// deepen bounds every plan better than the best by hand minutes and set-ups
// weighed against one another, and begins the hunt anew with what is left. It
// reports whether it has done so.
func (h *hunt) deepen(root *choice) bool {
	if h.groups != nil || h.best.labels == nil || h.used < h.m.pace.deep || h.known >= h.best.end-tolerance/2 {
		return false
	}
	m := h.m
	long, most := len(h.order.items) > m.pace.long, mostMend*len(h.order.items)
	if !long {
		h.mend(root, min(h.left/mendShare, most))
	}
	c := root.clone()
	w, hands, ok := m.weigh(h.ctx, c, h.best.end-m.sureSetUps(root), seedNodes/10)
	if !ok {
		h.heap, h.known = nil, math.Max(h.known, h.best.end)
		return true
	}
	if long {
		var b sided
		together(
			func() { b = m.sideSetUps(h.ctx, c, w, sidedSteps) },
			func() { h.mend(root, min(h.left-h.left/mendShare, most)) },
		)
		h.spend(b.effort)
		h.known = math.Max(h.known, min(hands+b.value, h.best.end))
		if h.left <= 0 {
			return false
		}
	}
	g := m.groupUp(c, w, nil)
	if g == nil {
		return false
	}
	steps := g.steps(h.left / 3)
	g.improve(h.ctx, steps, h.best.end-hands)
	h.spend(steps * g.effort())
	h.known = math.Max(h.known, min(hands+g.bound(), h.best.end))
	h.groups, m.weights = g, &w
	c.bound, c.deep = math.Max(h.known, m.least(c)), true
	h.heap = h.heap[:0]
	h.push(c)
	return true
}

// mendShare is the part of what is left of a hunt's budget that goes into
// making its best plan better before all plans are bounded. Of a long one all
// but that part does, up to mostMend for each item, at the same time as
// sidedSteps go towards better shares for the bound by sides: the search would
// bring it no further.
const (
	mendShare  = 10
	mostMend   = 2000
	sidedSteps = 180
)

// sound improves the bound of a choice by weighing ways and set-ups against
// one another, with the shares found for all choices. It reports whether the
// choice is still to be looked at, now.
func (h *hunt) sound(c *choice) bool {
	if h.groups == nil || c.deep {
		return true
	}
	c.deep = true
	hands, _ := h.m.selection(h.ctx, c, *h.m.weights, seedNodes/10)
	if g := h.m.groupUp(c, *h.m.weights, h.groups); g != nil {
		g.improve(h.ctx, soundSteps, h.best.end-hands)
		h.spend((soundSteps + 2) * g.effort())
		c.bound = math.Max(c.bound, hands+g.bound())
	}
	if c.bound >= h.best.end-tolerance/2 {
		return false
	}
	if len(h.heap) > 0 && h.heap[0].bound < c.bound {
		h.push(c)
		return false
	}
	return true
}

// soundSteps are the steps towards better shares for one choice.
const soundSteps = 3
