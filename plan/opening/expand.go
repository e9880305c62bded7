package opening

import (
	"math"
	"math/bits"
)

func popcount(w uint64) int { return bits.OnesCount64(w) }

// gather fills r.acts with what can be done next at a label. Where something
// can be done as things are set up, and nothing speaks against doing it now, it
// is the only act: by the triangle inequality of the set-ups, moving it here
// from later costs nothing.
func (r *run) gather(l int32) {
	lab := &r.labels[l]
	out := r.outNow(l)
	r.acts = r.acts[:0]
	if int(lab.phase) < phases {
		jobs := r.o.jobs[lab.phase]
		done := r.bitsOf(l)
		waits := r.waits(l)
		for i := range jobs {
			if has(done, i) || !r.possible(l, i, out) {
				continue
			}
			j := &jobs[i]
			a := r.timed(l, j, int32(i))
			if a.start == math.Inf(1) {
				continue
			}
			others := waits > 1 || waits == 1 && j.slot == nothing
			plain := !j.frail && !others && a.start <= lab.time+a.setUp+tolerance*1e-3
			if plain && j.pair == lab.pair && now(j.place, lab.place) == int(lab.place) && now(j.tool, lab.tool) == int(lab.tool) {
				r.acts = append(r.acts[:0], a)
				return
			}
			if plain && r.repeated(l, j) {
				continue
			}
			a.plain = plain && j.slot == nothing
			r.acts = append(r.acts, a)
			r.ahead(l, a, j)
		}
	}
	for i := range r.o.flips {
		r.gatherFlip(l, i, out)
	}
}

// waits counts the waits that are still to be started in the phase, and twice
// those that run and can keep the hands idle. While there are any, doing
// something at once is not always right: it may delay the start of a wait, and
// in idle time a change of tool costs nothing.
func (r *run) waits(l int32) int {
	if r.o.slots == 0 {
		return 0
	}
	n := 0
	lab := &r.labels[l]
	done := r.bitsOf(l)
	jobs := r.o.jobs[lab.phase]
	for i := range jobs {
		if s := jobs[i].slot; s != nothing && !has(done, i) {
			n++
		}
	}
	for i := range r.o.flips {
		if r.o.flips[i].slot != nothing {
			n += 2
		}
	}
	for s, over := range r.readyOf(l) {
		if over > lab.time && r.o.hard[s] {
			n += 2
		}
	}
	return n
}

// repeated reports whether an act already gathered leads to the same set-up
// as a job, so that the job will follow it at no cost.
func (r *run) repeated(l int32, j *job) bool {
	lab := &r.labels[l]
	jobs := r.o.jobs[lab.phase]
	for _, a := range r.acts {
		k := &jobs[a.code]
		if a.plain && k.pair == j.pair &&
			now(k.place, lab.place) == now(j.place, lab.place) && now(k.tool, lab.tool) == now(j.tool, lab.tool) {
			return true
		}
	}
	return false
}

func now(want int, have int16) int {
	if want == nothing {
		return int(have)
	}
	return want
}

// possible reports whether a job of the phase may be done at a label.
func (r *run) possible(l int32, i int, out []uint64) bool {
	lab := &r.labels[l]
	j := &r.o.jobs[lab.phase][i]
	if j.on&^lab.on != 0 || j.off&lab.on != 0 || !covers(r.bitsOf(l), j.pre) {
		return false
	}
	for g := range j.gates {
		if !j.gates[g].open(out, lab.on) {
			return false
		}
	}
	if int(lab.phase) == up && !j.fill {
		return r.letsBack(l, i, out)
	}
	return true
}

// letsBack reports whether everything that still has to go back could do so
// after item i has.
func (r *run) letsBack(l int32, i int, out []uint64) bool {
	if len(r.o.guards[i]) == 0 {
		return true
	}
	done := r.bitsOf(l)
	out[i>>6] &^= 1 << (i & 63)
	ok := true
	for _, k := range r.o.guards[i] {
		if k == i || has(done, k) {
			continue
		}
		for g := range r.o.jobs[up][k].gates {
			ok = ok && r.o.jobs[up][k].gates[g].open(out, math.MaxUint32)
		}
	}
	set(out, i)
	return ok
}

// uses gives the conditions without whose present state a job could not be
// done now, or only later than at start. over tells when each wait is over.
func (j *job) uses(out []uint64, on uint32, over []float64, start float64) uint32 {
	used := j.on | j.off
	for g := range j.gates {
		for left := j.gates[g].conds(); left != 0; left &= left - 1 {
			if bit := left & -left; !j.gates[g].open(out, on^bit) || j.gates[g].bits != nil && j.gates[g].ready(out, on^bit, over) > start {
				used |= bit
			}
		}
	}
	return used
}

// conds gives the conditions a gate names.
func (g *gate) conds() uint32 {
	on := g.on
	for i := range g.kids {
		on |= g.kids[i].conds()
	}
	return on
}

// timed says when a job can start at a label; never is infinite.
func (r *run) timed(l int32, j *job, code int32) act {
	lab := &r.labels[l]
	a := act{code: code, place: int16(now(j.place, lab.place)), tool: int16(now(j.tool, lab.tool)), setUp: r.setUp(lab, j)}
	a.start = lab.time + a.setUp
	if r.o.slots == 0 {
		return a
	}
	ready := r.readyOf(l)
	for _, s := range j.slots {
		a.start = max(a.start, ready[s])
	}
	for g := range j.gates {
		if j.gates[g].bits != nil {
			a.start = max(a.start, j.gates[g].ready(r.out, lab.on, ready))
		}
	}
	return a
}

// ready is when the waits behind a gate let it be passed, given what is out of
// the way, the conditions that hold, and when each wait is over.
func (g *gate) ready(out []uint64, on uint32, over []float64) float64 {
	when := math.Inf(1)
	if g.all {
		when = 0
	}
	take := func(t float64) {
		if g.all {
			when = max(when, t)
		} else {
			when = min(when, t)
		}
	}
	for i, b := range g.bits {
		switch held := b < 0 && on&(1<<^b) != 0 || b >= 0 && has(out, int(b)); {
		case !held:
			take(math.Inf(1))
		case g.waits[i] == nothing:
			take(0)
		default:
			take(over[g.waits[i]])
		}
	}
	for i := range g.kids {
		take(g.kids[i].ready(out, on, over))
	}
	return when
}

// setUp is the minutes of changing from what is set up to what a job needs.
func (r *run) setUp(lab *label, j *job) float64 {
	cost := 0.0
	if j.place != nothing {
		cost = r.o.m.move[lab.place][j.place]
	}
	if j.tool != nothing && j.tool != int(lab.tool) && lab.tool != anyTool {
		cost += r.o.m.req.Map.SetUp.Tool
	}
	if j.pair && !lab.pair {
		cost += pairCost
	}
	return cost
}

// gatherFlip adds a switch of a condition if it is possible. No condition is
// switched for nothing: between two switches something is done that wants the
// condition as it then is.
func (r *run) gatherFlip(l int32, i int, out []uint64) {
	lab := &r.labels[l]
	f := &r.o.flips[i]
	holds := lab.on&(1<<(i/2)) != 0
	if f.never || holds == (i%2 == 0) || lab.used&(1<<(i/2)) == 0 {
		return
	}
	if f.on&^lab.on != 0 || f.off&lab.on != 0 || !covers(out, f.out) || meets(out, f.in) {
		return
	}
	for g := range f.gates {
		if !f.gates[g].open(out, lab.on) {
			return
		}
	}
	a := r.timed(l, &f.job, ^int32(i))
	if a.start < math.Inf(1) {
		r.acts = append(r.acts, a)
		r.ahead(l, a, &f.job)
	}
}

// estimate is the least time at which a plan through a label can end.
func (r *run) estimate(l int32) float64 {
	lab := &r.labels[l]
	o := r.o
	p := int(lab.phase)
	if p == phases {
		t := lab.time
		for k := range o.conds {
			if lab.on&(1<<k) != 0 {
				t += o.flips[2*k+1].hand
			}
		}
		return r.pendingUp(l, t)
	}
	done := r.bitsOf(l)
	lim := &o.limits
	byHand := lab.time + lab.left
	if o.groups != nil {
		byHand += o.groups.left(p, r.partsOf(l), done, int(lab.place), int(lab.tool))
	} else {
		byHand += lim.setUps(o, p, done, int32(lab.place), int32(lab.tool))
	}
	for k := range o.conds {
		holds := 0
		if lab.on&(1<<k) != 0 {
			holds = 1
		}
		asks := r.asks(p, k, done)
		byHand += lim.flip[p][k][holds][asks] + lim.ownLeft(o, p, k, holds == 1, asks, lab.tool)
	}
	switch p {
	case up:
		return r.pendingUp(l, byHand)
	case down:
		byHand += o.hand[bottom]
	}
	// Switches may fall into the waits of a chain, so they count by hand only.
	return r.pendingUp(l, max(byHand, r.pendingDown(l)+lim.upAll))
}

// asks is what the rest of a phase asks of a condition.
func (r *run) asks(p, k int, done []uint64) int {
	a := 0
	if t := r.o.limits.wantOn[p][k]; t != nil && !covers(done, t) {
		a |= asksOn
	}
	if t := r.o.limits.wantOff[p][k]; t != nil && !covers(done, t) {
		a |= asksOff
	}
	return a
}

// pendingDown bounds the end of the work by the waits that run or are still to
// be started.
func (r *run) pendingDown(l int32) float64 {
	if r.o.slots == 0 {
		return 0
	}
	lab := &r.labels[l]
	t := 0.0
	for s, at := range r.readyOf(l) {
		if at > lab.time {
			t = max(t, at+r.o.limits.after[0][s])
		}
	}
	return max(t, r.chain(l))
}

func (r *run) pendingUp(l int32, t float64) float64 {
	if r.o.slots == 0 {
		return t
	}
	lab := &r.labels[l]
	for s, at := range r.readyOf(l) {
		if at > lab.time {
			t = max(t, at+r.o.limits.after[1][s])
		}
	}
	if int(lab.phase) == up {
		t = max(t, r.chain(l))
	}
	return t
}

// chain is the present time plus the longest chain of a job not done.
func (r *run) chain(l int32) float64 {
	lab := &r.labels[l]
	done := r.bitsOf(l)
	longest := 0.0
	for i, t := range r.o.limits.tail[lab.phase] {
		if t > longest && !has(done, i) {
			longest = t
		}
	}
	return lab.time + longest
}
