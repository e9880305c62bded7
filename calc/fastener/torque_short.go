package fastener

import (
	"lastbolt/calc"
	"lastbolt/quantity"
)

const shortMethod = "T = K·d·F: torque is nut factor times diameter times preload. The nut factor gathers all friction in one number " +
	"and holds for one state of the threads only; it is the widest guess in the calculation, so the answer is a band.\n\n" +
	"The long form splits the torque into what lifts and what rubs, and is better when the friction is known."

var shortSources = []calc.Source{
	{Text: "Shigley's Mechanical Engineering Design, 9th ed., eq. (8-27) and table 8-15", Known: calc.Published},
	{Text: "NASA-STD-5020B (2021), eq. 24 and table 3", Known: calc.Published},
}

func nutFactorInput() calc.Input {
	return calc.Input{Name: "nut_factor", Title: "Nut factor", Kind: calc.Number, Min: "0.05", Max: "0.6", Optional: true,
		Help: "When it is known from a test or a document; otherwise that of the threads' state."}
}

// nutFactorOf gives low, likely and high K, and whether one was given.
func nutFactorOf(in calc.In, a *calc.Answer) (low, likely, high float64, given bool) {
	if in.Has("nut_factor") {
		k := in.Number("nut_factor")
		return k, k, k, true
	}
	l := lubricationOf(in)
	a.Note("Nut factor %.2f (%.2f to %.2f) is taken for threads that are %s (%s, %s).", l.Likely, l.Low, l.High, l.Title, l.Source.Text, l.Source.Known)
	return l.Low, l.Likely, l.High, false
}

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "torque-short",
		Title: "Torque for a preload, short form",
		About: "The torque that pulls a bolt to a preload, from one nut factor. Ask it for a first figure; the band shows how far friction can move it.",
		Inputs: []calc.Input{threadInput(),
			{Name: "preload", Title: "Preload wanted", Kind: "force", Unit: "kN", Min: "0 N", Above: true, Max: "10000 kN"},
			lubricationInput("not known"), nutFactorInput(), gradeInput(true)},
		Outputs: []calc.Output{
			{Name: "torque", Title: "Torque", Kind: "torque", Unit: "N·m"},
			{Name: "nut_factor", Title: "Nut factor", Kind: calc.Number},
			{Name: "share_of_proof", Title: "Share of the proof load", Kind: calc.Number, Unit: "%", Optional: true},
		},
		Method: shortMethod, Sources: shortSources,
		Cautions: []string{"This is a calculation, not the maker's value: look that up first."},
		Example:  map[string]string{"thread": "M10", "preload": "25 kN", "lubrication": "zinc", "class": "8.8"},
		Compute: func(in calc.In, a *calc.Answer) error {
			t, err := threadOf(in)
			if err != nil {
				return err
			}
			preload := in.Force("preload")
			if err := judgePreload(in, a, t, preload, "preload", "Preload wanted"); err != nil {
				return err
			}
			low, likely, high, given := nutFactorOf(in, a)
			torque := TorqueFor(preload, t.Major, likely)
			a.Step("Torque", "T = K·d·F", "= %.3g · %s mm · %s = %s", likely, mmText(t.Major), forceText(preload), torqueText(torque))
			a.Give("nut_factor", likely)
			if given {
				a.Give("torque", torque)
				return nil
			}
			a.GiveBand("torque", TorqueFor(preload, t.Major, low), torque, TorqueFor(preload, t.Major, high))
			return nil
		},
	}
})

// judgePreload compares a preload with the class, when one is given: past the
// ultimate load it is refused, pointing at the input it came from.
func judgePreload(in calc.In, a *calc.Answer, t Thread, preload quantity.Force, input, title string) error {
	if !in.Has("class") {
		return nil
	}
	g, s, err := strengthOf(in, t)
	if err != nil {
		return err
	}
	loads := LoadsOf(t, s)
	safe, name := loads.Proof, "proof load"
	if safe == 0 {
		safe, name = loads.Yield, "yield load"
	}
	if preload > loads.Ultimate {
		return in.Refuse(input, "%s: %s of preload would tear %s of class %s, which bears %s at most; ask for less or take a stronger bolt.",
			title, forceText(preload), t, g.Name, forceText(loads.Ultimate))
	}
	share := float64(preload) / float64(safe)
	a.Step("Share of the "+name, "F / Fp", "= %s / %s = %.0f %%", forceText(preload), forceText(safe), 100*share)
	a.Give("share_of_proof", 100*share)
	switch {
	case preload > loads.Yield:
		a.Judge(calc.Bad, "%s is past the yield load of %s: the bolt stretches for good.", forceText(preload), forceText(loads.Yield))
	case share > 1:
		a.Judge(calc.Bad, "%s is past the %s of %s.", forceText(preload), name, forceText(safe))
	case share > 0.9:
		a.Judge(calc.Careful, "%.0f %% of the %s leaves no room for the scatter of tightening.", 100*share, name)
	default:
		a.Judge(calc.Good, "The bolt is at %.0f %% of its %s; 75 %% is usual for a bolt that is used again.", 100*share, name)
	}
	return nil
}
