package seal

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"lastbolt/quantity"
)

// A Ring is an O-ring as it lies free.
type Ring struct {
	Name     string // "AS568-214", "ISO 3601 20 × 2.65", "" for one only measured
	Standard Standard
	Inside   Toleranced // diameter
	Section  Toleranced // diameter of the cord
}

// A Standard is where a ring's size comes from.
type Standard string

// The standards known here.
const (
	AS568  Standard = "AS568"    // inch sizes by dash number
	Boss   Standard = "boss"     // rings of tube-fitting bosses, 9xx
	ISO    Standard = "ISO 3601" // general metric sizes
	JIS    Standard = "JIS B 2401"
	Trade  Standard = "metric trade size" // whole and half millimetres, no standard
	NoSize Standard = ""
)

// Outside gives the outside diameter of the free ring, in metres: inside
// diameter and twice the section.
func (r Ring) Outside() quantity.Length { return r.Inside.Nominal + 2*r.Section.Nominal }

// Volume gives the volume of the free ring, a torus: π²/4 · section² ·
// (inside + section).
func (r Ring) Volume() quantity.Volume {
	cs := float64(r.Section.Nominal)
	return quantity.Volume(math.Pi * math.Pi / 4 * cs * cs * (float64(r.Inside.Nominal) + cs))
}

// Sized finds a ring by what is written on its bag: a dash number ("214",
// "-214", "AS568-214", "14" for -014), a metric size, inside by section in millimetres
// ("20x2.65", "58 x 5.3"), or a JIS size ("P22A", "G50"). A metric size that no
// table here holds is given the tolerances of ISO 3601-1 class B. The error is
// a sentence.
func Sized(text string) (Ring, error) {
	bare := strings.ToUpper(strings.Join(strings.Fields(text), ""))
	for _, prefix := range []string{"AS568", "AS-568", "ISO3601", "JISB2401", "JIS"} {
		bare = strings.TrimPrefix(bare, prefix)
	}
	if dash := strings.TrimPrefix(strings.TrimPrefix(bare, "2-"), "-"); len(dash) > 0 && len(dash) <= 3 && strings.Trim(dash, "0123456789") == "" {
		dash = strings.Repeat("0", 3-len(dash)) + dash
		for _, r := range inchRings() {
			if strings.HasSuffix(r.Name, "-"+dash) {
				return r, nil
			}
		}
		return Ring{}, refuse("The table holds no dash number %s; the series run 001 to 050, 102 to 178, 201 to 284, 309 to 390, 425 to 467 and 901 to 932.", dash)
	}
	if r, ok := jisNamed(bare); ok {
		return r, nil
	}
	inside, section, ok := metricSize(bare)
	if !ok {
		return Ring{}, refuse("%q is no ring size; write a dash number such as 214, a size in millimetres such as 20x2.65, or a JIS size such as P22.", text)
	}
	return Metric(inside, section)
}

// metricSize reads "20x2.65", with a comma or a point.
func metricSize(bare string) (inside, section float64, ok bool) {
	bare = strings.NewReplacer("×", "X", "*", "X", "MM", "", ",", ".", "Ø", "").Replace(bare)
	before, after, found := strings.Cut(bare, "X")
	if !found {
		return 0, 0, false
	}
	inside, err1 := strconv.ParseFloat(before, 64)
	section, err2 := strconv.ParseFloat(after, 64)
	return inside, section, err1 == nil && err2 == nil && !math.IsInf(inside+section, 0) && !math.IsNaN(inside+section)
}

// Metric gives a ring of the given inside diameter and section in millimetres,
// with the tolerances of its table, or of ISO 3601-1 class B.
func Metric(inside, section float64) (Ring, error) {
	if inside <= 0 || section <= 0 {
		return Ring{}, refuse("A ring of %g × %g mm cannot be: inside diameter and section must be more than 0.", inside, section)
	}
	if section > 20 || inside > 2000 {
		return Ring{}, refuse("A ring of %g × %g mm is beyond what is held here: inside diameter to 2000 mm, section to 20 mm; the inside diameter is written first.", inside, section)
	}
	for _, r := range AllRings() {
		if r.Standard != AS568 && r.Standard != Boss && near(mm(r.Inside.Nominal), inside) && near(mm(r.Section.Nominal), section) {
			return r, nil
		}
	}
	return metricRing(NoSize, "", inside, section), nil
}

func near(a, b float64) bool { return math.Abs(a-b) < 1e-6 }

// AllRings lists every ring of the tables, by section and then by inside
// diameter. The slice is shared: do not change it.
func AllRings() []Ring { return allRings() }

// sortRings orders rings by section and then by inside diameter.
func sortRings(rings []Ring) {
	slices.SortStableFunc(rings, func(a, b Ring) int {
		if c := cmp.Compare(a.Section.Nominal, b.Section.Nominal); c != 0 {
			return c
		}
		return cmp.Compare(a.Inside.Nominal, b.Inside.Nominal)
	})
}
