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

// A pitchTolerance is what ISO 965-1 gives for one pitch, in µm: the allowance of
// position g, and the tolerances of grade 6 on the major diameter of the bolt and
// on the minor diameter of the nut.
type pitchTolerance struct{ pitch, allowance, major, minor float64 }

// pitchTolerances are ISO 965-1, tables 1, 2 and 3 (from memory; they give the
// shear areas printed in J. H. Bickford's tables to five figures).
var pitchTolerances = []pitchTolerance{
	{0.2, 17, 56, 48}, {0.25, 18, 67, 71}, {0.3, 18, 75, 85}, {0.35, 19, 85, 100}, {0.4, 19, 95, 112}, {0.45, 20, 100, 125},
	{0.5, 20, 106, 140}, {0.6, 21, 125, 160}, {0.7, 22, 140, 180}, {0.75, 22, 140, 190}, {0.8, 24, 150, 200}, {1, 26, 180, 236},
	{1.25, 28, 212, 265}, {1.5, 32, 236, 300}, {1.75, 34, 265, 335}, {2, 38, 280, 375}, {2.5, 42, 335, 450}, {3, 48, 375, 500},
	{3.5, 53, 425, 560}, {4, 60, 475, 600}, {4.5, 63, 500, 670}, {5, 71, 530, 710}, {5.5, 75, 560, 750}, {6, 80, 600, 800},
}

// A pitchDiameterTolerance is what ISO 965-1 gives on the pitch diameter for
// diameters up to one in mm, in µm: grade 6 of the bolt and of the nut.
type pitchDiameterTolerance struct{ upTo, pitch, bolt, nut float64 }

// pitchDiameterTolerances are ISO 965-1, tables 4 and 5 (from memory, as above).
var pitchDiameterTolerances = []pitchDiameterTolerance{
	{2.8, 0.35, 63, 85}, {2.8, 0.4, 67, 90}, {2.8, 0.45, 71, 95},
	{5.6, 0.35, 67, 90}, {5.6, 0.5, 75, 100}, {5.6, 0.6, 85, 112}, {5.6, 0.7, 90, 118}, {5.6, 0.75, 90, 118}, {5.6, 0.8, 95, 125},
	{11.2, 0.75, 100, 132}, {11.2, 1, 112, 150}, {11.2, 1.25, 118, 160}, {11.2, 1.5, 132, 180},
	{22.4, 1, 118, 160}, {22.4, 1.25, 132, 180}, {22.4, 1.5, 140, 190}, {22.4, 1.75, 150, 200}, {22.4, 2, 160, 212}, {22.4, 2.5, 170, 224},
	{45, 1, 125, 170}, {45, 1.5, 150, 200}, {45, 2, 170, 224}, {45, 3, 200, 265}, {45, 3.5, 212, 280}, {45, 4, 224, 300}, {45, 4.5, 236, 315},
	{90, 1.5, 160, 212}, {90, 2, 180, 236}, {90, 3, 212, 280}, {90, 4, 236, 315}, {90, 5, 250, 335}, {90, 5.5, 265, 355}, {90, 6, 280, 375},
}

// LimitsOf gives the limits of a thread.
func LimitsOf(t Thread) Limits {
	if t.System == Unified {
		return unifiedLimits(t)
	}
	d, p := t.Major.In(quantity.Millimetre), t.Pitch.In(quantity.Millimetre)
	micro := func(n float64) quantity.Length { return quantity.Length(n * 1e-6) }
	tolerance := pitchTolerances[0]
	for _, row := range pitchTolerances {
		if same(row.pitch, p) {
			tolerance = row
		}
	}
	bolt, nut := pitchDiameterTolerancesOf(d, p)
	return Limits{
		MajorMin:         t.Major - micro(tolerance.allowance) - micro(tolerance.major),
		PitchMin:         t.PitchDiameter() - micro(tolerance.allowance) - micro(bolt),
		InternalPitchMax: t.PitchDiameter() + micro(nut),
		InternalMinorMax: t.InternalMinor() + micro(tolerance.minor),
	}
}

// pitchDiameterTolerancesOf looks the tolerances up, in µm; combinations outside
// the table follow the formulas it was made by, 90·P^0.4·d^0.1 and 1.32 times
// that, with d the geometric mean of the range.
func pitchDiameterTolerancesOf(d, p float64) (bolt, nut float64) {
	edges := []float64{0.99, 1.4, 2.8, 5.6, 11.2, 22.4, 45, 90, 180}
	mean := d
	for i := 1; i < len(edges); i++ {
		if d > edges[i-1] && d <= edges[i] {
			mean = math.Sqrt(edges[i-1] * edges[i])
			for _, row := range pitchDiameterTolerances {
				if same(row.upTo, edges[i]) && same(row.pitch, p) {
					return row.bolt, row.nut
				}
			}
		}
	}
	bolt = 90 * math.Pow(p, 0.4) * math.Pow(mean, 0.1)
	return bolt, 1.32 * bolt
}

// unifiedLimits are those of class 2A and 2B by the formulas of ASME B1.1 (from
// memory), in inches inside; the length of engagement is one diameter.
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
