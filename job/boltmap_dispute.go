package job

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"lastbolt/quantity"
)

// A recordedBy is who recorded, and on which device. What the same person says
// later on the same device corrects what was said before; on another device it
// may have been said without knowing of that, so it is a second opinion.
type recordedBy struct{ person, device string }

func lengthSaid(event string, l quantity.Written[quantity.Length], by string, at time.Time, device string) ConflictValue {
	return ConflictValue{event, l.String(), by, at, device, fmt.Sprintf("%.5g mm", l.Value.In(quantity.Millimetre))}
}

// boltConflicts lists lengths and torques on which two people or devices differ.
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
				passes[t.Pass] = append(passes[t.Pass], ConflictValue{t.Event, t.Target, t.By, t.At, t.Device, ""})
			}
		}
		for pass := 1; pass <= len(m.Passes()); pass++ {
			b.disputed(fmt.Sprintf("bolt:%s:%s:pass %d", m.Item, bolt.ID, pass), step, fmt.Sprintf("%s, pass %d", name, pass), passes[pass])
		}
	}
	b.torqueConflicts(m, step)
}

// A torqueSaid is how tight somebody said that bolts are to be.
type torqueSaid struct {
	ConflictValue
	set BoltTorqueSet
}

// say keeps what was said last of each group, by person and device; what is said
// of all bolts replaces what the same said of some.
func (m *BoltMap) say(e Event, d BoltTorqueSet) {
	who := recordedBy{e.By, d.Device}
	if d.Group == "" || m.said[who] == nil {
		m.said[who] = map[string]torqueSaid{}
	}
	text := BoltTorque{Torque: d.Torque, UpTo: d.UpTo}.String()
	// 10 N·m and 10.0 N·m are one torque.
	means := fmt.Sprintf("%.5g to %.5g N·m, %s", d.Torque.Value.Value.In(quantity.NewtonMetre), d.UpTo.Value.In(quantity.NewtonMetre), d.Torque.Then)
	m.said[who][d.Group] = torqueSaid{ConflictValue{e.ID, text, e.By, e.At, d.Device, means}, d}
}

// torqueConflicts lists the groups that are wanted tight to a different torque by
// two people, or on two devices. Until one is chosen, what was said last holds.
func (b *builder) torqueConflicts(m *BoltMap, step string) {
	for _, group := range sortedKeys(m.counted()) {
		var values []ConflictValue
		sets := map[string]BoltTorqueSet{}
		for _, all := range m.said {
			said, ok := all[group]
			if !ok {
				said, ok = all[""]
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

// disputed lists a conflict where the last values of two people or devices differ.
// It gives the event that was chosen, if one was.
func (b *builder) disputed(key, step, thing string, values []ConflictValue) (string, bool) {
	last := map[recordedBy]string{} // what the value means
	for _, v := range values {
		last[recordedBy{v.By, v.Device}] = cmp.Or(v.means, v.Value)
	}
	meant := map[string]bool{}
	for _, m := range last {
		meant[m] = true
	}
	if len(meant) < 2 {
		return "", false
	}
	c := Conflict{Key: key, Step: step, Thing: thing, Values: values}
	if d, ok := b.chosen[key]; ok && slices.ContainsFunc(values, func(v ConflictValue) bool { return v.Event == d.Event }) {
		c.Resolved, c.Why = d.Event, d.Why
	}
	b.s.Conflicts = append(b.s.Conflicts, c)
	return c.Resolved, c.Resolved != ""
}
