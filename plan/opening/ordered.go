package opening

import "lastbolt/plan/setups"

// ordered is the grouping of an order's choice, by the order's numbers: what
// the search asks for the set-ups still to come.
type ordered struct {
	g     *grouping
	group [phases][]int // by job, nothing if in none
	job   [phases][]int
	upAll float64
	rough func(p int, done []uint64, place int32) float64 // bounds the moves where they are not followed exactly, or nil
}

// share lets the order bound its set-ups by a grouping of its choice.
func (o *order) share(g *grouping) {
	s := &ordered{g: g, upAll: o.hand[up]}
	for p := range phases {
		for i := range o.jobs[p] {
			group, job := nothing, nothing
			j := &o.jobs[p][i]
			switch {
			case p == bottom:
				if it := o.m.works[j.ref].item; g.group[it] != nothing && g.jobs[bottom][j.ref] != nothing {
					group, job = g.group[it], g.jobs[bottom][j.ref]
				}
			case !j.fill && g.jobs[p][j.ref] != nothing:
				group, job = g.group[j.ref], g.jobs[p][j.ref]
			}
			s.group[p], s.job[p] = append(s.group[p], group), append(s.job[p], job)
		}
	}
	o.groups = s
}

// coarsen makes the bounds of a long order quick to find: it no longer follows
// the changes of place alone exactly.
func (s *ordered) coarsen(o *order) {
	if len(o.items) > o.m.pace.long {
		s.rough = func(p int, done []uint64, place int32) float64 { return o.limits.placesRough(o, p, done, place) }
	}
}

func (s *ordered) count() int {
	if s == nil {
		return 0
	}
	return len(s.g.items)
}

// start appends the states of the groups at the beginning of a phase.
func (s *ordered) start(parts []setups.State, phase int) []setups.State {
	for k := range s.count() {
		parts = append(parts, s.g.shares.Start(k, phase))
	}
	return parts
}

// follow moves the states on by a job.
func (s *ordered) follow(parts []setups.State, p, job int) {
	if s != nil && s.group[p][job] != nothing {
		k := s.group[p][job]
		parts[k] = s.g.shares.Next(k, parts[k], s.job[p][job])
	}
}

// left bounds the set-ups left to the end of the plan, and on the way to the
// bottom adds the hand minutes of the way up.
func (s *ordered) left(p int, parts []setups.State, done []uint64, place, tool int) float64 {
	sum := 0.0
	if p != up {
		sum = s.upAll
	}
	if tool == anyTool {
		tool = setups.Any
	}
	for k, at := range parts {
		sum += s.g.shares.Left(k, at, place, tool)
	}
	switch {
	case s.rough != nil:
		sum += s.g.part * s.rough(p, done, int32(place))
	case s.g.part > 0:
		sum += s.g.part * s.g.places.Least(p, done, place)
	}
	return sum
}
