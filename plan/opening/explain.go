package opening

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"lastbolt/plan/access"
)

// mostExtras is how many things worth doing while it is open are tried: each
// is two plans of its own.
const mostExtras = 40

// explainShare is the part of the request's budget that each plan made for an
// explanation may spend.
const explainShare = 10

// Explain fills in what Make leaves out because it takes many more plans:
// Rejected and Free. If the context ends it stops where it is and returns the
// context's error; what it has found by then is in the plan.
func Explain(ctx context.Context, req Request, p *Plan) error {
	if req.Steps <= 0 {
		req.Steps = DefaultSteps
	}
	req.Steps = max(1, req.Steps/explainShare)
	p.Rejected, p.Free = nil, nil
	if err := explainRejected(ctx, req, p); err != nil {
		return err
	}
	return explainFree(ctx, req, p)
}

// explainRejected plans again with each way forced that the plan could have
// taken: the other ways of its items, and the items that an any of its ways
// names besides.
func explainRejected(ctx context.Context, req Request, p *Plan) error {
	m, err := compile(&req, true)
	if err != nil {
		return err
	}
	used := map[int]bool{}
	for i := range p.Steps {
		if k := m.wayOf(p.Steps[i].Item, p.Steps[i].Way); k != nothing {
			used[k] = true
		}
	}
	for _, k := range m.rivals(used) {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		w := &m.ways[k]
		r := Rejected{Item: m.items[w.item].src.ID, Way: w.src.ID, Name: m.name(w.item)}
		if w.src.Name != "" {
			r.Name += ": " + w.src.Name
		}
		r.More, r.AtMost, r.Never = m.forced(ctx, k, p)
		p.Rejected = append(p.Rejected, r)
	}
	return ctx.Err()
}

// wayOf is the model's way by names, nothing if it has none such.
func (m *model) wayOf(item, way string) int {
	i, ok := m.seen[item]
	if !ok {
		return nothing
	}
	for _, k := range m.items[i].ways {
		if m.ways[k].src.ID == way {
			return k
		}
	}
	return nothing
}

// rivals lists the ways not used that the used ones, or the works, could have
// done with instead.
func (m *model) rivals(used map[int]bool) []int {
	var out []int
	add := func(item int) {
		if m.items[item].already != nothing {
			return
		}
		for _, k := range m.items[item].ways {
			if !used[k] && !slices.Contains(out, k) {
				out = append(out, k)
			}
		}
	}
	var visit func(t *tree)
	visit = func(t *tree) {
		if t.item != nothing {
			add(t.item)
		}
		for _, k := range t.kids {
			visit(k)
		}
	}
	for i := range m.works {
		visit(m.works[i].need)
	}
	for k := range m.ways {
		if used[k] {
			add(m.ways[k].item)
			visit(m.ways[k].need)
		}
	}
	slices.Sort(out)
	return out
}

// forced gives the minutes that a way would have cost more, or why it cannot
// be used. Which of the two is at most only is said by the second value.
func (m *model) forced(ctx context.Context, k int, p *Plan) (more float64, atMost bool, never string) {
	w := &m.ways[k]
	if w.banned > 0 {
		return 0, false, m.whyBanned(w)
	}
	if w.conflict > 0 {
		return 0, false, fmt.Sprintf("%s must still be fitted for it, and is out of the way already.", m.name(w.conflict-1))
	}
	root, ok := m.root()
	if !ok || !m.insist(root, k) {
		return 0, false, "It does not go together with the rest of what is needed."
	}
	root.bound = m.least(root)
	h := hunt{m: m, ctx: ctx, left: m.req.Steps}
	bound := h.run(root)
	if h.best.labels == nil {
		if h.left > 0 && ctx.Err() == nil {
			return 0, false, "No order of the steps allows it."
		}
		return 0, false, "It was not found out within the steps allowed."
	}
	wr := writer{o: h.order, c: h.choice, times: map[string]int{}}
	wr.steps(h.best.labels)
	return max(0, wr.end-p.Minutes), wr.end-bound > Tolerance, ""
}

// insist puts an item in the plan by one way.
func (m *model) insist(c *choice, k int) bool {
	item := m.ways[k].item
	if c.banned(k) || c.way[item] >= 0 && c.way[item] != int32(k) {
		return false
	}
	c.way[item] = int32(k)
	return m.settle(c)
}

func (m *model) whyBanned(w *mWay) string {
	switch b := m.blocks[w.banned-1]; {
	case b.kind != "":
		return fmt.Sprintf("It opens %s, which you asked to keep closed.", circuit(b.kind))
	case b.tool != "":
		return fmt.Sprintf("It needs a %s, which is not among your tools.", b.tool)
	}
	return "You asked to keep it closed."
}

// explainFree plans again with each further thing that could be done on what
// is open, or on what only what is open is in the way of, and keeps what this
// opening saves at least half of.
func explainFree(ctx context.Context, req Request, p *Plan) error {
	for _, t := range extras(req, p) {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		alone, err := Make(ctx, Request{Map: req.Map, Targets: []Target{t}, Already: req.Already,
			KeepClosed: req.KeepClosed, Tools: req.Tools, OnlyOwned: req.OnlyOwned, Steps: req.Steps})
		if err != nil {
			if badMap(err) {
				return err
			}
			continue
		}
		both := req
		both.Targets = append(slices.Clone(req.Targets), t)
		with, err := Make(ctx, both)
		if err != nil {
			continue
		}
		e := Extra{Item: t.Item, Action: t.Action, Marginal: max(0, with.Minutes-p.Minutes), Alone: alone.Minutes}
		for i := range req.Map.Items {
			if req.Map.Items[i].ID == t.Item {
				e.Name = req.Map.Items[i].Name
			}
		}
		if e.Marginal <= mostShare*e.Alone {
			p.Free = append(p.Free, e)
		}
	}
	slices.SortStableFunc(p.Free, func(a, b Extra) int {
		switch {
		case a.Marginal < b.Marginal:
			return -1
		case a.Marginal > b.Marginal:
			return 1
		}
		return 0
	})
	return ctx.Err()
}

// mostShare is how much of a job of its own a further thing may cost now and
// still be called open: half of it. What saves less is no reason to do it now.
const mostShare = 0.5

func badMap(err error) bool {
	var b *BadRequest
	return errors.As(err, &b)
}

// extras lists the works of the map, not asked for, on items that are open in
// the plan or would need nothing more than what is open.
func extras(req Request, p *Plan) []Target {
	open := map[string]bool{}
	for i := range p.Steps {
		open[p.Steps[i].Item] = true
	}
	for _, a := range req.Already {
		id, _, _ := strings.Cut(a, "/")
		open[id] = true
	}
	var out []Target
	for i := range req.Map.Items {
		it := &req.Map.Items[i]
		for _, w := range it.Work {
			t := Target{it.ID, w.Action}
			if len(out) < mostExtras && !covered(req.Targets, t) && (open[it.ID] || within(it, &w, open)) {
				out = append(out, t)
			}
		}
	}
	return out
}

// covered reports that a work is asked for, or is no more than a look at an item
// that is worked on anyway.
func covered(asked []Target, t Target) bool {
	return slices.ContainsFunc(asked, func(a Target) bool {
		return a == t || a.Item == t.Item && (t.Action == access.Inspect || t.Action == access.AccessOnly)
	})
}

// within reports that a work, or one way to get its item out of the way, needs
// only what is open.
func within(it *access.Item, w *access.Work, open map[string]bool) bool {
	var met func(n access.Need) bool
	met = func(n access.Need) bool {
		switch {
		case n.Item != "":
			return open[n.Item]
		case n.Any != nil:
			return slices.ContainsFunc(n.Any, met)
		}
		return !slices.ContainsFunc(n.All, func(k access.Need) bool { return !met(k) })
	}
	if w.Needs != nil {
		return met(access.Need{All: w.Needs})
	}
	return slices.ContainsFunc(it.Ways, func(w access.Way) bool { return len(w.Needs) > 0 && met(access.Need{All: w.Needs}) })
}
