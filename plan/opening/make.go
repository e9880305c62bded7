package opening

import (
	"context"
	"math"
	"strings"
)

// DefaultSteps is the budget of search nodes when a request names none: about
// half a second on a laptop's core, two on a phone; twice that for plans of more
// than a hundred steps. A node of a longer order counts as several, because it
// takes longer.
const DefaultSteps = 100_000

// Tolerance is the minutes within which a plan counts as proven: less than a
// second.
const Tolerance = 0.01

// Make finds the plan with the least expected minutes. When the context ends
// or the budget is spent it returns the best plan found, with its bound. The
// error is a *[BadRequest] if the request does not fit its map, an
// *[Impossible] if nothing can satisfy it, and [ErrStopped] if the search
// ended before any plan was found.
func Make(ctx context.Context, req Request) (*Plan, error) {
	m, err := compile(&req, false)
	if err != nil {
		return nil, err
	}
	return m.make(ctx)
}

func (m *model) make(ctx context.Context) (*Plan, error) {
	h := hunt{m: m, ctx: ctx, left: m.req.Steps}
	if h.left <= 0 {
		h.left = DefaultSteps
	}
	root, ok := m.root()
	if !ok {
		return nil, m.impossible(ctx)
	}
	root.bound = m.least(root)
	bound := h.run(root)
	bound = math.Max(bound, math.Min(h.known, h.best.end))
	if h.best.labels == nil {
		if math.IsInf(bound, 1) || m.anyShut() {
			return nil, m.impossible(ctx)
		}
		return nil, ErrStopped
	}
	return m.write(&h, bound), nil
}

// write turns the best order into a plan.
func (m *model) write(h *hunt, bound float64) *Plan {
	p := &Plan{MapID: m.req.Map.ID, Targets: m.targets, NoReturn: nothing, Searched: h.used}
	w := writer{o: h.order, c: h.choice, times: map[string]int{}}
	p.Steps = w.steps(h.best.labels)
	p.Minutes, p.Tail = w.end, w.tail
	p.Bound = math.Max(0, math.Min(bound, p.Minutes))
	p.Proven = p.Minutes-p.Bound <= Tolerance
	if p.Proven {
		p.Bound = p.Minutes
	}
	m.explainSteps(h, p)
	p.NoReturn = m.noReturn(p.Steps)
	p.Missing = m.missing(h.choice)
	return p
}

// noReturn is the first step after which the vehicle cannot be driven. A
// condition that repeats can be ended at will and does not count.
func (m *model) noReturn(steps []Step) int {
	for i := range m.items {
		if it := &m.items[i]; it.already != nothing && it.src.Immobile && !it.src.Repeats {
			return 0
		}
	}
	for k := range steps {
		s := &steps[k]
		if s.Phase == Down && !s.Back && s.Item != "" {
			if it := m.items[m.seen[s.Item]].src; it.Immobile && !it.Repeats {
				return k
			}
		}
	}
	return nothing
}

// missing lists the tools of the plan that are not owned, when it is known
// which are.
func (m *model) missing(c *choice) []string {
	if m.req.Tools == nil {
		return nil
	}
	var out []string
	seen := map[string]bool{}
	add := func(names []string) {
		for _, n := range names {
			if m.owned[n] {
				return
			}
		}
		if len(names) > 0 && !seen[names[0]] {
			seen[names[0]] = true
			out = append(out, names[0])
		}
	}
	for _, k := range c.way {
		if k >= 0 {
			for _, t := range m.ways[k].src.Tools.Items {
				add(t.Any)
			}
		}
	}
	for i := range m.works {
		if m.works[i].src != nil {
			for _, t := range m.works[i].src.Tools.Items {
				add(t.Any)
			}
		}
	}
	return out
}

// slug makes a fluid's name fit for a step's id.
func slug(s string) string {
	return strings.Join(strings.FieldsFunc(strings.ToLower(s), func(r rune) bool {
		return !(r >= 'a' && r <= 'z' || r >= '0' && r <= '9' || r > 127)
	}), "-")
}
