// Package belt computes belt drives: one belt over any number of pulleys, how
// it may run, how long it must be, how far it wraps, what it pulls and where it
// slips.
//
// Start with Drive, the pulleys as they stand, seen from the front of the
// engine with x to the right and y up. Solve answers for one Routing (which
// pulleys the belt reaches, in which order and with which side); Find looks for
// every routing that can work; Compare tells two of them apart; Draw draws one.
// Group holds the calculations of the registry.
//
// All geometry is plane: pulleys in line, the belt without stiffness or sag, and
// each pulley touched once. Belts that twist between pulleys are left to the
// two-pulley formulas. The package does no I/O and keeps nothing.
package belt

import (
	"math"

	"lastbolt/calc"
	"lastbolt/fault"
	"lastbolt/quantity"
)

// Group is the calculations of belt drives.
var Group = calc.NewGroup("belt", "Belt drives",
	"How a belt runs over its pulleys, which belt fits, how tight it is and where it slips.")

// A Point is a place seen from the front of the engine, x to the right, y up.
type Point struct{ X, Y quantity.Length }

// A Sense is a way of turning, seen from the front of the engine.
type Sense int

// The senses.
const (
	Clockwise        Sense = -1
	CounterClockwise Sense = +1
)

func (s Sense) String() string {
	if s == CounterClockwise {
		return "counter-clockwise"
	}
	return "clockwise"
}

// A Side is the side of the belt that touches a pulley.
type Side string

// The sides. Ribs stands for the inner side of any belt: the wedge of a V belt,
// the inside of a flat one.
const (
	Untouched Side = "none"
	Ribs      Side = "ribs"
	Back      Side = "back"
)

// A Surface is what the rim of a pulley is like, and so which side of the belt
// may run on it.
type Surface string

// The surfaces.
const (
	Grooved Surface = "grooved" // only the ribs fit
	Plain   Surface = "plain"   // the back of the belt runs on it
	Either  Surface = "either"  // smooth, and used by ribs or back
)

// A Measure says which diameter of a pulley is given.
type Measure string

// The measures. On a plain pulley only Outside and Pitch make sense.
const (
	Effective Measure = "effective" // the nominal diameter of a grooved pulley
	Outside   Measure = "outside"   // over the rim, with a caliper
	Pitch     Measure = "pitch"     // of the belt's pitch line, where its speed is taken
	Datum     Measure = "datum"     // of V belts: taken as the pitch diameter
)

// A Turn is the way a pulley must turn.
type Turn string

// The turns, relative to the crank pulley.
const (
	AnyTurn  Turn = ""         // idlers, or not known
	WithIt   Turn = "same"     // as the crank
	Opposite Turn = "opposite" // to the crank
)

// A Pulley is one wheel the belt may touch. Measure "" is Effective on a grooved
// pulley and Outside on another.
type Pulley struct {
	Name     string
	Centre   Point
	Diameter quantity.Length
	Measure  Measure
	Surface  Surface // "" is Grooved
	Drives   string  // what it drives, in words; "" for an idler
	Turns    Turn
	// Torque is what it takes on its own shaft, or Power when Torque is 0.
	Torque quantity.Torque
	Power  quantity.Power
	// Idle allows a routing that leaves the pulley out.
	Idle bool
	// Known is the side known to touch it, from the shine or the dirt on the rim;
	// "" is not known.
	Known Side
}

// A Belt is the belt of a drive.
type Belt struct {
	Profile Profile
	Ribs    int             // 0 is not known
	Length  quantity.Length // effective length as marked; 0 is not known
	Mass    quantity.MassPerLength
	// Static is the tension at rest of a drive without a spring; 0 is not known.
	Static quantity.Force
}

// A Drive is the pulleys of one belt as they stand. Crank is the index of the
// pulley that drives.
type Drive struct {
	Pulleys   []Pulley
	Crank     int
	Turns     Sense // of the crank; 0 is Clockwise
	Speed     quantity.RotationalSpeed
	Belt      Belt
	Tensioner *Tensioner // nil: none
	// Friction is the coefficient between belt and pulley, from low to high; 0, 0
	// is the range of DefaultFriction.
	Friction [2]float64
	// Clearance is how far a span must stay from a pulley it does not touch and
	// from other spans; 0 is DefaultClearance.
	Clearance quantity.Length
}

// Limits of what is taken for a drive.
const (
	MostPulleys  = 16
	mostLength   = quantity.Length(100)   // of a coordinate, m
	leastPulley  = quantity.Length(0.001) // diameter
	mostDiameter = quantity.Length(20)
)

// DefaultClearance is common practice, no source: the belt flutters by about
// its own thickness.
const DefaultClearance = quantity.Length(0.005)

// DefaultFriction is the range of coefficients of friction taken when none is
// given: the low end is the effective 0.5123 of V-belt texts times sin 20°
// (Shigley, table 17-12 note, from memory), the high end the dry rubber on
// metal of friction tables.
var DefaultFriction = [2]float64{0.175, 0.35}

func (d *Drive) turns() Sense {
	if d.Turns == 0 {
		return Clockwise
	}
	return d.Turns
}

func (d *Drive) friction() [2]float64 {
	if d.Friction == ([2]float64{}) {
		return DefaultFriction
	}
	return d.Friction
}

func (d *Drive) clearance() float64 {
	if d.Clearance == 0 {
		return float64(DefaultClearance)
	}
	return float64(d.Clearance)
}

// Check refuses a drive that cannot stand: too few pulleys, names given twice,
// pulleys that overlap, diameters that are none. The sentence names the pulley.
func (d *Drive) Check() error {
	if n := len(d.Pulleys); n < 2 || n > MostPulleys {
		return calc.Cannot("A belt drive has 2 to %d pulleys here, not %d.", MostPulleys, n)
	}
	if d.Crank < 0 || d.Crank >= len(d.Pulleys) {
		return calc.Cannot("No pulley is named as the one that drives; say which is the crank's.")
	}
	names := map[string]bool{}
	for i := range d.Pulleys {
		p := &d.Pulleys[i]
		if p.Name == "" {
			return calc.Cannot("Pulley %d has no name; give it one, such as alternator.", i+1)
		}
		if names[p.Name] {
			return calc.Cannot("Two pulleys are named %s; give each its own name.", p.Name)
		}
		names[p.Name] = true
		if err := d.checkPulley(p); err != nil {
			return err
		}
	}
	if err := d.checkApart(); err != nil {
		return err
	}
	if f := d.friction(); !(f[0] > 0 && f[1] >= f[0] && f[1] <= 3) {
		return calc.Cannot("The friction must be from low to high between 0 and 3, not %.3g to %.3g.", f[0], f[1])
	}
	return d.checkTensioner()
}

func (d *Drive) checkPulley(p *Pulley) error {
	for _, v := range []quantity.Length{p.Centre.X, p.Centre.Y} {
		if math.IsNaN(float64(v)) || v < -mostLength || v > mostLength {
			return calc.Cannot("The centre of %s is more than 100 m away; check its x and y.", p.Name)
		}
	}
	if !(p.Diameter >= leastPulley) || p.Diameter > mostDiameter {
		return calc.Cannot("The diameter of %s is %s; it must be between 1 mm and 20 m.", p.Name, mm(p.Diameter))
	}
	if r := d.pitchRadius(p, d.sideFor(p)); !(r > 0) {
		return calc.Cannot("The diameter of %s leaves nothing for the belt to run on; check which diameter was measured.", p.Name)
	}
	if p.Surface == Plain && (p.measure() == Effective || p.measure() == Datum) {
		return cannot("%s is plain and has no %s diameter; give its outside diameter.", p.Name, p.measure())
	}
	if p.Surface.surface() == Grooved && p.Turns == Opposite && !d.Belt.Profile.Double {
		return cannot("%s is grooved and must turn against the crank: only the back of the belt could do that, and it has no ribs. Check which way it turns.", p.Name)
	}
	if p.Torque < 0 || p.Power < 0 {
		return calc.Cannot("The load of %s is negative; give what the pulley takes, 0 or more.", p.Name)
	}
	return nil
}

// checkApart refuses pulleys that overlap: the rims, not the belt.
func (d *Drive) checkApart() error {
	for i := range d.Pulleys {
		for j := range i {
			p, q := &d.Pulleys[i], &d.Pulleys[j]
			gap := dist(p.Centre, q.Centre) - d.rimRadius(p) - d.rimRadius(q)
			if gap < 0 {
				return cannot("%s and %s overlap by %s; check their centres and diameters.", q.Name, p.Name, mm(quantity.Length(-gap)))
			}
		}
	}
	return nil
}

func (s Surface) surface() Surface {
	if s == "" {
		return Grooved
	}
	return s
}

// measure is the diameter given, Datum counting as Pitch.
func (p *Pulley) measure() Measure {
	switch {
	case p.Measure == Datum && p.Surface != Plain:
		return Pitch
	case p.Measure != "":
		return p.Measure
	case p.Surface.surface() == Grooved:
		return Effective
	}
	return Outside
}

// index finds a pulley by name.
func (d *Drive) index(name string) (int, error) {
	for i := range d.Pulleys {
		if d.Pulleys[i].Name == name {
			return i, nil
		}
	}
	return 0, fault.New(fault.Bad, "There is no pulley named %q.", name)
}

// sideFor is the side that would touch a pulley when nothing else is known.
func (d *Drive) sideFor(p *Pulley) Side {
	switch {
	case p.Known == Ribs || p.Known == Back:
		return p.Known
	case p.Surface.surface() == Grooved && p.Turns == Opposite: // only with a double-sided belt
		return Back
	case p.Surface.surface() == Grooved || p.Surface == Either && (p.Turns == WithIt || p == &d.Pulleys[d.Crank]):
		return Ribs
	}
	return Back
}

func mm(l quantity.Length) string { return quantity.Millimetre.Format(l, 4) }

func dist(a, b Point) float64 { return math.Hypot(float64(a.X-b.X), float64(a.Y-b.Y)) }
