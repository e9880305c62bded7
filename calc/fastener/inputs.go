package fastener

import (
	"math"
	"strings"

	"lastbolt/calc"
	"lastbolt/quantity"
)

// The inputs several calculations share.

func threadInput() calc.Input {
	return calc.Input{Name: "thread", Title: "Thread", Kind: calc.Text,
		Help: "As on the bag or the tap: M8, M8×1, 5/16-18 UNC, #10-32. A metric thread without a pitch is the coarse one."}
}

// threadOf reads the thread, or refuses it.
func threadOf(in calc.In) (Thread, error) {
	t, err := ParseThread(in.Text("thread"))
	if err != nil {
		return t, in.Refuse("thread", "Thread: %v.", err)
	}
	return t, nil
}

func gradeInput(optional bool) calc.Input {
	i := calc.Input{Name: "class", Title: "Property class or grade", Kind: calc.Choice, Choices: gradeOptions(), Optional: optional,
		Help: "As marked on the head: 8.8, 10.9, A2-70; inch bolts have lines on the head."}
	return i
}

func gradeOptions() []calc.Option {
	var options []calc.Option
	for _, g := range grades {
		title := g.Name
		if g.Head != g.Name {
			title += " (" + g.Head + ")"
		}
		options = append(options, calc.Option{Value: g.Name, Title: title})
	}
	return options
}

// strengthOf finds the strength of the class chosen at a thread, or refuses it.
func strengthOf(in calc.In, t Thread) (Grade, Strength, error) {
	g, err := FindGrade(in.Choice("class"))
	if err != nil {
		return g, Strength{}, in.Refuse("class", "Property class or grade: %v.", err)
	}
	s, err := g.Strength(t)
	if err != nil {
		return g, s, in.Refuse("class", "Property class or grade: %v.", err)
	}
	return g, s, nil
}

// SafetyJoints are the joints whose failure hurts people: nothing but a maker's
// document gives their torque.
var SafetyJoints = []string{"brakes", "steering", "wheels", "suspension", "restraint", "fuel", "timing"}

// SafetyCritical reports whether a joint is one of SafetyJoints.
func SafetyCritical(joint string) bool {
	for _, j := range SafetyJoints {
		if j == joint {
			return true
		}
	}
	return false
}

func jointInput() calc.Input {
	options := []calc.Option{{Value: "other", Title: "none of these"}}
	titles := map[string]string{"restraint": "seat belts, seats or airbags", "timing": "timing drive", "fuel": "fuel system"}
	for _, j := range SafetyJoints {
		title := titles[j]
		if title == "" {
			title = j
		}
		options = append(options, calc.Option{Value: j, Title: title})
	}
	return calc.Input{Name: "joint", Title: "What the bolt holds", Kind: calc.Choice, Choices: options,
		Help: "Brakes, steering, wheels, suspension, restraint, fuel and timing take a value from the maker's document only."}
}

// refuseSafety refuses what is not for safety-critical joints.
func refuseSafety(in calc.In, what string) error {
	if !SafetyCritical(in.Choice("joint")) {
		return nil
	}
	return in.Refuse("joint", "What the bolt holds: %s is not given for %s; take the value from the maker's document.", what, in.Choice("joint"))
}

func headInputs() []calc.Input {
	return []calc.Input{
		{Name: "head", Title: "Head or nut that turns", Kind: calc.Choice, Default: string(Hex), Choices: []calc.Option{
			{Value: string(Hex), Title: "hexagon"}, {Value: string(Socket), Title: "socket cap"}, {Value: string(Flange), Title: "hexagon with flange"}}},
		{Name: "face", Title: "Outside diameter of the face under the head", Kind: "length", Unit: "mm", Min: "0 mm", Above: true, Max: "300 mm", Optional: true,
			Help: "When it was measured; otherwise the standard's for the head."},
		{Name: "hole", Title: "Diameter of the hole under the head", Kind: "length", Unit: "mm", Min: "0 mm", Above: true, Max: "300 mm", Optional: true,
			Help: "When it was measured; otherwise the medium hole of ISO 273."},
	}
}

// frictionDiameterOf works out the friction diameter under the head, with its step.
func frictionDiameterOf(in calc.In, a *calc.Answer, t Thread) (quantity.Length, error) {
	face, hole := BearingFace(t, Head(in.Choice("head"))), ClearanceHole(t, "medium")
	if in.Has("face") {
		face = in.Length("face")
	}
	if in.Has("hole") {
		hole = in.Length("hole")
	}
	switch {
	case face <= hole:
		return 0, in.Refuse("face", "Outside diameter of the face under the head: %s is not wider than the hole of %s; measure both again.", lengthText(face), lengthText(hole))
	case face < t.Major:
		return 0, in.Refuse("face", "Outside diameter of the face under the head: %s is smaller than the bolt; measure it again.", lengthText(face))
	}
	dm := (face + hole) / 2
	a.Step("Friction diameter under the head", "Dm = (face + hole) / 2", "= (%s + %s) / 2 = %s", mmText(face), mmText(hole), lengthText(dm))
	return dm, nil
}

// frictionInputs ask for the coefficients, which default to the lubrication's.
func frictionInputs() []calc.Input {
	friction := func(name, title string) calc.Input {
		return calc.Input{Name: name, Title: title, Kind: calc.Number, Min: "0.03", Max: "0.6", Optional: true, Help: "When it is known; otherwise that of the threads' state."}
	}
	return []calc.Input{lubricationInput("oiled"), friction("thread_friction", "Friction in the thread"), friction("head_friction", "Friction under the head")}
}

func frictionOf(in calc.In, a *calc.Answer) Friction {
	l := lubricationOf(in)
	f := Friction{l.Friction, l.Friction}
	if !in.Has("thread_friction") || !in.Has("head_friction") {
		a.Note("Friction %.2f is taken for threads that are %s (%s, %s).", l.Friction, l.Title, l.Source.Text, l.Source.Known)
	}
	if in.Has("thread_friction") {
		f.Thread = in.Number("thread_friction")
	}
	if in.Has("head_friction") {
		f.Head = in.Number("head_friction")
	}
	return f
}

// Texts of the working: a value with three digits, and without its unit.
func lengthText(l quantity.Length) string     { return trimmed(l.Format(quantity.Millimetre, 4)) }
func mmText(l quantity.Length) string         { return strings.TrimSuffix(lengthText(l), " mm") }
func forceText(f quantity.Force) string       { return f.Format(quantity.Kilonewton, 3) }
func stressText(p quantity.Pressure) string   { return trimmed(p.Format(quantity.Megapascal, 4)) }
func areaText(s quantity.Area) string         { return s.Format(quantity.SquareMillimetre, 4) }
func angleText(x quantity.Angle) string       { return trimmed(x.Format(quantity.Degree, 3)) }
func newtons(f quantity.Force) string         { return f.Format(quantity.Newton, 3) }
func numberText(n float64, digits int) string { return trimmed(significant(n, digits)) }

// significant prints a number with so many digits.
func significant(n float64, digits int) string {
	if n == 0 || math.IsNaN(n) || math.IsInf(n, 0) {
		return "0"
	}
	power := int(math.Floor(math.Log10(math.Abs(n))))
	unit := math.Pow(10, float64(power-digits+1))
	return number(math.Round(n/unit) * unit)
}

// trimmed takes trailing zeros behind a point off a number with its unit.
func trimmed(text string) string {
	n, unit, spaced := strings.Cut(text, " ")
	bare := strings.TrimSuffix(n, "°")
	if strings.Contains(bare, ".") {
		sign := strings.TrimPrefix(n, bare)
		n = strings.TrimRight(strings.TrimRight(bare, "0"), ".") + sign
	}
	if spaced {
		return n + " " + unit
	}
	return n
}

// together puts inputs together.
func together(groups ...[]calc.Input) []calc.Input {
	var all []calc.Input
	for _, g := range groups {
		all = append(all, g...)
	}
	return all
}
