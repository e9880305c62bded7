package opening

import (
	"context"
	"slices"

	"lastbolt/plan/andor"
)

// weights says what of the hand minutes is counted with the set-ups while a
// choice is open, so that their bound can weigh a dearer way, or doing without
// an item, against the set-ups it saves. Any figures keep the bound true: what
// is counted there is left out of the bound on the hand minutes.
type weights struct {
	extra []float64 // by way: minutes more than the item's best
	soft  []int     // items that the cheapest plans have, but not all plans
	skip  []float64 // by item: minutes more for doing without it
}

func (m *model) noWeights() weights {
	return weights{extra: make([]float64, len(m.ways)), skip: make([]float64, len(m.items))}
}

// weigh gives the weights of a choice, and a bound on the hand minutes of its
// plans less the weights. What cannot be part of a plan of less than most hand
// minutes is ruled out on the way, and what no such plan can do without is put
// in; it reports false if that leaves nothing.
func (m *model) weigh(ctx context.Context, c *choice, most float64, nodes int) (w weights, hands float64, ok bool) {
	w = m.noWeights()
	hands, taken := m.selection(ctx, c, w, nodes)
	with := func(i int, change func(*choice)) (more float64, possible bool) {
		n := c.clone()
		change(n)
		if !m.settle(n) {
			return 0, false
		}
		bound, _ := m.selection(ctx, n, m.noWeights(), nodes)
		return max(0, min(bound-hands, m.dearest())), bound <= most
	}
	for _, k := range taken {
		i := m.ways[k].item
		if c.way[i] != fitted || m.items[i].src.Repeats {
			continue
		}
		if more, possible := with(i, func(n *choice) { n.without(m, i) }); possible {
			w.soft, w.skip[i] = append(w.soft, i), more
		} else if c.way[i] = wanted; !m.settle(c) {
			return w, 0, false
		}
	}
	for i, way := range c.way {
		if way != wanted || m.items[i].src.Repeats {
			continue
		}
		for _, k := range m.items[i].ways {
			if c.banned(k) {
				continue
			}
			if more, possible := with(i, func(n *choice) { n.way[i] = int32(k) }); possible {
				w.extra[k] = min(more, m.ways[k].minutes())
			} else {
				c.rule(k)
			}
		}
	}
	if !m.settle(c) {
		return w, 0, false
	}
	w.soft = slices.DeleteFunc(w.soft, func(i int) bool { return c.way[i] != fitted })
	for i := range w.skip {
		if !slices.Contains(w.soft, i) {
			w.skip[i] = 0
		}
	}
	return w, m.temper(ctx, c, w, hands, nodes), true
}

// without rules every way of an item out.
func (c *choice) without(m *model, item int) {
	for _, k := range m.items[item].ways {
		c.rule(k)
	}
}

// dearest is the most minutes worth counting with the set-ups: nothing saves
// more than going there and back for each step.
func (m *model) dearest() float64 {
	most := 0.0
	for _, row := range m.move {
		most = max(most, slices.Max(row))
	}
	return 4 * 2 * most
}

// temper makes the weights smaller where they take more from the bound on the
// hand minutes than they are likely to give to that on the set-ups, and gives
// what is left of it.
func (m *model) temper(ctx context.Context, c *choice, w weights, whole float64, nodes int) float64 {
	for range 8 {
		hands, taken := m.selection(ctx, c, w, nodes)
		if hands >= whole-0.5 {
			return hands
		}
		in := make([]bool, len(m.items))
		for _, k := range taken {
			in[m.ways[k].item] = true
			w.extra[k] /= 2
		}
		for _, i := range w.soft {
			if !in[i] {
				w.skip[i] /= 2
			}
		}
	}
	hands, _ := m.selection(ctx, c, w, nodes)
	return hands
}

// selection is a bound on the hand minutes of every plan of the choice, less
// the weights, and the ways it comes from.
func (m *model) selection(ctx context.Context, c *choice, w weights, nodes int) (bound float64, taken []int) {
	s := seeder{m: m, in: andor.Instance{Parts: len(m.items) + len(m.ways)}, w: w}
	bound = s.build(c) + m.fillings(c)
	r, err := andor.Solve(ctx, &s.in, andor.Options{Off: s.off, Nodes: nodes})
	if err != nil {
		return 0, nil
	}
	for _, k := range r.Order {
		if way := s.wayOf[k]; way != nothing {
			taken = append(taken, way)
		}
	}
	for _, e := range w.skip {
		bound -= e
	}
	return bound + r.Bound, taken
}
