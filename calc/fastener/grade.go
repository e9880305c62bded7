package fastener

import (
	"fmt"
	"strings"

	"lastbolt/quantity"
)

// A Strength is what a bolt's material bears, as stresses on the stress area.
type Strength struct {
	Proof    quantity.Pressure // without lasting stretch; 0 where the standard has none
	Yield    quantity.Pressure // ReL or Rp0.2, least
	Ultimate quantity.Pressure // Rm, least
}

// A Grade is a property class of metric bolts or a grade of inch ones.
type Grade struct {
	Name     string // "8.8", "A2-70", "SAE 5"
	System   System // of the threads it is made for; its sizes are in mm or inches
	Both     bool   // made with threads of the other system too
	Standard string // where the strengths stand
	Head     string // how the head is marked
	ranges   []strengthRange
}

// A strengthRange is the strength of the diameters from one on (or above it) to
// another, both in mm for metric grades and in inches for the others.
type strengthRange struct {
	from, to float64
	strength Strength
}

func mpa(proof, yield, ultimate float64) Strength {
	return Strength{quantity.Pressure(proof * 1e6), quantity.Pressure(yield * 1e6), quantity.Pressure(ultimate * 1e6)}
}

// psiInPascal is one pound-force per square inch.
const psiInPascal = 4.4482216152605 / (0.0254 * 0.0254)

func ksi(proof, yield, ultimate float64) Strength {
	const k = 1000 * psiInPascal
	return Strength{quantity.Pressure(proof * k), quantity.Pressure(yield * k), quantity.Pressure(ultimate * k)}
}

// inWords is how a mechanic calls the systems.
var inWords = map[System]string{Metric: "metric", Unified: "inch"}

// FindGrade finds a grade by its name in any usual spelling: "8.8", "A2-70",
// "SAE 5", "grade 8", "A325". The error names those there are.
func FindGrade(text string) (Grade, error) {
	want := tidyGrade(text)
	for _, g := range grades {
		if tidyGrade(g.Name) == want {
			return g, nil
		}
	}
	return Grade{}, fmt.Errorf("%q is not a property class or grade known here; write %s", text, listed(GradeNames(), "or"))
}

func tidyGrade(text string) string {
	return strings.NewReplacer(" ", "", "-", "", "GRADE", "", "GR.", "", "GR", "", "CLASS", "", "SAEJ429", "", "SAE", "", "ASTM", "", ",", ".").
		Replace(strings.ToUpper(text))
}

// GradeNames lists the grades, metric classes first.
func GradeNames() []string {
	var names []string
	for _, g := range grades {
		names = append(names, g.Name)
	}
	return names
}

// Strength gives the strength at a thread's size; the error says which sizes the
// grade is made in, or that it belongs to the other system of threads.
func (g Grade) Strength(t Thread) (Strength, error) {
	if t.System != g.System && !g.Both {
		return Strength{}, fmt.Errorf("%s is for %s threads and %s is %s; look at the head again", g.Name, inWords[g.System], t, inWords[t.System])
	}
	size, unit := t.Major.In(quantity.Millimetre), "mm"
	if g.System == Unified {
		size, unit = t.Major.In(quantity.Inch), "in"
	}
	const rounding = 1e-9
	for _, r := range g.ranges {
		if size >= r.from-rounding && size <= r.to+rounding {
			return r.strength, nil
		}
	}
	first, last := g.ranges[0], g.ranges[len(g.ranges)-1]
	return Strength{}, fmt.Errorf("%s is for %s to %s %s, and %s is not within; choose another grade", g.Name, number(first.from), number(last.to), unit, t)
}

// Loads is what a bolt bears in tension.
type Loads struct {
	Proof, Yield, Ultimate quantity.Force // Proof is 0 where the standard has none
}

// LoadsOf gives the loads of a thread: each strength times the nominal stress
// area, as ISO 898-1 and SAE J429 make their tables.
func LoadsOf(t Thread, s Strength) Loads {
	area := float64(t.NominalStressArea())
	return Loads{quantity.Force(area * float64(s.Proof)), quantity.Force(area * float64(s.Yield)), quantity.Force(area * float64(s.Ultimate))}
}

// Safe gives the stress tightening is reckoned from: the proof strength where
// the standard has one, the yield strength otherwise.
func (s Strength) Safe() quantity.Pressure {
	if s.Proof > 0 {
		return s.Proof
	}
	return s.Yield
}
