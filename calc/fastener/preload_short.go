package fastener

import (
	"lastbolt/calc"
)

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "preload-short",
		Title: "Preload from a torque, short form",
		About: "How hard a bolt pulls when tightened to a torque, from one nut factor, and whether its class bears that.",
		Inputs: []calc.Input{threadInput(),
			{Name: "torque", Title: "Torque", Kind: "torque", Unit: "N·m", Min: "0 N·m", Above: true, Max: "100000 N·m"},
			lubricationInput("not known"), nutFactorInput(), gradeInput(true)},
		Outputs: []calc.Output{
			{Name: "preload", Title: "Preload", Kind: "force", Unit: "kN"},
			{Name: "nut_factor", Title: "Nut factor", Kind: calc.Number},
			{Name: "share_of_proof", Title: "Share of the proof load", Kind: calc.Number, Unit: "%", Optional: true},
		},
		Method: shortMethod, Sources: shortSources,
		Example: map[string]string{"thread": "M8", "torque": "25 N·m", "lubrication": "zinc", "class": "8.8"},
		Compute: func(in calc.In, a *calc.Answer) error {
			t, err := threadOf(in)
			if err != nil {
				return err
			}
			torque := in.Torque("torque")
			low, likely, high, given := nutFactorOf(in, a)
			preload := PreloadFrom(torque, t.Major, likely)
			a.Step("Preload", "F = T/(K·d)", "= %s / (%.3g · %s mm) = %s", torqueText(torque), likely, mmText(t.Major), forceText(preload))
			if err := judgePreload(in, a, t, preload, "torque", "Torque"); err != nil {
				return err
			}
			a.Give("nut_factor", likely)
			if given {
				a.Give("preload", preload)
				return nil
			}
			a.GiveBand("preload", PreloadFrom(torque, t.Major, high), preload, PreloadFrom(torque, t.Major, low))
			return nil
		},
	}
})
