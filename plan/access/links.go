package access

import "slices"

// A linkKind says how one item stands in the way of another.
type linkKind uint8

const (
	// always: whichever way is used.
	always linkKind = iota
	// sometimes: in some ways only, or one of several that will do.
	sometimes
	// stillFitted: it must not be off yet.
	stillFitted
)

// A link says that from is in the way of to (places in Items).
type link struct {
	from, to int
	kind     linkKind
}

// links gives what is in the way of what, each pair once with its strongest
// kind, in map order.
func (m *Map) links() []link {
	index := make(map[string]int, len(m.Items))
	for i := range m.Items {
		index[m.Items[i].ID] = i
	}
	var out []link
	for i := range m.Items {
		it := &m.Items[i]
		kinds := map[int]linkKind{}
		var order []int
		note := func(id string, k linkKind) {
			from, ok := index[id]
			if !ok || from == i {
				return
			}
			old, seen := kinds[from]
			if !seen {
				order = append(order, from)
			}
			if !seen || k < old {
				kinds[from] = k
			}
		}
		for j := range it.Ways {
			must := it.Ways[j].mustBeOut()
			for k := range it.Ways[j].Needs {
				it.Ways[j].Needs[k].Walk(func(n *Need) bool {
					if n.Item != "" && slices.Contains(must, n.Item) && it.everyWayNeeds(n.Item) {
						note(n.Item, always)
					} else if n.Item != "" {
						note(n.Item, sometimes)
					}
					return true
				})
			}
			for _, id := range it.Ways[j].Still {
				note(id, stillFitted)
			}
		}
		for _, from := range order {
			out = append(out, link{from, i, kinds[from]})
		}
	}
	return out
}

func (it *Item) everyWayNeeds(id string) bool {
	for j := range it.Ways {
		if !slices.Contains(it.Ways[j].mustBeOut(), id) {
			return false
		}
	}
	return true
}

// withoutImplied leaves out the links that follow from others: when the wheel
// is always in the way of the calliper, and that of the disc, nothing is said
// by a line from the wheel to the disc.
func withoutImplied(links []link, n int) []link {
	out := make([][]int, n)
	for _, k := range links {
		if k.kind == always {
			out[k.from] = append(out[k.from], k.to)
		}
	}
	// longer reports a path of two links or more.
	longer := func(from, to int) bool {
		seen := make([]bool, n)
		var queue []int
		for _, v := range out[from] {
			if v != to {
				queue = append(queue, v)
				seen[v] = true
			}
		}
		for len(queue) > 0 {
			v := queue[0]
			queue = queue[1:]
			for _, w := range out[v] {
				if w == to {
					return true
				}
				if !seen[w] && w != from {
					seen[w] = true
					queue = append(queue, w)
				}
			}
		}
		return false
	}
	var kept []link
	for _, k := range links {
		if k.kind == stillFitted || len(links) > mostReduced || !longer(k.from, k.to) {
			kept = append(kept, k)
		}
	}
	return kept
}

// mostReduced is the number of links up to which implied ones are looked for:
// the search takes time with its square, and a drawing of more is unreadable
// anyway.
const mostReduced = 3000
