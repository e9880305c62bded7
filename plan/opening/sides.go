package opening

import (
	"context"
	"slices"

	"lastbolt/plan/setups"
)

// A side is the way down, or the way up looked at backwards: in both an item
// leaves after those it needs out of the way, by whichever way it takes. What a
// dearer way costs is shared out: half to each side, and there between the
// moves alone and the groups.
type side struct {
	r     *relations
	w     weights
	up    bool
	part  float64 // of the cost of a move: what the moves alone account for
	items []int
	off   [][]uint64 // by item: what leaves before it, by whichever way
	byWay [][]uint64 // by way
}

// extraMoves is what of an item's extras each side counts with the moves alone,
// where these count at all. A change of place is dearer than one of tool.
const extraMoves = 0.375

// sidedMoves is what the moves alone account for on a side, against what they
// do where they are followed exactly: the groups, which see tools, bound more
// of the rest.
const sidedMoves = 0.85

// sidedStates bounds the states of a group of a side, and looksRoute the search
// for the least moves.
const (
	sidedStates = 300
	looksRoute  = 3000
)

// A sided is a bound on the set-ups of a choice, and the extras, made of the
// two sides: the least changes of place alone, and the groups' set-ups less
// what of the moves is counted there.
type sided struct {
	value  float64
	effort int
}

// sideSetUps bounds the set-ups of every plan of a choice, and its extras by
// the weights, improving shares by so many steps.
func (m *model) sideSetUps(ctx context.Context, c *choice, w weights, steps int) sided {
	if len(m.places) > 63 {
		return sided{}
	}
	r := m.relate(c, w.soft)
	part := sidedMoves * movesAlone(m)
	down := &side{r: r, w: w, part: part, off: r.off, byWay: r.byWay}
	up := &side{r: r, w: w, part: part, up: true, items: r.items}
	for _, i := range r.items {
		if m.items[i].already == nothing {
			down.items = append(down.items, i)
		}
	}
	up.off, up.byWay = r.layBack()
	var b [2]sided
	together(
		func() { b[0] = down.bound(ctx, steps) },
		func() { b[1] = up.bound(ctx, steps) },
	)
	return sided{b[0].value + b[1].value, b[0].effort + b[1].effort}
}

// layBack finds what goes back after what: by whichever way, and by each.
func (r *relations) layBack() (back, byWay [][]uint64) {
	direct := make([][]uint64, len(r.m.items))
	byWay = make([][]uint64, len(r.m.ways))
	for _, i := range r.items {
		direct[i] = r.set()
	}
	for _, i := range r.items {
		if len(r.ways[i]) == 0 {
			continue
		}
		if r.m.items[i].already == nothing {
			all := ones(r.words)
			for _, k := range r.ways[i] {
				byWay[k] = r.set()
				r.sure(r.m.ways[k].mirror, byWay[k])
				for w := range all {
					all[w] &= byWay[k][w]
				}
			}
			for w := range all {
				direct[i][w] |= all[w]
			}
		}
		r.shared(i, func(w *mWay) []int { return w.after }, func(a int) {
			if direct[a] != nil && a != i {
				set(direct[a], i)
			}
		})
	}
	back = r.closed(direct)
	for _, i := range r.items {
		for _, k := range r.ways[i] {
			if byWay[k] != nil {
				byWay[k] = r.widened(byWay[k], back)
			}
		}
	}
	return back, byWay
}

// modes visits the ways of doing an item's job: way is nothing for doing
// without the item.
func (s *side) modes(i int, f func(way, place, tool int, extra float64, pre []uint64)) {
	if s.r.c.way[i] == fitted {
		f(nothing, setups.Any, setups.Any, s.w.skip[i], s.r.set())
	}
	for _, k := range s.r.ways[i] {
		w := &s.r.m.ways[k]
		pre := slices.Clone(s.off[i])
		for n, b := range s.byWay[k] {
			pre[n] |= b
		}
		place := w.place
		if s.up {
			place = w.backPlace
		}
		f(k, place, w.tool, s.w.extra[k], pre)
	}
}

// extra is by how much extras are multiplied, with the moves alone or with the
// groups.
func (s *side) extra(movesOnly bool) float64 {
	switch {
	case s.part <= 0:
		return 0.5
	case movesOnly:
		return extraMoves / s.part // the moves alone are counted in part
	}
	return 0.5 - extraMoves
}

// group makes a group of items for package setups. With moves only, tools do
// not count.
func (s *side) group(items []int, movesOnly bool) setups.Group {
	g := setups.Group{Stages: make([][]setups.Job, 2)}
	for _, i := range items {
		var j setups.Job
		s.modes(i, func(_, place, tool int, extra float64, pre []uint64) {
			m := setups.Mode{Place: place, Tool: tool, Extra: s.extra(movesOnly) * extra, Pre: among(pre, items, i)}
			if movesOnly {
				m.Tool = setups.Any
			}
			j.Modes = append(j.Modes, m)
		})
		g.Stages[0] = append(g.Stages[0], j)
	}
	if s.up {
		return g
	}
	for n := range s.r.m.works {
		if k := &s.r.m.works[n]; slices.Contains(items, k.item) {
			m := setups.Mode{Place: k.place, Tool: k.tool}
			if movesOnly {
				m.Tool = setups.Any
			}
			g.Stages[1] = append(g.Stages[1], setups.Job{Modes: []setups.Mode{m}})
		}
	}
	return g
}

// world is the changes that a side counts, each move to a part. Looked at
// backwards, a move leads the other way, and the first costs as much as the
// dearest, so that not every group has it for nothing; see back.
func (s *side) world(part float64, tools bool) setups.World {
	w := s.r.m.world(part)
	if !tools {
		w.Tools, w.Change = 1, 0
	}
	if !s.up {
		return w
	}
	turned := make([][]float64, len(w.Move))
	for p := range turned {
		turned[p] = make([]float64, len(w.Move))
		for q := range turned {
			switch {
			case p > 0:
				turned[p][q] = w.Move[q][p]
			case q > 0:
				turned[p][q] = part * slices.Max(s.r.m.enter)
			}
		}
	}
	w.Move = turned
	return w
}

// back is what a side counts too much: backwards, nothing is in hand to begin
// with and the first move costs; forwards, the way up begins with what the work
// ended with.
func (s *side) back() float64 {
	if !s.up {
		return 0
	}
	return slices.Max(s.r.m.enter) + s.r.m.req.Map.SetUp.Tool
}

// bound bounds the side's set-ups and its half of the extras.
func (s *side) bound(ctx context.Context, steps int) sided {
	if len(s.items) == 0 {
		return sided{}
	}
	groups := s.cluster()
	both, ok := s.share(groups, false)
	if !ok {
		return sided{}
	}
	improve(ctx, both, steps)
	b := sided{value: both.Value(), effort: steps * both.States() / 50}
	if moves, ok := s.share(groups, true); ok && s.part > 0 {
		improve(ctx, moves, steps)
		least, looked := setups.Route(ctx, s.world(1, false).Move, s.route(groups), moves, looksRoute)
		b.value += s.part * least
		b.effort += steps*moves.States()/150 + looked/2
	}
	b.value = max(0, b.value-s.back())
	return b
}

// improve looks for better shares when nothing is known of how good they can
// get: in rounds, each of which aims nearer to what there is.
func improve(ctx context.Context, s *setups.Shares, steps int) {
	more := 2.0 // of the value
	for range steps / sidedRound {
		s.Improve(ctx, sidedRound, (1+more)*s.Value()+1)
		more *= 0.75
	}
}

// sidedRound is the steps of a round.
const sidedRound = 6

// share lets the groups share the changes that a side counts: with moves only
// in full, or else what of them is left by the part that the moves alone have.
func (s *side) share(groups [][]int, movesOnly bool) (*setups.Shares, bool) {
	list := make([]setups.Group, len(groups))
	for g, items := range groups {
		list[g] = s.group(items, movesOnly)
	}
	if movesOnly {
		return setups.New(s.world(1, false), list, 4*sidedStates)
	}
	return setups.New(s.world(1-s.part, true), list, 4*sidedStates)
}

// cluster puts the side's items in groups.
func (s *side) cluster() [][]int {
	g := &grouping{r: s.r, w: s.w}
	return g.clusterBy(slices.Clone(s.items), func(items []int) bool {
		if len(items) > 64 {
			return false
		}
		group := s.group(items, true)
		_, ok := setups.States(&group, sidedStates)
		return ok
	})
}

// route states the moves alone. Extras are in proportion to what of the moves
// is counted.
func (s *side) route(groups [][]int) []setups.RouteJob {
	m := s.r.m
	bit := make([]int, len(m.items))
	for n, i := range s.items {
		bit[i] = n
	}
	works := 0
	if !s.up {
		works = len(m.works)
	}
	words := (len(s.items) + works + 63) / 64
	jobs := make([]setups.RouteJob, 0, len(s.items)+works)
	for _, i := range s.items {
		j := setups.RouteJob{Group: nothing}
		s.modes(i, func(_, place, _ int, extra float64, pre []uint64) {
			mode := setups.RouteMode{Place: place, Extra: s.extra(true) * extra, Pre: make([]uint64, words)}
			for _, x := range s.items {
				if x != i && has(pre, x) {
					set(mode.Pre, bit[x])
				}
			}
			j.Modes = append(j.Modes, mode)
		})
		jobs = append(jobs, j)
	}
	all := make([]uint64, words)
	for n := range jobs {
		set(all, n)
	}
	for n := range works {
		jobs = append(jobs, setups.RouteJob{Group: nothing, Modes: []setups.RouteMode{{Place: m.works[n].place, Pre: all}}})
	}
	for g, items := range groups {
		for n, i := range items {
			jobs[bit[i]].Group, jobs[bit[i]].Number = g, n
		}
		n := 0
		for w := range works {
			if slices.Contains(items, m.works[w].item) {
				jobs[len(s.items)+w].Group, jobs[len(s.items)+w].Number = g, n
				n++
			}
		}
	}
	return jobs
}
