package fastener

import (
	"lastbolt/calc"
	"lastbolt/quantity"
)

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "prevailing-torque",
		Title: "Torque with a locking nut",
		About: "What to set on the wrench when a self-locking nut or a locking insert already needs torque to turn before anything is clamped.",
		Method: "The running torque of a locking nut does not clamp. It is measured just before the nut touches down, each time it is fitted, and added to " +
			"the torque that is to clamp. A locking nut that has lost its grip has to be replaced.\n\nWhen the maker's value already includes it, nothing is added. A document that says \"above running torque\" does not.",
		Inputs: []calc.Input{
			{Name: "torque", Title: "Torque of the joint", Kind: "torque", Unit: "N·m", Min: "0 N·m", Above: true, Max: "100000 N·m"},
			{Name: "running", Title: "Running torque measured", Kind: "torque", Unit: "N·m", Min: "0 N·m", Max: "10000 N·m",
				Help: "Turned steadily over a full turn, before the nut touches down."},
			{Name: "included", Title: "Does the joint's torque include it?", Kind: calc.YesNo, Default: "no", Help: "The maker's document says. Where it is silent the sources differ: FAA AC 43.13-1B adds it, NASA reads it as included."},
			{Name: "least_running", Title: "Least running torque allowed", Kind: "torque", Unit: "N·m", Min: "0 N·m", Max: "10000 N·m", Optional: true, Help: "From the maker's document, for a nut that is used again."},
		},
		Outputs: []calc.Output{
			{Name: "set", Title: "Torque to set", Kind: "torque", Unit: "N·m", Digits: 4},
			{Name: "clamping", Title: "Of which clamps", Kind: "torque", Unit: "N·m", Digits: 4},
		},
		Sources: []calc.Source{
			{Text: "FAA AC 43.13-1B, 7-40 d: add the running torque to the tabulated one", Known: calc.Published},
			{Text: "NASA-STD-5020B (2021), A.2 and table 4; as read by kolver.com: a torque not said to be above running torque is the whole", Known: calc.Published},
			{Text: "US Army TM 55-1560-307-13&P, appendix F-2: final torque is the sum", Known: calc.Published},
		},
		Example: map[string]string{"torque": "25 N·m", "running": "3 N·m"},
		Compute: func(in calc.In, a *calc.Answer) error {
			torque, running := in.Torque("torque"), in.Torque("running")
			set, clamping := torque+running, torque
			if in.Yes("included") {
				set, clamping = torque, torque-running
				if clamping <= 0 {
					return in.Refuse("running", "Running torque measured: %s is not less than the whole torque of %s, so nothing would clamp; the nut binds, take another.",
						torqueText(running), torqueText(torque))
				}
				a.Step("Of which clamps", "T − running", "= %s − %s = %s", torqueText(torque), torqueText(running), torqueText(clamping))
			} else {
				a.Step("Torque to set", "T + running", "= %s + %s = %s", torqueText(torque), torqueText(running), torqueText(set))
			}
			a.Give("set", set)
			a.Give("clamping", clamping)
			judgeRunning(in, a, running, torque)
			return nil
		},
	}
})

// bindingShare is the running torque over the joint's from which on a nut is
// thought to bind rather than lock.
const bindingShare = 0.5

func judgeRunning(in calc.In, a *calc.Answer, running, torque quantity.Torque) {
	switch {
	case in.Has("least_running") && running < in.Torque("least_running"):
		a.Judge(calc.Bad, "The nut has lost its grip (%s, at least %s): replace it.", torqueText(running), torqueText(in.Torque("least_running")))
	case running == 0:
		a.Judge(calc.Careful, "Nothing holds the nut: if it is meant to lock, replace it.")
	case running > torque*bindingShare:
		a.Judge(calc.Careful, "The running torque is more than half of the joint's own: look for damaged threads.")
	}
}
