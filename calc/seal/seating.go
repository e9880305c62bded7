package seal

import (
	"math"

	"lastbolt/quantity"
)

// A Gasket is a flat gasket as the bolts see it.
type Gasket struct {
	Width quantity.Length   // N: of the contact, across
	Mean  quantity.Length   // diameter of the middle of the contact, of a round gasket
	Outer quantity.Length   // outside diameter of the contact, of a round gasket
	Long  quantity.Length   // length of the contact's middle line, of one that is not round
	Area  quantity.Area     // enclosed by that line, where the pressure acts
	M     float64           // gasket factor: stress kept, as a multiple of the pressure
	Y     quantity.Pressure // stress that seats it
}

// widest is the seating width up to which all of it counts: 1/4 in.
const widest quantity.Length = 6.35e-3

// Effective gives the effective seating width b after ASME VIII-1 Appendix 2:
// half the contact's width b₀ up to 1/4 in, beyond it 2.52·√b₀ in millimetres
// (0.5·√b₀ in inches).
func (g Gasket) Effective() quantity.Length {
	b0 := g.Width / 2
	if b0 <= widest {
		return b0
	}
	return quantity.Length(2.52*math.Sqrt(mm(b0))) * millimetre
}

// Line gives the length of the line the load acts on and the area inside it: of
// a round gasket the circle of the mean contact diameter or, where b₀ is over
// 1/4 in, of the outside diameter less twice the effective width.
func (g Gasket) Line() (length quantity.Length, area quantity.Area, across quantity.Length) {
	if g.Outer == 0 {
		return g.Long, g.Area, 0
	}
	across = g.Mean
	if g.Width/2 > widest {
		across = g.Outer - 2*g.Effective()
	}
	d := float64(across)
	return quantity.Length(math.Pi * d), quantity.Area(math.Pi / 4 * d * d), across
}

// Seating gives the bolt load that seats the gasket, Wm2 = π·b·G·y.
func (g Gasket) Seating() quantity.Force {
	line, _, _ := g.Line()
	return quantity.Force(float64(g.Effective()) * float64(line) * float64(g.Y))
}

// Working gives the bolt load that keeps it tight under an inner gauge pressure,
// Wm1 = π/4·G²·P + 2·b·π·G·m·P.
func (g Gasket) Working(p quantity.Pressure) quantity.Force {
	line, area, _ := g.Line()
	return quantity.Force(float64(area)*float64(p) + 2*float64(g.Effective())*float64(line)*g.M*float64(p))
}

// A GasketMaterial is a row of the table of gasket factors.
type GasketMaterial struct {
	Name string
	M    float64
	Y    quantity.Pressure
}

// psi is one pound-force per square inch.
const psi quantity.Pressure = 6894.757293168361

// GasketMaterials is the table of gasket factors m and seating stresses y, ASME
// VIII-1 Appendix 2, Table 2-5.1, as piping-world.com and a gasket maker's
// manual give it: suggested there, not mandatory.
func GasketMaterials() []GasketMaterial {
	return []GasketMaterial{
		{"o-ring", 0, 0},
		{"soft elastomer", 0.5, 0},
		{"hard elastomer", 1, 200 * psi},
		{"elastomer with cotton", 1.25, 400 * psi},
		{"vegetable fibre", 1.75, 1100 * psi},
		{"spiral wound", 3, 10000 * psi},
		{"corrugated aluminium", 2.5, 2900 * psi},
		{"corrugated copper", 2.75, 3700 * psi},
		{"corrugated iron", 3, 4500 * psi},
		{"jacketed aluminium", 3.25, 5500 * psi},
		{"jacketed copper", 3.5, 6500 * psi},
		{"jacketed iron", 3.75, 7600 * psi},
		{"solid aluminium", 4, 8800 * psi},
		{"solid copper", 4.75, 13000 * psi},
		{"solid iron", 5.5, 18000 * psi},
		{"solid stainless steel", 6.5, 26000 * psi},
	}
}
