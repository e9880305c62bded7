package fastener

import (
	"lastbolt/calc"
)

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "assembly-torque",
		Title: "Torque at a share of the yield strength",
		About: "The most a bolt of a class may be tightened to: the torque at which its pull and its twist together use a share, usually 90 %, of the yield strength.",
		Method: "While it is tightened a bolt is pulled by the preload and twisted by the thread's torque. The two are put together as one equivalent " +
			"stress, √(σ² + 3τ²), and that is held to the share of the yield strength. More friction in the thread twists more and so leaves less preload.\n\n" +
			"These are upper limits of the bolt alone. What it screws into, the seal under the part and the maker's own value all come first.",
		Inputs: together([]calc.Input{threadInput(), gradeInput(false),
			{Name: "share", Title: "Share of the yield strength", Kind: calc.Number, Unit: "%", Min: "10", Max: "100", Default: "90"}},
			frictionInputs(), headInputs()),
		Outputs: together2([]calc.Output{
			{Name: "torque", Title: "Torque", Kind: "torque", Unit: "N·m", Digits: 4},
			{Name: "preload", Title: "Preload", Kind: "force", Unit: "kN", Digits: 4}}, shareOutputs(),
			[]calc.Output{
				{Name: "tension", Title: "Stress from the pull", Kind: "pressure", Unit: "MPa"},
				{Name: "share_of_proof", Title: "Share of the proof load", Kind: calc.Number, Unit: "%"}}),
		Sources: []calc.Source{
			{Text: "VDI 2230 part 1: assembly preload; its published tables (mastik.pt, pp. 685 and 686) come out within 1 %", Known: calc.Published},
			{Text: "MIL-HDBK-60, 5.5.1: combined stress", Known: calc.Published},
		},
		Cautions: []string{"An upper limit of the bolt, not a specification: look the maker's value up first."},
		Example:  map[string]string{"thread": "M8", "class": "8.8", "thread_friction": "0.12", "head_friction": "0.12"},
		Compute: func(in calc.In, a *calc.Answer) error {
			t, err := threadOf(in)
			if err != nil {
				return err
			}
			g, s, err := strengthOf(in, t)
			if err != nil {
				return err
			}
			dm, err := frictionDiameterOf(in, a, t)
			if err != nil {
				return err
			}
			f, share := frictionOf(in, a), in.Number("share")/100
			preload := AssemblyPreload(t, s.Yield, share, f.Thread)
			unTwisted := share * float64(s.Yield) * float64(t.StressArea())
			a.Step("Preload if nothing twisted", "share·Re·As", "= %.2g · %s · %s = %.3g kN", share, stressText(s.Yield), areaText(t.StressArea()), unTwisted/1000)
			a.Step("Preload with the twist", "F = that / √(1 + 3·[1.5/ds·(P/π + 1.155·μ·d2)]²)",
				"= %.3g kN / √(1 + 3 · [1.5/%s · (%s/π + 1.155 · %.3g · %s)]²) = %s", unTwisted/1000, mmText(t.StressDiameter()), mmText(t.Pitch), f.Thread, mmText(t.PitchDiameter()), forceText(preload))
			shares := LongTorque(preload, t, dm, f)
			a.Give("torque", shares.Total())
			a.Give("preload", preload)
			giveShares(a, t, dm, f, preload, shares)
			a.Step("Torque", "the sum", "= %s", torqueText(shares.Total()))
			a.Give("tension", stress(preload, t))
			loads := LoadsOf(t, s)
			safe := loads.Proof
			if safe == 0 {
				safe = loads.Yield
			}
			a.Give("share_of_proof", float64(100*preload/safe))
			if in.Number("share") > 90 {
				a.Judge(calc.Careful, "Above 90 %% of the yield strength a little less friction than thought stretches the bolt of class %s for good.", g.Name)
			}
			return nil
		},
	}
})
