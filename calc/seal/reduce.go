package seal

import (
	"math"

	"lastbolt/quantity"
)

// Stretch gives how much a ring's inside diameter grows over the diameter it is
// pulled over, as a share of itself: (over − inside)/inside. Below 0 the ring
// hangs loose. The inside diameter must be more than 0.
func Stretch(inside, over quantity.Length) float64 { return float64((over - inside) / inside) }

// mostEmpirical is the stretch to which the empirical curve is published.
const mostEmpirical = 0.25

// ThinnedEmpirical gives the section of a ring stretched by the share s, after
// the empirical curve of the O-ring handbooks, X being the stretch and R the
// loss of section in per cent:
//
//	to 3 %:  R = −0.005 + 1.19·X − 0.19·X² − 0.001·X³ + 0.008·X⁴
//	to 25 %: R = 0.56 + 0.59·X − 0.0046·X²
//
// never below 0. The two do not quite meet at 3 %. Beyond 25 % the curve is not
// published and the law of constant volume is taken; at s ≤ 0 nothing is lost.
// The curve takes away more than constant volume does, so it is the one to
// judge the least squeeze by.
func ThinnedEmpirical(section quantity.Length, s float64) quantity.Length {
	x := s * 100
	switch {
	case s <= 0:
		return section
	case s > mostEmpirical:
		return quantity.Length(float64(section) / math.Sqrt(1+s))
	}
	lost := 0.56 + 0.59*x - 0.0046*x*x
	if x <= 3 {
		lost = -0.005 + 1.19*x - 0.19*x*x - 0.001*x*x*x + 0.008*x*x*x*x
	}
	return section * quantity.Length(1-math.Max(lost, 0)/100)
}

// ThinnedConstantVolume gives the section of a ring pulled over a diameter if
// its volume does not change and its section stays round: the root of
// section'²·(over + section') = section²·(inside + section). A ring that hangs
// loose keeps its section.
func ThinnedConstantVolume(inside, section, over quantity.Length) quantity.Length {
	if over <= inside {
		return section
	}
	volume := float64(section * section * (inside + section))
	// The left side grows with section', and section' lies between 0 and section.
	low, high := 0.0, float64(section)
	for range 60 {
		mid := (low + high) / 2
		if mid*mid*(float64(over)+mid) < volume {
			low = mid
		} else {
			high = mid
		}
	}
	return quantity.Length((low + high) / 2)
}
