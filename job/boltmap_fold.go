package job

import (
	"cmp"
	"math"
	"slices"
)

// Limits of what is believed of a bolt map. Places lie on the picture or near
// it.
const (
	maxBolts  = 500
	farAway   = 20.0 // widths of the picture
	maxAspect = 20.0
)

func (p Point) ok() bool {
	return math.Abs(p.X) <= farAway && math.Abs(p.Y) <= farAway // not so for what is no number
}

// boltMapOf is the map of an item in the making.
func (b *builder) boltMapOf(item string) *BoltMap {
	if m := b.s.BoltMap(item); m != nil {
		return m
	}
	m := &BoltMap{Item: item, Aspect: 1, torques: map[string]BoltTorqueSet{}, said: map[recordedBy]map[string]torqueSaid{}}
	b.s.BoltMaps = append(b.s.BoltMaps, m)
	return m
}

func (b *builder) boltMap(e Event, d BoltMapSet) {
	if d.Item == "" {
		b.problem(e.ID, "it does not say whose bolts it is about")
		return
	}
	m := b.boltMapOf(d.Item)
	m.Picture = cmp.Or(d.Picture, m.Picture)
	m.Count = cmp.Or(max(d.Count, 0), m.Count)
	m.Cover, m.Seal = cmp.Or(d.Cover, m.Cover), cmp.Or(d.Seal, m.Seal)
	if d.Aspect > 0 && d.Aspect <= maxAspect {
		m.Aspect = d.Aspect
	}
	if d.From != nil && d.From.ok() {
		m.From = d.From
	}
	if d.To != nil && d.To.ok() {
		m.To = d.To
	}
	if !d.Distance.IsZero() {
		m.Distance = d.Distance
	}
	if len(d.Outline) > 0 {
		m.Outline = slices.DeleteFunc(slices.Clone(d.Outline), func(p Point) bool { return !p.ok() })
	}
	if d.Adapter != nil {
		m.Adapter = *d.Adapter
		if m.Adapter.Name == "none" {
			m.Adapter = Adapter{}
		}
	}
}

func (b *builder) bolt(e Event, d BoltSet) {
	if d.Item == "" {
		b.problem(e.ID, "it does not say whose bolt it is")
		return
	}
	m := b.boltMapOf(d.Item)
	bolt := m.Bolt(d.Bolt)
	if bolt == nil && d.Bolt != "" {
		return // taken off the map in the meantime
	}
	if bolt == nil {
		if d.At == nil || !d.At.ok() {
			b.problem(e.ID, "it does not say where the bolt is")
			return
		}
		bolt = &Bolt{ID: e.ID, N: m.freeNumber(d.N)}
		m.Bolts = append(m.Bolts, bolt)
	}
	b.change(e, m, bolt, d)
}

func (b *builder) change(e Event, m *BoltMap, bolt *Bolt, d BoltSet) {
	if d.At != nil && d.At.ok() {
		bolt.At = *d.At
	}
	bolt.Group, bolt.Thread = cmp.Or(d.Group, bolt.Group), cmp.Or(d.Thread, bolt.Thread)
	bolt.Tray, bolt.Note = cmp.Or(d.Tray, bolt.Tray), cmp.Or(d.Note, bolt.Note)
	for _, f := range []struct{ to, from *bool }{{&bolt.Hidden, d.Hidden}, {&bolt.First, d.First}, {&bolt.keep, d.Keep}} {
		if f.from != nil {
			*f.to = *f.from
		}
	}
	if d.Length != nil {
		bolt.lengths = append(bolt.lengths, lengthSaid(e.ID, *d.Length, e.By, e.At, d.Device))
		bolt.Length, bolt.Measured = *d.Length, !d.Length.IsZero()
	}
	all := slices.Concat(m.Bolts, m.Keep)
	if d.Gone != nil && *d.Gone {
		all = slices.DeleteFunc(all, func(o *Bolt) bool { return o == bolt })
	}
	m.Bolts, m.Keep = nil, nil
	for _, o := range all {
		if o.keep {
			m.Keep = append(m.Keep, o)
		} else {
			m.Bolts = append(m.Bolts, o)
		}
	}
}

// freeNumber is the number wanted or, where another bolt has it, the next one
// after all others: two devices may have counted at the same time.
func (m *BoltMap) freeNumber(want int) int {
	most, taken := 0, false
	for _, b := range slices.Concat(m.Bolts, m.Keep) {
		most, taken = max(most, b.N), taken || b.N == want
	}
	if want > 0 && !taken && want <= maxCount {
		return want
	}
	return most + 1
}

func (b *builder) boltTorque(e Event, d BoltTorqueSet) {
	if d.Item == "" {
		b.problem(e.ID, "it does not say whose torque it is")
		return
	}
	m := b.boltMapOf(d.Item)
	if d.Group == "" {
		clear(m.torques)
	}
	m.torques[d.Group] = d
	m.say(e, d)
}

func (b *builder) boltOrder(e Event, d BoltOrdered) {
	if d.Item == "" || len(d.Passes) == 0 {
		b.problem(e.ID, "the order of the bolts could not be read")
		return
	}
	d.Passes = slices.Clone(d.Passes)
	for i := range d.Passes {
		if p := &d.Passes[i]; !(p.Share > 0 && p.Share <= 1) {
			p.Share = 1
		}
	}
	b.boltMapOf(d.Item).Order = &d
}

func (b *builder) boltMarks(e Event, d BoltsMarked) {
	if d.Item != "" {
		m := b.boltMapOf(d.Item)
		m.Marks = append(m.Marks, BoltMark{d, e.At, e.By})
	}
}

// boltTurned keeps a turn with the round it belongs to. What is done on the way
// down belongs to the round to come where the item is not off; what is done on
// the way up to the last time it came off.
func (b *builder) boltTurned(e Event, d BoltTurned) {
	if d.Item == "" {
		b.problem(e.ID, "it does not say whose bolts were turned")
		return
	}
	round, open := -1, false
	for _, c := range b.cycles {
		if c.item == d.Item {
			round++
			open = c.up == nil
		}
	}
	if down := d.Turn == Cracked || d.Turn == TakenOut || d.Turn == Stuck; down && !open {
		round++
	}
	m := b.boltMapOf(d.Item)
	m.turns = append(m.turns, boltTurn{BoltTurn{d, e.ID, e.At, e.By}, max(round, 0)})
}

func (b *builder) wrench(e Event, d WrenchChosen) {
	if d.Tool == "" {
		b.problem(e.ID, "it does not say which wrench")
		return
	}
	b.s.Wrenches = slices.DeleteFunc(b.s.Wrenches, func(w WrenchChosen) bool { return w.Tool == d.Tool })
	if !d.Away {
		d.since = e.At
		b.s.Wrenches = append(b.s.Wrenches, d)
	}
}

// boltMaps works out where every map stands, once the steps are known.
func (b *builder) boltMaps() {
	slices.SortFunc(b.s.BoltMaps, func(x, y *BoltMap) int { return cmp.Compare(x.Item, y.Item) })
	for _, m := range b.s.BoltMaps {
		slices.SortStableFunc(m.Bolts, func(x, y *Bolt) int { return cmp.Compare(x.N, y.N) })
		slices.SortStableFunc(m.Keep, func(x, y *Bolt) int { return cmp.Compare(x.N, y.N) })
		m.Name = b.name(m.Item)
		if it := b.s.Items[m.Item]; it != nil {
			m.Critical = it.Critical
		}
		b.boltSteps(m)
		b.boltTurns(m)
		b.boltConflicts(m)
		m.standing()
	}
}

// boltSteps finds the step in hand and the groups the bolts belong to.
func (b *builder) boltSteps(m *BoltMap) {
	var any *Step
	ring := b.ring(m.Item)
	for _, st := range b.steps {
		if st.Item != m.Item || !st.Opens && !st.Closes {
			continue
		}
		if any == nil || len(any.Groups) == 0 {
			any = st
		}
		if !st.IsDone() && m.Step == nil && (ring != nil && st.Closes || ring == nil && st.Opens) {
			m.Step = st
		}
	}
	if m.Step != nil && len(m.Step.Groups) > 0 {
		any = m.Step
	}
	if any != nil {
		m.groups, m.Critical = any.Groups, cmp.Or(m.Critical, any.Critical)
	}
	usual := "bolts"
	if i := slices.IndexFunc(m.groups, func(g Group) bool { return g.Fastener.Thread != "" }); i >= 0 {
		usual = m.groups[i].ID
	} else if len(m.groups) > 0 {
		usual = m.groups[0].ID
	}
	for _, bolt := range slices.Concat(m.Bolts, m.Keep) {
		bolt.Group = cmp.Or(bolt.Group, usual)
		if i := slices.IndexFunc(m.groups, func(g Group) bool { return g.ID == bolt.Group }); i >= 0 && bolt.Length.IsZero() && !bolt.Measured {
			bolt.Length = m.groups[i].Fastener.Length
		}
	}
}

// boltTurns tells each bolt what was done to it in the round in hand.
func (b *builder) boltTurns(m *BoltMap) {
	round, open := -1, false
	for _, c := range b.cycles {
		if c.item == m.Item {
			round++
			open = c.up == nil
		}
	}
	latest := 0
	for _, t := range m.turns {
		latest = max(latest, t.round)
	}
	if !open && latest > round {
		round = latest
	}
	round = max(round, 0)
	for _, t := range m.turns {
		for _, id := range t.Bolts {
			bolt := m.Bolt(id)
			if bolt == nil {
				continue
			}
			bolt.Turns = append(bolt.Turns, t.BoltTurn)
			if t.Turn == TakenOut && !t.Length.IsZero() {
				bolt.Length, bolt.Measured = t.Length, true
				bolt.lengths = append(bolt.lengths, lengthSaid(t.Event, t.Length, t.By, t.At, t.Device))
			}
			if t.round == round {
				bolt.turn(t.BoltTurned)
			}
		}
	}
	if !open {
		return
	}
	for _, bolt := range m.Bolts { // off is off: a step counted as a whole has its bolts out
		if !m.LoosenOnly() {
			bolt.Out = bolt.Out || !bolt.Stuck
		}
		bolt.Cracked = true
	}
}

func (b *Bolt) turn(d BoltTurned) {
	switch d.Turn {
	case Cracked:
		b.Cracked = true
	case TakenOut:
		b.Out, b.Stuck = true, false
	case Stuck:
		b.Stuck, b.Out = true, false
	case RunIn:
		b.RunIn = true
	case Clicked:
		b.Pass, b.RunIn = max(b.Pass, d.Pass, 1), true
	case Checked:
		b.Checked = true
	}
}

// standing works out what comes next.
func (m *BoltMap) standing() {
	m.Stale = m.stale()
	m.Phase, m.Pass = PhaseDone, len(m.Passes())
	st := m.Step
	switch {
	case st == nil:
		return
	case len(m.Bolts) == 0 || m.Order == nil || st.Opens && m.Stale && !m.begun():
		m.Phase = PhaseBuild
	case st.Opens:
		m.Phase = PhaseApart
		for _, p := range []BoltPhase{PhaseOut, PhaseCrack} {
			if len(m.left(p, 0)) > 0 {
				m.Phase = p
			}
		}
	default:
		m.phaseBack()
	}
	if left := m.Left(); len(left) > 0 && m.Phase != PhaseBuild {
		m.Next = left[0]
	}
}

func (m *BoltMap) begun() bool {
	return slices.ContainsFunc(m.Bolts, func(b *Bolt) bool { return b.Cracked || b.Out || b.Stuck })
}

func (m *BoltMap) phaseBack() {
	m.Phase = PhaseTogether
	if !m.LoosenOnly() && len(m.left(PhaseRunIn, 0)) > 0 {
		m.Phase, m.Pass = PhaseRunIn, 1
		return
	}
	for p := range m.Passes() {
		if len(m.left(PhaseTighten, p+1)) > 0 {
			m.Phase, m.Pass = PhaseTighten, p+1
			return
		}
	}
	if m.Critical != "" && len(m.left(PhaseCheck, 0)) > 0 {
		m.Phase = PhaseCheck
	}
}

// stale reports an order that was worked out for other bolts.
func (m *BoltMap) stale() bool {
	if m.Order == nil {
		return false
	}
	last := m.Order.Passes[len(m.Order.Passes)-1].Order
	return len(last) != len(m.Bolts) || slices.ContainsFunc(m.Bolts, func(b *Bolt) bool { return !slices.Contains(last, b.ID) })
}
