package job

import (
	"slices"
	"strings"

	"lastbolt/plan/access"
	"lastbolt/plan/opening"
)

// TurnBack puts a way back in force: a plan of [opening.Remake], made on the
// map and the list that [WayBackMap] gives. Why is what turned the job round.
func TurnBack(why string, plan *opening.Plan, m *access.Map, version int, already []string) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		if strings.TrimSpace(why) == "" {
			return nil, refuse(CodeMissing, "Say why the job turns back here.")
		}
		if plan == nil || m == nil {
			return nil, refuse(CodeMissing, "There is no way back to use.")
		}
		d := planData(plan, m, version, already)
		d.Why = why
		return one(r, s, KindWayBack, d)
	})
}

// WayBackMap gives what a way back is planned on: the map, with everything
// added that was met and is not in it, and what is open now as "item/way" and
// conditions that hold. Base is the map the job was planned on, nil where there
// is none; it is not changed. What was recorded as in the way of something is
// among that thing's needs.
func WayBackMap(s *State, base *access.Map) (m *access.Map, already []string) {
	m = &access.Map{Format: access.Format, ID: "record-of-" + slug(s.ID), Name: s.Title}
	if base != nil {
		*m = *base
	}
	m.Items = slices.Clone(m.Items)
	for _, id := range sortedKeys(s.Items) {
		if !slices.ContainsFunc(m.Items, func(it access.Item) bool { return it.ID == id }) {
			m.Items = append(m.Items, *s.Items[id])
		}
	}
	for i := range m.Items {
		it := &m.Items[i]
		for _, l := range s.Links {
			if l.Of == it.ID && s.Items[l.Item] != nil && !needs(it, l.Item) {
				it.Ways = slices.Clone(it.Ways)
				for w := range it.Ways {
					it.Ways[w].Needs = append(slices.Clone(it.Ways[w].Needs), access.Need{Item: l.Item})
				}
			}
		}
	}
	for _, r := range slices.Backward(s.Open) {
		a := r.Item
		if w := s.StepByID(r.Down); w != nil && w.way != nil {
			a += "/" + w.way.ID
		}
		already = append(already, a)
	}
	return m, already
}

// needs tells whether any way of an item already asks for another.
func needs(it *access.Item, other string) bool {
	var in func(access.Need) bool
	in = func(n access.Need) bool {
		return n.Item == other || slices.ContainsFunc(n.All, in) || slices.ContainsFunc(n.Any, in)
	}
	return slices.ContainsFunc(it.Ways, func(w access.Way) bool { return slices.ContainsFunc(w.Needs, in) })
}
