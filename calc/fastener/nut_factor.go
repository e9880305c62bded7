package fastener

import (
	"math"

	"lastbolt/calc"
	"lastbolt/quantity"
)

// stress is a force over a thread's stress area.
func stress(f quantity.Force, t Thread) quantity.Pressure {
	return quantity.Pressure(float64(f) / float64(t.StressArea()))
}

// ExactNutFactor is K by the screw formula, without the shortening of the long
// form, for a head whose bearing ring has a mean diameter of 1.25 d:
//
//	K = dm/2d·(tan λ + f·sec α)/(1 − f·tan λ·sec α) + 0.625·fc
//
// with dm midway between major and root diameter and α = 30° (Shigley's
// Mechanical Engineering Design, 9th ed., eq. (8-26)).
func ExactNutFactor(t Thread, f Friction) float64 {
	dm := float64(t.Major+t.RootDiameter()) / 2
	slope := float64(t.Pitch) / (math.Pi * dm)
	sec := 1 / cosFlank
	return dm/(2*float64(t.Major))*(slope+f.Thread*sec)/(1-f.Thread*slope*sec) + 0.625*f.Head
}

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "nut-factor",
		Title: "Nut factor from friction",
		About: "The nut factor K that goes with a friction in the thread and under the head, by the long form and by the exact screw formula.",
		Method: "The long form gives the torque for one unit of preload; divided by the diameter that is K. The exact formula is the textbook's, for a " +
			"head 1.5 times as wide as the bolt. The two differ by a few hundredths where the head differs from that.",
		Inputs: together([]calc.Input{threadInput()}, frictionInputs(), headInputs()),
		Outputs: []calc.Output{
			{Name: "nut_factor", Title: "Nut factor", Kind: calc.Number},
			{Name: "exact", Title: "Nut factor by the exact formula", Kind: calc.Number},
		},
		Sources: []calc.Source{
			{Text: "Shigley's Mechanical Engineering Design, 9th ed., eq. (8-26)", Known: calc.Published},
			{Text: "MIL-HDBK-60, appendix B 100.5 and table II", Known: calc.Published},
		},
		Example: map[string]string{"thread": "M10", "thread_friction": "0.15", "head_friction": "0.15"},
		Compute: func(in calc.In, a *calc.Answer) error {
			t, err := threadOf(in)
			if err != nil {
				return err
			}
			dm, err := frictionDiameterOf(in, a, t)
			if err != nil {
				return err
			}
			f := frictionOf(in, a)
			k, exact := ImpliedNutFactor(t, dm, f), ExactNutFactor(t, f)
			a.Give("nut_factor", k)
			a.Give("exact", exact)
			a.Step("Long form", "K = (P/2π + d2·μ/1.732 + μ·Dm/2)/d", "= (%s/2π + %s · %.3g/1.732 + %.3g · %s/2)/%s = %.3f",
				mmText(t.Pitch), mmText(t.PitchDiameter()), f.Thread, f.Head, mmText(dm), mmText(t.Major), k)
			a.Step("Exact formula", "K = dm/2d·(tan λ + 1.155·μ)/(1 − 1.155·μ·tan λ) + 0.625·μ", "= %.3f", exact)
			return nil
		},
	}
})
