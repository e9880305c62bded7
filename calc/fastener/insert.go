package fastener

import (
	"fmt"
	"math"

	"lastbolt/calc"
	"lastbolt/quantity"
)

// An Insert is what a coiled wire insert of a thread needs.
type Insert struct {
	Drill         quantity.Length // rounded up to a tenth of a millimetre
	PitchDiameter quantity.Length // of the tapped hole for the insert
	Major         quantity.Length // of the tap for the insert
	TapDepth      quantity.Length // least full thread for the insert
	DrillDepth    quantity.Length // with a bottoming tap
	PlugDepth     quantity.Length // with a plug tap
}

// InsertFor gives the hole for a wire insert of a nominal length: the insert's own
// thread has the bolt's pitch, so the hole's pitch diameter is d + 0.6495·P and its
// bore d + 0.2165·P; drilled at d + P/4. Depths are those of ASME B18.29.2M.
func InsertFor(t Thread, length quantity.Length) Insert {
	p := t.Pitch
	drill := math.Ceil((t.Major+p/4).In(quantity.Millimetre)*10-1e-6) / 10
	plug := length + 6*p
	if t.Major.In(quantity.Millimetre) <= 8.0001 {
		plug += t.Major / 2
	}
	return Insert{
		Drill:         mm(drill),
		PitchDiameter: t.Major + pitchDiameterFall*p,
		Major:         t.Major + 2*pitchDiameterFall*p,
		TapDepth:      length + p,
		DrillDepth:    length + 4*p,
		PlugDepth:     plug,
	}
}

// insertLengths are the nominal lengths inserts are made in, in diameters.
var insertLengths = []float64{1, 1.5, 2, 2.5, 3}

// insertStrip is the load that strips an insert out of a material: three quarters
// of the cylinder at the hole's pitch diameter shears (FED-STD-H28/2B, (3)).
func insertStrip(t Thread, length quantity.Length, shear quantity.Pressure) quantity.Force {
	return quantity.Force(0.75 * math.Pi * float64(InsertFor(t, length).PitchDiameter) * float64(length) * float64(shear))
}

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "thread-insert",
		Title: "Thread insert: drill and length",
		About: "What to drill, how deep, and how long an insert has to be, to repair a stripped hole with a coiled wire insert so that the bolt tears first.",
		Method: "The insert's outside is a thread of the bolt's pitch on a larger diameter, so it strips the parent material over a larger cylinder than the bolt did. " +
			"The shortest usual length (1, 1.5, 2, 2.5 or 3 diameters) is taken that bears more than the bolt, or the longest when none does.\n\n" +
			"The tap is a special one for inserts; kits name their own drill, which goes before this one. Solid and keyed bushes have their own sizes.",
		Inputs: together([]calc.Input{threadInput(), gradeInput(false)}, tappedInputs(), []calc.Input{
			{Name: "insert_length", Title: "Length of the insert", Kind: "length", Unit: "mm", Min: "0 mm", Above: true, Max: "300 mm", Optional: true, Help: "When it is already chosen."},
			{Name: "depth", Title: "Material there is to drill into", Kind: "length", Unit: "mm", Min: "0 mm", Above: true, Max: "1 m", Optional: true},
			{Name: "boss", Title: "Outside diameter of the boss", Kind: "length", Unit: "mm", Min: "0 mm", Above: true, Max: "1 m", Optional: true, Help: "Or twice the distance from the middle of the hole to the nearest edge."}}),
		Outputs: []calc.Output{
			{Name: "drill", Title: "Drill", Kind: "length", Unit: "mm"},
			{Name: "length", Title: "Length of the insert", Kind: "length", Unit: "mm"},
			{Name: "length_diameters", Title: "In bolt diameters", Kind: calc.Number},
			{Name: "drill_depth", Title: "Drill at least so deep, with a bottoming tap", Kind: "length", Unit: "mm"},
			{Name: "plug_depth", Title: "Drill at least so deep, with a plug tap", Kind: "length", Unit: "mm"},
			{Name: "tap_depth", Title: "Full thread at least", Kind: "length", Unit: "mm"},
			{Name: "tap_diameter", Title: "Outside diameter of the tap for the insert", Kind: "length", Unit: "mm", Digits: 4},
			{Name: "strip_load", Title: "Load that pulls the insert out", Kind: "force", Unit: "kN"},
			{Name: "bolt_load", Title: "Load that tears the bolt", Kind: "force", Unit: "kN"},
			{Name: "wall", Title: "Wall left around it", Kind: "length", Unit: "mm", Optional: true},
		},
		Sources: []calc.Source{
			{Text: "ASME B18.29.2M-2005 as quoted by engineersedge.com: lengths and drilling depths", Known: calc.Published},
			{Text: "FED-STD-H28/2B, formula (3): shear area", Known: calc.Published},
			{Text: "drill of d + P/4 rounded up to a tenth", Known: calc.CommonPractice},
		},
		Example: map[string]string{"thread": "M8", "class": "8.8", "tapped": "cast aluminium"},
		Compute: computeInsert,
	}
})

func computeInsert(in calc.In, a *calc.Answer) error {
	t, err := threadOf(in)
	if err != nil {
		return err
	}
	_, strength, err := strengthOf(in, t)
	if err != nil {
		return err
	}
	_, shear := shearOf(in, a)
	tear := LoadsOf(t, strength).Ultimate
	length := in.Length("insert_length")
	if !in.Has("insert_length") {
		for _, n := range insertLengths {
			length = t.Major * quantity.Length(n)
			if insertStrip(t, length, shear) >= tear {
				break
			}
		}
	}
	insert, out := InsertFor(t, length), insertStrip(t, length, shear)
	a.Give("drill", insert.Drill)
	a.Give("length", length)
	a.Give("length_diameters", float64(length/t.Major))
	a.Give("drill_depth", insert.DrillDepth)
	a.Give("plug_depth", insert.PlugDepth)
	a.Give("tap_depth", insert.TapDepth)
	a.Give("tap_diameter", insert.Major)
	a.Give("strip_load", out)
	a.Give("bolt_load", tear)
	a.Step("Drill", "d + P/4, rounded up to 0.1 mm", "= %s + %s/4 → %s", mmText(t.Major), mmText(t.Pitch), lengthText(insert.Drill))
	a.Step("Load that pulls the insert out", "0.75·π·D2·length·τ", "= 0.75 · π · %s · %s · %s = %s", mmText(insert.PitchDiameter), lengthText(length), stressText(shear), forceText(out))
	a.Step("Depth to drill, bottoming tap", "length + 4·P", "= %s + 4 · %s = %s", mmText(length), mmText(t.Pitch), lengthText(insert.DrillDepth))
	if out >= tear {
		a.Judge(calc.Good, "With an insert %s long the bolt tears (at %s) before the insert pulls out (at %s).", lengthText(length), forceText(tear), forceText(out))
	} else {
		a.Judge(calc.Careful, "An insert %s long pulls out at %s, before the bolt tears at %s: tighten to suit, or take a longer one.", lengthText(length), forceText(out), forceText(tear))
	}
	return judgeInsert(in, a, t, insert)
}

func judgeInsert(in calc.In, a *calc.Answer, t Thread, insert Insert) error {
	if in.Has("boss") {
		wall := (in.Length("boss") - insert.Major) / 2
		if wall <= 0 {
			return in.Refuse("boss", "Outside diameter of the boss: %s leaves no wall around a tap of %s; weld it up or take a smaller thread.", lengthText(in.Length("boss")), lengthText(insert.Major))
		}
		a.Give("wall", wall)
		if wall < t.Major/2 {
			a.Judge(calc.Careful, "Only %s of wall is left; half a diameter, %s, is the least that is usual.", roundText(wall), roundText(t.Major/2))
		}
	}
	if in.Has("depth") && in.Length("depth") < insert.DrillDepth {
		a.Judge(calc.Bad, "%s", fmt.Sprintf("There are %s to drill into and %s are needed: take a shorter insert, or look what lies behind.", lengthText(in.Length("depth")), lengthText(insert.DrillDepth)))
	}
	return nil
}
