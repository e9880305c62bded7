package job

import (
	"fmt"
	"slices"
	"strings"

	"lastbolt/quantity"
)

// TurnBolts records what was done to bolts. What belongs to the record and is
// known here (target, setting, source, tool) is filled in. A turn whose time
// has not come is refused with what comes first; a bolt of another length than
// the hole's is refused as a swap, unless Why says why it is right all the
// same.
func TurnBolts(d BoltTurned) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		m := s.BoltMap(d.Item)
		if m == nil {
			return nil, refuse(CodeUnknown, "There is no bolt map of that item yet.")
		}
		bolts, err := m.pick(d.Bolts)
		if err != nil {
			return nil, err
		}
		d.Why = strings.TrimSpace(d.Why)
		switch d.Turn {
		case Cracked, TakenOut, Stuck:
			err = m.turnApart(d, bolts)
		case RunIn:
			err = m.turnRunIn(d, bolts)
		case Clicked:
			return clickBolts(r, s, m, d, bolts)
		case Checked:
			err = m.turnCheck(bolts)
		default:
			err = refuse(CodeWrong, "%q is nothing that can be done to a bolt here.", d.Turn)
		}
		if err != nil {
			return nil, err
		}
		return one(r, s, KindBoltTurned, d)
	})
}

// pick finds the bolts by their ids.
func (m *BoltMap) pick(ids []string) ([]*Bolt, error) {
	if len(ids) == 0 {
		return nil, refuse(CodeMissing, "Say which bolt it is.")
	}
	var out []*Bolt
	for _, id := range ids {
		b := m.Bolt(id)
		switch {
		case b == nil:
			return nil, refuse(CodeUnknown, "That bolt is not on the map any more: take it from the map as it is now.")
		case b.keep:
			return nil, refuse(CodeRefused, "Not this one: number %d is marked as one that must not be undone%s.", b.N, noteOf(b))
		}
		out = append(out, b)
	}
	return out, nil
}

func noteOf(b *Bolt) string {
	if b.Note == "" {
		return ""
	}
	return " (" + b.Note + ")"
}

func (m *BoltMap) turnApart(d BoltTurned, bolts []*Bolt) error {
	if m.Step == nil || !m.Step.Opens {
		return refuse(CodeAlready, "%s is off already.", m.Name)
	}
	if err := checkLength(&d.Length); err != nil {
		return err
	}
	for _, b := range bolts {
		switch {
		case d.Turn == Cracked && (b.Cracked || b.Out):
			return refuse(CodeAlready, "Bolt %d is cracked already.", b.N)
		case d.Turn == TakenOut && b.Out:
			return refuse(CodeAlready, "Bolt %d is out already.", b.N)
		case d.Turn == Stuck && (b.Stuck || b.Out):
			return refuse(CodeAlready, "Of bolt %d that is recorded already, or it is out.", b.N)
		}
	}
	if d.Turn != TakenOut {
		return nil
	}
	if m.LoosenOnly() {
		return refuse(CodeWrong, "These are only cracked, and stay in.")
	}
	if tight := m.left(PhaseCrack, 0); m.Order != nil && len(tight) > 0 && d.Why == "" {
		return refuse(CodeNotYet, "Crack them all first: %s %s still tight. Taking one right out while others hold bends the part.",
			plain(len(tight), "bolt ", "bolts ")+numbersOf(tight), plain(len(tight), "is", "are"))
	}
	return nil
}

func (m *BoltMap) turnRunIn(d BoltTurned, bolts []*Bolt) error {
	if m.Step == nil || !m.Step.Closes {
		return refuse(CodeNotYet, "%s is not being put back yet.", m.Name)
	}
	for _, b := range bolts {
		if b.RunIn {
			return refuse(CodeAlready, "Bolt %d is in already.", b.N)
		}
		if d.Length.IsZero() || b.Length.IsZero() || sameLength(d.Length, b.Length) || d.Why != "" {
			continue
		}
		return &Error{Code: CodeWrong, Text: m.swapText(b, d.Length)}
	}
	return nil
}

// swapText warns of a bolt held to the wrong hole.
func (m *BoltMap) swapText(b *Bolt, hand quantity.Written[quantity.Length]) string {
	text := fmt.Sprintf("Swapped: hole %d takes %s, and the bolt in hand is %s. ", b.N, b.Length, hand)
	if hand.Value > b.Length.Value {
		text += "Too long, it bottoms out or goes through before it clamps."
	} else {
		text += "Too short, it holds by a few threads and strips them."
	}
	var fits []*Bolt
	for _, o := range m.Bolts {
		if !o.RunIn && !o.Length.IsZero() && sameLength(o.Length, hand) {
			fits = append(fits, o)
		}
	}
	if len(fits) == 0 {
		return text + fmt.Sprintf(" No open hole takes %s: check what came out of where.", hand)
	}
	return text + fmt.Sprintf(" %s goes into %s.", hand, plain(len(fits), "hole ", "hole ")+strings.ReplaceAll(numbersOf(fits), " and ", " or "))
}

func (m *BoltMap) turnCheck(bolts []*Bolt) error {
	if last := len(m.Passes()); m.Phase != PhaseDone && len(m.left(PhaseTighten, last)) > 0 {
		return refuse(CodeNotYet, "The last pass is not finished: %s still to come.", numbersOf(m.left(PhaseTighten, last)))
	}
	for _, b := range bolts {
		if b.Checked {
			return refuse(CodeAlready, "Bolt %d is checked already.", b.N)
		}
	}
	return nil
}

// clickBolts records clicks: one event for each torque among the bolts.
func clickBolts(r *Recorder, s *State, m *BoltMap, d BoltTurned, bolts []*Bolt) ([]Event, error) {
	if err := s.canTighten(m, d, bolts); err != nil {
		return nil, err
	}
	var events []Event
	for _, b := range bolts {
		e := d
		e.Bolts = []string{b.ID}
		if d.Why == "" {
			set := s.Setting(m, b, d.Pass)
			e.Target, e.Set, e.With, e.Source = set.TargetText(), set.SetText(), set.With(m.Adapter), m.Torque(b).Source
			if set.Then != "" {
				e.Target += ", then " + strings.TrimPrefix(set.Then, "then ")
			}
			if set.Band {
				e.Set += " to " + set.SetToText()
			}
		}
		events = append(events, r.Event(s.ID, KindBoltTurned, e))
	}
	return events, nil
}

func (s *State) canTighten(m *BoltMap, d BoltTurned, bolts []*Bolt) error {
	if m.Step == nil || !m.Step.Closes {
		return refuse(CodeNotYet, "%s is not being put back yet.", m.Name)
	}
	if loose := m.left(PhaseRunIn, 0); !m.LoosenOnly() && len(loose) > 0 && d.Why == "" {
		return refuse(CodeNotYet, "Run all bolts in by hand first: %s %s still to come.", numbersOf(loose), plain(len(loose), "is", "are"))
	}
	if d.Pass < 1 || d.Pass > len(m.Passes()) {
		return refuse(CodeWrong, "There are %d passes, and %d is none of them.", len(m.Passes()), d.Pass)
	}
	if d.Why != "" {
		if m.Critical != "" {
			return refuse(CodeRefused, "This joint is of the %s: every bolt is tightened by the map, with the maker's figure.", m.Critical)
		}
		return nil
	}
	for p := 1; p < d.Pass; p++ {
		if left := m.left(PhaseTighten, p); len(left) > 0 {
			return refuse(CodeNotYet, "Pass %d is not finished: %s %s still to click before pass %d.",
				p, plain(len(left), "bolt ", "bolts ")+numbersOf(left), plain(len(left), "is", "are"), d.Pass)
		}
	}
	for _, b := range bolts {
		if b.Pass >= d.Pass {
			return refuse(CodeAlready, "Bolt %d has had pass %d already.", b.N, d.Pass)
		}
		if err := s.torqueReady(m, b, d.Pass); err != nil {
			return err
		}
	}
	return nil
}

// torqueReady refuses a click of which nobody could say what it was worth.
func (s *State) torqueReady(m *BoltMap, b *Bolt, pass int) error {
	t := m.Torque(b)
	switch {
	case t.Refused != "":
		return refuse(CodeRefused, "%s", t.Refused)
	case t.Value.IsZero():
		return refuse(CodeMissing, "How tight bolt %d is to be is not known: look it up, and write it down with its source.", b.N)
	case len(s.Wrenches) == 0:
		return refuse(CodeMissing, "Choose the torque wrench first: what to set depends on it.")
	}
	if set := s.Setting(m, b, pass); !set.Fits {
		return refuse(CodeWrong, "%s on the %s: %s Choose another wrench.", set.SetText(), set.Wrench.short(), set.Why)
	}
	return nil
}

// WithoutMap finishes a joint that was tightened without the map: every bolt
// counts as tight, and the record says why. Safety-critical joints are refused.
func WithoutMap(item, why string) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		m := s.BoltMap(item)
		if m == nil {
			return nil, refuse(CodeUnknown, "There is no bolt map of that item yet.")
		}
		if why = strings.TrimSpace(why); why == "" {
			return nil, refuse(CodeMissing, "Say how they were tightened, and to what: the record keeps it.")
		}
		last := len(m.Passes())
		left := m.left(PhaseTighten, last)
		if len(left) == 0 {
			return nil, refuse(CodeAlready, "Every bolt is tight by the map already.")
		}
		var ids []string
		for _, b := range left {
			ids = append(ids, b.ID)
		}
		return TurnBolts(BoltTurned{Item: item, Bolts: ids, Turn: Clicked, Pass: last, Why: why})(r, s)
	})
}

// boltTurnedText says in a few words what was done.
func (b *builder) boltTurnedText(d BoltTurned) string {
	n := fmt.Sprintf("%d bolts", len(d.Bolts))
	if m := b.s.BoltMap(d.Item); m != nil {
		var bolts []*Bolt
		for _, id := range d.Bolts {
			if bolt := m.Bolt(id); bolt != nil {
				bolts = append(bolts, bolt)
			}
		}
		if len(bolts) > 0 && len(bolts) <= 6 {
			n = plain(len(bolts), "bolt ", "bolts ") + numbersOf(bolts)
		}
	}
	text := fmt.Sprintf("%s: %s %s", b.name(d.Item), n, d.Turn)
	switch {
	case d.Turn == Clicked && d.Why == "":
		text += fmt.Sprintf(", pass %d, %s", d.Pass, d.Target)
	case !d.Length.IsZero():
		text += ", " + d.Length.String()
	}
	if d.Why != "" {
		text += ": " + clip(d.Why)
	}
	return text
}

func (b *builder) boltText(d BoltSet) string {
	n := d.N
	if m := b.s.BoltMap(d.Item); m != nil {
		if bolt := m.Bolt(d.Bolt); bolt != nil {
			n = bolt.N
		}
	}
	name := fmt.Sprintf("%s: bolt %d", b.name(d.Item), n)
	switch {
	case d.Bolt == "" && d.Keep != nil && *d.Keep:
		return name + " on the map, not to be undone"
	case d.Bolt == "":
		return name + " on the map"
	case d.Gone != nil && *d.Gone:
		return name + " off the map"
	case d.Length != nil:
		return name + ", " + d.Length.String()
	}
	return name + " changed"
}

// orderText lists an order by the bolts' numbers.
func (m *BoltMap) orderText(ids []string) string {
	var bolts []string
	for _, id := range ids {
		if b := m.Bolt(id); b != nil && !slices.Contains(bolts, id) {
			bolts = append(bolts, fmt.Sprint(b.N))
		}
	}
	return strings.Join(bolts, " → ")
}

// OrderText lists an order by the bolts' numbers: "3 → 7 → 1".
func (m *BoltMap) OrderText(ids []string) string { return m.orderText(ids) }
