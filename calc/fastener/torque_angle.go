package fastener

import (
	"math"

	"lastbolt/calc"
	"lastbolt/quantity"
)

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "torque-and-angle",
		Title: "What a torque and an angle do to a bolt",
		About: "The preload after a first torque and an angle, and whether the bolt is then past its yield load, so that it is to be replaced once it is undone.",
		Method: "The first torque sets a preload by the short form. The angle adds preload in step with the stiffness of bolt and joint until the bolt yields; " +
			"beyond that the preload hardly rises and the rest of the way is stretch that stays. The yield load used is the least of the class without the twist, " +
			"so a real bolt may yield a little earlier under the twist or, being stronger than its class, later.",
		Inputs: together([]calc.Input{threadInput(), gradeInput(false),
			{Name: "torque", Title: "First torque", Kind: "torque", Unit: "N·m", Min: "0 N·m", Above: true, Max: "10000 N·m"},
			{Name: "angle", Title: "Angle after it", Kind: "angle", Unit: "°", Min: "0°", Max: "720°"}},
			gripInputs(), []calc.Input{clampedInput("steel"), lubricationInput("oiled"), nutFactorInput()}),
		Outputs: []calc.Output{
			{Name: "preload", Title: "Preload", Kind: "force", Unit: "kN"},
			{Name: "first_preload", Title: "Preload after the first torque", Kind: "force", Unit: "kN"},
			{Name: "elastic_preload", Title: "Preload if nothing yielded", Kind: "force", Unit: "kN"},
			{Name: "yield", Title: "Yield load of the class", Kind: "force", Unit: "kN"},
			{Name: "lasting_stretch", Title: "Stretch that stays", Kind: "length", Unit: "mm"},
			{Name: "past_yield", Title: "Past its yield load", Kind: calc.YesNo},
		},
		Sources: append([]calc.Source{
			{Text: "MIL-HDBK-60, 5.2, 5.3 and 6.5: tightening past yield", Known: calc.Published},
			{Text: "bolts turned past yield are replaced once undone (freeasestudyguides.com)", Known: calc.Published},
		}, angleSources...),
		Cautions: []string{"The first torque and the angle come from the maker; this only shows what they do."},
		Example:  map[string]string{"thread": "M10", "class": "10.9", "torque": "40 N·m", "angle": "90°", "grip": "90 mm", "shank": "60 mm", "clamped": "aluminium"},
		Compute:  computeTorqueAngle,
	}
})

func computeTorqueAngle(in calc.In, a *calc.Answer) error {
	t, err := threadOf(in)
	if err != nil {
		return err
	}
	g, s, err := strengthOf(in, t)
	if err != nil {
		return err
	}
	bolt, joint, err := stiffnessOf(in, a, t)
	if err != nil {
		return err
	}
	low, k, high, _ := nutFactorOf(in, a)
	torque, loads := in.Torque("torque"), LoadsOf(t, s)
	first := PreloadFrom(torque, t.Major, k)
	if first > loads.Ultimate {
		return in.Refuse("torque", "First torque: %s would tear the bolt, which bears %s, before any angle is turned.", torqueText(torque), forceText(loads.Ultimate))
	}
	perAngle := 1 / float64(TightenAngle(t, 1, bolt, joint))
	add := quantity.Force(perAngle * float64(in.Angle("angle")))
	l := lubricationOf(in)
	elastic := first + add
	a.Step("Preload after the first torque", "F = T/(K·d)", "= %s / (%.2g · %s mm) = %s", torqueText(torque), k, mmText(t.Major), forceText(first))
	a.Step("Preload the angle adds", "angle/360°·P / (1/k + 1/k)", "= %s", forceText(add))
	a.Step("If nothing yielded", "the sum", "= %s, and the class yields at %s", forceText(elastic), forceText(loads.Yield))
	a.Give("first_preload", first)
	a.Give("elastic_preload", elastic)
	a.Give("yield", loads.Yield)
	over := math.Max(0, float64(elastic-loads.Yield))
	if over > 0 {
		// The twist lets a bolt of the least strength yield early; one may be stronger
		// than its class, but not pull more than what tears the least of it without
		// being another class.
		a.GiveBand("preload", AssemblyPreload(t, s.Yield, 1, l.Friction), loads.Yield, loads.Ultimate)
	} else {
		a.GiveBand("preload", PreloadFrom(torque, t.Major, high)+add, elastic, min(loads.Ultimate, PreloadFrom(torque, t.Major, low)+add))
	}
	a.Give("lasting_stretch", quantity.Length(over*(1/float64(bolt)+1/float64(joint))))
	a.Give("past_yield", over > 0)
	if over > 0 {
		a.Judge(calc.Careful, "This takes a bolt of class %s past its yield load: it is a stretch bolt, and once undone it is replaced unless the maker gives a limit it still meets.", g.Name)
	} else {
		a.Judge(calc.Good, "The bolt stays below its yield load, at %.0f %% of it.", 100*float64(elastic/loads.Yield))
	}
	return nil
}
