package belt

import (
	"math"
	"slices"
	"strings"

	"lastbolt/calc"
	"lastbolt/quantity"
)

// A Profile is a cross-section of belts with its grooves. Lengths are steps of
// the radius, not of the diameter.
type Profile struct {
	Name, Title string
	RibPitch    quantity.Length // from rib to rib; 0 for a single V or a flat belt
	// Differential is from the effective line of a grooved pulley out to the
	// pitch line (be of ISO 9981): pitch diameter = effective diameter + 2·be. It
	// is below zero for V belts, whose pitch line runs inside the rim.
	Differential quantity.Length
	// BackOffset is from the pitch line to the back of the belt, which plain
	// pulleys touch; BackLow and BackHigh are how far sources disagree.
	BackOffset, BackLow, BackHigh quantity.Length
	Groove                        quantity.Angle // full angle of the groove; 0 is flat
	MassPerRib                    quantity.MassPerLength
	Smallest                      quantity.Length // smallest effective diameter
	Double                        bool            // ribs on both sides
	Known                         calc.Known      // of the numbers above, taken together
	Why                           string
}

func milli(n float64) quantity.Length        { return quantity.Millimetre.Of(n) }
func grams(n float64) quantity.MassPerLength { return quantity.GramPerMetre.Of(n) }

// groove40 is the groove of every V-ribbed pulley: 40° (ISO 9981 and 9982).
var groove40 = quantity.Degree.Of(40)

// profiles are those of ISO 9981 (PK) and ISO 9982 (PH, PJ, PL, PM), V belts by
// ISO 4183, and two plain ones. What each number rests on stands in Why.
var profiles = []Profile{
	{Name: "PK", Title: "PK, automotive V-ribbed", RibPitch: milli(3.56), Differential: milli(2),
		BackOffset: milli(1), BackLow: 0, BackHigh: milli(1.5), Groove: groove40, MassPerRib: grams(20),
		Smallest: milli(45), Known: calc.Published,
		Why: "rib pitch, smallest diameter and be: ISO 9981; mass about 20 g/m a rib and the back 0 to 1.5 mm beyond the pitch line from memory"},
	{Name: "PH", Title: "PH, light V-ribbed", RibPitch: milli(1.6), Differential: milli(0.8),
		BackOffset: milli(0.5), BackLow: 0, BackHigh: milli(1), Groove: groove40, MassPerRib: grams(6),
		Smallest: milli(13), Known: calc.FromMemory,
		Why: "ISO 9982 from memory; mass and smallest diameter from a maker's list"},
	{Name: "PJ", Title: "PJ, light V-ribbed", RibPitch: milli(2.34), Differential: milli(1.2),
		BackOffset: milli(0.5), BackLow: 0, BackHigh: milli(1), Groove: groove40, MassPerRib: grams(9),
		Smallest: milli(20), Known: calc.FromMemory, Why: "ISO 9982 from memory"},
	{Name: "PL", Title: "PL, industrial V-ribbed", RibPitch: milli(4.7), Differential: milli(3),
		BackOffset: milli(1), BackLow: 0, BackHigh: milli(2), Groove: groove40, MassPerRib: grams(36),
		Smallest: milli(75), Known: calc.FromMemory, Why: "ISO 9982 from memory"},
	{Name: "PM", Title: "PM, heavy V-ribbed", RibPitch: milli(9.4), Differential: milli(4),
		BackOffset: milli(2), BackLow: 0, BackHigh: milli(4), Groove: groove40, MassPerRib: grams(120),
		Smallest: milli(180), Known: calc.FromMemory, Why: "ISO 9982 from memory"},
	vProfile("Z", 2, 60), vProfile("A", 2.75, 105), vProfile("B", 3.5, 170), vProfile("C", 4.8, 300),
	vProfile("SPZ", 2, 74), vProfile("SPA", 2.75, 123), vProfile("SPB", 3.5, 195),
	{Name: "V", Title: "single V belt", Groove: groove40, Known: calc.CommonPractice,
		Why: "a V belt's pitch line is taken at the pitch diameter of its pulleys; give pitch diameters"},
	{Name: "flat", Title: "flat belt", Known: calc.CommonPractice,
		Why: "the pitch line is taken at the given diameter; add the belt's thickness to the diameter for a thick one"},
}

// vProfile is a classical or narrow V belt: b from the datum line out to the
// rim of the pulley (ISO 4183), grams a metre. Pulleys have grooves of 34° to
// 38°; the widest grips least and is taken.
func vProfile(name string, b, mass float64) Profile {
	return Profile{Name: name, Title: name + ", V belt", Differential: milli(-b), BackOffset: milli(b), BackLow: milli(b), BackHigh: milli(b + 1),
		Groove: quantity.Degree.Of(38), MassPerRib: grams(mass), Known: calc.FromMemory,
		Why: "ISO 4183 and a catalogue's mass, from memory; the American tables set the pitch line up to 1 mm deeper"}
}

// Profiles lists the names of the belt profiles.
func Profiles() []string {
	var names []string
	for _, p := range profiles {
		names = append(names, p.Name)
	}
	return names
}

// ProfileNamed finds a profile; the error lists them.
func ProfileNamed(name string) (Profile, error) {
	i := slices.IndexFunc(profiles, func(p Profile) bool { return strings.EqualFold(p.Name, strings.TrimSpace(name)) })
	if i < 0 {
		return Profile{}, calc.Cannot("There is no belt profile %q; write one of %s.", name, strings.Join(Profiles(), ", "))
	}
	return profiles[i], nil
}

// Wedge is the factor by which the groove multiplies the friction, 1/sin(G/2);
// 1 for a flat belt.
func (p Profile) Wedge() float64 { return wedge(p.Groove) }

func wedge(groove quantity.Angle) float64 {
	if groove == 0 {
		return 1
	}
	return 1 / math.Sin(float64(groove)/2)
}

// pitchRadius is the radius of the pitch line on a pulley touched by a side, m.
func (d *Drive) pitchRadius(p *Pulley, side Side) float64 {
	b, r := d.Belt.Profile, float64(p.Diameter)/2
	if side == Back && !(b.Double && p.Surface.surface() == Grooved) {
		if p.measure() == Pitch {
			return r
		}
		return r + float64(b.BackOffset)
	}
	if p.measure() == Pitch {
		return r
	}
	return r + float64(b.Differential)
}

// rimRadius is the radius of the pulley's own rim, m: what must not overlap.
func (d *Drive) rimRadius(p *Pulley) float64 {
	r := float64(p.Diameter) / 2
	switch {
	case p.measure() != Pitch:
		return r
	case d.sideFor(p) == Back:
		return r - float64(d.Belt.Profile.BackOffset)
	}
	return r - float64(d.Belt.Profile.Differential)
}
