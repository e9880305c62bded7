package access

import "iter"

// Walk calls f for the need and every need inside it, outermost first, and
// stops when f returns false.
func (n *Need) Walk(f func(*Need) bool) bool {
	if !f(n) {
		return false
	}
	for _, list := range [2][]Need{n.All, n.Any} {
		for i := range list {
			if !list[i].Walk(f) {
				return false
			}
		}
	}
	return true
}

// matches reports that a need's way (a way's id or a kind) means this way;
// "" means every way.
func (w *Way) matches(name string) bool {
	return name == "" || w.ID == name || string(w.kind()) == name
}

func (w *Way) kind() WayKind {
	if w.Kind == "" {
		return Off
	}
	return w.Kind
}

// mustBeOut gives the items that this way needs whatever is chosen: those of
// its needs that are not behind an any.
func (w *Way) mustBeOut() []string {
	var ids []string
	var add func(list []Need)
	add = func(list []Need) {
		for i := range list {
			switch n := &list[i]; {
			case n.Item != "":
				ids = append(ids, n.Item)
			case len(n.Any) == 1:
				add(n.Any)
			default:
				add(n.All)
			}
		}
	}
	add(w.Needs)
	return ids
}

// A Ref is one mention of an item by another.
type Ref struct {
	From string  // the item that mentions
	Way  string  // its way; "" for work
	Work Action  // its work; "" for a way
	Role RefRole // what it is mentioned as
	To   string  // the item mentioned
	// set writes another id in the place of To.
	set func(id string)
}

// RefRole is what an item is mentioned as.
type RefRole string

// The roles of a reference.
const (
	AsNeed      RefRole = "needs"
	AsStill     RefRole = "still"
	AsAfter     RefRole = "back after"
	AsBackStill RefRole = "back still"
	AsWaitFor   RefRole = "back wait for"
	AsWorkNeed  RefRole = "work needs"
)

// Refs goes through every mention of an item in the map, in file order.
func (m *Map) Refs() iter.Seq[Ref] {
	return func(yield func(Ref) bool) {
		for i := range m.Items {
			if !m.Items[i].refs(yield) {
				return
			}
		}
	}
}

func (it *Item) refs(yield func(Ref) bool) bool {
	for j := range it.Ways {
		w := &it.Ways[j]
		from := Ref{From: it.ID, Way: w.ID}
		if !needRefs(from, AsNeed, w.Needs, yield) {
			return false
		}
		for _, l := range []struct {
			role RefRole
			ids  []string
		}{{AsStill, w.Still}, {AsAfter, w.Back.After}, {AsBackStill, w.Back.Still}, {AsWaitFor, w.Back.WaitFor}} {
			for k := range l.ids {
				r := from
				r.Role, r.To, r.set = l.role, l.ids[k], func(id string) { l.ids[k] = id }
				if !yield(r) {
					return false
				}
			}
		}
	}
	for j := range it.Work {
		if !needRefs(Ref{From: it.ID, Work: it.Work[j].Action}, AsWorkNeed, it.Work[j].Needs, yield) {
			return false
		}
	}
	return true
}

func needRefs(from Ref, role RefRole, needs []Need, yield func(Ref) bool) bool {
	for k := range needs {
		ok := needs[k].Walk(func(n *Need) bool {
			if n.Item == "" {
				return true
			}
			r := from
			r.Role, r.To, r.set = role, n.Item, func(id string) { n.Item = id }
			return yield(r)
		})
		if !ok {
			return false
		}
	}
	return true
}
