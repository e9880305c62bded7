package job

import (
	"cmp"
	"fmt"
	"slices"
)

// boltConflicts lists lengths and torques on which two people differ.
func (b *builder) boltConflicts(m *BoltMap) {
	step := ""
	if m.Step != nil {
		step = m.Step.ID
	}
	for _, bolt := range slices.Concat(m.Bolts, m.Keep) {
		name := fmt.Sprintf("%s, bolt %d", m.Name, bolt.N)
		if chosen, ok := b.disputed("bolt:"+m.Item+":"+bolt.ID+":length", step, name+", length", bolt.lengths); ok {
			for _, l := range bolt.lengths {
				if l.Event == chosen {
					_ = bolt.Length.UnmarshalText([]byte(l.Value))
				}
			}
		}
		passes := map[int][]ConflictValue{}
		for _, t := range bolt.Turns {
			if t.Turn == Clicked {
				passes[t.Pass] = append(passes[t.Pass], ConflictValue{t.Event, t.Target, t.By, t.At})
			}
		}
		for pass := 1; pass <= len(m.Passes()); pass++ {
			b.disputed(fmt.Sprintf("bolt:%s:%s:pass %d", m.Item, bolt.ID, pass), step, fmt.Sprintf("%s, pass %d", name, pass), passes[pass])
		}
	}
	b.torqueConflicts(m, step)
}

// A torqueSaid is how tight one person said that bolts are to be.
type torqueSaid struct {
	ConflictValue
	set BoltTorqueSet
}

// say keeps what each person said last of each group; what is said of all bolts
// replaces what the same person said of some.
func (m *BoltMap) say(e Event, d BoltTorqueSet) {
	if d.Group == "" || m.said[e.By] == nil {
		m.said[e.By] = map[string]torqueSaid{}
	}
	text := BoltTorque{Torque: d.Torque, UpTo: d.UpTo}.String()
	m.said[e.By][d.Group] = torqueSaid{ConflictValue{e.ID, text, e.By, e.At}, d}
}

// torqueConflicts lists the groups that two people want tight to a different
// torque. Until one is chosen, what was said last holds.
func (b *builder) torqueConflicts(m *BoltMap, step string) {
	for _, group := range sortedKeys(m.counted()) {
		var values []ConflictValue
		sets := map[string]BoltTorqueSet{}
		for _, by := range sortedKeys(m.said) {
			said, ok := m.said[by][group]
			if !ok {
				said, ok = m.said[by][""]
			}
			if ok {
				values = append(values, said.ConflictValue)
				sets[said.Event] = said.set
			}
		}
		slices.SortFunc(values, func(x, y ConflictValue) int { return cmp.Compare(x.Event, y.Event) })
		name := group
		if i := slices.IndexFunc(m.groups, func(g Group) bool { return g.ID == group }); i >= 0 {
			name = m.groups[i].Name
		}
		if chosen, ok := b.disputed("bolt:"+m.Item+":torque:"+group, step, m.Name+", torque of the "+name, values); ok {
			if set, known := sets[chosen]; known {
				m.torques[group] = set
			}
		}
	}
}

// disputed lists a conflict where the last values of two people differ. It gives
// the event that was chosen, if one was.
func (b *builder) disputed(key, step, thing string, values []ConflictValue) (string, bool) {
	last := map[string]string{} // value by person
	for _, v := range values {
		last[v.By] = v.Value
	}
	differ := slices.ContainsFunc(values, func(v ConflictValue) bool { return last[v.By] != last[values[0].By] })
	if !differ {
		return "", false
	}
	c := Conflict{Key: key, Step: step, Thing: thing, Values: values}
	if d, ok := b.chosen[key]; ok && slices.ContainsFunc(values, func(v ConflictValue) bool { return v.Event == d.Event }) {
		c.Resolved, c.Why = d.Event, d.Why
	}
	b.s.Conflicts = append(b.s.Conflicts, c)
	return c.Resolved, c.Resolved != ""
}
