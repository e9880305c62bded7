package opening

import "slices"

// dropWaits leaves out the waits that can never keep anybody waiting: nothing
// waits for them, or between the job that starts one and each job that waits
// for it there is always as much hand work. What runs while the hands must be
// busy anyway is left to itself, and the search has less to keep in mind.
func (o *order) dropWaits() {
	if o.slots == 0 {
		return
	}
	keep := make([]bool, o.slots)
	var follow [phases][][]uint64 // by job, once it is asked for: the jobs that always come after
	for p := range o.jobs {
		follow[p] = make([][]uint64, len(o.jobs[p]))
	}
	for p := range o.jobs {
		for i := range o.jobs[p] {
			if s := o.jobs[p][i].slot; s != nothing {
				keep[s] = o.binds(&follow, p, i)
			}
		}
	}
	for i := range o.flips {
		if s := o.flips[i].slot; s != nothing {
			keep[s] = true
		}
	}
	idle := false
	for s := range keep {
		idle = idle || keep[s] && o.hard[s]
	}
	for p := range o.jobs {
		for i := range o.jobs[p] {
			switch s := o.jobs[p][i].slot; {
			case s == nothing || keep[s]:
			case idle && o.hard[s] && slices.ContainsFunc(o.jobs[up], func(c job) bool { return c.fill && slices.Contains(c.slots, int32(s)) }):
				keep[s] = true // a filling may be for the idle time of another wait
			default:
				o.fillAfter(&follow, p, i)
			}
		}
	}
	o.renumber(keep)
}

// fillAfter puts the fillings that would see a wait out after the jobs that
// outlast it. A filling starts no wait and nothing comes after it, so that to do
// the others first delays nothing.
func (o *order) fillAfter(follow *[phases][][]uint64, p, i int) {
	for k := range o.jobs[up] {
		c := &o.jobs[up][k]
		if !c.fill || !slices.Contains(c.slots, int32(o.jobs[p][i].slot)) {
			continue
		}
		if p != up {
			for b := range o.items {
				set(c.pre, b)
			}
			continue
		}
		set(c.pre, i)
		after := o.following(follow, p, i)
		for b := range o.items { // not other fillings: two may follow one another's waits
			if has(after, b) {
				set(c.pre, b)
			}
		}
	}
}

// binds reports whether the wait that a job starts can keep anybody waiting.
func (o *order) binds(follow *[phases][][]uint64, p, i int) bool {
	j := &o.jobs[p][i]
	after := o.following(follow, p, i)
	for q := p; q < phases; q++ {
		for k := range o.jobs[q] {
			if c := &o.jobs[q][k]; c.fill || !c.minds(int32(j.slot)) {
				continue // see fillAfter
			}
			if q == p && !has(after, k) || o.between(follow, p, i, q, k) < j.wait {
				return true
			}
		}
	}
	for i := range o.flips {
		if o.flips[i].minds(int32(j.slot)) {
			return true
		}
	}
	return slices.Contains(o.last, int32(j.slot)) && o.between(follow, p, i, phases, 0) < j.wait
}

// minds reports whether a job may have to wait for the wait.
func (j *job) minds(slot int32) bool {
	return slices.Contains(j.slots, slot) || slices.ContainsFunc(j.gates, func(g gate) bool { return slices.Contains(g.everyWait(nil), slot) })
}

// between is the hand minutes that always lie between job i of phase p and job
// k of phase q, or the end. Fillings are left out: they may wait themselves.
func (o *order) between(follow *[phases][][]uint64, p, i, q, k int) float64 {
	sum := 0.0
	after := o.following(follow, p, i)
	for x := range o.jobs[p] {
		if has(after, x) && !o.jobs[p][x].fill && (q > p || has(o.following(follow, p, x), k)) {
			sum += o.jobs[p][x].hand + o.jobs[p][x].trouble
		}
	}
	if q == p {
		return sum
	}
	for m := p + 1; m < q && m < phases; m++ {
		sum += o.hand[m]
		for x := range o.jobs[m] {
			if o.jobs[m][x].fill {
				sum -= o.jobs[m][x].hand
			}
		}
	}
	if q < phases {
		for x := range o.jobs[q] {
			if !o.jobs[q][x].fill && has(o.following(follow, q, x), k) {
				sum += o.jobs[q][x].hand + o.jobs[q][x].trouble
			}
		}
	}
	return sum
}

// following is the set of jobs of a phase that always come after one.
func (o *order) following(follow *[phases][][]uint64, p, i int) []uint64 {
	if f := follow[p][i]; f != nil {
		return f
	}
	f := o.bits()
	follow[p][i] = f // a circle has no order, and is found out elsewhere
	for k := range o.jobs[p] {
		if has(o.jobs[p][k].pre, i) && !has(f, k) {
			set(f, k)
			for w, x := range o.following(follow, p, k) {
				f[w] |= x
			}
		}
	}
	return f
}

// renumber drops the waits that are not kept.
func (o *order) renumber(keep []bool) {
	number := make([]int32, len(keep))
	n := 0
	for s, k := range keep {
		number[s] = nothing
		if k {
			number[s] = int32(n)
			n++
		}
	}
	if n == len(keep) {
		return
	}
	gone := func(s int32) bool { return s < 0 }
	move := func(l []int32) []int32 {
		for i := range l {
			l[i] = number[l[i]]
		}
		return slices.DeleteFunc(l, gone)
	}
	do := func(j *job) {
		if j.slot != nothing {
			j.slot = int(number[j.slot])
		}
		j.slots = move(j.slots)
		for g := range j.gates {
			j.gates[g].renumber(number)
		}
	}
	for p := range o.jobs {
		for i := range o.jobs[p] {
			do(&o.jobs[p][i])
		}
	}
	for i := range o.flips {
		do(&o.flips[i].job)
	}
	o.last = move(o.last)
	o.slots = n
	o.markHard()
}

func (g *gate) renumber(number []int32) {
	for i, s := range g.waits {
		if s != nothing {
			g.waits[i] = number[s]
		}
	}
	for i := range g.kids {
		g.kids[i].renumber(number)
	}
}
