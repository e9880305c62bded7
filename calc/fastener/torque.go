package fastener

import (
	"math"

	"lastbolt/quantity"
)

// cosFlank is the cosine of half the 60° between the flanks.
var cosFlank = math.Cos(math.Pi / 6)

// TorqueFor is the short form T = K·d·F: the torque that gives a preload, with
// nut factor K (0.08 to 0.4 in practice). It is linear in each.
func TorqueFor(preload quantity.Force, diameter quantity.Length, nutFactor float64) quantity.Torque {
	return quantity.Torque(nutFactor * float64(diameter) * float64(preload))
}

// PreloadFrom is TorqueFor turned round: F = T/(K·d).
func PreloadFrom(torque quantity.Torque, diameter quantity.Length, nutFactor float64) quantity.Force {
	return quantity.Force(float64(torque) / (nutFactor * float64(diameter)))
}

// Friction is the friction coefficients of a joint, 0.04 to 0.5 in practice.
type Friction struct {
	Thread float64 // between the threads
	Head   float64 // under whatever turns, head or nut
}

// Shares is a tightening torque taken apart into what each part takes.
type Shares struct {
	Pitch  quantity.Torque // lifts along the pitch: this alone becomes preload
	Thread quantity.Torque // rubs in the thread
	Head   quantity.Torque // rubs under the head
}

// Total is the torque on the wrench.
func (s Shares) Total() quantity.Torque { return s.Pitch + s.Thread + s.Head }

// LongTorque is the long form
//
//	T = F·[P/(2π) + d2·μthread/(2·cos 30°) + Dm/2·μhead]
//
// (ISO 16047; VDI 2230 prints the rounded factors 0.16 and 0.58; MIL-HDBK-60
// appendix B). friction diameter Dm is the mean diameter of the surface that
// turns under the head.
func LongTorque(preload quantity.Force, t Thread, frictionDiameter quantity.Length, f Friction) Shares {
	n := float64(preload)
	return Shares{
		Pitch:  quantity.Torque(n * float64(t.Pitch) / (2 * math.Pi)),
		Thread: quantity.Torque(n * float64(t.PitchDiameter()) * f.Thread / (2 * cosFlank)),
		Head:   quantity.Torque(n * float64(frictionDiameter) / 2 * f.Head),
	}
}

// LongPreload is LongTorque turned round.
func LongPreload(torque quantity.Torque, t Thread, frictionDiameter quantity.Length, f Friction) quantity.Force {
	return quantity.Force(float64(torque) / float64(LongTorque(1, t, frictionDiameter, f).Total()))
}

// AssemblyPreload is the preload at which tension and the twist of tightening
// together use the given share of the yield strength:
//
//	F = share·Rp0.2·As / √(1 + 3·[3/(2·ds)·(P/π + 1.155·μthread·d2)]²)
//
// with ds the stress diameter (VDI 2230 part 1: there (d2+d3)/2, the same for
// metric threads). share is above 0 and usually 0.9.
func AssemblyPreload(t Thread, yield quantity.Pressure, share, threadFriction float64) quantity.Force {
	twist := 1.5 / float64(t.StressDiameter()) * (float64(t.Pitch)/math.Pi + threadFriction*float64(t.PitchDiameter())/cosFlank)
	return quantity.Force(share * float64(yield) * float64(t.StressArea()) / math.Sqrt(1+3*twist*twist))
}

// ImpliedNutFactor is the K for which the short form gives the same torque as
// the long one.
func ImpliedNutFactor(t Thread, frictionDiameter quantity.Length, f Friction) float64 {
	return float64(LongTorque(1, t, frictionDiameter, f).Total()) / float64(t.Major)
}
