package seal

import (
	"fmt"
	"math"

	"lastbolt/fault"
	"lastbolt/quantity"
)

// A Seat is how a ring sits.
type Seat string

// The seats.
const (
	Face   Seat = "face"   // in a groove of a flat face, squeezed by the lid
	Piston Seat = "piston" // in a groove round a plug or pipe, squeezed by the bore
	Rod    Seat = "rod"    // in a groove of a housing, squeezed by the rod or pipe
)

// A Motion is how the sealed parts move against each other.
type Motion string

// The motions.
const (
	Static        Motion = "static"
	Reciprocating Motion = "reciprocating"
	Rotary        Motion = "rotary"
)

// A Gland is the room a ring sits in.
type Gland struct {
	Seat  Seat
	Width Toleranced // of the groove, along the pipe or across the face; 0 is not known, and then Fit.Fill is 0
	// Depth of a face groove, metal to metal: with the gap under the lid, if any.
	Depth Toleranced
	// Of a piston seat: Groove is the diameter of the groove's floor and Mate
	// that of the bore. Of a rod seat: Groove is the diameter of the groove's
	// floor in the housing and Mate that of the rod.
	Groove, Mate Toleranced
	// Inner and Outer are the diameters of a face groove's walls; 0 is not known.
	Inner, Outer quantity.Length
}

// Radial gives the depth of a piston or rod gland, metal to metal: half the
// difference of the diameters.
func (g Gland) Radial() Toleranced {
	switch g.Seat {
	case Piston:
		return Toleranced{(g.Mate.Nominal - g.Groove.Nominal) / 2, (g.Mate.Tolerance + g.Groove.Tolerance) / 2}
	case Rod:
		return Toleranced{(g.Groove.Nominal - g.Mate.Nominal) / 2, (g.Mate.Tolerance + g.Groove.Tolerance) / 2}
	}
	return g.Depth
}

// over gives the diameter the ring is pulled over; 0 when it lies free.
func (g Gland) over() Toleranced {
	switch g.Seat {
	case Piston:
		return g.Groove
	case Rod:
		return g.Mate
	}
	return Toleranced{Nominal: g.Inner}
}

// A Fit is how a ring sits in its gland.
type Fit struct {
	Squeeze   Band            // (section − depth)/section of the free section
	Stretched Band            // the same of the section thinned by the stretch: what really seals
	Stretch   Band            // (diameter under the ring − inside)/inside; below 0 the ring hangs loose
	Fill      Band            // free section's area over the gland's
	Outer     Band            // how much larger the free ring is than the wall round it, over the ring's outside; 0 when no wall is known
	Depth     Toleranced      // of the gland
	Section   quantity.Length // thinned by the nominal stretch, empirical curve
	Constant  quantity.Length // the same at constant volume
}

// Fit puts a ring in the gland. The bands hold every corner of the tolerances,
// and the nominal. A ring that cannot be put in this gland, or that nothing
// squeezes, is refused with a sentence.
func (g Gland) Fit(r Ring) (Fit, error) {
	if err := g.check(r); err != nil {
		return Fit{}, err
	}
	nominal := g.at(r, corner{})
	fit := Fit{Depth: g.Radial(), Section: ThinnedEmpirical(r.Section.Nominal, nominal.stretch)}
	fit.Constant = r.Section.Nominal
	if over := g.over().Nominal; over > 0 {
		fit.Constant = ThinnedConstantVolume(r.Inside.Nominal, r.Section.Nominal, over)
	}
	all := []state{nominal}
	for n := range 1 << 6 {
		all = append(all, g.at(r, cornerOf(n)))
	}
	fit.Squeeze = spread(all, func(s state) float64 { return s.squeeze })
	fit.Stretched = spread(all, func(s state) float64 { return s.stretched })
	fit.Stretch = spread(all, func(s state) float64 { return s.stretch })
	fit.Fill = spread(all, func(s state) float64 { return s.fill })
	fit.Outer = spread(all, func(s state) float64 { return s.outer })
	return fit, nil
}

// corner says which end of its tolerance each dimension stands at: −1, 0 or 1.
type corner struct{ inside, section, groove, mate, depth, width float64 }

func cornerOf(n int) corner {
	end := func(bit int) float64 { return float64(n>>bit&1)*2 - 1 }
	return corner{end(0), end(1), end(2), end(3), end(4), end(5)}
}

func (t Toleranced) at(end float64) float64 { return float64(t.Nominal) + end*float64(t.Tolerance) }

// state is the ratios at one corner.
type state struct{ squeeze, stretched, stretch, fill, outer float64 }

func (g Gland) at(r Ring, c corner) state {
	id, cs := r.Inside.at(c.inside), r.Section.at(c.section)
	groove, mate := g.Groove.at(c.groove), g.Mate.at(c.mate)
	var s state
	depth := g.Depth.at(c.depth)
	wall := float64(g.Outer)
	switch g.Seat {
	case Piston:
		depth, s.stretch = (mate-groove)/2, groove/id-1
	case Rod:
		depth, s.stretch, wall = (groove-mate)/2, mate/id-1, groove
	case Face:
		if g.Inner > 0 {
			s.stretch = float64(g.Inner)/id - 1
		}
	}
	if wall > 0 {
		s.outer = 1 - wall/(id+2*cs)
	}
	thinned := float64(ThinnedEmpirical(quantity.Length(cs), s.stretch))
	s.squeeze = (cs - depth) / cs
	s.stretched = (thinned - depth) / thinned
	if g.Width.Nominal > 0 {
		s.fill = math.Pi / 4 * cs * cs / (depth * g.Width.at(c.width))
	}
	return s
}

// spread gives the band of one ratio over all corners; the first is nominal.
func spread(all []state, of func(state) float64) Band {
	b := Band{of(all[0]), of(all[0]), of(all[0])}
	for _, s := range all[1:] {
		b.Low, b.High = math.Min(b.Low, of(s)), math.Max(b.High, of(s))
	}
	return b
}

// mostSqueeze is the share of squeeze beyond which the two cannot belong
// together and a measurement is likely wrong.
const mostSqueeze = 0.5

// check refuses a ring and gland that cannot go together.
func (g Gland) check(r Ring) error {
	depth, cs := g.Radial(), r.Section
	switch {
	case r.Inside.Min() <= 0 || cs.Min() <= 0:
		return refuse("The ring's inside diameter and section must be more than 0 and more than their tolerances; they are %s and %s.", show(r.Inside.Nominal), show(cs.Nominal))
	case g.Seat == Piston && g.Groove.Max() >= g.Mate.Min():
		return refuse("The groove's floor is %s across and the bore only %s: the groove must be smaller than the bore.", show(g.Groove.Nominal), show(g.Mate.Nominal))
	case g.Seat == Rod && g.Groove.Min() <= g.Mate.Max():
		return refuse("The groove in the housing is %s across and the rod %s: the groove must be larger than the rod.", show(g.Groove.Nominal), show(g.Mate.Nominal))
	case depth.Min() <= 0:
		return refuse("The gland is %s deep less its tolerance: nothing is left; measure the depth again.", show(depth.Nominal))
	case g.Width.Nominal != 0 && g.Width.Min() <= 0:
		return refuse("The groove's width must be more than its tolerance; it is %s.", show(g.Width.Nominal))
	case depth.Nominal >= cs.Nominal:
		return refuse("The groove is %s deep and the ring only %s thick: nothing squeezes it and it cannot seal. Measure the depth again, or take a ring of about %s.",
			show(depth.Nominal), show(cs.Nominal), show(depth.Nominal/0.77))
	case float64((cs.Nominal-depth.Nominal)/cs.Nominal) > mostSqueeze:
		return refuse("The ring is %s thick and the groove only %s deep: the ring is far too big for this groove. Measure both again, or take a ring of about %s.",
			show(cs.Nominal), show(depth.Nominal), show(depth.Nominal/0.77))
	case g.Width.Nominal != 0 && g.Width.Nominal < cs.Nominal:
		return refuse("The groove is %s wide and the ring %s thick: the ring is bigger than the groove and does not go in. Measure the width again, or take a thinner ring.",
			show(g.Width.Nominal), show(cs.Nominal))
	case g.over().Nominal > 2*r.Inside.Nominal:
		return refuse("The ring of %s inside would be pulled over %s, more than twice its size: it is the wrong ring, or one of the two was measured wrong.",
			show(r.Inside.Nominal), show(g.over().Nominal))
	case g.Inner > 0 && g.Outer > 0 && g.Outer <= g.Inner:
		return refuse("The groove's outer wall is %s across and its inner wall %s: the outer must be larger.", show(g.Outer), show(g.Inner))
	}
	return nil
}

func refuse(format string, args ...any) error { return fault.New(fault.Bad, format, args...) }

// show prints a length in millimetres for a sentence.
func show(l quantity.Length) string { return fmt.Sprintf("%.4g mm", mm(l)) }
