package setups

import (
	"math"
	"math/bits"
	"slices"
)

// A plan is the states of one option of a group.
type plan struct {
	width int     // most jobs of a stage
	next  []State // by state and job of its stage
	moves []moves // by state
	begin []State // by stage

	left []float64 // by state and spot: least set-ups to the end
	full []float64 // by state and node, while wide
	wide bool
}

// moves is what can follow a state: a job is free wherever one is, or at a
// spot, and is done at once; or there are hops to other spots.
type moves struct {
	pass State   // after a job that is free anywhere, -1 if there is none
	free []State // by spot, -1 if nothing is free there
	hops []hop
}

// A hop is doing a job at a spot.
type hop struct {
	spot  int
	to    State
	extra float64
}

// newPlan is nil if there are too many states, or there is no order.
func (p *part) newPlan(stages [][]Job) *plan {
	states, ok := enumerate(stages, p.most)
	if !ok {
		return nil
	}
	x := &plan{}
	for _, st := range stages {
		x.width = max(x.width, len(st))
	}
	x.layStates(p, stages, states)
	x.left = make([]float64, len(states)*len(p.spots))
	return x
}

// A set is the jobs done of a stage.
type set struct {
	stage int
	done  uint64
}

// enumerate lists the states of an option, each after those it can follow. The
// end of a stage is the beginning of the next.
func enumerate(stages [][]Job, most int) ([]set, bool) {
	var all []set
	for st, jobs := range stages {
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
		if bits.OnesCount64(list[len(list)-1]) < len(jobs) {
			return nil, false // a circle
		}
		for _, d := range list[:len(list)-1] {
			all = append(all, set{st, d})
		}
	}
	return append(all, set{len(stages), 0}), true
}

// States counts the states of jobs in stages; it reports false beyond most, and
// when they have no order.
func States(stages [][]Job, most int) (int, bool) {
	s, ok := enumerate(stages, most)
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

func (x *plan) layStates(p *part, stages [][]Job, states []set) {
	at := make(stateIndex, len(states))
	for i, s := range states {
		at[s] = State(i)
	}
	for st := range stages {
		x.begin = append(x.begin, at.stage(stages, st))
	}
	x.next = make([]State, len(states)*x.width)
	x.moves = make([]moves, len(states))
	for i, s := range states {
		if s.stage == len(stages) {
			continue
		}
		jobs := stages[s.stage]
		follow := x.next[i*x.width : (i+1)*x.width]
		for j := range follow {
			follow[j] = State(i)
			if j < len(jobs) && s.done>>j&1 == 0 {
				follow[j] = at.after(stages, s, j)
			}
		}
		x.moves[i] = p.movesOf(jobs, s.done, follow)
	}
}

type stateIndex map[set]State

// after is the state after a job, -1 if there is none.
func (at stateIndex) after(stages [][]Job, s set, j int) State {
	to := set{s.stage, s.done | 1<<j}
	if bits.OnesCount64(to.done) == len(stages[s.stage]) {
		return at.stage(stages, s.stage+1)
	}
	if k, ok := at[to]; ok {
		return k
	}
	return -1
}

// stage is the state at the beginning of a stage, or of the next that has jobs.
func (at stateIndex) stage(stages [][]Job, st int) State {
	for st < len(stages) && len(stages[st]) == 0 {
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
			case m.Place == Any && m.Tool == Any:
				mv.pass = follow[j]
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
func (x *plan) solve(p *part) float64 {
	x.wide = false
	k := len(p.spots)
	for i := len(x.moves) - 2; i >= 0; i-- {
		row := x.left[i*k : (i+1)*k]
		mv := &x.moves[i]
		if mv.pass >= 0 {
			copy(row, x.left[int(mv.pass)*k:])
			continue
		}
		for a := range row {
			if f := mv.free[a]; f >= 0 {
				row[a] = x.left[int(f)*k+a]
			} else {
				row[a], _ = x.through(p, mv, p.spots[a])
			}
		}
	}
	return x.left[0]
}

// through is the least cost from a node by a hop to a spot, and the hop.
func (x *plan) through(p *part, mv *moves, node int) (least float64, best *hop) {
	least = math.Inf(1)
	k := len(p.spots)
	for i := range mv.hops {
		h := &mv.hops[i]
		if c := p.way[h.spot*p.nodes+node] + h.extra + x.left[int(h.to)*k+h.spot]; c < least {
			least, best = c, h
		}
	}
	return least, best
}

// widen gives the least costs from all nodes.
func (x *plan) widen(p *part) []float64 {
	if x.wide {
		return x.full
	}
	x.wide = true
	k := len(p.spots)
	if x.full == nil {
		x.full = make([]float64, len(x.moves)*p.nodes)
	}
	for i := len(x.moves) - 2; i >= 0; i-- {
		row := x.full[i*p.nodes : (i+1)*p.nodes]
		mv := &x.moves[i]
		for node := range row {
			switch s := p.spotAt[node]; {
			case s >= 0:
				row[node] = x.left[i*k+s]
			case mv.pass >= 0:
				row[node] = x.full[int(mv.pass)*p.nodes+node]
			default:
				row[node], _ = x.through(p, mv, node)
			}
		}
	}
	return x.full
}

// trace counts the changes of the best order from the start.
func (x *plan) trace(p *part, count func(op int)) {
	at, spot := State(0), 0
	for int(at) < len(x.moves)-1 {
		mv := &x.moves[at]
		switch {
		case mv.pass >= 0:
			at = mv.pass
		case mv.free[spot] >= 0:
			at = mv.free[spot]
		default:
			_, h := x.through(p, mv, p.spots[spot])
			p.walk(p.spots[spot], h.spot, count)
			at, spot = h.to, h.spot
		}
	}
}
