package job

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"lastbolt/plan/access"
	"lastbolt/quantity"
)

// A BoltMap is the bolts of one item: where each is, how long, how tight, in
// which order, and how far each has got. It is read only, as all of a State.
type BoltMap struct {
	Item, Name string
	Critical   string // the safety system, empty for none
	Picture    string // a photo's hash; empty for a blank sheet
	Aspect     float64
	Count      int // counted on the new part; 0 not said
	From, To   *Point
	Distance   quantity.Written[quantity.Length]
	Outline    []Point
	Cover      string // one of Covers; empty not said
	Seal       string // one of Seals; empty not said
	Adapter    Adapter
	Bolts      []*Bolt // to be undone, by number
	Keep       []*Bolt // look-alikes that must not be undone
	Order      *BoltOrdered
	Stale      bool // bolts came or went since the order was worked out
	Marks      []BoltMark
	// Step is the step in hand, that takes off or puts back; nil where neither
	// is to come. Phase is what comes next on it, Pass the pass in hand from 1,
	// and Next the bolt.
	Step  *Step
	Phase BoltPhase
	Pass  int
	Next  *Bolt

	torques map[string]BoltTorqueSet             // by group; "" for all
	said    map[recordedBy]map[string]torqueSaid // by who recorded and group
	groups  []Group
	turns   []boltTurn
}

// A Bolt is one bolt of a map.
type Bolt struct {
	ID     string
	N      int
	At     Point
	Group  string
	Length quantity.Written[quantity.Length] // zero where not known
	// Measured says that the length was recorded in this job; else it is the
	// access map's.
	Measured           bool
	Thread, Tray, Note string
	Hidden, First      bool
	// What was done to it since it was last tight.
	Cracked, Out, Stuck, RunIn, Checked bool
	Pass                                int // the last pass it was tightened in; 0 none
	Turns                               []BoltTurn

	keep    bool
	lengths []ConflictValue
}

// A BoltTurn is one thing done to a bolt, as recorded.
type BoltTurn struct {
	BoltTurned
	Event string
	At    time.Time
	By    string
}

type boltTurn struct {
	BoltTurn
	round int // which time off and back it belongs to, from 0
}

// A BoltMark is a record of witness marks.
type BoltMark struct {
	BoltsMarked
	At time.Time
	By string
}

// BoltPhase is what the hands do next on a bolt map.
type BoltPhase string

// The phases in order. Apart means that every bolt is out and the step can be
// finished, Together that every bolt is tight.
const (
	PhaseBuild    BoltPhase = "build"
	PhaseCrack    BoltPhase = "crack"
	PhaseOut      BoltPhase = "out"
	PhaseApart    BoltPhase = "apart"
	PhaseRunIn    BoltPhase = "run in"
	PhaseTighten  BoltPhase = "tighten"
	PhaseCheck    BoltPhase = "check"
	PhaseTogether BoltPhase = "together"
	PhaseDone     BoltPhase = "done"
)

// BoltMap finds the bolt map of an item, nil if there is none.
func (s *State) BoltMap(item string) *BoltMap {
	for _, m := range s.BoltMaps {
		if m.Item == item {
			return m
		}
	}
	return nil
}

// Bolt finds a bolt or look-alike by its id, nil if there is none.
func (m *BoltMap) Bolt(id string) *Bolt {
	for _, b := range slices.Concat(m.Bolts, m.Keep) {
		if b.ID == id {
			return b
		}
	}
	return nil
}

// MM is how many millimetres one width of the picture is, from the known
// distance; 0 while it is not known.
func (m *BoltMap) MM() float64 {
	if m.From == nil || m.To == nil || m.Distance.IsZero() {
		return 0
	}
	d := math.Hypot(m.To.X-m.From.X, m.To.Y-m.From.Y)
	if d == 0 {
		return 0
	}
	return m.Distance.Value.In(quantity.Millimetre) / d
}

// LoosenOnly reports that these bolts are cracked and left in.
func (m *BoltMap) LoosenOnly() bool {
	return len(m.groups) > 0 && !slices.ContainsFunc(m.groups, func(g Group) bool { return !g.Loosen })
}

// Groups are the groups of fasteners the bolts belong to.
func (m *BoltMap) Groups() []Group { return m.groups }

// Fastener is what is known of a bolt's kind.
func (m *BoltMap) Fastener(b *Bolt) access.Fastener {
	i := slices.IndexFunc(m.groups, func(g Group) bool { return g.ID == b.Group })
	var f access.Fastener
	if i >= 0 {
		f = m.groups[i].Fastener
	}
	f.Thread = cmp.Or(b.Thread, f.Thread)
	f.Length = b.Length
	return f
}

// A BoltTorque is how tight a bolt is to be in the end. UpTo is set where it is
// a band of advice. Refused says why the value may not be used.
type BoltTorque struct {
	access.Torque
	UpTo    quantity.Written[quantity.Torque]
	Refused string
}

// Known reports a value that may be used.
func (t BoltTorque) Known() bool { return !t.Value.IsZero() && t.Refused == "" }

// String is the value as it is shown: "10 N·m", "8 N·m to 11 N·m".
func (t BoltTorque) String() string {
	text := t.Value.String()
	if !t.UpTo.IsZero() {
		text += " to " + t.UpTo.String()
	}
	if t.Then != "" {
		text += ", " + t.Then
	}
	return text
}

// Torque is how tight a bolt is to be: what was written down in the job, else
// what the access map says. On a safety-critical joint only a maker's document
// counts.
func (m *BoltMap) Torque(b *Bolt) BoltTorque {
	d, ok := m.torques[b.Group]
	if !ok {
		d, ok = m.torques[""]
	}
	t := BoltTorque{Torque: d.Torque, UpTo: d.UpTo}
	if !ok {
		t.Torque = m.Fastener(b).Torque
	}
	t.Refused = RefusedTorque(m.Critical, t.Torque)
	return t
}

// RefusedTorque says why a torque may not be used on a joint of a safety
// system.
func RefusedTorque(critical string, t access.Torque) string {
	if critical == "" || t.Value.IsZero() || t.Source == access.Maker {
		return ""
	}
	return fmt.Sprintf("This joint is of the %s: only the maker's own figure counts, and %s is %s. Look it up.", critical, t.Value, sourceSaid(t.Source))
}

func sourceSaid(s access.Source) string {
	switch s {
	case access.Published:
		return "from a general table"
	case access.Measured:
		return "a measurement"
	case access.Computed:
		return "computed"
	case access.CommonPractice:
		return "common practice"
	}
	return "from a source not known"
}

// Passes are the rounds over the bolts; without an order worked out, one.
func (m *BoltMap) Passes() []BoltPass {
	if m.Order == nil {
		return []BoltPass{{Share: 1}}
	}
	return m.Order.Passes
}

// Sequence is the order of the phase in hand: every bolt that takes part, those
// of the worked-out order first.
func (m *BoltMap) Sequence() []*Bolt { return m.sequence(m.Phase, m.Pass) }

func (m *BoltMap) sequence(phase BoltPhase, pass int) []*Bolt {
	var ids []string
	if o := m.Order; o != nil {
		switch phase {
		case PhaseCrack, PhaseOut, PhaseApart:
			ids = o.Loosen
		case PhaseTighten:
			if pass >= 1 && pass <= len(o.Passes) {
				ids = o.Passes[pass-1].Order
			}
		case PhaseCheck:
			ids = o.Check
		case PhaseRunIn:
			ids = o.Passes[0].Order
		}
	}
	var out []*Bolt
	for _, id := range ids {
		if b := m.Bolt(id); b != nil && !b.keep && !slices.Contains(out, b) {
			out = append(out, b)
		}
	}
	for _, b := range m.Bolts {
		if !slices.Contains(out, b) {
			out = append(out, b)
		}
	}
	if phase == PhaseRunIn {
		slices.SortStableFunc(out, func(x, y *Bolt) int { return first(y) - first(x) })
	}
	return out
}

func first(b *Bolt) int {
	if b.First {
		return 1
	}
	return 0
}

// DoneIn reports that a bolt has had its turn in a phase.
func (m *BoltMap) DoneIn(b *Bolt, phase BoltPhase, pass int) bool {
	switch phase {
	case PhaseCrack:
		return b.Cracked || b.Out || b.Stuck
	case PhaseOut, PhaseApart:
		return b.Out || b.Stuck || m.LoosenOnly() && b.Cracked
	case PhaseRunIn:
		return b.RunIn || b.Stuck || b.Pass > 0
	case PhaseTighten:
		return b.Pass >= pass
	case PhaseCheck:
		return b.Checked
	case PhaseTogether, PhaseDone:
		return true
	}
	return false
}

// Left are the bolts that still have their turn to come in the phase in hand.
func (m *BoltMap) Left() []*Bolt { return m.left(m.Phase, m.Pass) }

func (m *BoltMap) left(phase BoltPhase, pass int) []*Bolt {
	return slices.DeleteFunc(m.sequence(phase, pass), func(b *Bolt) bool { return m.DoneIn(b, phase, pass) })
}

// Lengths are the different lengths of the map's bolts, shortest first; those
// not known are left out.
func (m *BoltMap) Lengths() []quantity.Written[quantity.Length] {
	var out []quantity.Written[quantity.Length]
	for _, b := range m.Bolts {
		if !b.Length.IsZero() && !slices.ContainsFunc(out, func(o quantity.Written[quantity.Length]) bool { return sameLength(o, b.Length) }) {
			out = append(out, b.Length)
		}
	}
	slices.SortFunc(out, func(x, y quantity.Written[quantity.Length]) int { return cmp.Compare(x.Value, y.Value) })
	return out
}

// lengthSlack is the difference up to which two lengths are one: bolts come in
// steps of 5 mm, and a tape or a caliper reads to less than one.
const lengthSlack = 1.0 // mm

func sameLength(x, y quantity.Written[quantity.Length]) bool {
	return math.Abs(x.Value.In(quantity.Millimetre)-y.Value.In(quantity.Millimetre)) <= lengthSlack
}

// counted says, by group, how many bolts come out: all but those that stay in.
func (m *BoltMap) counted() map[string]int {
	n := map[string]int{}
	for _, b := range m.Bolts {
		if !b.Stuck {
			n[b.Group]++
		}
	}
	return n
}

// numbersOf lists bolts by their numbers in words: "2", "2 and 5", "2, 5 and 7".
func numbersOf(bolts []*Bolt) string {
	var n []string
	bolts = slices.Clone(bolts)
	slices.SortFunc(bolts, func(x, y *Bolt) int { return x.N - y.N })
	for _, b := range bolts {
		n = append(n, strconv.Itoa(b.N))
	}
	if len(n) < 2 {
		return strings.Join(n, "")
	}
	return strings.Join(n[:len(n)-1], ", ") + " and " + n[len(n)-1]
}

// BoltNumbers lists bolts by their numbers in words.
func BoltNumbers(bolts []*Bolt) string { return numbersOf(bolts) }
