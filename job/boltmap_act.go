package job

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"lastbolt/plan/access"
	"lastbolt/quantity"
)

// ChangeBoltMap begins the bolt map of an item, or changes it.
func ChangeBoltMap(d BoltMapSet) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		if err := s.canMap(d.Item); err != nil {
			return nil, err
		}
		m := s.BoltMap(d.Item)
		switch {
		case d.Count < 0 || d.Count > maxBolts:
			return nil, refuse(CodeWrong, "A map holds up to %d bolts: %d cannot be right.", maxBolts, d.Count)
		case d.Picture != "" && m != nil && m.Picture != d.Picture && len(m.Bolts)+len(m.Keep) > 0:
			return nil, refuse(CodeNotYet, "The bolts lie on the picture that is there. Take them off the map first, or keep the picture.")
		case !d.Distance.IsZero() && !(d.Distance.Value > 0):
			return nil, refuse(CodeWrong, "The known distance has to be more than nothing, as in 120 mm.")
		case d.From != nil && d.To != nil && math.Hypot(d.From.X-d.To.X, d.From.Y-d.To.Y) < 0.02:
			return nil, refuse(CodeWrong, "The two places of the known distance lie on each other: choose two that are far apart.")
		case d.Cover != "" && !slices.Contains(Covers, d.Cover):
			return nil, refuse(CodeWrong, "What is held down is one of: %s.", strings.Join(Covers, ", "))
		case d.Seal != "" && !slices.Contains(Seals, d.Seal):
			return nil, refuse(CodeWrong, "What seals is one of: %s.", strings.Join(Seals, ", "))
		}
		if a := d.Adapter; a != nil && a.Name != "none" {
			if a.Name = strings.TrimSpace(a.Name); a.Name == "" || !(a.Reach.Value > 0) || a.Angle < 0 || a.Angle > 180 {
				return nil, refuse(CodeWrong, "Write what the adapter is, how far it reaches from the square drive to the bolt, as in 50 mm, and its angle from 0 to 180°.")
			}
		}
		return one(r, s, KindBoltMap, d)
	})
}

// canMap refuses items that no step of the job takes off or puts back.
func (s *State) canMap(item string) error {
	if slices.ContainsFunc(s.Steps, func(st *Step) bool { return st.Item == item && (st.Opens || st.Closes) && !st.Condition }) {
		return nil
	}
	return refuse(CodeUnknown, "This job takes nothing off that is called %q: begin the bolt map at a step that takes something off.", item)
}

// tooNear is the least distance between two bolts of a map. Anything nearer is
// one bolt tapped twice.
const (
	tooNearMM    = 3.0
	tooNearShare = 0.008 // of the picture's width, where there is no scale
)

// SetBolt puts a bolt on the map, or changes what is given of one.
func SetBolt(d BoltSet) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		if err := s.canMap(d.Item); err != nil {
			return nil, err
		}
		m := s.BoltMap(d.Item)
		if m == nil {
			m = &BoltMap{Item: d.Item}
		}
		all := slices.Concat(m.Bolts, m.Keep)
		switch {
		case d.Bolt != "" && m.Bolt(d.Bolt) == nil:
			return nil, refuse(CodeUnknown, "That bolt is not on the map any more.")
		case d.Bolt == "" && d.At == nil:
			return nil, refuse(CodeMissing, "Say where the bolt is: tap on the map, or write its place.")
		case d.Bolt == "" && len(all) >= maxBolts:
			return nil, refuse(CodeWrong, "A map holds up to %d bolts.", maxBolts)
		case d.At != nil && !d.At.ok():
			return nil, refuse(CodeWrong, "That place is far off the picture: mend the figures.")
		}
		if err := checkLength(d.Length); err != nil {
			return nil, err
		}
		if d.At != nil {
			if near := m.near(*d.At, d.Bolt); near != nil {
				return nil, refuse(CodeWrong, "Bolt %d is already at that place. Two bolts cannot sit in one hole: tap beside it, or change bolt %d.", near.N, near.N)
			}
		}
		if d.Bolt == "" && d.N == 0 {
			for _, b := range all {
				d.N = max(d.N, b.N)
			}
			d.N++
		}
		return one(r, s, KindBolt, d)
	})
}

func checkLength(l *quantity.Written[quantity.Length]) error {
	if l == nil || l.IsZero() {
		return nil
	}
	if mm := l.Value.In(quantity.Millimetre); !(mm >= 1 && mm <= 2000) {
		return refuse(CodeWrong, "A bolt of %s cannot be: measure it from under the head to the tip, as in 35 mm.", l)
	}
	return nil
}

func (m *BoltMap) near(p Point, but string) *Bolt {
	least := tooNearShare
	if mm := m.MM(); mm > 0 {
		least = tooNearMM / mm
	}
	for _, b := range slices.Concat(m.Bolts, m.Keep) {
		if b.ID != but && math.Hypot(b.At.X-p.X, b.At.Y-p.Y) < least {
			return b
		}
	}
	return nil
}

// SetBoltTorque writes down how tight bolts are to be. On a safety-critical
// joint anything but a maker's document is refused.
func SetBoltTorque(d BoltTorqueSet) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		m := s.BoltMap(d.Item)
		if m == nil {
			return nil, refuse(CodeUnknown, "There is no bolt map of that item yet.")
		}
		t := d.Torque
		switch {
		case t.Value.IsZero():
			return nil, refuse(CodeMissing, "Write the torque with its unit, as in 10 N·m.")
		case !(t.Value.Value > 0):
			return nil, refuse(CodeWrong, "A torque of %s cannot be: write it as in 10 N·m.", t.Value)
		case !d.UpTo.IsZero() && d.UpTo.Value <= t.Value.Value:
			return nil, refuse(CodeWrong, "The upper end of the band, %s, has to lie above %s.", d.UpTo, t.Value)
		case t.Source == "" || t.Source == access.NotKnown:
			return nil, refuse(CodeMissing, "Say where the figure comes from: without a source it is not a specification.")
		case t.Source == access.Maker && strings.TrimSpace(t.Where) == "":
			return nil, refuse(CodeMissing, "Name the maker's document and the page, so that it can be found again.")
		}
		if why := RefusedTorque(m.Critical, t); why != "" {
			return nil, refuse(CodeRefused, "%s", why)
		}
		return one(r, s, KindBoltTorque, d)
	})
}

// OrderBolts keeps an order that was worked out for the map as it is.
func OrderBolts(d BoltOrdered) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		m := s.BoltMap(d.Item)
		switch {
		case m == nil || len(m.Bolts) == 0:
			return nil, refuse(CodeMissing, "There is no bolt on the map yet: tap each one first.")
		case m.Count > 0 && m.Count != len(m.Bolts):
			return nil, refuse(CodeWrong, "%d bolts were counted on the new part and %d are on the map: tap the others, or mend the count.", m.Count, len(m.Bolts))
		case len(d.Passes) == 0:
			return nil, refuse(CodeMissing, "There is no pass in that order.")
		}
		for _, order := range append([][]string{d.Loosen}, passOrders(d.Passes)...) {
			if !m.whole(order) {
				return nil, refuse(CodeNotYet, "Bolts came or went while the order was worked out: work it out again.")
			}
		}
		return one(r, s, KindBoltOrder, d)
	})
}

func passOrders(passes []BoltPass) [][]string {
	var out [][]string
	for _, p := range passes {
		out = append(out, p.Order)
	}
	return out
}

// whole reports that an order names every bolt once.
func (m *BoltMap) whole(order []string) bool {
	if len(order) != len(m.Bolts) {
		return false
	}
	return !slices.ContainsFunc(m.Bolts, func(b *Bolt) bool { return !slices.Contains(order, b.ID) })
}

// MarkBolts records witness marks.
func MarkBolts(d BoltsMarked) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		if s.BoltMap(d.Item) == nil {
			return nil, refuse(CodeUnknown, "There is no bolt map of that item yet.")
		}
		return one(r, s, KindBoltMarks, d)
	})
}

// boltsOpen refuses to finish a step of which the bolt map says otherwise.
func (s *State) boltsOpen(st *Step, d StepDone) error {
	m := s.BoltMap(st.Item)
	if m == nil || len(m.Bolts) == 0 {
		return nil
	}
	if st.Closes {
		if m.Order == nil || m.Phase == PhaseTogether || m.Phase == PhaseDone || m.Step != st {
			return nil
		}
		left := m.Left()
		return refuse(CodeNotYet, "By the bolt map %s of %s %s not %s yet: go on with the bolt map.",
			plain(len(left), "bolt ", "bolts ")+numbersOf(left), st.Name, plain(len(left), "is", "are"), phaseWord(m.Phase))
	}
	if !st.Opens {
		return nil
	}
	for group, n := range m.counted() {
		said, ok := d.Counts[group]
		if !ok {
			for _, f := range d.Fasteners {
				if newGroup(f).ID == group {
					said, ok = f.Count, true
				}
			}
		}
		if ok && said != n {
			return refuse(CodeWrong, "The bolt map of %s has %d %s to come out, and %d are counted. Mend the map, or say which bolt stays in.", st.Name, n, s.groupWord(m, group, n), said)
		}
	}
	return nil
}

func (s *State) groupWord(m *BoltMap, group string, n int) string {
	for _, g := range m.groups {
		if g.ID == group {
			return PiecesWord(g.Name, n)
		}
	}
	return PiecesWord("bolts", n)
}

func plain(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

func phaseWord(p BoltPhase) string {
	switch p {
	case PhaseRunIn:
		return "run in"
	case PhaseCheck:
		return "checked again"
	}
	return "tight"
}

// BoltsDone is the record of a step whose bolts all had their turn: counts by
// group, and on the way back how each group was tightened.
func (s *State) BoltsDone(m *BoltMap) StepDone {
	st := m.Step
	if st == nil {
		return StepDone{}
	}
	d := StepDone{Step: st.ID, Counts: map[string]int{}}
	n := m.counted()
	for _, g := range st.Groups {
		count, mapped := n[g.ID]
		switch {
		case mapped:
			d.Counts[g.ID] = count
		case st.Closes && g.OutKnown:
			d.Counts[g.ID] = g.Out
		default:
			d.Counts[g.ID] = g.Want
		}
		delete(n, g.ID)
	}
	for _, id := range sortedKeys(n) { // what no map knew
		if st.Opens {
			d.Fasteners = append(d.Fasteners, access.Fastener{ID: id, Name: id, Count: n[id]})
		} else {
			d.Counts[id] = n[id]
		}
	}
	if st.Opens {
		d.Sizes = m.sizes()
		return d
	}
	for _, id := range sortedKeys(m.counted()) {
		d.Tightened = append(d.Tightened, m.tightened(id))
	}
	return d
}

// sizes says by group the lengths that were measured, where they are not all
// the access map's.
func (m *BoltMap) sizes() map[string]string {
	out := map[string]string{}
	for group := range m.counted() {
		var seen []string
		measured := false
		for _, l := range m.Lengths() {
			n := 0
			for _, b := range m.Bolts {
				if b.Group == group && sameLength(b.Length, l) {
					n, measured = n+1, measured || b.Measured
				}
			}
			if n > 0 {
				seen = append(seen, fmt.Sprintf("%d × %s", n, l))
			}
		}
		if measured {
			out[group] = strings.Join(seen, ", ")
		}
	}
	return out
}

// tightened sums up a group's last pass.
func (m *BoltMap) tightened(group string) Tightened {
	t := Tightened{Group: group, Marked: len(m.Marks) > 0}
	for _, b := range m.Bolts {
		if b.Group != group {
			continue
		}
		full := m.Torque(b)
		t.Value, t.Source = full.String(), full.Source
		for _, turn := range b.Turns {
			if turn.Turn == Clicked {
				t.With = cmp.Or(turn.With, t.With)
				if turn.Why != "" {
					t.Value, t.Source = "not by the map: "+turn.Why, access.NotKnown
				}
			}
		}
	}
	if n := len(m.Passes()); n > 1 && t.Source != access.NotKnown {
		t.Value += fmt.Sprintf(", in %d passes", n)
	}
	return t
}
