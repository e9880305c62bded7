package opening

import (
	"context"

	"lastbolt/plan/andor"
)

// extras says, by way, how many minutes more an item's way costs than its best,
// with what only that way needs, where the item's way is not decided. Counting
// them where the set-ups are counted lets the bound weigh a dearer way against
// the set-ups it saves; any figure from nothing to the way's minutes keeps the
// bound true. Ways that cannot be taken at all are ruled out on the way.
func (m *model) extras(c *choice) []float64 {
	extra := make([]float64, len(m.ways))
	for i, w := range c.way {
		if w != wanted || m.items[i].src.Repeats {
			continue
		}
		least := -1.0
		for _, k := range m.items[i].ways {
			if c.banned(k) {
				continue
			}
			n := c.clone()
			n.way[i] = int32(k)
			if !m.settle(n) {
				c.rule(k)
				continue
			}
			extra[k] = m.leastHands(n)
			if least < 0 || extra[k] < least {
				least = extra[k]
			}
		}
		for _, k := range m.items[i].ways {
			extra[k] = min(max(0, extra[k]-least), m.ways[k].minutes())
			if c.banned(k) {
				extra[k] = 0
			}
		}
	}
	return extra
}

// leastSelection is a bound on the hand minutes of every plan of the choice,
// less the extras, by package andor.
func (m *model) leastSelection(ctx context.Context, c *choice, extra []float64, nodes int) float64 {
	s := seeder{m: m, in: andor.Instance{Parts: len(m.items) + len(m.ways)}, extra: extra}
	sure := s.build(c)
	r, err := andor.Solve(ctx, &s.in, andor.Options{Off: s.off, Nodes: nodes})
	if err != nil {
		return 0
	}
	return sure + r.Bound + m.fillings(c)
}
