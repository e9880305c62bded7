package job

import (
	"slices"
	"strconv"
	"strings"

	"lastbolt/plan/access"
	"lastbolt/plan/opening"
)

// maxCount is the most pieces one group is believed to have.
const maxCount = 9999

// step finds a step an event speaks of. One that no plan here knows is made,
// so that nothing taken off is ever lost from view.
func (b *builder) step(e Event, id string) *Step {
	if st := b.byID[id]; st != nil {
		return st
	}
	side, item, ok := strings.Cut(id, "/")
	if !ok || item == "" || len(id) > 300 {
		b.problem(e.ID, "it speaks of a step %.60q that there is not", id)
		return nil
	}
	st := &Step{ID: id, Unplanned: true, Name: b.name(item)}
	st.Item, _, _ = strings.Cut(item, "#")
	if side != "up" || !b.endsItself(st.Item, "") { // that one is not asked for, and may be said
		b.problem(e.ID, "it speaks of a step %q that no plan here knows; the step is kept beside the plan", id)
	}
	switch side {
	case "up":
		st.Phase, st.Closes = opening.Up, true
	case "down":
		st.Phase, st.Opens = opening.Down, true
	default:
		st.Phase = opening.Bottom
	}
	st.Name = b.name(st.Item)
	b.insert(st, "")
	return st
}

func (b *builder) name(item string) string {
	if it := b.s.Items[item]; it != nil && it.Name != "" {
		return it.Name
	}
	if n := b.names[item]; n != "" {
		return n
	}
	return item
}

var phaseRank = map[opening.Phase]int{opening.Down: 0, opening.Bottom: 1, opening.Up: 2}

// insert places a step before the step named or, without one, at the end of
// its phase; on the way up at the beginning, since what came off last goes on
// first.
func (b *builder) insert(st *Step, before string) {
	b.byID[st.ID] = st
	at := slices.IndexFunc(b.steps, func(o *Step) bool { return o.ID == before && before != "" })
	if at < 0 {
		rank := phaseRank[st.Phase]
		at = slices.IndexFunc(b.steps, func(o *Step) bool {
			if st.Phase == opening.Up {
				return phaseRank[o.Phase] == rank && !o.IsDone()
			}
			return phaseRank[o.Phase] > rank
		})
	}
	if at < 0 {
		at = len(b.steps)
	}
	b.steps = slices.Insert(b.steps, at, st)
}

// planned puts a plan in force. What is finished stays finished as long as it
// holds: where the plan opens again what was closed since, or closes again
// what was opened again, the old step makes room for a new one.
func (b *builder) planned(e Event, d Planned) {
	b.take(d)
	kept := slices.DeleteFunc(slices.Clone(b.steps), func(st *Step) bool {
		return !st.IsDone() && st.Begun.IsZero() && !b.unplannedOpen(st)
	})
	b.openAlready(d, e)
	old := b.byID
	b.steps, b.byID = nil, map[string]*Step{}
	isOpen := map[string]bool{}
	for _, c := range b.cycles {
		if c.up == nil {
			isOpen[c.item] = true
		}
	}
	fresh := b.planSteps(d, old, isOpen)
	used := map[*Step]bool{}
	for _, st := range fresh {
		used[st] = true
		b.byID[st.ID] = st
	}
	kept = slices.DeleteFunc(kept, func(st *Step) bool {
		return used[st] || !st.IsDone() && slices.ContainsFunc(fresh, func(f *Step) bool {
			return f.Item == st.Item && f.Opens == st.Opens && f.Closes == st.Closes && f.Action == st.Action && f.Fluid == st.Fluid
		})
	})
	for _, st := range kept {
		st.ID = b.freeID(st.ID)
		b.byID[st.ID] = st
	}
	// Finished steps first, then the plan; what is begun, or owed outside the
	// plan, waits in front of it.
	b.steps = append(kept, fresh...)
	slices.SortStableFunc(b.steps, func(x, y *Step) int { return phaseRank[x.Phase] - phaseRank[y.Phase] })
	b.owe()
}

// owe sees to it that everything open has a step that closes it, and every
// fluid let out one that fills it.
func (b *builder) owe() {
	for _, c := range b.cycles {
		if c.up == nil {
			b.oweBack(c)
		}
	}
	for _, fluid := range sortedKeys(b.out) {
		b.oweFilling(fluid)
	}
}

func (b *builder) oweBack(c *cycle) {
	if b.closingStep(c.item) != nil || b.endsItself(c.item, c.down.Way) {
		return
	}
	b.insert(&Step{
		ID: b.freeID("up/" + c.item), Phase: opening.Up, Item: c.item, Name: c.down.Name, Closes: true, Unplanned: true,
		Condition: c.down.Condition, Critical: c.down.Critical, Way: c.down.Way, AsideWay: c.down.AsideWay, way: c.down.way, Hazards: c.down.Hazards,
	}, "")
}

// endsItself reports a condition that nobody has to end, see
// [access.Item.EndsItself].
func (b *builder) endsItself(item, way string) bool {
	it := b.s.Items[item]
	return it != nil && endsItself(it, way)
}

func endsItself(it *access.Item, way string) bool {
	w := findWay(it, way)
	return w != nil && it.EndsItself(w)
}

func (b *builder) oweFilling(fluid string) {
	if !b.out[fluid] || slices.ContainsFunc(b.steps, func(st *Step) bool { return st.Fluid == fluid && !st.IsDone() }) {
		return
	}
	st := &Step{ID: b.freeID("up/fill-" + slug(fluid)), Phase: opening.Up, Name: fluid, Fluid: fluid, Unplanned: true}
	for _, c := range b.cycles {
		if c.down.way == nil {
			continue
		}
		for _, f := range c.down.way.Fluids.Items {
			if f.Name == fluid {
				st.Expected = max(st.Expected, f.Minutes.Mean())
			}
		}
	}
	b.byID[st.ID] = st
	b.steps = append(b.steps, st) // last of all: what is filled early runs out again
}

func (b *builder) wayBack(e Event, d Planned) {
	b.s.TurnedBack = d.Why
	if b.s.TurnedBack == "" {
		b.s.TurnedBack = "turned back"
	}
	b.planned(e, d)
}

// take remembers the plan, its items and where they come from.
func (b *builder) take(d Planned) {
	s := b.s
	plan := d.Plan
	s.Plan = &plan
	if d.MapID != "" { // a way back without a map leaves these alone
		s.MapID, s.MapName, s.MapVersion, s.Invented = d.MapID, d.MapName, d.MapVersion, d.Invented
	}
	if len(d.Already) > 0 {
		s.Already = d.Already
	}
	for i := range d.Items {
		it := d.Items[i]
		s.Items[it.ID] = &it
	}
	if len(plan.Targets) > 0 {
		s.Targets = nil
		for _, t := range plan.Targets {
			s.Targets = append(s.Targets, Target{Item: t.Item, Name: b.name(t.Item), Action: t.Action})
		}
	}
}

// unplannedOpen tells a step of something met along the way that is still to
// be taken off or put back.
func (b *builder) unplannedOpen(st *Step) bool {
	if !st.Unplanned {
		return false
	}
	return st.Opens || st.Closes && (b.ring(st.Item) != nil || slices.ContainsFunc(b.steps, func(o *Step) bool {
		return o.Unplanned && o.Opens && o.Item == st.Item && !o.IsDone()
	}))
}

// openAlready gives a ring to what was off before the job and is put back by
// the plan.
func (b *builder) openAlready(d Planned, e Event) {
	for _, a := range d.Already {
		item, way, _ := strings.Cut(a, "/")
		closes := slices.ContainsFunc(d.Plan.Steps, func(p opening.Step) bool {
			_, closes := direction(p)
			return closes && p.Item == item
		})
		if !closes || b.ring(item) != nil {
			continue
		}
		st := b.newStep(opening.Step{ID: "down/" + item, Phase: opening.Down, Item: item, Name: b.name(item), Way: way})
		st.Opens, st.Planned, st.Note = true, nil, "already so when the job began"
		st.Finished = e.At
		st.ID = b.freeID("before/" + item)
		b.byID[st.ID] = st
		b.cycles = append(b.cycles, &cycle{item: item, down: st})
	}
}

// planSteps walks through the plan and decides, step by step, what is done
// already.
func (b *builder) planSteps(d Planned, old map[string]*Step, isOpen map[string]bool) []*Step {
	var out []*Step
	seen := map[string]bool{}
	for _, p := range d.Plan.Steps {
		if p.ID == "" || seen[p.ID] {
			continue
		}
		seen[p.ID] = true
		st := b.newStep(p)
		st.Opens, st.Closes = direction(p)
		if st.Closes && b.endsItself(st.Item, st.Way) {
			continue // nothing for the hands to do
		}
		was := old[p.ID]
		holds := was != nil && (was.IsDone() || !was.Begun.IsZero())
		if holds && was.IsDone() {
			switch {
			case st.Opens:
				holds = isOpen[p.Item]
			case st.Closes:
				holds = !isOpen[p.Item]
			case st.Fluid != "":
				holds = !b.out[st.Fluid]
			}
		}
		if holds {
			was.Planned, was.Expected = st.Planned, st.Expected
			was.Phase = st.Phase
			st = was
		}
		switch {
		case st.Opens:
			isOpen[p.Item] = true
		case st.Closes:
			isOpen[p.Item] = false
		}
		out = append(out, st)
	}
	return out
}

// direction tells whether a step opens or closes; work and fillings do neither.
func direction(p opening.Step) (opens, closes bool) {
	if p.Action != "" || p.Fluid != "" || p.Phase == opening.Bottom && !p.Back && p.Item == "" {
		return false, false
	}
	closes = p.Back || strings.HasPrefix(p.ID, "up/")
	return !closes, closes
}

// freeID finds an id for a step that makes room for another.
func (b *builder) freeID(id string) string {
	for n := 1; ; n++ {
		if b.byID[id] == nil {
			return id
		}
		base, _, _ := strings.Cut(id, "@")
		id = base + "@" + strconv.Itoa(n)
	}
}

// newStep makes a step of the plan's, with what the map knows of it.
func (b *builder) newStep(p opening.Step) *Step {
	st := &Step{
		ID: p.ID, Phase: p.Phase, Item: p.Item, Name: p.Name, Action: p.Action, Way: p.Way,
		Planned: &p, AsideWay: p.Aside, Expected: p.Hand, InWayOf: p.Why, Fluid: p.Fluid,
	}
	if st.Name == "" {
		st.Name = b.name(p.Item)
	}
	it := b.s.Items[p.Item]
	if it == nil {
		return st
	}
	st.Critical, st.Condition = it.Critical, it.Kind == access.Condition
	if p.Action != "" {
		for i := range it.Work {
			if it.Work[i].Action == p.Action {
				st.Hazards = it.Work[i].Hazards
			}
		}
		return st
	}
	st.setWay(findWay(it, p.Way))
	return st
}

func (st *Step) setWay(w *access.Way) {
	if w == nil {
		return
	}
	st.way, st.Hazards = w, w.Hazards
	st.Groups, st.NoGroups = nil, w.Fasteners.None()
	for _, f := range w.Fasteners.Items {
		st.Groups = append(st.Groups, newGroup(f))
	}
}

func newGroup(f access.Fastener) Group {
	g := Group{ID: f.ID, Name: f.Name, Fastener: f, Want: f.Count, Loosen: f.Loosen, Replace: f.Replace}
	if g.ID == "" {
		g.ID = slug(f.Name)
	}
	if g.Name == "" {
		g.Name = g.ID
	}
	return g
}

// findWay finds an item's way by its id; without an id, the only or first one.
func findWay(it *access.Item, id string) *access.Way {
	for i := range it.Ways {
		if it.Ways[i].ID == id || id == "" {
			return &it.Ways[i]
		}
	}
	return nil
}

// slug makes a short id of a name: letters and digits of any script, in lower
// case, joined by dashes.
func slug(name string) string {
	var out strings.Builder
	gap := false
	for _, r := range strings.ToLower(name) {
		if !isWord(r) {
			gap = out.Len() > 0
			continue
		}
		if gap {
			out.WriteByte('-')
			gap = false
		}
		out.WriteRune(r)
		if out.Len() > 40 {
			break
		}
	}
	if out.Len() == 0 {
		return "thing"
	}
	return out.String()
}
