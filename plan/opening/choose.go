package opening

import (
	"math"
	"slices"
)

// What a choice says of an item, besides the number of a way.
const (
	fitted = -2 // not in the plan
	wanted = -1 // in the plan, its way not decided
)

// A choice is a node of the search over ways: what is decided, what is ruled
// out, and the least that any plan within it can take.
type choice struct {
	way   []int32  // per item: fitted, wanted, or a way
	ban   []uint64 // ways ruled out, a bit each
	bound float64
	seq   int
	open  bool    // something is still undecided
	deep  bool    // the bound sees set-ups weighed against ways
	seen  bool    // the bound sees in what order the decided steps can come
	extra float64 // set-ups and switches beyond the hand minutes that every plan within it is known to have
}

func (c *choice) banned(w int) bool { return c.ban[w>>6]&(1<<(w&63)) != 0 }
func (c *choice) rule(w int)        { c.ban[w>>6] |= 1 << (w & 63) }

func (c *choice) clone() *choice {
	return &choice{way: slices.Clone(c.way), ban: slices.Clone(c.ban), extra: c.extra}
}

// root is the choice before any decision: the works' needs and what is out of
// the way already. It reports false when the request has no plan.
func (m *model) root() (*choice, bool) {
	c := &choice{way: make([]int32, len(m.items)), ban: make([]uint64, (len(m.ways)+63)/64)}
	for i := range c.way {
		c.way[i] = fitted
		if a := m.items[i].already; a != nothing {
			c.way[i] = int32(a)
		}
	}
	for k := range m.ways {
		if m.ways[k].banned > 0 || m.ways[k].conflict > 0 {
			c.rule(k)
		}
	}
	for i := range m.works {
		if m.works[i].banned > 0 {
			return c, false
		}
	}
	m.layLandmarks(c)
	return c, m.settle(c)
}

// usable reports whether a leaf can still come true.
func (m *model) usable(c *choice, t *tree) bool {
	if w := c.way[t.item]; w >= 0 {
		return t.ways == nil || slices.Contains(t.ways, int(w))
	}
	ways := t.ways
	if ways == nil {
		ways = m.items[t.item].ways
	}
	return slices.ContainsFunc(ways, func(w int) bool { return !c.banned(w) })
}

// met reports whether a leaf is sure to come true: the item is in the plan,
// and every way it may still take will do.
func (m *model) met(c *choice, t *tree) bool {
	w := c.way[t.item]
	switch {
	case w == fitted:
		return false
	case t.ways == nil:
		return true
	case w >= 0:
		return slices.Contains(t.ways, int(w))
	}
	for _, k := range m.items[t.item].ways {
		if !c.banned(k) && !slices.Contains(t.ways, k) {
			return false
		}
	}
	return true
}

// test evaluates a need by a test of its leaves.
func (t *tree) test(leaf func(*tree) bool) bool {
	if t.item != nothing {
		return leaf(t)
	}
	for _, k := range t.kids {
		if k.test(leaf) != t.all {
			return !t.all
		}
	}
	return t.all
}

// want demands a need of the choice: leaves are put in the plan; of an any
// with one usable kid, that kid. It reports false when the need cannot be met
// and true in the second value when it changed the choice.
func (m *model) want(c *choice, t *tree) (ok, changed bool) {
	if t.item != nothing {
		return m.wantLeaf(c, t)
	}
	if !t.all {
		if t.test(func(l *tree) bool { return m.met(c, l) }) {
			return true, false
		}
		var only *tree
		for _, k := range t.kids {
			if !k.test(func(l *tree) bool { return m.usable(c, l) }) {
				continue
			}
			if only != nil {
				c.open = true
				return true, false
			}
			only = k
		}
		if only == nil {
			return false, false
		}
		return m.want(c, only)
	}
	for _, k := range t.kids {
		ok, ch := m.want(c, k)
		if !ok {
			return false, changed
		}
		changed = changed || ch
	}
	return true, changed
}

func (m *model) wantLeaf(c *choice, t *tree) (ok, changed bool) {
	if !m.usable(c, t) {
		return false, false
	}
	if c.way[t.item] == fitted {
		c.way[t.item], changed = wanted, true
	}
	if t.ways != nil && c.way[t.item] == wanted {
		for _, k := range m.items[t.item].ways {
			if !c.banned(k) && !slices.Contains(t.ways, k) {
				c.rule(k)
				changed = true
			}
		}
	}
	return true, changed
}

// settle draws all conclusions that need no choice. It reports false when the
// choice has become impossible.
func (m *model) settle(c *choice) bool {
	for changed := true; changed; {
		changed, c.open = false, false
		demand := func(t *tree) bool {
			ok, ch := m.want(c, t)
			changed = changed || ch
			return ok
		}
		for i := range m.works {
			if !demand(m.works[i].need) {
				return false
			}
		}
		for i := range c.way {
			if c.way[i] == wanted {
				changed = m.wantMarks(c, i) || changed
				switch only, n := m.onlyWay(c, i); n {
				case 0:
					return false
				case 1:
					c.way[i], changed = int32(only), true
				default:
					c.open = true
				}
			}
			if c.way[i] < 0 {
				continue
			}
			w := &m.ways[c.way[i]]
			if m.items[i].already == nothing && !demand(w.need) || !demand(w.mirror) {
				return false
			}
		}
	}
	return true
}

// onlyWay counts the ways an item may still take, and names the last of them.
func (m *model) onlyWay(c *choice, item int) (way, n int) {
	for _, k := range m.items[item].ways {
		if !c.banned(k) {
			way = k
			n++
		}
	}
	return way, n
}

// needs visits the needs of everything decided.
func (m *model) needs(c *choice, f func(*tree)) {
	for i := range m.works {
		f(m.works[i].need)
	}
	for i, w := range c.way {
		if w >= 0 {
			if m.items[i].already == nothing {
				f(m.ways[w].need)
			}
			f(m.ways[w].mirror)
		}
	}
}

// branch splits a choice into choices that exclude each other and together
// hold every plan of it but, when nothing is open, the choice itself: then the
// parts add what an any names and the choice does without.
func (m *model) branch(c *choice) []*choice {
	if i := m.toDecide(c); i != nothing {
		var out []*choice
		for _, k := range m.items[i].ways {
			if !c.banned(k) {
				n := c.clone()
				n.way[i] = int32(k)
				out = append(out, n)
			}
		}
		return m.settled(out)
	}
	var alternatives []*tree
	m.needs(c, func(t *tree) {
		if len(alternatives) == 0 || !c.open {
			alternatives = m.alternatives(c, t, alternatives)
		}
	})
	if !c.open {
		alternatives = m.spares(c, alternatives)
	}
	var out []*choice
	past := c.clone()
	for _, a := range alternatives {
		n := past.clone()
		if ok, _ := m.want(n, a); ok {
			out = append(out, n)
		}
		m.forbid(past, a)
	}
	return m.settled(out)
}

// toDecide is an item of the choice whose way is not decided, nothing if there
// is none: the one whose second way costs most, as far as that is known.
func (m *model) toDecide(c *choice) int {
	best, most := nothing, -1.0
	for i, w := range c.way {
		if w != wanted {
			continue
		}
		second := math.Inf(1)
		if m.weights != nil {
			for _, k := range m.items[i].ways {
				if e := m.weights.extra[k]; !c.banned(k) && e > 0 {
					second = min(second, e)
				}
			}
		}
		if math.IsInf(second, 1) {
			second = 0
		}
		if second > most {
			best, most = i, second
		}
	}
	return best
}

// spares adds what no need of the choice asks for and may still pay: what a
// condition that held at the start needs to be brought about again, and an item
// worked on, which when off lets filling go on while the work cures.
func (m *model) spares(c *choice, into []*tree) []*tree {
	for i := range m.items {
		if a := m.items[i].already; a != nothing && m.items[i].src.Repeats && m.ways[a].banned == 0 {
			into = m.alternatives(c, &tree{item: nothing, kids: []*tree{m.ways[a].need}}, into)
		}
	}
	for k := range m.works {
		if w := &m.works[k]; w.wait > 0 && !m.items[w.item].src.Repeats && len(m.fluids) > 0 {
			into = m.alternatives(c, &tree{item: nothing, kids: []*tree{{item: w.item}}}, into)
		}
	}
	return into
}

// alternatives collects the usable kids of the anys of a need: of the first
// unmet one while something is open, of all of them otherwise.
func (m *model) alternatives(c *choice, t *tree, into []*tree) []*tree {
	if t.item != nothing {
		return into
	}
	met := func(l *tree) bool { return m.met(c, l) }
	if !t.all && (!c.open || !t.test(met)) {
		for _, k := range t.kids {
			if !k.test(met) && k.test(func(l *tree) bool { return m.usable(c, l) }) {
				into = m.parts(c, k, into)
			}
		}
		if c.open {
			return into
		}
	}
	for _, k := range t.kids {
		if len(into) > 0 && c.open {
			break
		}
		into = m.alternatives(c, k, into)
	}
	return into
}

// parts adds what a choice can take towards a need that is not met: the need,
// or where it has an any within, one leaf at a time, so that each brings the
// choice on.
func (m *model) parts(c *choice, t *tree, into []*tree) []*tree {
	if t.plain() {
		return append(into, t)
	}
	t.leaves(func(l *tree) {
		if !m.met(c, l) && m.usable(c, l) {
			into = append(into, l)
		}
	})
	return into
}

// plain reports a need without an any.
func (t *tree) plain() bool {
	return t.item != nothing || t.all && !slices.ContainsFunc(t.kids, func(k *tree) bool { return !k.plain() })
}

func (t *tree) leaves(f func(*tree)) {
	if t.item != nothing {
		f(t)
	}
	for _, k := range t.kids {
		k.leaves(f)
	}
}

// forbid rules a leaf out, so that choices after it do not repeat it. A need
// of several leaves is left alone.
func (m *model) forbid(c *choice, t *tree) {
	if t.item == nothing {
		return
	}
	ways := t.ways
	if ways == nil {
		ways = m.items[t.item].ways
	}
	if c.way[t.item] == fitted || c.way[t.item] == wanted {
		for _, w := range ways {
			c.rule(w)
		}
	}
}

func (m *model) settled(cs []*choice) []*choice {
	return slices.DeleteFunc(cs, func(c *choice) bool { return !m.settle(c) })
}
