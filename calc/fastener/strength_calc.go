package fastener

import (
	"math"

	"lastbolt/calc"
	"lastbolt/quantity"
)

// circle is the area of a circle.
func circle(diameter quantity.Length) quantity.Area {
	return quantity.Area(math.Pi / 4 * float64(diameter) * float64(diameter))
}

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "bolt-strength",
		Title: "What a bolt bears",
		About: "Proof, yield and breaking load of a bolt from its thread and its class, and the torque that twists it off.",
		Method: "Each load is the strength of the class times the stress area, which for metric threads is first rounded to three figures as the " +
			"standard's tables do. A bolt may be loaded to its proof load without stretching for good; above the yield load it does.\n\n" +
			"The least torque that twists the bolt off is for twisting alone, without preload: ISO 898-7's rule for classes 8.8 to 12.9, " +
			"and the same share as for 8.8 for the softer ones.",
		Inputs: []calc.Input{threadInput(), gradeInput(false)},
		Outputs: []calc.Output{
			{Name: "ultimate", Title: "Breaking load", Kind: "force", Unit: "kN", Digits: 4},
			{Name: "yield", Title: "Yield load", Kind: "force", Unit: "kN", Digits: 4},
			{Name: "proof", Title: "Proof load", Kind: "force", Unit: "kN", Digits: 4, Optional: true},
			{Name: "ultimate_strength", Title: "Tensile strength", Kind: "pressure", Unit: "MPa", Digits: 4},
			{Name: "yield_strength", Title: "Yield strength", Kind: "pressure", Unit: "MPa", Digits: 4},
			{Name: "proof_strength", Title: "Proof strength", Kind: "pressure", Unit: "MPa", Digits: 4, Optional: true},
			{Name: "twist_off", Title: "Least torque that twists it off", Kind: "torque", Unit: "N·m", Digits: 3},
		},
		Sources: []calc.Source{
			{Text: "ISO 898-1 load tables as reprinted by usefastener.com, slsbearings.com and optimas.com", Known: calc.Published},
			{Text: "SAE J429 as excerpted by gberardi.com and a load table of it (City of Everett archive 454746)", Known: calc.Published},
			{Text: "ISO 3506-1, ASTM A193, A307, A325, A449, A490", Known: calc.FromMemory},
			{Text: "ISO 898-7: breaking torque", Known: calc.FromMemory},
		},
		Example: map[string]string{"thread": "M8", "class": "8.8"},
		Compute: func(in calc.In, a *calc.Answer) error {
			t, err := threadOf(in)
			if err != nil {
				return err
			}
			g, s, err := strengthOf(in, t)
			if err != nil {
				return err
			}
			loads := LoadsOf(t, s)
			a.Step("Stress area", "", areaText(t.NominalStressArea()))
			load := func(name, title, sign string, stress quantity.Pressure, force quantity.Force) {
				a.Give(name, force)
				a.Give(name+"_strength", stress)
				a.Rest(name+"_strength", calc.Tabulated, g.Standard)
				a.Step(title, "F = A·"+sign, "= %s · %s = %s", areaText(t.NominalStressArea()), stressText(stress), force.Format(quantity.Kilonewton, 4))
			}
			if s.Proof > 0 {
				load("proof", "Proof load", "Sp", s.Proof, loads.Proof)
			} else {
				a.Note("%s gives no proof strength; tightening is reckoned from the yield strength.", g.Standard)
			}
			load("yield", "Yield load", "Re", s.Yield, loads.Yield)
			load("ultimate", "Breaking load", "Rm", s.Ultimate, loads.Ultimate)
			twist := TwistOff(t, g, s)
			a.Give("twist_off", twist)
			a.Step("Twisting off", "T = x·Rm·π/16·d3³, d3 the least root diameter", "= %.2f · %s · π/16 · (%s)³ = %s",
				twistShare(g), stressText(s.Ultimate), lengthText(leastRoot(t)), torqueText(twist))
			return nil
		},
	}
})
