// Package setups bounds from below the minutes that an order of jobs spends on
// set-ups: changes of place and changes of tool.
//
// The jobs are given in groups. Each group alone has few states (which of its
// jobs are done), so the least set-ups it needs are found exactly. The groups
// pay for the same changes, so the cost of every change is shared out among
// them: whatever the shares, as long as those of one change add up to no more
// than it costs, the groups' least costs add up to a bound for all jobs
// together, from the start and from every state on the way. (Cost
// partitioning; Katz & Domshlak, Artificial Intelligence 174 (2010) 767, from
// memory.) [Shares.Improve] looks for the shares with the greatest bound by
// subgradient steps. [Places] is the exact least of the changes of place alone,
// of all jobs; a part of each move's cost can be left to it.
//
// The package looks away from everything but precedence, places and tools. It
// does no I/O, keeps no state between calls and has no clock.
package setups

import "slices"

// Any place or tool will do for a job.
const Any = -1

// A World says what set-ups there are and what they cost.
type World struct {
	// Move is the minutes from place to place, not negative. The triangle
	// inequality holds. The hands begin at place 0.
	Move [][]float64
	// Tools are numbered from 0; no tool of a job is in hand at the start.
	Tools int
	// Change is the minutes of a change of tool.
	Change float64
}

// A Mode is one way of doing a job.
type Mode struct {
	Place, Tool int
	Extra       float64 // minutes more than the job's other modes
	Pre         uint64  // jobs of the stage that come first
}

// A Job is done once, in one of its modes.
type Job struct{ Modes []Mode }

// A Group is jobs in stages: everything of a stage is done before the next
// begins. A stage holds at most 64 jobs; all groups have as many stages.
type Group struct{ Stages [][]Job }

// A State says what of a group is done: a number that only its group can read.
type State = int32

// ops numbers the changes: moving from p to q with tool u in hand, and taking
// up tool u at q. Every order is made of these.
type ops struct{ places, tools int }

func (o ops) move(p, q, u int) int { return (p*o.places+q)*o.tools + u }
func (o ops) take(q, u int) int    { return (o.places*o.places+q)*o.tools + u }
func (o ops) count() int           { return (o.places + 1) * o.places * o.tools }

// cost is what an op costs, in full.
func (w *World) cost(o ops, op int) float64 {
	pq := op / o.tools
	if pq >= o.places*o.places {
		return w.Change
	}
	return w.Move[pq/o.places][pq%o.places]
}

// Shares is the groups of a world with the share each has in every change.
type Shares struct {
	world World
	ops   ops
	parts []*part
	use   [][]float64 // by part, by op: how often the part's best order does it
	hit   []int       // ops that some part's best order does
	value float64
	best  [][]float64 // the shares with the greatest value
}

// New shares the costs evenly among the groups that can use a change. It
// reports false if a group has more than most states.
func New(w World, groups []Group, most int) (*Shares, bool) {
	s := &Shares{world: w, ops: ops{len(w.Move), w.Tools}}
	for i := range groups {
		p, ok := newPart(&w, s.ops, &groups[i], most)
		if !ok {
			return nil, false
		}
		s.parts = append(s.parts, p)
		s.use = append(s.use, make([]float64, s.ops.count()))
		s.best = append(s.best, make([]float64, s.ops.count()))
	}
	s.even()
	s.solve()
	return s, true
}

// Follow gives the shares of another set of groups, which begins with the same
// groups, the same changes: what they have learnt is not lost.
func (s *Shares) Follow(old *Shares) {
	n := min(len(s.parts), len(old.parts))
	for op := range s.ops.count() {
		left := s.world.cost(s.ops, op)
		for i := range n {
			s.parts[i].share[op] = old.parts[i].share[op]
			left -= old.parts[i].share[op]
		}
		for i := n; i < len(s.parts); i++ {
			s.parts[i].share[op] = max(0, left) / float64(len(s.parts)-n)
		}
	}
	s.solve()
}

// even shares each move among the parts with jobs at its end, and each taking
// up of a tool among those with jobs for it there, or else anywhere.
func (s *Shares) even() {
	users := func(can func(*part) bool) []*part {
		var out []*part
		for _, p := range s.parts {
			if can(p) {
				out = append(out, p)
			}
		}
		return out
	}
	give := func(op int, to []*part) {
		for _, p := range to {
			p.share[op] = s.world.cost(s.ops, op) / float64(len(to))
		}
	}
	for q := range s.ops.places {
		at := users(func(p *part) bool { return slices.Contains(p.places, q) })
		if len(at) == 0 {
			at = s.parts
		}
		for u := range s.ops.tools {
			for from := range s.ops.places {
				if from != q {
					give(s.ops.move(from, q, u), at)
				}
			}
			with := users(func(p *part) bool { return p.wants[q*s.ops.tools+u] })
			if len(with) == 0 {
				with = users(func(p *part) bool { return p.hasTool(u) })
			}
			give(s.ops.take(q, u), with)
		}
	}
}

func (s *Shares) solve() {
	s.value = 0
	for _, p := range s.parts {
		s.value += p.solve()
	}
}

// Value is the bound on the set-ups, and extras, of all jobs.
func (s *Shares) Value() float64 { return s.value }

// Groups is the number of groups.
func (s *Shares) Groups() int { return len(s.parts) }

// States is the number of states of all groups: what a step of Improve costs.
func (s *Shares) States() int {
	n := 0
	for _, p := range s.parts {
		n += len(p.moves)
	}
	return n
}

// Start is the state of a group at the beginning of a stage.
func (s *Shares) Start(group, stage int) State { return s.parts[group].begin[stage] }

// Next is the state after one more job of the present stage.
func (s *Shares) Next(group int, at State, job int) State {
	p := s.parts[group]
	return p.next[int(at)*p.width+job]
}

// Left bounds the set-ups still to come for a group at a state, its share of
// them, with the hands at a place and a tool in hand ([Any]: whichever is
// best). The sum over all groups bounds those of the whole.
func (s *Shares) Left(group int, at State, place, tool int) float64 {
	p := s.parts[group]
	p.widen()
	row := p.full[int(at)*p.nodes : (int(at)+1)*p.nodes]
	if tool == Any {
		return slices.Min(row[place*p.hand : (place+1)*p.hand])
	}
	return row[place*p.hand+int(p.toolAt[tool])]
}
