package belt

import (
	"math"

	"lastbolt/calc"
	"lastbolt/quantity"
)

// A Kind is how a tensioner keeps the belt tight.
type Kind string

// The kinds of tensioner; "" is one whose travel is not known, which stands
// where its pulley is given.
const (
	Fixed     Kind = "fixed"      // nothing moves; the belt is of the elastic sort
	Slotted   Kind = "slotted"    // the pulley slides between From and To and is clamped
	SpringArm Kind = "spring arm" // an arm on a pivot, turned by a spring
)

// A Tensioner says how one pulley moves. Its travel runs from 0, where the belt
// is slackest (the spring run out), to 1, where it is put on (the spring wound
// up to its stop).
type Tensioner struct {
	Kind   Kind
	Pulley int // index of the pulley that moves
	// From and To are the ends of a slot, slack end first.
	From, To Point
	// Pivot is where a spring arm turns; Free and Loaded are the angles of the
	// line from the pivot to the pulley's centre, counter-clockwise from the x
	// axis, at 0 and at 1 of the travel. The shorter way from Free to Loaded is
	// meant. Radius 0 is the distance from the pivot to the centre as given.
	Pivot        Point
	Radius       quantity.Length
	Free, Loaded quantity.Angle
	// TorqueFree and TorqueLoaded are the spring's moment about the pivot at the
	// two ends, linear between; 0 and 0 is not known.
	TorqueFree, TorqueLoaded quantity.Torque
}

// armFit is how far a pulley's centre may stand off the circle of its arm
// before one of them is taken to be measured wrong.
const armFit = 0.003

func (t *Tensioner) moves() bool { return t != nil && t.Kind != Fixed && t.Kind != "" }

func (d *Drive) checkTensioner() error {
	t := d.Tensioner
	if t == nil || t.Kind == Fixed {
		return nil
	}
	if t.Pulley < 0 || t.Pulley >= len(d.Pulleys) {
		return calc.Cannot("The tensioner names no pulley; say which pulley it carries.")
	}
	p := &d.Pulleys[t.Pulley]
	switch t.Kind {
	case "": // it stands where it is given
	case Slotted:
		if dist(t.From, t.To) == 0 {
			return calc.Cannot("The slot of %s has no length; give its two ends.", p.Name)
		}
	case SpringArm:
		off := math.Abs(float64(d.armRadius()) - dist(p.Centre, t.Pivot))
		switch {
		case d.armRadius() <= 0:
			return calc.Cannot("The arm of %s has no length: its pivot stands on the pulley's centre.", p.Name)
		case off > armFit:
			return calc.Cannot("The centre of %s stands %s from its pivot and the arm is %s long; check which is right.",
				p.Name, mm(quantity.Length(dist(p.Centre, t.Pivot))), mm(d.armRadius()))
		case math.Abs(t.sweep()) < 1e-6:
			return calc.Cannot("The arm of %s has no travel; give its angle with the spring run out and at its stop.", p.Name)
		case t.TorqueFree < 0 || t.TorqueLoaded < 0:
			return calc.Cannot("The spring of %s has a negative moment; give its size alone.", p.Name)
		}
	default:
		return calc.Cannot("%q is no kind of tensioner; write fixed, slotted or spring arm.", t.Kind)
	}
	return nil
}

func (d *Drive) armRadius() quantity.Length {
	t := d.Tensioner
	if t.Radius != 0 {
		return t.Radius
	}
	return quantity.Length(dist(d.Pulleys[t.Pulley].Centre, t.Pivot))
}

// sweep is the signed angle from Free to Loaded the shorter way, rad.
func (t *Tensioner) sweep() float64 { return math.Remainder(float64(t.Loaded-t.Free), 2*math.Pi) }

// centreAt is where the tensioner's pulley stands at u of its travel.
func (d *Drive) centreAt(u float64) vec {
	t := d.Tensioner
	if t.Kind == Slotted {
		a, b := t.From.vec(), t.To.vec()
		return a.plus(b.minus(a).times(u))
	}
	return t.Pivot.vec().plus(polar(float64(d.armRadius()), float64(t.Free)+u*t.sweep()))
}

// travelOf is where along its travel the pulley stands as given, clamped to it.
func (d *Drive) travelOf() float64 {
	t, c := d.Tensioner, d.Pulleys[d.Tensioner.Pulley].Centre.vec()
	u := 0.0
	if t.Kind == Slotted {
		a := t.From.vec()
		ab := t.To.vec().minus(a)
		u = c.minus(a).dot(ab) / ab.dot(ab)
	} else {
		arm := c.minus(t.Pivot.vec())
		u = math.Remainder(math.Atan2(arm.y, arm.x)-float64(t.Free), 2*math.Pi) / t.sweep()
	}
	return min(1, max(0, u))
}

// springTorque is the spring's moment at u, N·m.
func (t *Tensioner) springTorque(u float64) float64 {
	return float64(t.TorqueFree) + u*float64(t.TorqueLoaded-t.TorqueFree)
}

// placed is a drive with its tensioner at u of the travel.
func (d *Drive) placed(u float64) *Drive {
	moved := *d
	moved.Pulleys = append([]Pulley(nil), d.Pulleys...)
	c := d.centreAt(u)
	moved.Pulleys[d.Tensioner.Pulley].Centre = Point{quantity.Length(c.x), quantity.Length(c.y)}
	return &moved
}

// travelSteps is how finely the travel is looked at for places where a length
// fits; between two steps the length is taken to run one way.
const travelSteps = 64

// A Travel is where a tensioner stands for a belt and what it has left. All
// lengths are effective ones.
type Travel struct {
	// At is its place, 0 slackest to 1 tightest; Angle that of a spring arm.
	At     float64
	Angle  quantity.Angle
	Centre Point
	// Fits tells whether a belt of the known length can be held at all.
	Fits bool
	// Shortest and Longest are the belts that the travel can hold.
	Shortest, Longest quantity.Length
	// Stretch is how much longer the belt may get until the travel is used up;
	// Wear how deep the ribs may sink into the grooves until it is. Spare is how
	// much shorter a belt could be and still go on.
	Stretch, Wear, Spare quantity.Length
}

// travel finds where along the tensioner's travel a belt length fits, the
// tightest place of several; without a length it takes the place as given.
func (d *Drive) travel(r Routing) (*Travel, error) {
	length := func(u float64) (float64, bool) {
		m := d.placed(u)
		discs := m.discs(r)
		c, at := lay(discs)
		return c.length(discs) - m.toEffective(r, c), at < 0 && m.checkApart() == nil
	}
	var us, ls []float64
	for i := range travelSteps + 1 {
		u := float64(i) / travelSteps
		if l, ok := length(u); ok {
			us, ls = append(us, u), append(ls, l)
		}
	}
	if len(us) == 0 {
		return nil, calc.Cannot("The belt cannot be laid with %s anywhere in its travel; check the pivot, the angles and the pulleys beside it.", d.Pulleys[d.Tensioner.Pulley].Name)
	}
	t := &Travel{At: d.travelOf(), Fits: true}
	low, high := extremes(us, ls, length)
	t.Shortest, t.Longest = quantity.Length(low), quantity.Length(high)
	now, ok := length(t.At)
	if want := float64(d.Belt.Length); want > 0 {
		t.At, t.Fits = place(us, ls, want, length)
		now = min(high, max(low, want))
	} else if !ok {
		t.At, now = us[0], ls[0]
	}
	c := d.centreAt(t.At)
	t.Centre = Point{quantity.Length(c.x), quantity.Length(c.y)}
	if d.Tensioner.Kind == SpringArm {
		t.Angle = quantity.Angle(float64(d.Tensioner.Free) + t.At*d.Tensioner.sweep())
	}
	t.Stretch, t.Spare = quantity.Length(high-now), quantity.Length(now-low)
	return t, nil
}

// place finds where the length fits, the tightest place of several, or the
// nearest end.
func place(us, ls []float64, want float64, length func(float64) (float64, bool)) (at float64, fits bool) {
	nearest := 0
	for i := range us {
		if math.Abs(ls[i]-want) < math.Abs(ls[nearest]-want) {
			nearest = i
		}
	}
	for i := len(us) - 1; i > 0; i-- {
		a, b := us[i-1], us[i]
		fa := ls[i-1] - want
		if fa*(ls[i]-want) > 0 || b-a > 1.5/travelSteps {
			continue
		}
		for range 60 {
			m := (a + b) / 2
			l, ok := length(m)
			if !ok {
				break
			}
			if (l-want)*fa > 0 {
				a = m
			} else {
				b = m
			}
		}
		return (a + b) / 2, true
	}
	return us[nearest], math.Abs(ls[nearest]-want) < 1e-9
}

// extremes are the least and the greatest length, searched finer round the best
// steps.
func extremes(us, ls []float64, length func(float64) (float64, bool)) (low, high float64) {
	return -peak(us, ls, -1, length), peak(us, ls, 1, length)
}

func peak(us, ls []float64, sign float64, length func(float64) (float64, bool)) float64 {
	best := 0
	for i := range ls {
		if sign*ls[i] > sign*ls[best] {
			best = i
		}
	}
	value := sign * ls[best]
	a, b := us[max(0, best-1)], us[min(len(us)-1, best+1)]
	for range 50 {
		m, n := a+(b-a)*0.382, a+(b-a)*0.618
		lm, ok1 := length(m)
		ln, ok2 := length(n)
		if !ok1 || !ok2 {
			break
		}
		value = max(value, sign*lm, sign*ln)
		if sign*lm < sign*ln {
			a = m
		} else {
			b = n
		}
	}
	return value
}
