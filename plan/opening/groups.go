package opening

import (
	"context"
	"math"
	"slices"

	"lastbolt/plan/setups"
)

// The stages of a group are the phases of an order.

// A grouping is the items of a choice in groups that share the cost of set-ups
// (package setups). What belongs together by its needs is in one group as far
// as its states allow.
type grouping struct {
	r      *relations
	w      weights
	items  [][]int       // by group
	group  []int         // by item, nothing if in none
	jobs   [phases][]int // by item, or by work: number in its stage, nothing if none
	shares *setups.Shares
	places *setups.Places
	sunk   float64 // minutes of extras that no way of their items spares, the half that goes with the places
	moves  float64 // bound of the changes of place alone, sunk included; NaN until it is asked for
	worth  float64 // extras of less are not told from nothing by the places alone
	part   float64 // of the cost of a move: what the places alone account for
}

// mostStates bounds the states of a group.
const mostStates = 1000

// group makes a group of items; the numbers of its jobs go to jobs, unless nil.
func (g *grouping) make(items []int, jobs *[phases][]int) setups.Group {
	out := setups.Group{Stages: make([][]setups.Job, phases)}
	number := func(p, i, n int) {
		if jobs != nil {
			jobs[p][i] = n
		}
	}
	var offs []int // those that are still to come off
	for _, i := range items {
		if g.r.m.items[i].already == nothing {
			offs = append(offs, i)
		}
	}
	for n, i := range offs {
		number(down, i, n)
		out.Stages[down] = append(out.Stages[down], g.offJob(i, offs))
	}
	for w := range g.r.m.works {
		if k := &g.r.m.works[w]; slices.Contains(items, k.item) {
			number(bottom, w, len(out.Stages[bottom]))
			out.Stages[bottom] = append(out.Stages[bottom], setups.Job{Modes: []setups.Mode{{Place: k.place, Tool: k.tool}}})
		}
	}
	for n, i := range items {
		number(up, i, n)
		job := g.job(i)
		pre := among(g.r.on[i], items, i)
		for _, k := range g.r.ways[i] {
			w := &g.r.m.ways[k]
			job.Modes = append(job.Modes, setups.Mode{Place: w.backPlace, Tool: w.tool, Extra: g.w.extra[k] / 4, Pre: pre})
		}
		out.Stages[up] = append(out.Stages[up], job)
	}
	return out
}

func (g *grouping) offJob(i int, offs []int) setups.Job {
	job := g.job(i)
	pre := among(g.r.off[i], offs, i)
	for _, k := range g.r.ways[i] {
		w := &g.r.m.ways[k]
		job.Modes = append(job.Modes, setups.Mode{Place: w.place, Tool: w.tool, Extra: g.w.extra[k] / 4, Pre: pre | among(g.r.byWay[k], offs, i)})
	}
	return job
}

// job is a job without its ways, but with doing without the item where that is
// possible.
func (g *grouping) job(i int) setups.Job {
	if g.r.c.way[i] != fitted {
		return setups.Job{}
	}
	return setups.Job{Modes: []setups.Mode{{Place: setups.Any, Tool: setups.Any, Extra: g.w.skip[i] / 4}}}
}

// among is a set of items as bits of a list, but for one.
func among(s []uint64, list []int, but int) uint64 {
	var b uint64
	for n, i := range list {
		if i != but && has(s, i) {
			b |= 1 << n
		}
	}
	return b
}

// groupUp makes the grouping of a choice, with the items that the weights say
// it may skip. A grouping before it, of a choice that this one is part of, lends
// its groups and their shares. Nil means that it cannot be done.
func (m *model) groupUp(c *choice, w weights, before *grouping) *grouping {
	if len(m.places) > 63 {
		return nil
	}
	g := &grouping{r: m.relate(c, w.soft), w: w, part: movesAlone(m)}
	rest := slices.Clone(g.r.items)
	if before != nil {
		for _, items := range before.items {
			g.items = append(g.items, slices.DeleteFunc(slices.Clone(items), func(i int) bool { return g.r.off[i] == nil }))
		}
		rest = slices.DeleteFunc(rest, func(i int) bool { return before.group[i] != nothing })
	}
	g.items = append(g.items, g.cluster(rest)...)
	if len(g.items) == 0 {
		return nil
	}
	g.number()
	groups := make([]setups.Group, len(g.items))
	for k, items := range g.items {
		groups[k] = g.make(items, &g.jobs)
	}
	var ok bool
	if g.shares, ok = setups.New(m.world(1-g.part), groups, 4*mostStates); !ok {
		return nil
	}
	if before != nil {
		g.shares.Follow(before.shares)
	}
	if g.moves = math.NaN(); before != nil && len(g.r.items) > m.pace.long && &before.w.extra[0] == &w.extra[0] {
		g.moves = before.bound() - before.shares.Value() // holds for what is part of it
	}
	g.weighExtras()
	g.places = g.placesAlone()
	return g
}

func (m *model) world(part float64) setups.World {
	w := setups.World{Tools: len(m.tools), Change: m.req.Map.SetUp.Tool}
	for _, row := range m.move {
		scaled := make([]float64, len(row))
		for q := range row {
			if q > 0 { // nobody moves to nowhere
				scaled[q] = part * row[q]
			}
		}
		w.Move = append(w.Move, scaled)
	}
	return w
}

// movesAlone is the part of a move's cost that the changes of place alone
// account for. What is left to the groups is about a change of tool: less, and
// it would be no loss to them to move for the sake of the tool in hand.
func movesAlone(m *model) float64 {
	dearest := slices.Max(m.enter)
	if dearest <= 0 {
		return 0
	}
	return math.Min(0.9, math.Max(0, 1-m.req.Map.SetUp.Tool/dearest))
}

func (g *grouping) number() {
	g.group = make([]int, len(g.r.m.items))
	for i := range g.group {
		g.group[i] = nothing
	}
	for k, items := range g.items {
		for _, i := range items {
			g.group[i] = k
		}
	}
	for p, n := range [phases]int{len(g.group), len(g.r.m.works), len(g.group)} {
		g.jobs[p] = make([]int, n)
		for i := range g.jobs[p] {
			g.jobs[p][i] = nothing
		}
	}
}

// cluster puts items in groups, the closest first: those with needs of one
// another, then those with the same places and tools.
func (g *grouping) cluster(items []int) [][]int { return g.clusterBy(items, g.fits) }

// clusterBy is cluster with a test of what fits in a group.
func (g *grouping) clusterBy(items []int, fits func([]int) bool) [][]int {
	groups := make([][]int, len(items))
	for n, i := range items {
		groups[n] = []int{i}
	}
	near := make([][]float64, len(items))
	for a := range items {
		near[a] = make([]float64, len(items))
		for b := range a {
			near[a][b] = g.closeness(items[a], items[b])
		}
	}
	for {
		a, b := closest(near, groups)
		if a < 0 {
			break
		}
		both := append(slices.Clone(groups[b]), groups[a]...)
		if !fits(both) {
			near[a][b] = -1
			continue
		}
		groups[b], groups[a] = both, nil
		merge(near, a, b)
	}
	groups = slices.DeleteFunc(groups, func(x []int) bool { return x == nil })
	for _, x := range groups {
		slices.Sort(x)
	}
	return groups
}

func (g *grouping) fits(items []int) bool {
	if len(items) > 64 {
		return false
	}
	group := g.make(items, nil)
	_, ok := setups.States(&group, mostStates)
	return ok
}

// closeness is how much two items have to do with one another.
func (g *grouping) closeness(a, b int) float64 {
	x := 0.0
	for _, rel := range [][][]uint64{g.r.off, g.r.on} {
		if has(rel[a], b) || has(rel[b], a) {
			x++
		}
	}
	if len(g.r.ways[a]) == 0 || len(g.r.ways[b]) == 0 {
		return x
	}
	v, w := &g.r.m.ways[g.r.ways[a][0]], &g.r.m.ways[g.r.ways[b][0]]
	if v.place == w.place {
		x += 0.02
		if v.tool == w.tool {
			x += 0.2
		}
	}
	return x
}

// closest finds the two groups with most to do with one another for their size.
func closest(near [][]float64, groups [][]int) (a, b int) {
	a, b = -1, -1
	most := 0.0
	for i := range groups {
		for k := range i {
			if groups[i] == nil || groups[k] == nil || near[i][k] <= 0 {
				continue
			}
			if x := near[i][k] / math.Sqrt(float64(len(groups[i])*len(groups[k]))); x > most {
				a, b, most = i, k, x
			}
		}
	}
	return a, b
}

// merge adds what group a has to do with the others to group b.
func merge(near [][]float64, a, b int) {
	at := func(i, k int) *float64 { return &near[max(i, k)][min(i, k)] }
	for i := range near {
		switch {
		case i == a || i == b:
		case *at(i, a) < 0 || *at(i, b) < 0:
			*at(i, b) = -1
		default:
			*at(i, b) += *at(i, a)
		}
	}
}

// placesAlone states the changes of place of all items together.
func (g *grouping) placesAlone() *setups.Places {
	m := g.r.m
	stages := make([][]setups.PlaceJob, phases)
	bit := make([]int, len(m.items))
	for n, i := range g.r.items {
		bit[i] = n
	}
	words := (len(g.r.items) + 63) / 64
	pre := func(s []uint64) []uint64 {
		out := make([]uint64, words)
		for _, i := range g.r.items {
			if has(s, i) {
				set(out, bit[i])
			}
		}
		return out
	}
	for _, i := range g.r.items {
		off := setups.PlaceJob{}
		if m.items[i].already == nothing {
			off = g.placeJob(i, pre(g.r.off[i]), func(w *mWay) int { return w.place })
		}
		stages[down] = append(stages[down], off)
		stages[up] = append(stages[up], g.placeJob(i, pre(g.r.on[i]), func(w *mWay) int { return w.backPlace }))
	}
	for w := range m.works {
		k := setups.PlaceJob{}
		if p := m.works[w].place; p != nothing {
			k.Places = 1 << p
		}
		stages[bottom] = append(stages[bottom], k)
	}
	return setups.NewPlaces(m.move, stages, mostPlaces)
}

// placeJob is a job of an item for the places alone. What every way of it costs
// extra is set aside.
func (g *grouping) placeJob(i int, before []uint64, of func(*mWay) int) setups.PlaceJob {
	j := setups.PlaceJob{Pre: before}
	least := math.Inf(1)
	skips := g.r.c.way[i] == fitted
	if skips {
		least = g.w.skip[i]
	}
	for _, k := range g.r.ways[i] {
		least = min(least, g.w.extra[k])
	}
	g.sunk += least / 4
	if skips && g.w.skip[i]-least <= g.worth {
		return j
	}
	if skips {
		j.Dear = append(j.Dear, setups.DearPlace{Place: setups.Any, Extra: (g.w.skip[i] - least) / 4 / g.part})
	}
	for _, k := range g.r.ways[i] {
		switch p := of(&g.r.m.ways[k]); {
		case g.w.extra[k]-least > g.worth:
			d := setups.DearPlace{Place: setups.Any, Extra: (g.w.extra[k] - least) / 4 / g.part}
			if p != nothing {
				d.Place = p
			}
			j.Dear = append(j.Dear, d)
		case p == nothing:
			return setups.PlaceJob{Pre: before}
		default:
			j.Places |= 1 << p
		}
	}
	return j
}

// mostDear is how many jobs with extras the places alone follow: each
// multiplies their states. Those so dear that it never pays do not count.
const mostDear = 4

// weighExtras decides which extras are worth following.
func (g *grouping) weighExtras() {
	var all []float64
	for _, i := range g.r.items {
		e := g.w.skip[i]
		for _, k := range g.r.ways[i] {
			e = max(e, g.w.extra[k])
		}
		if e > 0 && e < g.r.m.dearest()*g.part {
			all = append(all, e)
		}
	}
	slices.Sort(all)
	if n := len(all) - mostDear; n > 0 {
		g.worth = all[n-1]
	}
}

// mostPlaces bounds the states of the changes of place alone.
const mostPlaces = 200_000

// bound is what the set-ups, and the extras, come to at least.
func (g *grouping) bound() float64 {
	if math.IsNaN(g.moves) {
		g.moves = 0
		if g.part > 0 {
			g.moves = g.sunk + g.part*g.places.Least(down, nil, 0)
		}
	}
	return g.shares.Value() + g.moves
}

// improve looks for better shares.
func (g *grouping) improve(ctx context.Context, steps int, enough float64) {
	g.shares.Improve(ctx, steps, enough-(g.bound()-g.shares.Value()))
}

// effort is what a step of improve counts in labels, and steps how many a
// budget is good for.
func (g *grouping) effort() int { return 1 + g.shares.States()/12 }

func (g *grouping) steps(budget int) int { return min(mostSteps, budget/g.effort()) }

// mostSteps bounds the steps of improve: later ones bring little.
const mostSteps = 150
