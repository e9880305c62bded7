package opening

import (
	"context"
	"math"
	"slices"
)

// limits are lower bounds on what is left of an order. The hand minutes left
// are known exactly; set-ups are bounded by the places and tools that must
// still be visited, switches by the conditions that must still change, idle
// time by the longest chain of hand minutes and waits.
type limits struct {
	places          [phases]classes
	tools           [phases]classes
	path            [][]float64 // by set of places, then by present place: least minutes to visit them all
	upAll           float64     // least minutes of the way up: hands or its longest chain
	tail            [phases][]float64
	after           [2][]float64 // by wait: longest chain behind it to the end of the work, to the end of the plan
	flip            [phases][][2][4]float64
	wantOn, wantOff [phases][][]uint64 // by condition: the jobs that ask for it, nil if none
	workPlaces      uint64
	place, tool     [2]*relaxation // to the end of the work, to the end of the plan
	upFrom          []float64      // by place: least minutes of the way up, but for switches
	upSame          float64        // what of it is the same from every place: hands and tools
	own             []bool         // by condition: it is switched with a tool that nothing else asks for
	upOwn           float64        // changes to and from such tools on every way up
}

// classes are the jobs of a phase by place or by tool.
type classes struct {
	id   []int
	jobs [][]uint64
}

// Most places for which the least path over a set is tabled; beyond it each
// place counts its cheapest entry.
const tabledPlaces = 8

func (l *limits) init(o *order) {
	for p := range phases {
		l.places[p] = o.classes(p, func(j *job) int { return j.place })
		l.tools[p] = o.classes(p, func(j *job) int { return j.tool })
	}
	for _, p := range l.places[bottom].id {
		l.workPlaces |= 1 << (p & 63)
	}
	l.path = o.m.paths()
	l.layTails(o)
	l.layFlips(o)
	l.upFrom = make([]float64, len(o.m.places))
	first := o.bits()
	l.layOwn(o)
	l.upSame = o.hand[up] + l.upOwn + l.toolsRough(o, up, first, anyTool)
	for p := range l.upFrom {
		l.upFrom[p] = l.upSame + l.placesRough(o, up, first, int32(p))
	}
	l.layUpAll()
}

// placesRough bounds the changes of place to the end of the work, or of the
// plan, by the places still called for; toolsRough those of tools.
func (l *limits) placesRough(o *order, p int, s []uint64, held int32) float64 {
	return l.visit(o.m, l.placesLeft(p, s)&^(1<<(held&63)), int(held))
}

func (l *limits) toolsRough(o *order, p int, s []uint64, held int32) float64 {
	return float64(l.toolsLeft(p, s, held)) * o.m.req.Map.SetUp.Tool
}

// setUps bounds the changes left to the end of the work (and then those of the
// way up, with its hand minutes), or on the way up.
func (l *limits) setUps(o *order, p int, done []uint64, place, tool int32) float64 {
	seg, sum := 0, l.upSame
	if p == up {
		seg, sum = 1, 0
	}
	switch {
	case l.place[seg] != nil:
		sum += l.place[seg].least(p, done, place)
	case p == up:
		sum += l.placesRough(o, p, done, place)
	default:
		sum += l.placesRough(o, p, done, place) + slices.Min(l.upFrom) - l.upSame
	}
	if l.tool[seg] != nil {
		return sum + l.tool[seg].least(p, done, tool)
	}
	return sum + l.toolsRough(o, p, done, tool)
}

// layOwn finds the conditions that are switched with a tool of their own. Of the
// changes of tool the other bounds see those between jobs; to switch with such a
// tool in between takes one more at least, unless it is in hand.
func (l *limits) layOwn(o *order) {
	l.own = make([]bool, len(o.conds))
	if o.loose {
		return // what is not decided may ask for the tool too
	}
	for k := range o.conds {
		l.own[k] = o.flips[2*k].tool != nothing && o.flips[2*k].tool == o.flips[2*k+1].tool && o.asksTool(o.flips[2*k].tool) == 2
		if l.own[k] && l.wantOn[up][k] != nil && len(l.tools[up].id) > 0 {
			l.upOwn += o.m.req.Map.SetUp.Tool
		}
	}
}

// asksTool counts the jobs and switches that ask for a tool.
func (o *order) asksTool(tool int) int {
	n := 0
	for p := range o.jobs {
		for i := range o.jobs[p] {
			if o.jobs[p][i].tool == tool {
				n++
			}
		}
	}
	for i := range o.flips {
		if o.flips[i].tool == tool {
			n++
		}
	}
	return n
}

// ownLeft bounds the changes to tools of their own that the switches to come in
// a phase take, and on the way down or at work none of the way up.
func (l *limits) ownLeft(o *order, p, k int, holds bool, asks int, tool int16) float64 {
	if !l.own[k] || tool == anyTool || int(tool) == o.flips[2*k].tool {
		return 0
	}
	if !holds && asks&asksOn != 0 || holds && p == up {
		return o.m.req.Map.SetUp.Tool
	}
	return 0
}

// layUpAll bounds the way up by the best of its places, and its longest chain.
func (l *limits) layUpAll() {
	l.upAll = max(l.upAll, slices.Min(l.upFrom))
	for _, t := range l.tail[up] {
		l.upAll = max(l.upAll, t)
	}
}

// relaxPlaces makes the relaxations of the changes of place: to the end of the
// plan, and to the end of the work, where it goes on with what the way up takes
// from the place where the work ends.
func (l *limits) relaxPlaces(o *order) {
	for seg, end := range []int{up, phases} {
		x := newRelaxation(o, o.m.spare.place[seg], end, func(j *job) int { return j.place }, func(from, to int32) float64 { return o.m.move[from][to] })
		l.place[seg], o.m.spare.place[seg] = x, x
	}
	l.place[1].rough = func(p int, s []uint64, held int32) float64 { return l.placesRough(o, p, s, held) }
	l.place[1].after = func(int32) float64 { return 0 }
	first := o.bits()
	for p := range l.upFrom {
		l.upFrom[p] = max(l.upFrom[p], l.upSame+l.place[1].least(up, first, int32(p)))
	}
	l.layUpAll()
	least := slices.Min(l.upFrom) - l.upSame
	l.place[0].after = func(held int32) float64 { return l.upFrom[held] - l.upSame }
	l.place[0].rough = func(p int, s []uint64, held int32) float64 { return l.placesRough(o, p, s, held) + least }
}

// relaxTools makes the relaxations of the changes of tool.
func (l *limits) relaxTools(o *order) {
	change := o.m.req.Map.SetUp.Tool
	for seg, end := range []int{up, phases} {
		x := newRelaxation(o, o.m.spare.tool[seg], end, func(j *job) int { return j.tool }, func(from, to int32) float64 {
			if from == anyTool {
				return 0
			}
			return change
		})
		x.rough = func(p int, s []uint64, held int32) float64 { return l.toolsRough(o, p, s, held) }
		x.after = func(int32) float64 { return 0 }
		l.tool[seg], o.m.spare.tool[seg] = x, x
	}
	more := o.hand[up] + l.upOwn + l.tool[1].least(up, o.bits(), anyTool) - l.upSame
	if more <= 0 {
		return
	}
	l.upSame += more
	for p := range l.upFrom {
		l.upFrom[p] += more
	}
	l.layUpAll()
}

// improve replaces the bounds on the way up from each place by what an exact
// search of the way up alone proves. A label of such a search begins ahead of
// time by the switches that the bound counts anyway, so that they are not
// counted twice.
func (l *limits) improve(ctx context.Context, o *order, budget int) int {
	if len(o.conds) > mostSwitched || budget <= 0 {
		return 0
	}
	spent := 0
	best, at := math.Inf(1), 0
	for _, p := range o.endPlaces() {
		r := o.m.spare.run(1, o, ctx, best+o.m.move[p][at])
		if math.IsInf(best, 1) {
			r.cutoff = best
		}
		bound := r.upAlone([]int{p}, budget-spent)
		spent += r.nodes
		l.upFrom[p] = max(l.upFrom[p], bound)
		if l.upFrom[p] < best {
			best, at = l.upFrom[p], p
		}
	}
	least := math.Inf(1)
	for _, p := range o.endPlaces() {
		least = min(least, l.upFrom[p])
	}
	l.upAll = max(l.upAll, least)
	l.place[0].forget()
	return spent
}

// improveAll replaces the bounds on the way up from each place by what an exact
// search proves of the way up from whichever place is best.
func (l *limits) improveAll(ctx context.Context, o *order, enough float64, budget int) int {
	if len(o.conds) > mostSwitched || budget <= 0 {
		return 0
	}
	r := o.m.spare.run(1, o, ctx, slices.Min(l.upFrom)+enough+tolerance)
	least := r.upAlone(o.endPlaces(), budget)
	for p := range l.upFrom {
		l.upFrom[p] = max(l.upFrom[p], least)
	}
	l.upAll = max(l.upAll, least)
	l.place[0].forget()
	return r.nodes
}

// mostSwitched is the number of repeating conditions up to which improve tries
// every combination of them.
const mostSwitched = 4

// endPlaces lists the places where the work can end.
func (o *order) endPlaces() []int {
	var out []int
	add := func(p int) {
		if p != nothing && !slices.Contains(out, p) {
			out = append(out, p)
		}
	}
	for ph := range phases {
		if ph == up && o.slots == 0 {
			break // nothing keeps the hands idle, so they do not go ahead
		}
		for _, p := range o.limits.places[ph].id {
			add(p)
		}
	}
	if len(out) == 0 {
		add(0)
	}
	for i := range o.flips {
		add(o.flips[i].place)
	}
	return out
}

// placesLeft is the set of places that the jobs not done, of the phase and if
// it is the way down of the work, still call for.
func (l *limits) placesLeft(p int, done []uint64) uint64 {
	var places uint64
	for i, id := range l.places[p].id {
		if !covers(done, l.places[p].jobs[i]) {
			places |= 1 << (id & 63)
		}
	}
	if p == down {
		places |= l.workPlaces
	}
	return places
}

// toolsLeft counts the tools they still call for, but for the one in hand. Of
// any tool in hand, the first is free.
func (l *limits) toolsLeft(p int, done []uint64, held int32) int {
	n := 0
	for i, id := range l.tools[p].id {
		if int32(id) != held && !covers(done, l.tools[p].jobs[i]) {
			n++
		}
	}
	if p == down {
		for _, id := range l.tools[bottom].id {
			if int32(id) != held && !l.toolLeft(id, done) {
				n++
			}
		}
	}
	if held == anyTool {
		n = max(0, n-1)
	}
	return n
}

// toolLeft reports whether the rest of the way down counts a tool already.
func (l *limits) toolLeft(id int, done []uint64) bool {
	for i, t := range l.tools[down].id {
		if t == id {
			return !covers(done, l.tools[down].jobs[i])
		}
	}
	return false
}

// usualClasses is room for the places or tools of most orders.
const usualClasses = 8

func (o *order) classes(p int, of func(*job) int) classes {
	c := classes{id: make([]int, 0, usualClasses), jobs: make([][]uint64, 0, usualClasses)}
	for i := range o.jobs[p] {
		j := &o.jobs[p][i]
		k := of(j)
		if k == nothing || p == down && has(o.first, i) {
			continue
		}
		at := slices.Index(c.id, k)
		if at < 0 {
			at = len(c.id)
			c.id, c.jobs = append(c.id, k), append(c.jobs, o.bits())
		}
		set(c.jobs[at], i)
	}
	return c
}

// paths tables the least minutes to visit each set of places from each place,
// or nothing if there are too many places.
func (m *model) paths() [][]float64 {
	if m.pathTable != nil || len(m.places)-1 > tabledPlaces {
		return m.pathTable
	}
	n := len(m.places) // 0 is nowhere
	t := make([][]float64, 1<<(n-1))
	for s := range t {
		t[s] = make([]float64, n)
		for at := range n {
			if s == 0 {
				continue
			}
			t[s][at] = math.Inf(1)
			for p := 1; p < n; p++ {
				if bit := 1 << (p - 1); s&bit != 0 {
					t[s][at] = min(t[s][at], m.move[at][p]+t[s&^bit][p])
				}
			}
		}
	}
	m.pathTable = t
	return t
}

// visit is the least minutes to visit the places given, from a place.
func (l *limits) visit(m *model, places uint64, at int) float64 {
	if l.path != nil {
		return l.path[places>>1][at]
	}
	sum := 0.0
	for p := 1; p < len(m.places); p++ {
		if p < 64 && places&(1<<p) != 0 && p != at {
			sum += m.enter[p]
		}
	}
	return sum
}

// layTails computes the longest chains. Of the way down and the work they run
// to the end of the work, of the way up to the end of the plan.
func (l *limits) layTails(o *order) {
	if o.slots == 0 {
		return
	}
	for seg := range l.after {
		l.after[seg] = make([]float64, o.slots)
		for s := range l.after[seg] {
			l.after[seg][s] = math.Inf(-1)
		}
	}
	for _, s := range o.last {
		l.after[1][s] = 0
	}
	o.tails(up, l.after[1], 0)
	o.tails(bottom, l.after[0], 0)
	o.tails(down, l.after[0], o.hand[bottom])
	for i := range o.jobs[up] {
		for _, s := range o.jobs[up][i].slots {
			if !o.startedUp(int(s)) {
				l.after[1][s] = max(l.after[1][s], l.tail[up][i])
			}
		}
	}
}

// tails computes for each job of a phase the longest chain from its beginning:
// its minutes, then a job that comes after it or its wait and a job that waits
// for it, and at least floor after the job itself. It notes in after the
// longest chain behind each wait.
func (o *order) tails(p int, after []float64, floor float64) {
	jobs := o.jobs[p]
	tail := make([]float64, len(jobs))
	o.limits.tail[p] = tail
	seen := make([]bool, len(jobs))
	var chain func(i int) float64
	chain = func(i int) float64 {
		if seen[i] {
			return tail[i] // not complete only in a circle, which has no order
		}
		seen[i] = true
		rest := floor
		for k := range jobs {
			if has(jobs[k].pre, i) {
				rest = max(rest, chain(k))
			}
		}
		if s := jobs[i].slot; s != nothing {
			for k := range jobs {
				// On the way up a job may also be done before the wait begins.
				if waitsFor(&jobs[k], s) && (p != up || has(jobs[k].pre, i)) {
					after[s] = max(after[s], chain(k))
				}
			}
			if p == down {
				for k := range o.jobs[bottom] {
					if waitsFor(&o.jobs[bottom][k], s) {
						after[s] = max(after[s], o.limits.tail[bottom][k])
					}
				}
			}
			rest = max(rest, jobs[i].wait+after[s])
		}
		tail[i] = jobs[i].hand + jobs[i].trouble + rest
		return tail[i]
	}
	for i := range jobs {
		chain(i)
	}
}

// startedUp reports a wait that a job of the way up starts.
func (o *order) startedUp(slot int) bool {
	for i := range o.jobs[up] {
		if o.jobs[up][i].slot == slot {
			return true
		}
	}
	return false
}

func waitsFor(j *job, slot int) bool {
	for _, s := range j.slots {
		if int(s) == slot {
			return true
		}
	}
	return false
}

// Which states of a condition a phase still asks for.
const (
	asksOn  = 1
	asksOff = 2
)

// layFlips tables the least minutes of switching a condition from a state at
// some point of a phase, by what the phase still asks for, to the end.
func (l *limits) layFlips(o *order) {
	for p := phases - 1; p >= 0; p-- {
		l.flip[p] = make([][2][4]float64, len(o.conds))
		for k := range o.conds {
			on := o.flips[2*k].hand + o.flips[2*k].trouble
			off := o.flips[2*k+1].hand
			end := [2]float64{0, off}
			l.wantOn[p] = append(l.wantOn[p], o.asking(p, func(j *job) bool { return j.on&(1<<k) != 0 }))
			l.wantOff[p] = append(l.wantOff[p], o.asking(p, func(j *job) bool { return j.off&(1<<k) != 0 }))
			if p+1 < phases {
				asks := l.asks(p+1, k)
				end = [2]float64{l.flip[p+1][k][0][asks], l.flip[p+1][k][1][asks]}
			}
			for asks := range 4 {
				l.flip[p][k][0][asks], l.flip[p][k][1][asks] = least(end, on, off, asks)
			}
		}
	}
}

// least is the least cost from off and from on through the states asked for
// to the end.
func least(end [2]float64, on, off float64, asks int) (fromOff, fromOn float64) {
	switch asks {
	case asksOn:
		stay := min(end[1], off+end[0])
		return on + stay, stay
	case asksOff:
		stay := min(end[0], on+end[1])
		return stay, off + stay
	case asksOn | asksOff:
		onLast, offLast := min(end[1], off+end[0]), min(end[0], on+end[1])
		return on + min(onLast, off+offLast), off + min(offLast, on+onLast)
	}
	return min(end[0], on+end[1]), min(end[1], off+end[0])
}

// asks is what a whole phase asks of a condition.
func (l *limits) asks(p, k int) int {
	asks := 0
	if l.wantOn[p][k] != nil {
		asks |= asksOn
	}
	if l.wantOff[p][k] != nil {
		asks |= asksOff
	}
	return asks
}

// asking is the set of jobs of a phase that pass a test, nil if empty.
func (o *order) asking(p int, test func(*job) bool) []uint64 {
	var b []uint64
	for i := range o.jobs[p] {
		if p == down && has(o.first, i) || !test(&o.jobs[p][i]) {
			continue
		}
		if b == nil {
			b = o.bits()
		}
		set(b, i)
	}
	return b
}
