package fastener

import (
	"math"

	"lastbolt/quantity"
)

// Limits are the sizes within which a bolt and its tapped hole pass as fit for
// general use: 6g and 6H for metric threads, 2A and 2B for unified ones.
type Limits struct {
	MajorMin         quantity.Length // of the bolt
	PitchMin         quantity.Length // of the bolt's pitch diameter
	InternalPitchMax quantity.Length
	InternalMinorMax quantity.Length
}

// LimitsOf works the limits out by the formulas of ISO 965-1 and ASME B1.1 (both
// from memory), which the printed tables round to a few micrometres.
func LimitsOf(t Thread) Limits {
	if t.System == Unified {
		return unifiedLimits(t)
	}
	d, p := t.Major.In(quantity.Millimetre), t.Pitch.In(quantity.Millimetre)
	micro := func(n float64) quantity.Length { return quantity.Length(n * 1e-6) }
	allowance := micro(15 + 11*p)
	major := micro(180*math.Pow(p, 2./3) - 3.15/math.Sqrt(p))
	pitch := 90 * math.Pow(p, 0.4) * math.Pow(meanDiameter(d), 0.1)
	minor := 230 * math.Pow(p, 0.7)
	if p < 1 {
		minor = 433*p - 190*math.Pow(p, 1.22)
	}
	return Limits{
		MajorMin:         t.Major - allowance - major,
		PitchMin:         t.PitchDiameter() - allowance - micro(pitch),
		InternalPitchMax: t.PitchDiameter() + micro(1.32*pitch),
		InternalMinorMax: t.InternalMinor() + micro(minor),
	}
}

// meanDiameter is the geometric mean of the range of diameters ISO 965-1 puts a
// diameter in, all in mm.
func meanDiameter(d float64) float64 {
	edges := []float64{0.99, 1.4, 2.8, 5.6, 11.2, 22.4, 45, 90, 180}
	for i := 1; i < len(edges); i++ {
		if d <= edges[i] {
			return math.Sqrt(edges[i-1] * edges[i])
		}
	}
	return d
}

// unifiedLimits are those of class 2A and 2B, in inches inside; the length of
// engagement is one diameter.
func unifiedLimits(t Thread) Limits {
	d, p := t.Major.In(quantity.Inch), t.Pitch.In(quantity.Inch)
	pitch := 0.0015*math.Cbrt(d) + 0.0015*math.Sqrt(d) + 0.015*math.Cbrt(p*p)
	allowance := 0.3 * pitch
	minor := 0.25*p - 0.4*p*p
	if d < 0.25 {
		minor = math.Min(math.Max(0.05*math.Cbrt(p*p)+0.03*p/d-0.002, minor), 0.394*p)
	}
	return Limits{
		MajorMin:         t.Major - quantity.Inches(allowance+0.060*math.Cbrt(p*p)),
		PitchMin:         t.PitchDiameter() - quantity.Inches(allowance+pitch),
		InternalPitchMax: t.PitchDiameter() + quantity.Inches(1.3*pitch),
		InternalMinorMax: t.InternalMinor() + quantity.Inches(minor),
	}
}
