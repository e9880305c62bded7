package fastener

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"lastbolt/quantity"
)

// System is the family of threads. Both families share the 60° basic profile.
type System string

// The systems.
const (
	Metric  System = "metric"
	Unified System = "unified"
)

// Series says where in its family a thread stands.
type Series string

// The series.
const (
	Coarse  Series = "coarse"
	Fine    Series = "fine"
	Special Series = "special" // neither; still a pitch that tools exist for
)

// A Thread is a straight 60° screw thread in its basic size.
type Thread struct {
	Name    string // in the house spelling: "M8", "M8×1", "5/16-18 UNC"
	System  System
	Series  Series
	Major   quantity.Length // nominal diameter d
	Pitch   quantity.Length // P
	PerInch float64         // threads per inch, of unified threads
}

// The basic profile in multiples of the pitch, from the sharp triangle's height
// H = √3/2·P. ISO 68-1 and ASME B1.1 share them (FED-STD-H28/2B, p. 67); the
// root of the bolt is ISO 724's d3, rounded with H/6.
const (
	root3             = 1.7320508075688772
	pitchDiameterFall = root3 * 3 / 8                      // 0.649519
	minorFall         = root3 * 5 / 8                      // 1.082532
	rootFall          = root3 * 17 / 24                    // 1.226869
	metricAreaFall    = (pitchDiameterFall + rootFall) / 2 // 0.938194
	unifiedAreaFall   = 0.9743                             // FED-STD-H28/2B, formula (1b)
)

// Height is H, the height of the sharp triangle: 0.866·P.
func (t Thread) Height() quantity.Length { return t.Pitch * quantity.Length(math.Sqrt(3)/2) }

// PitchDiameter is d2 = d − 0.6495·P, the same for bolt and nut in basic size.
func (t Thread) PitchDiameter() quantity.Length { return t.Major - pitchDiameterFall*t.Pitch }

// InternalMinor is D1 = d − 1.0825·P, the bore of the nut in basic size.
func (t Thread) InternalMinor() quantity.Length { return t.Major - minorFall*t.Pitch }

// RootDiameter is d3 = d − 1.2269·P, the bolt's core at the rounded root.
func (t Thread) RootDiameter() quantity.Length { return t.Major - rootFall*t.Pitch }

// StressDiameter is the diameter of the circle whose area is the stress area.
func (t Thread) StressDiameter() quantity.Length {
	return quantity.Length(math.Sqrt(4 * float64(t.StressArea()) / math.Pi))
}

// StressArea is the area a bolt bears tension with: π/4·(d − 0.9382·P)² for
// metric threads (ISO 898-1) and π/4·(d − 0.9743·P)² for unified ones (ASME B1.1,
// FED-STD-H28/2B formula 1b).
func (t Thread) StressArea() quantity.Area {
	fall := quantity.Length(metricAreaFall)
	if t.System == Unified {
		fall = unifiedAreaFall
	}
	d := float64(t.Major - fall*t.Pitch)
	return quantity.Area(math.Pi / 4 * d * d)
}

// NominalStressArea is StressArea rounded as the tables of the standards print
// it, to three figures for metric threads; ISO 898-1 makes its loads from that.
func (t Thread) NominalStressArea() quantity.Area {
	if t.System == Unified {
		return t.StressArea()
	}
	mm2, err := strconv.ParseFloat(strconv.FormatFloat(t.StressArea().In(quantity.SquareMillimetre), 'e', 2, 64), 64)
	if err != nil {
		panic("fastener: a printed number does not read back: " + err.Error())
	}
	return quantity.Area(mm2 * 1e-6)
}

// LeadAngle is the slope of the thread at the pitch diameter: atan(P/(π·d2)).
func (t Thread) LeadAngle() quantity.Angle {
	return quantity.Angle(math.Atan(float64(t.Pitch) / (math.Pi * float64(t.PitchDiameter()))))
}

// TapDrill is the usual drill before tapping: d − P, which leaves about 77 % of
// the full thread height.
func (t Thread) TapDrill() quantity.Length { return t.Major - t.Pitch }

// Size is the size without the pitch: "M8", "5/16", "#10".
func (t Thread) Size() string {
	if t.System == Metric {
		return "M" + number(t.Major.In(quantity.Millimetre))
	}
	size, _, _ := strings.Cut(t.Name, "-")
	return size
}

// PitchText is the pitch as it is read from a gauge: "1.25 mm", "18 per inch".
func (t Thread) PitchText() string {
	if t.System == Unified {
		return number(t.PerInch) + " per inch"
	}
	return number(t.Pitch.In(quantity.Millimetre)) + " mm"
}

// String gives the name.
func (t Thread) String() string { return t.Name }

// Millimetric makes a metric thread of a diameter and a pitch in mm; the error
// says why there is no such thread.
func Millimetric(diameter, pitch float64) (Thread, error) {
	size := "M" + number(diameter)
	if problem := impossible(diameter, pitch, "mm"); problem != "" {
		return Thread{}, fmt.Errorf("%s×%s: %s", size, number(pitch), problem)
	}
	coarse, fine, listed := metricPitches(diameter)
	t := Thread{System: Metric, Major: quantity.Millimetres(diameter), Pitch: quantity.Millimetres(pitch)}
	switch {
	case !listed:
		return Thread{}, fmt.Errorf("there is no thread %s; the nearest is %s", size, nearestMetric(diameter))
	case same(pitch, coarse):
		t.Name, t.Series = size, Coarse
		return t, nil
	case anySame(pitch, fine):
		t.Series = Fine
	case pitch < coarse && anySame(pitch, standardPitches):
		t.Series = Special
	default:
		return Thread{}, fmt.Errorf("there is no %s with a pitch of %s mm; %s has %s", size, number(pitch), size, pitchList(coarse, fine))
	}
	t.Name = size + "×" + number(pitch)
	return t, nil
}

// coarsestShare is the largest pitch over diameter of any listed thread, M1.
const coarsestShare = 0.25

// perInchThread makes a unified thread of a diameter in inches and a count of threads
// per inch; size is the diameter as it is spoken of ("5/16", "#10").
func perInchThread(size string, diameter, count float64) (Thread, error) {
	if problem := impossible(diameter*25.4, 25.4/count, "mm"); problem != "" {
		return Thread{}, fmt.Errorf("%s-%s: %s", size, number(count), problem)
	}
	row, listed := unifiedSize(diameter)
	if !listed {
		return Thread{}, fmt.Errorf("there is no unified thread of %s in; the nearest is %s", number(diameter), nearestUnified(diameter))
	}
	t := Thread{System: Unified, Series: Special, Major: quantity.Inches(row.inches), Pitch: quantity.Inches(1 / count), PerInch: count}
	name := "UN"
	switch {
	case same(count, row.coarse):
		t.Series, name = Coarse, "UNC"
	case same(count, row.fine):
		t.Series, name = Fine, "UNF"
	case same(count, row.extraFine):
		name = "UNEF"
	case !anySame(count, constantPitches) || count < row.coarse || 1/count > coarsestShare*row.inches:
		return Thread{}, fmt.Errorf("there is no %s thread with %s per inch; %s has %s", row.size, number(count), row.size, row.pitches())
	}
	t.Name = row.size + "-" + number(count) + " " + name
	return t, nil
}

// impossible says why no thread can have such a diameter and pitch, in mm.
func impossible(diameter, pitch float64, unit string) string {
	switch {
	case !(diameter > 0) || math.IsInf(diameter, 0):
		return "a thread needs a diameter above nothing"
	case !(pitch > 0) || math.IsInf(pitch, 0):
		return "a thread needs a pitch above nothing"
	case pitch >= diameter:
		return fmt.Sprintf("a pitch of %s %s is coarser than the bolt is thick; if that is the length, leave it out", number(pitch), unit)
	}
	return ""
}

func same(a, b float64) bool { return math.Abs(a-b) < 1e-6*math.Max(1, math.Abs(b)) }

func anySame(a float64, all []float64) bool {
	for _, b := range all {
		if same(a, b) {
			return true
		}
	}
	return false
}

// number prints a plain number without trailing zeros.
func number(n float64) string {
	return strconv.FormatFloat(math.Round(n*1e5)/1e5, 'f', -1, 64)
}
