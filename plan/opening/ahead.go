package opening

import "slices"

// While the hands would only wait for a step that asks for no place, or no
// tool, of its own, they can go to the place or take the tool of a later one.
// Without it, needless steps would pay: any step done while waiting brings the
// hands where they are wanted next. With it none does, because what a needless
// step brings about can be had without it, in its time.

// ahead adds to r.acts the variants of an act that wait with a change of place
// or tool for later.
func (r *run) ahead(l int32, a act, j *job) {
	lab := &r.labels[l]
	o := r.o
	ready := a.start
	if ready <= lab.time+a.setUp || j.place != nothing && j.tool != nothing {
		return
	}
	places, tools := []int16{a.place}, []int16{a.tool}
	if j.place == nothing {
		places = o.wanted(places, int(lab.phase), func(j *job) int { return j.place })
	}
	if j.tool == nothing && lab.tool != anyTool {
		tools = o.wanted(tools, int(lab.phase), func(j *job) int { return j.tool })
	}
	for _, p := range places {
		for _, t := range tools {
			v := a
			v.place, v.tool = p, t
			if p != a.place {
				v.setUp += o.m.move[a.place][p]
			}
			if t != a.tool {
				v.setUp += o.m.req.Map.SetUp.Tool
			}
			if v.setUp > a.setUp {
				v.start = max(lab.time+v.setUp, ready)
				r.acts = append(r.acts, v)
			}
		}
	}
}

// wanted adds the places, or tools, that the steps from a phase on ask for.
func (o *order) wanted(into []int16, phase int, of func(*job) int) []int16 {
	add := func(j *job) {
		if k := of(j); k != nothing && !slices.Contains(into, int16(k)) {
			into = append(into, int16(k))
		}
	}
	for p := phase; p < phases; p++ {
		for i := range o.jobs[p] {
			add(&o.jobs[p][i])
		}
	}
	for i := range o.flips {
		add(&o.flips[i].job)
	}
	return into
}
