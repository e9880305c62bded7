package fastener

import (
	"fmt"
	"math"

	"lastbolt/calc"
	"lastbolt/quantity"
)

// A Tapped is a material threads are cut in, with its shear strength.
type Tapped struct {
	Name, Title string
	// Low and Likely are shear strengths: the weakest usual kind and a middling one.
	Low, Likely quantity.Pressure
	// Rule is the rule-of-thumb engagement in diameters.
	Rule   float64
	Source calc.Source
}

// tappedMaterials are what a workshop finds tapped holes in.
var tappedMaterials = []Tapped{
	{"cast aluminium", "cast aluminium (housings, heads)", 120e6, 150e6, 2, calc.Source{Text: "130 MPa for a casting alloy in a published thread-engagement example (Handbook of Bolts and Bolted Joints, 1998); 120 and 150 around it", Known: calc.Published}},
	{"wrought aluminium", "wrought aluminium (6061-T6 and the like)", 160e6, 207e6, 2, calc.Source{Text: "6061-T6: 207 MPa", Known: calc.FromMemory}},
	{"magnesium", "cast magnesium", 110e6, 140e6, 2.5, calc.Source{Text: "AZ91D die cast: 140 MPa", Known: calc.FromMemory}},
	{"cast iron", "grey cast iron", 170e6, 220e6, 1.25, calc.Source{Text: "shear strength about the tensile strength of grades 170 to 250", Known: calc.FromMemory}},
	{"ductile iron", "nodular cast iron", 300e6, 370e6, 1, calc.Source{Text: "0.9 of a tensile strength of 400", Known: calc.FromMemory}},
	{"mild steel", "mild steel, welded nuts", 220e6, 250e6, 1, calc.Source{Text: "0.6 of a tensile strength of 370 to 420", Known: calc.FromMemory}},
	{"strong steel", "heat-treated steel, class 8 nuts", 400e6, 480e6, 1, calc.Source{Text: "0.6 of a tensile strength of 700 to 800", Known: calc.FromMemory}},
	{"brass", "brass, or a brass insert that cannot turn", 180e6, 220e6, 1.5, calc.Source{Text: "free-cutting brass: 205 to 235 MPa", Known: calc.FromMemory}},
	{"plastic", "reinforced plastic (glass-filled nylon)", 35e6, 55e6, 2.5, calc.Source{Text: "half to two thirds of a tensile strength of 80 at 60 °C", Known: calc.FromMemory}},
	{"soft plastic", "unreinforced plastic", 15e6, 25e6, 3, calc.Source{Text: "polypropylene, ABS", Known: calc.FromMemory}},
}

// FindTapped finds a tapped material by name.
func FindTapped(name string) (m Tapped, ok bool) {
	for _, m := range tappedMaterials {
		if m.Name == name {
			return m, true
		}
	}
	return Tapped{}, false
}

// boltShearShare is the shear strength of a bolt's steel over its tensile strength
// (from memory; VDI 2230 has 0.6 to 0.65 for classes 8.8 to 12.9).
const boltShearShare = 0.6

// InternalShearArea is the area that shears when the tapped thread strips, along
// the tips of the bolt's thread, at least material (FED-STD-H28/2B, (2a)):
//
//	A = π/P·LE·dmin·[P/2 + 0.57735·(dmin − D2max)]
func InternalShearArea(pitch, engagement, majorMin, internalPitchMax quantity.Length) quantity.Area {
	return shearArea(pitch, engagement, majorMin, majorMin-internalPitchMax)
}

// ExternalShearArea is the area that shears when the bolt's thread strips, along
// the tips of the tapped thread, at least material (FED-STD-H28/2B, (4a)):
//
//	A = π/P·LE·D1max·[P/2 + 0.57735·(d2min − D1max)]
func ExternalShearArea(pitch, engagement, pitchMin, internalMinorMax quantity.Length) quantity.Area {
	return shearArea(pitch, engagement, internalMinorMax, pitchMin-internalMinorMax)
}

func shearArea(pitch, engagement, cylinder, overlap quantity.Length) quantity.Area {
	tan30 := 1 / math.Sqrt(3)
	width := float64(pitch)/2 + tan30*float64(overlap)
	return quantity.Area(math.Pi / float64(pitch) * float64(engagement) * float64(cylinder) * width)
}

// A Stripping is how a bolt and its tapped hole fail under tension.
type Stripping struct {
	InternalArea, ExternalArea quantity.Area
	Internal                   quantity.Force // strips the tapped thread
	External                   quantity.Force // strips the bolt's thread
	Bolt                       quantity.Force // tears the bolt
	// Needed is the engagement from which on the bolt tears before any thread
	// strips.
	Needed quantity.Length
}

// Limit is the least of the three loads.
func (s Stripping) Limit() quantity.Force { return min(s.Internal, s.External, s.Bolt) }

// StripCheck works out what gives first when a bolt of a thread and strength is
// screwed into a material of a shear strength over a length of full threads. The
// engagement and the strengths must be above nothing; the loads grow linearly
// with the engagement.
func StripCheck(t Thread, bolt Strength, engagement quantity.Length, shear quantity.Pressure) (Stripping, error) {
	switch {
	case !(engagement > 0):
		return Stripping{}, fmt.Errorf("the engagement must be more than nothing")
	case !(shear > 0):
		return Stripping{}, fmt.Errorf("the shear strength must be more than nothing")
	}
	l := LimitsOf(t)
	s := Stripping{
		InternalArea: InternalShearArea(t.Pitch, engagement, l.MajorMin, l.InternalPitchMax),
		ExternalArea: ExternalShearArea(t.Pitch, engagement, l.PitchMin, l.InternalMinorMax),
		Bolt:         LoadsOf(t, bolt).Ultimate,
	}
	s.Internal = quantity.Force(float64(s.InternalArea) * float64(shear))
	s.External = quantity.Force(float64(s.ExternalArea) * boltShearShare * float64(bolt.Ultimate))
	s.Needed = engagement * quantity.Length(s.Bolt/min(s.Internal, s.External))
	return s, nil
}

func tappedInputs() []calc.Input {
	var options []calc.Option
	for _, m := range tappedMaterials {
		options = append(options, calc.Option{Value: m.Name, Title: m.Title})
	}
	return []calc.Input{
		{Name: "tapped", Title: "What it screws into", Kind: calc.Choice, Choices: options},
		{Name: "shear_strength", Title: "Shear strength of that", Kind: "pressure", Unit: "MPa", Min: "1 MPa", Max: "2000 MPa", Optional: true,
			Help: "When the alloy is known; otherwise the weaker usual kind is taken."},
	}
}

// shearOf takes the shear strength given, or the weaker usual kind of the material.
func shearOf(in calc.In, a *calc.Answer) (Tapped, quantity.Pressure) {
	m, ok := FindTapped(in.Choice("tapped"))
	if !ok {
		panic("fastener: a choice of tapped material has no row: " + in.Choice("tapped"))
	}
	if in.Has("shear_strength") {
		return m, in.Pressure("shear_strength")
	}
	a.Note("Shear strength %s is taken for %s, the weaker usual kind; a middling one has %s (%s, %s).",
		stressText(m.Low), m.Title, stressText(m.Likely), m.Source.Text, m.Source.Known)
	return m, m.Low
}

func engagementInput() calc.Input {
	return calc.Input{Name: "engagement", Title: "Length of full threads in engagement", Kind: "length", Unit: "mm", Min: "0 mm", Above: true, Max: "500 mm",
		Help: "Without the bolt's point and the countersink of the hole."}
}

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "thread-strip",
		Title: "Does the thread strip before the bolt breaks?",
		About: "The load that strips a tapped hole or the bolt's own thread against the load that tears the bolt, and the engagement that is needed.",
		Method: "A thread strips by shearing along the tips of the other one. The areas are those of the least material the tolerances allow, " +
			"6g in 6H or 2A in 2B, so a good thread bears more. The bolt's own steel is taken to shear at 0.6 of its tensile strength.\n\n" +
			"What is left out: the bolt's pull opens a thin boss, a worn or cross-threaded hole has less, and repeated loads less again.",
		Inputs: together([]calc.Input{threadInput(), gradeInput(false), engagementInput()}, tappedInputs()),
		Outputs: []calc.Output{
			{Name: "strip_load", Title: "Load that strips the tapped thread", Kind: "force", Unit: "kN"},
			{Name: "bolt_strip_load", Title: "Load that strips the bolt's thread", Kind: "force", Unit: "kN"},
			{Name: "bolt_load", Title: "Load that tears the bolt", Kind: "force", Unit: "kN"},
			{Name: "first", Title: "What gives first", Kind: calc.Text},
			{Name: "needed", Title: "Engagement for the bolt to tear first", Kind: "length", Unit: "mm"},
			{Name: "needed_diameters", Title: "The same in bolt diameters", Kind: calc.Number},
			{Name: "internal_area", Title: "Shear area of the tapped thread", Kind: "area", Unit: "mm²", Digits: 5},
			{Name: "external_area", Title: "Shear area of the bolt's thread", Kind: "area", Unit: "mm²", Digits: 5},
			{Name: "rule", Title: "Engagement by rule of thumb", Kind: "length", Unit: "mm"},
		},
		Sources: []calc.Source{
			{Text: "FED-STD-H28/2B, tables II.B.1 and II.B.2, formulas (2a), (4a) and 70.7.1", Known: calc.Published},
			{Text: "NASA-STD-5020B, 4.7: the bolt is to break before the thread strips", Known: calc.Published},
			{Text: "rule of thumb 1 d in steel, 1.25 d in cast iron, 2 d in aluminium: installation text after German BG rules", Known: calc.Published},
			{Text: "ISO 965-1, ASME B1.1: tolerances", Known: calc.FromMemory},
		},
		Example: map[string]string{"thread": "M8", "class": "8.8", "engagement": "14 mm", "tapped": "cast aluminium"},
		Compute: computeStrip,
	}
})

func computeStrip(in calc.In, a *calc.Answer) error {
	t, err := threadOf(in)
	if err != nil {
		return err
	}
	g, strength, err := strengthOf(in, t)
	if err != nil {
		return err
	}
	m, shear := shearOf(in, a)
	s, err := StripCheck(t, strength, in.Length("engagement"), shear)
	if err != nil {
		return in.Refuse("engagement", "Length of full threads in engagement: %v.", err)
	}
	a.Give("strip_load", s.Internal)
	a.Give("bolt_strip_load", s.External)
	a.Give("bolt_load", s.Bolt)
	a.Give("needed", s.Needed)
	a.Give("needed_diameters", float64(s.Needed/t.Major))
	a.Give("internal_area", s.InternalArea)
	a.Give("external_area", s.ExternalArea)
	a.Give("rule", t.Major*quantity.Length(m.Rule))
	a.Rest("rule", calc.Advice, "rule of thumb")
	l, le, p := LimitsOf(t), mmText(in.Length("engagement")), mmText(t.Pitch)
	a.Step("Area that shears in the tapped thread", "A = π/P·LE·d·[P/2 + 0.577·(d − D2)]",
		"= π/%s · %s · %s · [%s/2 + 0.577 · (%s − %s)] = %s", p, le, mmText(l.MajorMin), p, mmText(l.MajorMin), mmText(l.InternalPitchMax), areaText(s.InternalArea))
	a.Step("Load that strips it", "F = A·τ", "= %s · %s = %s", areaText(s.InternalArea), stressText(shear), forceText(s.Internal))
	a.Step("Area that shears in the bolt's thread", "A = π/P·LE·D1·[P/2 + 0.577·(d2 − D1)]",
		"= π/%s · %s · %s · [%s/2 + 0.577 · (%s − %s)] = %s", p, le, mmText(l.InternalMinorMax), p, mmText(l.PitchMin), mmText(l.InternalMinorMax), areaText(s.ExternalArea))
	a.Step("Load that strips the bolt", "F = A·0.6·Rm", "= %s · 0.6 · %s = %s", areaText(s.ExternalArea), stressText(strength.Ultimate), forceText(s.External))
	a.Step("Load that tears the bolt", "F = As·Rm", "= %s · %s = %s", areaText(t.NominalStressArea()), stressText(strength.Ultimate), forceText(s.Bolt))
	a.Step("Engagement needed", "LE · tearing load / least stripping load", "= %s mm · %s / %s = %s", le, forceText(s.Bolt), forceText(min(s.Internal, s.External)), lengthText(s.Needed))
	judgeStrip(a, g, s, LoadsOf(t, strength))
	return nil
}

func judgeStrip(a *calc.Answer, g Grade, s Stripping, loads Loads) {
	threads := min(s.Internal, s.External)
	what := "the tapped thread"
	if s.External < s.Internal {
		what = "the bolt's thread"
	}
	switch {
	case threads >= s.Bolt:
		a.Give("first", "the bolt")
		a.Judge(calc.Good, "The bolt tears before a thread strips, as it should: a torn bolt is seen, a stripped thread may hold until later.")
	case threads >= loads.Yield:
		a.Give("first", what)
		a.Judge(calc.Careful, "%s strips before the bolt tears, but only past the yield load of class %s.", upper(what), g.Name)
	default:
		a.Give("first", what)
		a.Judge(calc.Bad, "%s strips at %s, before the bolt even yields at %s: tighten to suit the thread, not the bolt.", upper(what), forceText(threads), forceText(loads.Yield))
	}
}

// upper makes the first letter a capital.
func upper(text string) string {
	if text == "" {
		return text
	}
	return string(text[0]-'a'+'A') + text[1:]
}
