package opening

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"lastbolt/plan/access"
)

func (e *Impossible) Error() string { return strings.Join(e.Reasons, " ") }

// impossible finds out why there is no plan. What the request forbids is
// dropped one by one as long as there is still no plan without it; what is
// left cannot be reduced further. If nothing is left the map is the reason.
func (m *model) impossible(ctx context.Context) error {
	reach := m.reach(m.every())
	for k := range m.works {
		if m.shut(k, reach) {
			return &Impossible{Target: m.targets[k], Reasons: m.whyShut(k)}
		}
	}
	e := &Impossible{Reasons: m.whyDisordered(ctx)}
	if len(m.targets) > 0 {
		e.Target = m.targets[0]
	}
	return e
}

// anyShut reports a work that the needs alone put out of reach.
func (m *model) anyShut() bool {
	reach := m.reach(m.every())
	for k := range m.works {
		if m.shut(k, reach) {
			return true
		}
	}
	return false
}

// every is the set of all blocks.
func (m *model) every() []bool {
	on := make([]bool, len(m.blocks)+1)
	for i := range on {
		on[i] = i > 0
	}
	return on
}

// reach tells which ways can be done one after another when only the given
// blocks hold; it looks away from everything but needs.
func (m *model) reach(blocks []bool) []bool {
	ways, items := make([]bool, len(m.ways)), make([]bool, len(m.items))
	for i := range m.items {
		if a := m.items[i].already; a != nothing {
			ways[a], items[i] = true, true
		}
	}
	for changed := true; changed; {
		changed = false
		for k := range m.ways {
			w := &m.ways[k]
			if ways[k] || blocks[w.banned] || w.conflict > 0 || m.items[w.item].already != nothing {
				continue
			}
			if w.need.test(func(l *tree) bool { return m.reached(l, ways, items) }) {
				ways[k], items[w.item], changed = true, true, true
			}
		}
	}
	return ways
}

func (m *model) reached(l *tree, ways, items []bool) bool {
	if l.ways == nil {
		return items[l.item]
	}
	return slices.ContainsFunc(l.ways, func(w int) bool { return ways[w] })
}

// shut reports whether a work can never begin, given the ways in reach.
func (m *model) shut(work int, ways []bool) bool {
	return m.works[work].banned > 0 || !m.works[work].need.test(func(l *tree) bool { return m.leafIn(l, ways) })
}

func (m *model) leafIn(l *tree, ways []bool) bool {
	of := l.ways
	if of == nil {
		of = m.items[l.item].ways
	}
	return slices.ContainsFunc(of, func(w int) bool { return ways[w] })
}

// whyShut explains a work that the needs alone put out of reach.
func (m *model) whyShut(work int) []string {
	if b := m.works[work].banned; b > 0 {
		return []string{fmt.Sprintf("The work on %s needs a %s, which is not among your tools.", m.name(m.works[work].item), m.blocks[b-1].tool)}
	}
	blocks := m.every()
	for b := range blocks {
		if blocks[b] {
			blocks[b] = false
			if !m.shut(work, m.reach(blocks)) {
				blocks[b] = true
			}
		}
	}
	ways := m.reach(blocks)
	var reasons []string
	for b := range blocks {
		if blocks[b] {
			reasons = append(reasons, m.whyBlocked(work, b, ways, blocks))
		}
	}
	if len(reasons) == 0 {
		reasons = m.whyStuck(work, ways)
	}
	return reasons
}

func (m *model) name(item int) string { return m.items[item].src.Name }

// stuck visits, from a work on, the leaves that are out of reach.
func (m *model) stuck(work int, ways []bool, visit func(whose int, l *tree) bool) {
	seen := map[int]bool{}
	var walk func(whose int, t *tree) bool
	walk = func(whose int, t *tree) bool {
		if t.item == nothing {
			for _, k := range t.kids {
				if !k.test(func(l *tree) bool { return m.leafIn(l, ways) }) && !walk(whose, k) {
					return false
				}
			}
			return true
		}
		if m.leafIn(t, ways) || !visit(whose, t) {
			return m.leafIn(t, ways)
		}
		if seen[t.item] {
			return true
		}
		seen[t.item] = true
		for _, w := range m.items[t.item].ways {
			if (t.ways == nil || slices.Contains(t.ways, w)) && !walk(t.item, m.ways[w].need) {
				return false
			}
		}
		return true
	}
	walk(nothing, m.works[work].need)
}

// whyBlocked says which item a block shuts off.
func (m *model) whyBlocked(work, b int, ways, blocks []bool) string {
	target := m.name(m.works[work].item)
	blk := m.blocks[b-1]
	sentence := ""
	m.stuck(work, ways, func(whose int, l *tree) bool {
		of := l.ways
		if of == nil {
			of = m.items[l.item].ways
		}
		if !slices.ContainsFunc(of, func(w int) bool { return m.ways[w].banned == b }) {
			return true
		}
		name, parent := m.name(l.item), target
		if whose != nothing {
			parent = m.name(whose)
		}
		switch {
		case blk.kind != "":
			sentence = fmt.Sprintf("%s can only be opened with %s, which you asked to keep closed.", name, circuit(blk.kind))
		case blk.tool != "":
			sentence = fmt.Sprintf("%s can only be opened with a %s, which is not among your tools.", name, blk.tool)
		case name == target:
			sentence = fmt.Sprintf("%s has to be opened for this, and you asked to keep it closed.", name)
		case m.items[l.item].src.Kind == access.Condition:
			sentence = fmt.Sprintf("%s can only be got at in the condition “%s”, which you asked not to bring about.", parent, name)
		default:
			sentence = fmt.Sprintf("%s can only be got at with %s out of the way, which you asked to keep closed.", parent, name)
		}
		return false
	})
	if sentence == "" {
		sentence = fmt.Sprintf("%s cannot be got at while %s%s%s is ruled out.", target, blk.item, blk.kind, blk.tool)
	}
	return sentence
}

// circuit names a kind of joint in a sentence.
func circuit(kind string) string {
	switch kind {
	case "refrigerant", "coolant", "fuel", "brake fluid", "vacuum":
		return "the " + kind + " circuit"
	}
	return "a joint of the kind “" + kind + "”"
}

// whyStuck explains a work that the map itself puts out of reach.
func (m *model) whyStuck(work int, ways []bool) []string {
	reason := ""
	var path []int
	m.stuck(work, ways, func(whose int, l *tree) bool {
		it := m.items[l.item].src
		for len(path) > 0 && path[len(path)-1] != whose {
			path = path[:len(path)-1]
		}
		if at := slices.Index(path, l.item); at >= 0 {
			reason = m.circle(path[at:])
			return false
		}
		path = append(path, l.item)
		switch {
		case len(it.Ways) == 0:
			reason = fmt.Sprintf("The map has no way to move %s.", it.Name)
		case l.ways != nil && len(l.ways) == 0:
			reason = fmt.Sprintf("The map has no way to take %s off, only to set it aside.", it.Name)
		default:
			for _, w := range m.items[l.item].ways {
				if c := m.ways[w].conflict; c > 0 {
					reason = fmt.Sprintf("%s can only be opened while %s is still fitted, and that is out of the way already.", it.Name, m.name(c-1))
				}
			}
			return reason == ""
		}
		return false
	})
	if reason == "" {
		reason = fmt.Sprintf("The map has no order in which %s can be got at.", m.name(m.works[work].item))
	}
	return []string{reason}
}

func (m *model) circle(items []int) string {
	if len(items) == 1 {
		return fmt.Sprintf("%s needs itself out of the way first.", m.name(items[0]))
	}
	var b strings.Builder
	for i, it := range items {
		next := items[(i+1)%len(items)]
		switch {
		case i == 0:
			fmt.Fprintf(&b, "%s needs %s out of the way", m.name(it), m.name(next))
		case i == len(items)-1:
			fmt.Fprintf(&b, " and %s needs %s: the map goes round in a circle.", m.name(it), m.name(next))
		default:
			fmt.Fprintf(&b, ", %s needs %s", m.name(it), m.name(next))
		}
	}
	return b.String()
}

// orderBudget is the search nodes for one try at finding out which rules have
// no order.
const orderBudget = 4000

// A rule is a demand of a way that only touches the order.
type rule struct {
	from *[]int
	item int
	way  *mWay
	back bool
}

// whyDisordered explains a request whose needs can all be met one by one, but
// not in any order that keeps to what must still be fitted and what goes back
// after what, or not by one way for each item.
func (m *model) whyDisordered(ctx context.Context) []string {
	var rules []rule
	for k := range m.ways {
		w := &m.ways[k]
		for _, s := range w.still {
			rules = append(rules, rule{&w.still, s, w, false})
		}
		for _, a := range w.after {
			rules = append(rules, rule{&w.after, a, w, true})
		}
	}
	drop := func(r rule) {
		*r.from = slices.DeleteFunc(slices.Clone(*r.from), func(i int) bool { return i == r.item })
	}
	restore := func(r rule) { *r.from = append(*r.from, r.item) }
	for _, r := range rules {
		drop(r)
	}
	if !m.ordered(ctx) {
		return m.whyTwoWays(ctx)
	}
	// With no rule there is a plan: put rules back as long as there is.
	var reasons []string
	for _, r := range rules {
		restore(r)
		if m.ordered(ctx) {
			continue
		}
		drop(r)
		name, other := m.name(r.way.item), m.name(r.item)
		if r.back {
			reasons = append(reasons, fmt.Sprintf("%s goes back after %s, and no order of putting back allows that.", name, other))
		} else {
			reasons = append(reasons, fmt.Sprintf("%s is opened while %s is still fitted, and no order of taking apart allows that.", name, other))
		}
	}
	return reasons
}

// ordered reports whether a plan turns up within a small budget.
func (m *model) ordered(ctx context.Context) bool {
	h := hunt{m: m, ctx: ctx, left: orderBudget}
	root, ok := m.root()
	if !ok {
		return false
	}
	h.run(root)
	return h.best.labels != nil
}

// whyTwoWays names an item that is asked for in two ways at once.
func (m *model) whyTwoWays(context.Context) []string {
	asked := map[int][]int{}
	clash := ""
	visit := func(t *tree) {
		t.test(func(l *tree) bool {
			if l.ways == nil || clash != "" {
				return true
			}
			if old, ok := asked[l.item]; ok && !slices.ContainsFunc(old, func(w int) bool { return slices.Contains(l.ways, w) }) {
				clash = fmt.Sprintf("%s would have to be out of the way in two different ways at once.", m.name(l.item))
			}
			asked[l.item] = l.ways
			return true
		})
	}
	for i := range m.works {
		visit(m.works[i].need)
	}
	for k := range m.ways {
		visit(m.ways[k].need)
	}
	if clash == "" {
		clash = "The map's rules for " + m.targetNames() + " leave no order of the steps; look at what must still be fitted and what goes back after what."
	}
	return []string{clash}
}

func (m *model) targetNames() string {
	if len(m.works) == 0 {
		return "what is open"
	}
	var names []string
	for i := range m.works {
		if n := m.name(m.works[i].item); !slices.Contains(names, n) {
			names = append(names, n)
		}
	}
	return strings.Join(names, ", ")
}
