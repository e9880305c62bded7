package belt

import (
	"math"

	"lastbolt/quantity"
)

// SpanTension is the tension of a free span of length l and mass m that sounds
// the note f when plucked at rest, T = 4·m·l²·f². The belt's own stiffness makes
// the reading higher than the true tension, the more the shorter the span.
func SpanTension(l quantity.Length, m quantity.MassPerLength, f quantity.Frequency) quantity.Force {
	return quantity.Force(4 * float64(m) * float64(l) * float64(l) * float64(f) * float64(f))
}

// SpanNote is the note of a free span at tension t, f = √(t/m)/(2·l).
func SpanNote(l quantity.Length, m quantity.MassPerLength, t quantity.Force) quantity.Frequency {
	return quantity.Frequency(math.Sqrt(float64(t)/float64(m)) / (2 * float64(l)))
}

// Push is the force that pushes the middle of a span in by y, F = 4·T·y/l for a
// small y and a belt without stiffness.
func Push(l quantity.Length, t quantity.Force, y quantity.Length) quantity.Force {
	return quantity.Force(4 * float64(t) * float64(y) / float64(l))
}

// A Pair is a belt over two pulleys.
type Pair struct {
	Length     quantity.Length // exact
	Usual      quantity.Length // by the usual approximation
	WrapSmall  quantity.Angle
	WrapLarge  quantity.Angle
	Span       quantity.Length
	SpanSlope  quantity.Angle // of a span to the line of centres
	Overlapped bool           // no such belt: one pulley holds the other, or they overlap
}

// TwoPulleys works out a belt over two pulleys of diameters a and b at distance
// c, open or crossed. With D the larger and d the smaller, α = asin((D ∓ d)/2c);
// the open belt is 2c·cos α + π(D+d)/2 + (D−d)α and wraps π − 2α and π + 2α; the
// crossed is 2c·cos α + (D+d)(π+2α)/2 and wraps π + 2α twice (Encyclopaedia
// Britannica, 11th ed., vol. 17, "Mechanics", eq. 32A and 32B).
func TwoPulleys(a, b, c quantity.Length, crossed bool) Pair {
	large, small, far := float64(max(a, b)), float64(min(a, b)), float64(c)
	k, sign := large-small, 1.0
	if crossed {
		k, sign = large+small, -1
	}
	if 2*far <= k || crossed && 2*far <= large+small {
		return Pair{Overlapped: true}
	}
	alpha := math.Asin(k / (2 * far))
	p := Pair{SpanSlope: quantity.Angle(alpha), Span: quantity.Length(far * math.Cos(alpha)),
		WrapSmall: quantity.Angle(math.Pi - sign*2*alpha), WrapLarge: quantity.Angle(math.Pi + 2*alpha)}
	p.Length = 2*p.Span + quantity.Length(small/2*float64(p.WrapSmall)+large/2*float64(p.WrapLarge))
	p.Usual = quantity.Length(2*far + math.Pi*(large+small)/2 + k*k/(4*far))
	return p
}

// CentreDistance is how far apart two pulleys stand with a belt of length l: the
// open belt by bisection, since the length grows with the distance all the way.
// ok is false when the belt is too short to go round both.
func CentreDistance(a, b, l quantity.Length, crossed bool) (c quantity.Length, ok bool) {
	low := math.Abs(float64(a-b)) / 2
	if crossed {
		low = float64(a+b) / 2
	}
	low = math.Max(low, float64(a+b)/2)
	high := float64(l)
	at := func(c float64) float64 { return float64(TwoPulleys(a, b, quantity.Length(c), crossed).Length) }
	low *= 1 + 1e-12
	if !(high > low) || at(low) > float64(l) {
		return 0, false
	}
	for range 200 {
		m := (low + high) / 2
		if at(m) > float64(l) {
			high = m
		} else {
			low = m
		}
	}
	return quantity.Length((low + high) / 2), true
}

// GripRatio is the greatest ratio of the tensions, each less m·v², that belt and
// rim can hold: exp(µ·wrap/sin(G/2)) with the full groove angle G, 0 for a flat
// belt (Euler and Eytelwein).
func GripRatio(friction float64, wrap, groove quantity.Angle) float64 {
	return math.Exp(friction * wedge(groove) * float64(wrap))
}
