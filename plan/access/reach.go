package access

import (
	"fmt"
	"strings"
)

// A gate is a node of the AND/OR graph behind a map: an item (or over its
// ways), a way (and over its needs), or part of a need. It is passable when
// all, or any, of the gates it waits for are.
type gate struct {
	all   bool
	kids  []int32 // the gates it waits for
	ups   []int32 // the gates that wait for it
	item  int32   // the item it belongs to
	way   int32   // the place of its way in the item, -1 for none
	stuck bool    // never passable, whatever its kids are
}

// A reach holds the gates of a map. Items come first, so the gate of item i is
// i.
type reach struct {
	m     *Map
	items map[string]int
	gates []gate
	ways  [][]int32 // by item, the gates of its ways
	open  []bool    // passable, counting everything

	said map[int32]bool // ways in a circle that has been reported

	// For the questions with one item barred: stamps of the last question
	// that met a gate, and how much work is left for all of them.
	stamp  []int32
	left   []int32
	asked  int32
	budget int
}

// reachBudget is how many gates and links all questions with an item barred
// may look at together: about a second of work. A map written by hand uses
// less than a thousandth of it.
const reachBudget = 100_000_000

func newReach(m *Map, items map[string]int) *reach {
	r := &reach{m: m, items: items, ways: make([][]int32, len(m.Items)), said: map[int32]bool{}, budget: reachBudget}
	r.gates = make([]gate, len(m.Items), 4*len(m.Items))
	for i := range m.Items {
		r.gates[i].item, r.gates[i].way = int32(i), -1
		for range m.Items[i].Ways {
			r.ways[i] = append(r.ways[i], r.add(i, len(r.ways[i]), true))
		}
		r.gates[i].kids = r.ways[i]
		// An item without ways is complained about elsewhere; here it is
		// taken as passable so that the complaint does not multiply.
		r.gates[i].all = len(r.ways[i]) == 0
	}
	for i := range m.Items {
		for j := range m.Items[i].Ways {
			kids := r.needs(i, j, m.Items[i].Ways[j].Needs)
			r.gates[r.ways[i][j]].kids = kids
		}
	}
	r.link()
	r.open = r.flood()
	return r
}

func (r *reach) add(item, way int, all bool) int32 {
	r.gates = append(r.gates, gate{all: all, item: int32(item), way: int32(way)})
	return int32(len(r.gates) - 1)
}

func (r *reach) needs(i, j int, needs []Need) []int32 {
	var kids []int32
	for k := range needs {
		if g := r.need(i, j, &needs[k], 0); g >= 0 {
			kids = append(kids, g)
		}
	}
	return kids
}

// need gives the gate of a need; -1 when it is faulty and left aside.
func (r *reach) need(i, j int, n *Need, deep int) int32 {
	if deep > mostNeedDeep {
		return -1
	}
	if n.Item != "" {
		return r.leaf(i, j, n)
	}
	list, all := n.All, true
	if len(n.Any) > 0 {
		list, all = n.Any, false
	}
	var kids []int32
	for k := range list {
		g := r.need(i, j, &list[k], deep+1)
		if g < 0 && !all {
			return -1
		}
		if g >= 0 {
			kids = append(kids, g)
		}
	}
	if len(kids) == 0 {
		return -1
	}
	g := r.add(i, j, all)
	r.gates[g].kids = kids
	return g
}

func (r *reach) leaf(i, j int, n *Need) int32 {
	to, ok := r.items[n.Item]
	if !ok {
		return -1
	}
	if n.Way == "" {
		return int32(to)
	}
	var kids []int32
	for w := range r.m.Items[to].Ways {
		if r.m.Items[to].Ways[w].matches(n.Way) {
			kids = append(kids, r.ways[to][w])
		}
	}
	if len(kids) == 0 {
		return -1
	}
	g := r.add(i, j, false)
	r.gates[g].kids = kids
	return g
}

func (r *reach) link() {
	for g := range r.gates {
		for _, k := range r.gates[g].kids {
			r.gates[k].ups = append(r.gates[k].ups, int32(g))
		}
	}
	r.stamp = make([]int32, len(r.gates))
	r.left = make([]int32, len(r.gates))
}

// waits is how many kids must pass before the gate does; -1 for never.
func (r *reach) waits(g int32) int32 {
	switch gt := &r.gates[g]; {
	case gt.stuck:
		return -1
	case gt.all:
		return int32(len(gt.kids))
	default:
		return 1
	}
}

// flood finds every passable gate: start from those that wait for nothing and
// go up (Dowling and Gallier's linear method for Horn clauses).
func (r *reach) flood() []bool {
	open := make([]bool, len(r.gates))
	left := make([]int32, len(r.gates))
	var queue []int32
	for g := range r.gates {
		if left[g] = r.waits(int32(g)); left[g] == 0 {
			open[g] = true
			queue = append(queue, int32(g))
		}
	}
	for len(queue) > 0 {
		g := queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		for _, up := range r.gates[g].ups {
			if left[up]--; left[up] == 0 && !open[up] {
				open[up] = true
				queue = append(queue, up)
			}
		}
	}
	return open
}

// passableWithout reports whether the gate passes when the item barred never
// comes off. It looks only at what the gate leads to. ok is false when the
// budget of work is used up.
func (r *reach) passableWithout(goal, barred int32) (passes, ok bool) {
	if r.budget <= 0 {
		return false, false
	}
	r.asked += 2
	in, passed := r.asked-1, r.asked
	cone := []int32{goal}
	r.stamp[goal] = in
	var queue []int32
	for at := 0; at < len(cone); at++ {
		g := cone[at]
		r.left[g] = r.waits(g)
		if g == barred || g != goal && r.gates[g].item == barred && r.isWay(g) {
			r.left[g] = -1
			continue
		}
		if r.left[g] == 0 {
			queue = append(queue, g)
			r.stamp[g] = passed
		}
		for _, k := range r.gates[g].kids {
			if r.stamp[k] < in {
				r.stamp[k] = in
				cone = append(cone, k)
			}
		}
		r.budget -= 1 + len(r.gates[g].kids)
	}
	for len(queue) > 0 && r.stamp[goal] != passed {
		g := queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		r.budget -= len(r.gates[g].ups)
		for _, up := range r.gates[g].ups {
			if r.stamp[up] != in {
				continue
			}
			if r.left[up]--; r.left[up] == 0 {
				r.stamp[up] = passed
				queue = append(queue, up)
			}
		}
	}
	return r.stamp[goal] == passed, true
}

// blockedBy follows, from an item or a way that does not pass, the first thing
// that holds it up: another item, or a way when that way in particular is
// needed. It gives -1 when the way is stuck in itself.
func (r *reach) blockedBy(g int32) int32 {
	from := r.gates[g].item
	for !r.gates[g].stuck {
		next := int32(-1)
		for _, k := range r.gates[g].kids {
			if !r.open[k] {
				next = k
				break
			}
		}
		if next < 0 || r.isItem(next) || r.isWay(next) && (r.gates[next].item != from || !r.isItem(g)) {
			return next
		}
		g = next
	}
	return -1
}

func (r *reach) isItem(g int32) bool { return int(g) < len(r.m.Items) }

func (r *reach) isWay(g int32) bool {
	gt := &r.gates[g]
	return gt.way >= 0 && r.ways[gt.item][gt.way] == g
}

// name is the item's id, with the way where the gate is one of several.
func (r *reach) name(g int32) string {
	it := &r.m.Items[r.gates[g].item]
	if r.isItem(g) || len(it.Ways) < 2 {
		return it.ID
	}
	return it.ID + " (way " + it.Ways[r.gates[g].way].ID + ")"
}

// chain writes gates as "a → b → c", at most eight of them.
func (r *reach) chain(gates []int32) string {
	var b strings.Builder
	last := len(gates) - 1
	for k, g := range gates[:last] {
		if k == 6 && last > 7 {
			fmt.Fprintf(&b, "(%d more) → ", last-k)
			break
		}
		b.WriteString(r.name(g) + " → ")
	}
	return b.String() + r.name(gates[last])
}
