package job

import (
	"cmp"
	"slices"

	"lastbolt/calc/belt"
)

// maxPulleys is the most pulleys the belt engine takes.
const maxPulleys = belt.MostPulleys

// beltRunOf is the belt run of an item in the making.
func (b *builder) beltRunOf(item string) *BeltRun {
	if r := b.s.BeltRun(item); r != nil {
		return r
	}
	r := &BeltRun{Item: item, Aspect: 1}
	b.s.BeltRuns = append(b.s.BeltRuns, r)
	return r
}

func (b *builder) beltRun(e Event, d BeltRunSet) {
	if d.Item == "" {
		b.problem(e.ID, "it does not say whose belt it is about")
		return
	}
	r := b.beltRunOf(d.Item)
	r.Picture = cmp.Or(d.Picture, r.Picture)
	r.Profile, r.Turns, r.Note = cmp.Or(d.Profile, r.Profile), cmp.Or(d.Turns, r.Turns), cmp.Or(d.Note, r.Note)
	r.Ribs = cmp.Or(max(d.Ribs, 0), r.Ribs)
	if d.Aspect > 0 && d.Aspect <= maxAspect {
		r.Aspect = d.Aspect
	}
	if d.From != nil && d.To != nil && d.From.ok() && d.To.ok() {
		r.From, r.To = d.From, d.To
	}
	if !d.Distance.IsZero() {
		r.Distance = d.Distance
	}
	if !d.Length.IsZero() {
		r.Length = d.Length
	}
	if d.OneWay != nil {
		r.OneWay = *d.OneWay
	}
}

func (b *builder) beltPulley(e Event, d BeltPulleySet) {
	if d.Item == "" {
		b.problem(e.ID, "it does not say whose pulley it is")
		return
	}
	r := b.beltRunOf(d.Item)
	p := r.Pulley(d.Pulley)
	switch {
	case p == nil && d.Pulley != "":
		return // taken off the record in the meantime
	case p == nil && len(r.Pulleys) >= maxPulleys:
		b.problem(e.ID, "a belt runs over %d pulleys at most", maxPulleys)
		return
	case p == nil:
		p = &BeltPulley{ID: e.ID}
		r.Pulleys = append(r.Pulleys, p)
	case d.Gone != nil && *d.Gone:
		r.Pulleys = slices.DeleteFunc(r.Pulleys, func(q *BeltPulley) bool { return q == p })
		return
	}
	p.Name, p.Surface, p.Turns, p.Side = cmp.Or(d.Name, p.Name), cmp.Or(d.Surface, p.Surface), cmp.Or(d.Turns, p.Turns), cmp.Or(d.Side, p.Side)
	if d.At != nil && d.At.ok() {
		p.At = d.At
	}
	if d.Rim != nil && d.Rim.ok() {
		p.Rim = d.Rim
	}
	if d.X != nil && d.Y != nil {
		p.X, p.Y = d.X, d.Y
	}
	if d.Diameter != nil {
		p.Diameter = *d.Diameter
	}
	if d.Moves != nil {
		p.Moves = *d.Moves
	}
	b.onlyOne(r, p, d)
}

// onlyOne sets what only one pulley of a run can be: the crank's, the last.
func (b *builder) onlyOne(r *BeltRun, p *BeltPulley, d BeltPulleySet) {
	if d.Crank != nil {
		if *d.Crank {
			for _, q := range r.Pulleys {
				q.Crank = false
			}
		}
		p.Crank = *d.Crank
	}
	if d.Last != nil {
		if *d.Last {
			for _, q := range r.Pulleys {
				q.Last = false
			}
		}
		p.Last = *d.Last
	}
}

func (b *builder) beltRouting(e Event, d BeltRoutingSet) {
	if d.Item == "" {
		b.problem(e.ID, "it does not say whose belt it is about")
		return
	}
	r := b.beltRunOf(d.Item)
	r.Routing, r.RoutingAt, r.RoutingBy = &d, e.At, e.By
	if len(d.Run) == 0 {
		r.Routing = nil
	}
}

func (b *builder) beltSeated(e Event, d BeltSeated) {
	if r := b.s.BeltRun(d.Item); r != nil && r.Pulley(d.Pulley) != nil {
		r.seated = append(r.seated, seatedAt{d.Pulley, e.At})
	}
}

func (b *builder) pulleyName(item, id string) string {
	if r := b.s.BeltRun(item); r != nil {
		if p := r.Pulley(id); p != nil {
			return p.Name
		}
	}
	return "a pulley that is gone"
}

// beltRuns ties the runs to the steps that move their belts.
func (b *builder) beltRuns() {
	for _, r := range b.s.BeltRuns {
		r.Name = b.name(r.Item)
		for _, st := range b.s.Steps {
			if st.Item != r.Item || !(st.Opens || st.Closes) {
				continue
			}
			if r.Step == nil || r.Step.IsDone() {
				r.Step = st
			}
			if st.Opens && st.IsDone() {
				r.offSince = st.Finished
			}
		}
	}
}
