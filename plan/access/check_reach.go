package access

import (
	"fmt"
	"slices"
)

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
