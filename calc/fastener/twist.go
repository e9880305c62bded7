package fastener

import (
	"math"

	"lastbolt/quantity"
)

// twistShare is the shear strength in twisting over the tensile strength: ISO
// 898-7 has 0.84 for 8.8, 0.79 for 9.8 and 10.9 and 0.75 for 12.9 (from memory;
// they give its printed torques). Other classes take the value of the nearest in
// strength.
func twistShare(g Grade) float64 {
	switch g.Name {
	case "9.8", "10.9", "SAE 8", "SAE 8.2", "A490":
		return 0.79
	case "12.9":
		return 0.75
	}
	return 0.84
}

// TwistOff is the least torque that twists a bolt off where nothing pulls it:
//
//	T = x·Rm·π/16·d3min³
//
// ISO 898-7 prints it for M1 to M10; larger sizes follow the same rule.
func TwistOff(t Thread, g Grade, s Strength) quantity.Torque {
	d := float64(leastRoot(t))
	return quantity.Torque(twistShare(g) * float64(s.Ultimate) * math.Pi / 16 * d * d * d)
}

// leastRoot is the smallest root diameter of a bolt within its tolerance: the
// smallest pitch diameter less 5/7 of the height of the sharp triangle.
func leastRoot(t Thread) quantity.Length {
	return LimitsOf(t).PitchMin - t.Height()*5/7
}
