package access

import (
	"fmt"
	"slices"
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

// reachBudget is the gates looked at by all questions about one item; on a map
// of 20,000 items with 10,000 questions of 2,000 gates each it is just used
// up, in about half a second.
const reachBudget = 20_000_000

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

// reach finds ways that contradict themselves, circles of needs nothing can
// escape, and what can never be reached because of either.
func (c *checker) reach() {
	r := newReach(c.m, c.items)
	c.circles(r)
	c.contradictions(r)
	c.unreachable(r)
	c.workReach(r)
}

// circles reports each circle of items that hold each other up when no way
// escapes it. Following what blocks each item and way gives every one a single
// follower, so each circle is met once.
func (c *checker) circles(r *reach) {
	const (
		fresh = iota
		walking
		done
	)
	state := make([]uint8, len(r.gates))
	for start := range r.gates {
		g := int32(start)
		if !r.isItem(g) && !r.isWay(g) {
			continue
		}
		var trail []int32
		for g >= 0 && !r.open[g] && state[g] == fresh {
			state[g] = walking
			trail = append(trail, g)
			g = r.blockedBy(g)
		}
		if g >= 0 && state[g] == walking && !r.said[r.wayOf(g)] {
			c.circle(r, trail[slices.Index(trail, g):])
		}
		for _, t := range trail {
			state[t] = done
		}
	}
}

func (c *checker) circle(r *reach, ring []int32) {
	first := 0
	for k, g := range ring {
		if g < ring[first] {
			first = k
		}
		r.said[r.wayOf(g)] = true
	}
	ring = append(append([]int32{}, ring[first:]...), ring[:first]...)
	way := r.gates[r.wayOf(ring[0])]
	path := at(at("items", int(way.item))+".ways", int(way.way)) + ".needs"
	if len(ring) == 1 {
		c.add(path, fmt.Sprintf("%s needs itself out of the way first", quote(r.name(ring[0]))), "take it out of its own needs")
		return
	}
	c.add(path, "circular need, with no way round it: "+r.chain(append(ring, ring[0])), "take one of these needs out, or give one of the items another way")
}

// wayOf gives the way through which an item is followed: its first, as none of
// them passes.
func (r *reach) wayOf(g int32) int32 {
	if r.isItem(g) {
		return r.ways[g][0]
	}
	return g
}

// contradictions finds ways that want an item still fitted that has to be out
// of the way before they can begin.
func (c *checker) contradictions(r *reach) {
	stuck := false
	for i := range c.m.Items {
		for j := range c.m.Items[i].Ways {
			w := &c.m.Items[i].Ways[j]
			for k, id := range w.Still {
				path := at(at(at("items", i)+".ways", j)+".still", k)
				to, ok := c.items[id]
				if ok && c.contradicts(r, i, j, to, path) {
					r.gates[r.ways[i][j]].stuck = true
					stuck = true
				}
			}
		}
	}
	if stuck {
		r.open = r.flood()
		c.circles(r) // what the stuck ways were the only way round of
	}
}

func (c *checker) contradicts(r *reach, i, j, to int, path string) bool {
	it, way := &c.m.Items[i], &c.m.Items[i].Ways[j]
	other := &c.m.Items[to]
	for _, id := range way.mustBeOut() {
		if id == other.ID {
			c.add(path, fmt.Sprintf("%s is to be still fitted (still) and out of the way (needs) at once", quote(id)), "take it out of one of the two")
			return true
		}
	}
	if to == i {
		c.add(path, quote(it.ID)+" names itself in still", "take it out: a thing is always fitted before it comes off")
		return false
	}
	if other.Repeats || !r.open[r.ways[i][j]] {
		return false // a condition that repeats can be ended again in between
	}
	passes, ok := r.passableWithout(r.ways[i][j], int32(to))
	if !ok {
		c.outOfBudget()
		return false
	}
	if !passes {
		c.add(path, fmt.Sprintf("%s is to be still fitted, but what %s needs cannot be done without it out of the way: %s", quote(other.ID), c.wayName(it, way), c.reason(r, r.ways[i][j], int32(to))), "take it out of still, or change the needs in between")
	}
	return !passes
}

// outOfBudget says once that a proof was left out.
func (c *checker) outOfBudget() {
	const what = "the map is too large to prove that no still contradicts what its needs lead to"
	for _, p := range c.found {
		if p.What == what {
			return
		}
	}
	c.advise("items", what, "split it into maps of parts of the vehicle")
}

// reason gives the chain from a way to the item it cannot do without.
func (c *checker) reason(r *reach, way, barred int32) string {
	ring := []int32{way}
	seen := map[int32]bool{way: true}
	g := way
	for g != barred {
		next := int32(-1)
		for _, k := range r.gates[g].kids {
			if k == barred {
				next = k
				break
			}
			if seen[k] {
				continue
			}
			if passes, ok := r.passableWithout(k, barred); ok && !passes {
				next = k
				break
			}
		}
		if next < 0 {
			break
		}
		g = next
		seen[g] = true
		if int(g) < len(c.m.Items) {
			ring = append(ring, g)
		}
	}
	return r.chain(ring)
}

// unreachable reports the ways that never pass and are not themselves part of
// the reason, and advises about ways that lead back to their own item.
func (c *checker) unreachable(r *reach) {
	for i := range c.m.Items {
		it := &c.m.Items[i]
		for j := range it.Ways {
			g := r.ways[i][j]
			path := at(at("items", i)+".ways", j) + ".needs"
			if !r.open[g] {
				c.blocked(r, i, j, path)
				continue
			}
			if len(it.Ways) < 2 || len(it.Ways[j].Needs) == 0 {
				continue
			}
			if passes, ok := r.passableWithout(g, int32(i)); !ok {
				c.outOfBudget()
			} else if !passes {
				c.advise(path, fmt.Sprintf("%s can never be used: what it needs asks for %s out of the way already: %s", c.wayName(it, &it.Ways[j]), quote(it.ID), c.reason(r, g, int32(i))), "change its needs, or take the way out")
			}
		}
	}
}

// blocked reports a way that waits for something that never passes, with the
// chain down to what is to be mended.
func (c *checker) blocked(r *reach, i, j int, path string) {
	g := r.ways[i][j]
	if r.said[g] || r.blockedBy(g) < 0 || len(c.found) >= enough {
		return // in a circle that was printed, or a contradiction that was
	}
	trail := []int32{g}
	why := "which can never come off"
	for by := r.blockedBy(g); by >= 0; by = r.blockedBy(by) {
		trail = append(trail, by)
		if r.said[r.wayOf(by)] {
			why = "which holds itself up in a circle"
			break
		}
	}
	last := trail[len(trail)-1]
	c.add(path, fmt.Sprintf("%s can never be reached: %s, %s", c.wayName(&c.m.Items[i], &c.m.Items[i].Ways[j]), r.chain(trail), why), "mend "+quote(r.name(last))+" first, or change the needs here")
}

// workReach advises about work that nothing can be got at for.
func (c *checker) workReach(r *reach) {
	for i := range c.m.Items {
		it := &c.m.Items[i]
		for j := range it.Work {
			gates := []int32{int32(i)}
			if it.Work[j].Needs != nil {
				gates = nil
				for _, id := range (&Way{Needs: it.Work[j].Needs}).mustBeOut() {
					if to, ok := c.items[id]; ok {
						gates = append(gates, int32(to))
					}
				}
			}
			for _, g := range gates {
				if !r.open[g] {
					c.advise(at(at("items", i)+".work", j), fmt.Sprintf("the work %s on %s can never be reached: %s can never come off", quote(string(it.Work[j].Action)), quote(it.Name), quote(c.m.Items[g].ID)), "mend the needs of "+quote(c.m.Items[g].ID))
					break
				}
			}
		}
	}
}
