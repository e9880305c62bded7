package opening

import (
	"context"
	"slices"

	"lastbolt/plan/access"
)

// An Opened is something that really is out of the way, or a condition that
// really holds, in the middle of a job.
type Opened struct {
	Item string
	Way  string // empty: its first way
	// Found describes an item that is not on the map; nil for one that is.
	Found *access.Item
	// InWayOf lists the items that it was in the way of: they go back first.
	InWayOf []string
}

// Remake plans again from the middle of a job: what is still to be done of the
// request's targets (none: only the way back), and the way back of everything
// that is open. What is opened adds to the request's Already; items found on
// the way are added to a copy of the map, and what they were in the way of
// needs them.
//
// Where the record and the map disagree the record wins: something that came
// off without an item that the map wants off first will also go back without.
func Remake(ctx context.Context, req Request, opened []Opened) (*Plan, error) {
	if req.Map == nil {
		req.Map = &access.Map{Format: access.Format, ID: "record", Name: "What was recorded"}
	}
	req.Map = withFound(req.Map, opened)
	req.Already = slices.Clone(req.Already)
	for _, o := range opened {
		a := o.Item
		if o.Way != "" {
			a += "/" + o.Way
		}
		req.Already = append(req.Already, a)
	}
	if len(req.Targets) == 0 && len(req.Already) == 0 {
		return nil, bad("Nothing is open and nothing is left to do, so there is nothing to plan.")
	}
	m, err := compile(&req, true)
	if err != nil {
		return nil, err
	}
	return m.make(ctx)
}

// withFound is a copy of the map with the items found and the needs they give
// rise to. Everything that is not changed is shared with the map.
func withFound(base *access.Map, opened []Opened) *access.Map {
	m := *base
	m.Items = slices.Clone(m.Items)
	at := func(id string) int {
		return slices.IndexFunc(m.Items, func(it access.Item) bool { return it.ID == id })
	}
	for _, o := range opened {
		if o.Found != nil && at(o.Item) < 0 {
			it := *o.Found
			it.ID = o.Item
			if len(it.Ways) == 0 {
				it.Ways = []access.Way{{ID: string(access.Off)}}
			}
			m.Items = append(m.Items, it)
		}
	}
	for _, o := range opened {
		for _, of := range o.InWayOf {
			k := at(of)
			if k < 0 || of == o.Item {
				continue
			}
			it := &m.Items[k]
			it.Ways = slices.Clone(it.Ways)
			for w := range it.Ways {
				addNeed(&it.Ways[w], o.Item)
			}
		}
	}
	return &m
}

// addNeed makes a way need an item too, there and back.
func addNeed(w *access.Way, item string) {
	if !slices.ContainsFunc(w.Needs, func(n access.Need) bool { return n.Item == item && n.Way == "" }) {
		w.Needs = append(slices.Clone(w.Needs), access.Need{Item: item})
	}
	if w.Back.Still != nil && !slices.Contains(w.Back.Still, item) {
		w.Back.Still = append(slices.Clone(w.Back.Still), item)
	}
}
