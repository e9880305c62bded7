package opening

import "slices"

// explainSteps gives every step the shortest chain of reasons to a target:
// what the item is out of the way for, and so on up to a thing to be done.
func (m *model) explainSteps(h *hunt, p *Plan) {
	chains := m.chains(h.choice)
	for k := range p.Steps {
		s := &p.Steps[k]
		switch {
		case s.Fluid != "":
			s.Why = m.whyFilled(h, chains, s.Fluid)
		case s.Phase != Bottom || s.Action == "":
			s.Why = chains[m.seen[s.Item]]
		}
	}
}

// chains gives, by item, the names from the item to a target; nil for one that
// no target asks for, being out of the way already.
func (m *model) chains(c *choice) [][]string {
	chains := make([][]string, len(m.items))
	var queue []int
	reach := func(t *tree, reason []string) {
		m.leaves(c, t, func(i int) {
			if chains[i] != nil {
				return
			}
			name := m.items[i].src.Name
			if len(reason) == 1 && reason[0] == name {
				chains[i] = reason
			} else {
				chains[i] = append([]string{name}, reason...)
			}
			queue = append(queue, i)
		})
	}
	for i := range m.works {
		reach(m.works[i].need, []string{m.items[m.works[i].item].src.Name})
	}
	for len(queue) > 0 {
		i := queue[0]
		queue = queue[1:]
		w := &m.ways[c.way[i]]
		if m.items[i].already == nothing {
			reach(w.need, chains[i])
		}
		reach(w.mirror, chains[i])
	}
	return chains
}

// leaves visits the items of a need that the choice meets it with.
func (m *model) leaves(c *choice, t *tree, f func(int)) {
	if t.item != nothing {
		if w := c.way[t.item]; w >= 0 && (t.ways == nil || slices.Contains(t.ways, int(w))) {
			f(t.item)
		}
		return
	}
	for _, k := range t.kids {
		if t.all || k.test(func(l *tree) bool { return m.met(c, l) }) {
			m.leaves(c, k, f)
		}
	}
}

// whyFilled is the chain of the first item that let a fluid out.
func (m *model) whyFilled(h *hunt, chains [][]string, fluid string) []string {
	for _, i := range h.order.items {
		for _, f := range h.order.way(h.choice, i).fluids {
			if m.fluids[f] == fluid {
				return append([]string{fluid}, chains[i]...)
			}
		}
	}
	return nil
}
