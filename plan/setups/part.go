package setups

import (
	"math"
	"slices"
)

// A part is one group. A node is a place and what is in hand there: one of the
// group's tools, or (the last) any other. A spot is a node where the group may
// do something; the search goes from spot to spot.
type part struct {
	ops    ops
	most   int // states of an option
	nodes  int
	hand   int     // tools in hand that are told apart
	tools  []int   // the group's own
	toolAt []int32 // by tool: its number in hand
	places []int   // with jobs of the group
	wants  []bool  // by place and tool: some job can be done with it there
	start  int     // node
	spots  []int   // nodes; the first is the start
	spotAt []int   // by node, -1 if none

	share []float64 // by op
	edge  []float64 // by node and node: the group's share, scratch
	done  []bool    // by node, scratch
	way   []float64 // by spot and node: least share from the node to the spot
	via   []int32   // by spot and node: the node after it

	options []Option
	order   []int   // options, least base first
	plans   []*plan // by option, nil until it is looked at
	common  *plan   // nil if there is one option
	floor   float64 // set-ups that every option has at least
	best    int     // option
	value   float64
}

func newPart(w *World, o ops, g *Group, most int) (*part, bool) {
	p := &part{ops: o, most: most, options: g.Options, toolAt: make([]int32, w.Tools), wants: make([]bool, o.places*o.tools), share: make([]float64, o.count())}
	p.layNodes(g)
	n := p.nodes
	p.edge, p.done = make([]float64, n*n), make([]bool, n)
	p.way, p.via = make([]float64, len(p.spots)*n), make([]int32, len(p.spots)*n)
	p.plans = make([]*plan, len(g.Options))
	for i := range g.Options {
		p.order = append(p.order, i)
	}
	slices.SortStableFunc(p.order, func(a, b int) int {
		switch {
		case g.Options[a].Base < g.Options[b].Base:
			return -1
		case g.Options[a].Base > g.Options[b].Base:
			return 1
		}
		return 0
	})
	if p.plans[0] = p.newPlan(g.Options[0].Stages); p.plans[0] == nil {
		return nil, false
	}
	if len(g.Options) > 1 {
		p.common = p.newPlan(g.Common.Stages)
		return p, p.common != nil
	}
	return p, true
}

func (p *part) hasTool(u int) bool { return slices.Contains(p.tools, u) }

// eachMode visits every mode of the group.
func (g *Group) eachMode(f func(*Mode)) {
	all := g.Options
	if g.Common != nil {
		all = append(slices.Clone(all), *g.Common)
	}
	for _, o := range all {
		for _, st := range o.Stages {
			for j := range st {
				for m := range st[j].Modes {
					f(&st[j].Modes[m])
				}
			}
		}
	}
}

func (p *part) layNodes(g *Group) {
	g.eachMode(func(m *Mode) {
		if m.Tool != Any && !p.hasTool(m.Tool) {
			p.tools = append(p.tools, m.Tool)
		}
		if m.Place != Any && !slices.Contains(p.places, m.Place) {
			p.places = append(p.places, m.Place)
		}
		if m.Place != Any && m.Tool != Any {
			p.wants[m.Place*p.ops.tools+m.Tool] = true
		}
	})
	p.hand = len(p.tools) + 1
	for u := range p.toolAt {
		p.toolAt[u] = int32(p.hand - 1)
	}
	for k, u := range p.tools {
		p.toolAt[u] = int32(k)
	}
	p.nodes = p.ops.places * p.hand
	p.start = p.hand - 1 // place 0, no tool of the group
	p.spotAt = make([]int, p.nodes)
	for i := range p.spotAt {
		p.spotAt[i] = -1
	}
	spot := func(node int) {
		if p.spotAt[node] < 0 {
			p.spotAt[node] = len(p.spots)
			p.spots = append(p.spots, node)
		}
	}
	spot(p.start)
	for place := range p.ops.places {
		for hand := range p.hand {
			usable := slices.Contains(p.places, place)
			g.eachMode(func(m *Mode) {
				usable = usable || m.Place == Any && m.Tool != Any && int(p.toolAt[m.Tool]) == hand
			})
			if usable {
				spot(place*p.hand + hand)
			}
		}
	}
}

// fits reports whether a mode can be done at a node.
func (p *part) fits(m *Mode, node int) bool {
	return (m.Place == Any || m.Place == node/p.hand) && (m.Tool == Any || int(p.toolAt[m.Tool]) == node%p.hand)
}

// solve finds the least cost over the options by the group's shares.
func (p *part) solve() float64 {
	p.layWays()
	if p.common != nil {
		p.floor = p.common.solve(p)
	}
	p.value = math.Inf(1)
	for _, o := range p.order {
		base := p.options[o].Base
		if base+p.floor >= p.value {
			break
		}
		if v := base + p.setUps(o); v < p.value {
			p.value, p.best = v, o
		}
	}
	return p.value
}

// setUps is the least set-ups of an option by the present shares.
func (p *part) setUps(o int) float64 {
	if p.plans[o] == nil {
		if p.plans[o] = p.newPlan(p.options[o].Stages); p.plans[o] == nil {
			p.plans[o] = p.common
		}
	}
	if p.plans[o] == p.common && p.common != nil {
		return p.floor
	}
	return p.plans[o].solve(p)
}

// drop leaves out the options that cost so much more than the best.
func (p *part) drop(more float64) int {
	p.order = slices.DeleteFunc(p.order, func(o int) bool {
		return o != p.best && (p.options[o].Base+p.floor > p.value+more || p.options[o].Base+p.setUps(o) > p.value+more)
	})
	return len(p.order)
}

// layWays finds the least share from every node to every spot: a small
// shortest-path search backwards from each spot.
func (p *part) layWays() {
	p.layEdges()
	n := p.nodes
	for s, node := range p.spots {
		p.search(node, p.way[s*n:(s+1)*n], p.via[s*n:(s+1)*n])
	}
}

// layEdges notes the group's shares of the changes between nodes.
func (p *part) layEdges() {
	n, h := p.nodes, p.hand
	for a := range p.ops.places {
		for b := range p.ops.places {
			if a == b {
				continue
			}
			for u := range h - 1 {
				p.edge[(a*h+u)*n+b*h+u] = p.share[p.ops.move(a, b, p.tools[u])]
			}
			_, p.edge[(a*h+h-1)*n+b*h+h-1] = p.other(a, b)
		}
		for u := range h {
			for v := range h - 1 {
				p.edge[(a*h+u)*n+a*h+v] = p.share[p.ops.take(a, p.tools[v])]
			}
			p.edge[(a*h+u)*n+a*h+h-1] = 0 // some other tool: others may pay for it
		}
	}
}

// other is the cheapest move with a tool in hand that is not of the group.
func (p *part) other(a, b int) (tool int, least float64) {
	tool, least = -1, math.Inf(1)
	for u, t := range p.toolAt {
		if int(t) != p.hand-1 {
			continue
		}
		if x := p.share[p.ops.move(a, b, u)]; x < least {
			tool, least = u, x
		}
	}
	if tool < 0 {
		least = 0 // no tool at all in hand
	}
	return tool, least
}

// search is Dijkstra's, backwards, for few nodes.
func (p *part) search(to int, cost []float64, via []int32) {
	clear(p.done)
	for i := range cost {
		cost[i] = math.Inf(1)
	}
	cost[to], via[to] = 0, int32(to)
	for range cost {
		at := -1
		for i, c := range cost {
			if !p.done[i] && (at < 0 || c < cost[at]) {
				at = i
			}
		}
		if math.IsInf(cost[at], 1) {
			return
		}
		p.done[at] = true
		place, hand := at/p.hand, at%p.hand
		for q := range p.ops.places {
			p.relax(q*p.hand+hand, at, cost, via)
		}
		for u := range p.hand {
			p.relax(place*p.hand+u, at, cost, via)
		}
	}
}

func (p *part) relax(i, at int, cost []float64, via []int32) {
	if i == at {
		return
	}
	if c := p.edge[i*p.nodes+at] + cost[at]; c < cost[i] {
		cost[i], via[i] = c, int32(at)
	}
}

// walk counts the changes from a node to a spot.
func (p *part) walk(node, spot int, count func(op int)) {
	for to := p.spots[spot]; node != to; {
		next := int(p.via[spot*p.nodes+node])
		a, b, v := node/p.hand, next/p.hand, next%p.hand
		switch {
		case a == b && v < p.hand-1:
			count(p.ops.take(b, p.tools[v]))
		case a != b && v < p.hand-1:
			count(p.ops.move(a, b, p.tools[v]))
		case a != b:
			if t, _ := p.other(a, b); t >= 0 {
				count(p.ops.move(a, b, t))
			}
		}
		node = next
	}
}
