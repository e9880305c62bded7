package fastener

import (
	"math"

	"lastbolt/calc"
	"lastbolt/quantity"
)

// steelModulus is Young's modulus of bolt steel.
const steelModulus = quantity.Pressure(205e9)

// A clamped material with its modulus; 0 stands for a joint taken as rigid.
type clamped struct {
	name, title string
	modulus     quantity.Pressure
}

var clampedMaterials = []clamped{
	{"rigid", "rigid: only the bolt stretches", 0},
	{"steel", "steel", 205e9},
	{"cast iron", "cast iron", 100e9},
	{"aluminium", "aluminium", 71e9},
	{"magnesium", "magnesium", 45e9},
}

func clampedInput(byDefault string) calc.Input {
	var options []calc.Option
	for _, c := range clampedMaterials {
		options = append(options, calc.Option{Value: c.name, Title: c.title})
	}
	return calc.Input{Name: "clamped", Title: "What is clamped", Kind: calc.Choice, Choices: options, Default: byDefault}
}

func clampedOf(in calc.In) clamped {
	for _, c := range clampedMaterials {
		if c.name == in.Choice("clamped") {
			return c
		}
	}
	panic("fastener: a choice of clamped material has no row: " + in.Choice("clamped"))
}

// BoltStiffness is the stiffness of a bolt over its grip: an unthreaded shank of
// the nominal diameter in series with thread of the stress area,
//
//	1/k = shank/(A·E) + (grip − shank)/(As·E)
//
// (MIL-HDBK-60, 6.2.1; Shigley eq. (8-17)). The shank is from 0 to the grip. The
// head and the engaged threads are left out.
func BoltStiffness(t Thread, grip, shank quantity.Length, modulus quantity.Pressure) quantity.Stiffness {
	give := float64(shank)/float64(circle(t.Major)) + float64(grip-shank)/float64(t.StressArea())
	return quantity.Stiffness(float64(modulus) / give)
}

// JointStiffness is the stiffness of clamped parts of one material, pressed in
// two cones of 30° from under a head 1.5 times as wide as the bolt (Shigley, 9th
// ed., eq. (8-22)). It is infinite for a modulus of 0, which means rigid.
func JointStiffness(diameter, grip quantity.Length, modulus quantity.Pressure) quantity.Stiffness {
	if modulus == 0 {
		return quantity.Stiffness(math.Inf(1))
	}
	d, l, tan := float64(diameter), float64(grip), 1/math.Sqrt(3)
	return quantity.Stiffness(tan * math.Pi * float64(modulus) * d / (2 * math.Log(5*(tan*l+0.5*d)/(tan*l+2.5*d))))
}

// TightenAngle is the angle to turn, beyond snug, for a preload: the pitch is
// 360°, and bolt and joint give way together,
//
//	angle = 360°/P·F·(1/kbolt + 1/kjoint)
func TightenAngle(t Thread, preload quantity.Force, bolt, joint quantity.Stiffness) quantity.Angle {
	give := float64(preload) * (1/float64(bolt) + 1/float64(joint))
	return quantity.Angle(2 * math.Pi * give / float64(t.Pitch))
}

func gripInputs() []calc.Input {
	return []calc.Input{
		{Name: "grip", Title: "Thickness clamped", Kind: "length", Unit: "mm", Min: "0 mm", Above: true, Max: "2 m", Help: "From under the head to where the thread takes hold."},
		{Name: "shank", Title: "Of which plain shank", Kind: "length", Unit: "mm", Min: "0 mm", Max: "2 m", Default: "0 mm", Help: "The part of the bolt without thread, as thick as the thread outside."},
	}
}

// stiffnessOf works out both stiffnesses, with their steps.
func stiffnessOf(in calc.In, a *calc.Answer, t Thread) (bolt, joint quantity.Stiffness, err error) {
	grip, shank := in.Length("grip"), in.Length("shank")
	if shank > grip {
		return 0, 0, in.Refuse("shank", "Of which plain shank: %s is longer than the %s clamped; the bolt would come tight on its shank.", lengthText(shank), lengthText(grip))
	}
	bolt = BoltStiffness(t, grip, shank, steelModulus)
	c := clampedOf(in)
	joint = JointStiffness(t.Major, grip, c.modulus)
	a.Step("Stiffness of the bolt", "1/k = shank/(A·E) + thread/(As·E)", "shank %s, thread %s, E 205 GPa: k = %s", lengthText(shank), lengthText(grip-shank), stiffnessText(bolt))
	if c.modulus > 0 {
		a.Step("Stiffness of the joint", "k = 0.5774·π·E·d / 2·ln[5·(0.5774·l + 0.5·d)/(0.5774·l + 2.5·d)]", "= %s (%s, E %.3g GPa)", stiffnessText(joint), c.title, float64(c.modulus)/1e9)
	}
	return bolt, joint, nil
}

// stiffnessText prints a stiffness as force for each millimetre.
func stiffnessText(k quantity.Stiffness) string {
	return numberText(float64(k)/1e6, 3) + " kN/mm"
}

var angleSources = []calc.Source{
	{Text: "MIL-HDBK-60, 6.2.1: stretch of a bolt in sections", Known: calc.Published},
	{Text: "Shigley's Mechanical Engineering Design, 9th ed., eqs. (8-17), (8-22): stiffness of bolt and members", Known: calc.Published},
}

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "angle-tightening",
		Title: "Angle for a preload",
		About: "How far to turn beyond snug for a preload within the elastic range, and how much the bolt stretches.",
		Method: "One turn moves the bolt by its pitch. Beyond snug that way goes into stretching the bolt and pressing the parts together. " +
			"Friction does not matter, but where snug begins does: on a short bolt a few degrees are a large part of the angle.",
		Inputs: together([]calc.Input{threadInput(), {Name: "preload", Title: "Preload wanted beyond snug", Kind: "force", Unit: "kN", Min: "0 N", Above: true, Max: "10000 kN"}},
			gripInputs(), []calc.Input{clampedInput("steel"), gradeInput(true)}),
		Outputs: []calc.Output{
			{Name: "angle", Title: "Angle beyond snug", Kind: "angle", Unit: "°"},
			{Name: "stretch", Title: "Stretch of the bolt", Kind: "length", Unit: "mm", Digits: 3},
			{Name: "squeeze", Title: "Squeeze of the parts", Kind: "length", Unit: "mm", Digits: 3},
			{Name: "share_of_proof", Title: "Share of the proof load", Kind: calc.Number, Unit: "%", Optional: true},
		},
		Sources: angleSources,
		Example: map[string]string{"thread": "M10", "preload": "30 kN", "grip": "100 mm", "shank": "80 mm", "clamped": "rigid"},
		Compute: func(in calc.In, a *calc.Answer) error {
			t, err := threadOf(in)
			if err != nil {
				return err
			}
			bolt, joint, err := stiffnessOf(in, a, t)
			if err != nil {
				return err
			}
			f := in.Force("preload")
			if err := judgePreload(in, a, t, f, "preload", "Preload wanted"); err != nil {
				return err
			}
			stretch, squeeze := quantity.Length(float64(f)/float64(bolt)), quantity.Length(float64(f)/float64(joint))
			angle := TightenAngle(t, f, bolt, joint)
			a.Give("stretch", stretch)
			a.Give("squeeze", squeeze)
			a.Give("angle", angle)
			a.Step("Stretch and squeeze", "F/k", "= %s / %s = %s; squeeze %s", forceText(f), stiffnessText(bolt), lengthText(stretch), lengthText(squeeze))
			a.Step("Angle", "360°·(stretch + squeeze)/P", "= 360° · (%s + %s)/%s = %s", mmText(stretch), mmText(squeeze), mmText(t.Pitch), angleText(angle))
			if angle < leastAngle {
				a.Judge(calc.Careful, "%s is too little to tighten by: where snug begins is known to some 10° only. Use a torque wrench.", angleText(angle))
			}
			return nil
		},
	}
})

// leastAngle is the least angle worth tightening by: three times the 10° or so
// by which two people differ about snug (common practice).
var leastAngle = quantity.Degrees(30)
