// Package seal computes whether a seal will seal: O-rings in their grooves, the
// rubber against the fluid and its heat, beads of sealant, the flatness of a
// face, and the load a flat gasket needs.
//
// Start with Sized and Recognise (which ring is it), Gland.Fit (squeeze,
// stretch and fill over the whole tolerance band), Suit (material against
// fluid), Lubricate (dry, greased or wet, and what never to use), Bead and Cure
// (sealant), Flatness (feeler gauge readings over a grid) and Seating (bolts
// against gasket). Each has one calculation in the registry, in Group.
//
// Percentages follow the seal makers' definitions: squeeze is (section − depth)
// over section, stretch is what the inside diameter grows over itself, fill is
// the free ring's area over the gland's. Every rating of a rubber is guidance:
// the compound decides, and the package knows only the rubber's family. It
// knows no part numbers and replaces no maker's gasket.
package seal

import (
	"lastbolt/calc"
	"lastbolt/quantity"
)

// Group is the calculations of seals.
var Group = calc.NewGroup("seal", "Seals",
	"O-rings and their grooves, seal materials, sealant, flat faces and gaskets.")

// A Toleranced is a dimension with how far it may be off either way.
type Toleranced struct {
	Nominal, Tolerance quantity.Length // Tolerance is 0 or more
}

// Min gives the least the dimension may be, in metres.
func (t Toleranced) Min() quantity.Length { return t.Nominal - t.Tolerance }

// Max gives the most the dimension may be, in metres.
func (t Toleranced) Max() quantity.Length { return t.Nominal + t.Tolerance }

// A Band is a ratio over the tolerance band: at its least, as all dimensions
// stand nominally, and at its most. 0.2 is 20 %.
type Band struct{ Low, Likely, High float64 }

// percent gives the band in per cent.
func (b Band) percent() (low, likely, high float64) { return b.Low * 100, b.Likely * 100, b.High * 100 }

// millimetre is one millimetre; lengths are divided by it to be printed.
const millimetre quantity.Length = 1e-3

// mm gives the number of millimetres in a length.
func mm(l quantity.Length) float64 { return quantity.Millimetre.Count(l) }
