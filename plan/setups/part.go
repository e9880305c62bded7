package setups

import (
	"math"
	"math/bits"
	"slices"
)

// A part is one group with its states. A node is a place and what is in hand
// there: one of the group's tools, or (the last) any other. A spot is a node
// where the group may do something; the search goes from spot to spot.
type part struct {
	ops    ops
	nodes  int
	hand   int     // tools in hand that are told apart
	tools  []int   // the group's own
	toolAt []int32 // by tool: its number in hand
	places []int   // with jobs of the group
	wants  []bool  // by place and tool: some job can be done with it there
	start  int     // node
	spots  []int   // nodes; the first is the start
	spotAt []int   // by node, -1 if none

	width int     // most jobs of a stage
	next  []State // by state and job of its stage
	moves []moves // by state
	begin []State // by stage
	share []float64

	edge  []float64 // by node and the node before it: the group's share
	queue []int32   // of nodes, for search
	waits []bool    // by node: it is in the queue
	way   []float64 // by spot and node: least share from the node to the spot
	via   []int32   // by spot and node: the node after it
	left  []float64 // by state and spot
	full  []float64 // by state and node, filled by widen
	wide  bool
}

// moves is what can follow a state: a job is free wherever one is, or at a
// spot, and is done at once; or there are hops to other spots, and jobs that
// can be done anywhere at a price.
type moves struct {
	pass State   // after a job that is free anywhere, -1 if there is none
	free []State // by spot, -1 if nothing is free there
	hops []hop
	here []hop // without a spot
}

// A hop is doing a job at a spot.
type hop struct {
	spot  int
	to    State
	extra float64
}

func newPart(w *World, o ops, g *Group, most int) (*part, bool) {
	p := &part{ops: o, toolAt: make([]int32, w.Tools), wants: make([]bool, o.places*o.tools), share: make([]float64, o.count())}
	p.layNodes(g)
	states, ok := enumerate(g, most)
	if !ok {
		return nil, false
	}
	p.layStates(g, states)
	n := p.nodes
	p.edge, p.waits = make([]float64, n*n), make([]bool, n)
	p.way, p.via = make([]float64, len(p.spots)*n), make([]int32, len(p.spots)*n)
	p.left = make([]float64, len(p.moves)*len(p.spots))
	return p, true
}

func (p *part) hasTool(u int) bool { return slices.Contains(p.tools, u) }

func (p *part) layNodes(g *Group) {
	each := func(f func(*Mode)) {
		for _, st := range g.Stages {
			p.width = max(p.width, len(st))
			for j := range st {
				for m := range st[j].Modes {
					f(&st[j].Modes[m])
				}
			}
		}
	}
	each(func(m *Mode) {
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
	each(func(m *Mode) {
		for node := range p.nodes {
			if p.fits(m, node) && (m.Place != Any || m.Tool != Any) {
				spot(node)
			}
		}
	})
}

// fits reports whether a mode can be done at a node.
func (p *part) fits(m *Mode, node int) bool {
	return (m.Place == Any || m.Place == node/p.hand) && (m.Tool == Any || int(p.toolAt[m.Tool]) == node%p.hand)
}

// A set is the jobs done of a stage.
type set struct {
	stage int
	done  uint64
}

// enumerate lists the states of a group, each after those it can follow. The
// end of a stage is the beginning of the next.
func enumerate(g *Group, most int) ([]set, bool) {
	var all []set
	for st, jobs := range g.Stages {
		if len(jobs) > 64 {
			return nil, false
		}
		seen := map[uint64]bool{0: true}
		list := []uint64{0}
		for i := 0; i < len(list); i++ {
			for j := range jobs {
				if to := list[i] | 1<<j; to != list[i] && !seen[to] && jobs[j].ready(list[i]) {
					seen[to] = true
					list = append(list, to)
				}
			}
			if len(all)+len(list) > most {
				return nil, false
			}
		}
		slices.SortStableFunc(list, func(a, b uint64) int { return bits.OnesCount64(a) - bits.OnesCount64(b) })
		for _, d := range list[:len(list)-1] {
			all = append(all, set{st, d})
		}
		if bits.OnesCount64(list[len(list)-1]) < len(jobs) {
			return nil, false // a circle: no order at all
		}
	}
	return append(all, set{len(g.Stages), 0}), true
}

// States counts the states of a group; it reports false beyond most, and when
// the group has no order.
func States(g *Group, most int) (int, bool) {
	s, ok := enumerate(g, most)
	return len(s), ok
}

func (j *Job) ready(done uint64) bool {
	for m := range j.Modes {
		if j.Modes[m].Pre&^done == 0 {
			return true
		}
	}
	return false
}

func (p *part) layStates(g *Group, states []set) {
	at := make(stateIndex, len(states))
	for i, s := range states {
		at[s] = State(i)
	}
	for st := range g.Stages {
		p.begin = append(p.begin, at.stage(g, st))
	}
	p.next = make([]State, len(states)*p.width)
	p.moves = make([]moves, len(states))
	for i, s := range states {
		if s.stage == len(g.Stages) {
			continue
		}
		jobs := g.Stages[s.stage]
		follow := p.next[i*p.width : (i+1)*p.width]
		for j := range follow {
			follow[j] = State(i)
			if j < len(jobs) && s.done>>j&1 == 0 {
				follow[j] = at.after(g, s, j)
			}
		}
		p.moves[i] = p.movesOf(jobs, s.done, follow)
	}
}

type stateIndex map[set]State

// after is the state after a job, -1 if there is none.
func (at stateIndex) after(g *Group, s set, j int) State {
	to := set{s.stage, s.done | 1<<j}
	if bits.OnesCount64(to.done) == len(g.Stages[s.stage]) {
		return at.stage(g, s.stage+1)
	}
	if k, ok := at[to]; ok {
		return k
	}
	return -1
}

// stage is the state at the beginning of a stage, or of the next that has jobs.
func (at stateIndex) stage(g *Group, st int) State {
	for st < len(g.Stages) && len(g.Stages[st]) == 0 {
		st++
	}
	return at[set{st, 0}]
}

func (p *part) movesOf(jobs []Job, done uint64, follow []State) moves {
	mv := moves{pass: -1, free: make([]State, len(p.spots))}
	for k, node := range p.spots {
		mv.free[k] = -1
		from := len(mv.hops)
		ready(jobs, done, func(j int, m *Mode) {
			switch {
			case m.Place == Any && m.Tool == Any && m.Extra <= 0:
				mv.pass = follow[j]
			case m.Place == Any && m.Tool == Any && k > 0: // noted at the first spot
			case m.Place == Any && m.Tool == Any:
				mv.here = append(mv.here, hop{to: follow[j], extra: m.Extra})
			case !p.fits(m, node):
			case m.Extra <= 0 && mv.free[k] < 0:
				mv.free[k] = follow[j]
			default:
				mv.hops = append(mv.hops, hop{k, follow[j], max(0, m.Extra)})
			}
		})
		if mv.free[k] >= 0 {
			mv.hops = append(mv.hops[:from], hop{k, mv.free[k], 0})
		}
	}
	return mv
}

// ready visits the modes in which a job can be done next.
func ready(jobs []Job, done uint64, f func(j int, m *Mode)) {
	for j := range jobs {
		if done>>j&1 != 0 {
			continue
		}
		for m := range jobs[j].Modes {
			if jobs[j].Modes[m].Pre&^done == 0 {
				f(j, &jobs[j].Modes[m])
			}
		}
	}
}

// solve finds the least cost of every state by the group's shares, and gives
// that of the start.
func (p *part) solve() float64 {
	p.wide = false
	p.layWays()
	k := len(p.spots)
	for i := len(p.moves) - 2; i >= 0; i-- {
		row := p.left[i*k : (i+1)*k]
		mv := &p.moves[i]
		if mv.pass >= 0 {
			copy(row, p.left[int(mv.pass)*k:])
			continue
		}
		for a := range row {
			if f := mv.free[a]; f >= 0 {
				row[a] = p.left[int(f)*k+a]
				continue
			}
			row[a] = p.through(mv, p.spots[a])
			for _, h := range mv.here {
				row[a] = min(row[a], h.extra+p.left[int(h.to)*k+a])
			}
		}
	}
	return p.left[0]
}

// through is the least cost from a node by a hop to a spot.
func (p *part) through(mv *moves, node int) float64 {
	least := math.Inf(1)
	k := len(p.spots)
	for i := range mv.hops {
		h := &mv.hops[i]
		least = min(least, p.way[h.spot*p.nodes+node]+h.extra+p.left[int(h.to)*k+h.spot])
	}
	return least
}

// widen extends the least costs from spots to all nodes.
func (p *part) widen() {
	if p.wide {
		return
	}
	p.wide = true
	k := len(p.spots)
	if p.full == nil {
		p.full = make([]float64, len(p.moves)*p.nodes)
	}
	for i := len(p.moves) - 2; i >= 0; i-- {
		row := p.full[i*p.nodes : (i+1)*p.nodes]
		mv := &p.moves[i]
		for node := range row {
			switch s := p.spotAt[node]; {
			case s >= 0:
				row[node] = p.left[i*k+s]
			case mv.pass >= 0:
				row[node] = p.full[int(mv.pass)*p.nodes+node]
			default:
				row[node] = p.through(mv, node)
				for _, h := range mv.here {
					row[node] = min(row[node], h.extra+p.full[int(h.to)*p.nodes+node])
				}
			}
		}
	}
}
