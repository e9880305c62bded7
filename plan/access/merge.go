package access

import (
	"encoding/json"
	"fmt"
	"slices"
)

// Merge adds everything of another map to m. An item of the same id and kind
// that says the same is taken once. One that says more or something else is
// joined to the item here: m's own fields stay, fields blank in m are filled,
// ways and work that m's item lacks are added, and a way of the same id stays
// as m has it. A part and a condition of the same id are two things: that is
// an error, and m is left as it was.
func (m *Map) Merge(other *Map) error {
	for i := range other.Items {
		o := &other.Items[i]
		if mine := m.Item(o.ID); mine != nil && mine.isCondition() != o.isCondition() {
			return fmt.Errorf("%s is a condition in one map and a part in the other; rename one of them", quote(o.ID))
		}
	}
	other = other.Clone()
	m.Invented = m.Invented || other.Invented
	for _, p := range other.Positions {
		if m.Position(p.ID) == nil {
			m.Positions = append(m.Positions, p)
		}
	}
	m.SetUp.merge(other.SetUp)
	for i := range other.Items {
		o := &other.Items[i]
		if mine := m.Item(o.ID); mine != nil {
			mine.merge(o)
		} else {
			m.Items = append(m.Items, *o)
		}
	}
	return nil
}

func (it *Item) isCondition() bool { return it.Kind == Condition }

func (s *SetUp) merge(o SetUp) {
	s.Position = max(s.Position, o.Position)
	s.Tool = max(s.Tool, o.Tool)
	for _, t := range o.Between {
		has := slices.ContainsFunc(s.Between, func(x Transfer) bool { return x.From == t.From && x.To == t.To })
		if !has {
			s.Between = append(s.Between, t)
		}
	}
}

func (it *Item) merge(o *Item) {
	it.Immobile = it.Immobile || o.Immobile
	it.Area = firstNonEmpty(it.Area, o.Area)
	it.Critical = firstNonEmpty(it.Critical, o.Critical)
	it.Notes = firstNonEmpty(it.Notes, o.Notes)
	for _, w := range o.Ways {
		same := it.Way(w.ID)
		switch {
		case same == nil && slices.ContainsFunc(it.Ways, func(x Way) bool { return sameBut(x, w) }):
		case same == nil:
			it.Ways = append(it.Ways, w)
		}
	}
	for _, w := range o.Work {
		if it.WorkFor(w.Action) == nil {
			it.Work = append(it.Work, w)
		}
	}
}

// sameBut reports two ways that differ in their ids only.
func sameBut(a, b Way) bool {
	a.ID, b.ID = "", ""
	x, errX := json.Marshal(a)
	y, errY := json.Marshal(b)
	return errX == nil && errY == nil && string(x) == string(y)
}
