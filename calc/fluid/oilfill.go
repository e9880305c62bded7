package fluid

import (
	"lastbolt/calc"
	"lastbolt/quantity"
)

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "oil-fill",
		Title: "Oil fill, with and without the filter",
		About: "How much oil goes in at this change, how much to pour first, and what the amount drained tells.",
		Method: "With a new filter the maker's figure with filter, without one less what the old filter keeps. What stays in the coolers and galleries at every change " +
			"is no part of either figure. Pour nine tenths first, run it until the light is out, wait some minutes and fill to the mark.\n\n" +
			"The amount drained, against what was in it when full, is what the engine lost or burnt since (or what ran in). Too much is as bad as too little: the crank froths it.",
		Inputs: []calc.Input{
			{Name: "with_filter", Title: "Fill with filter", Kind: "volume", Unit: "L", Min: "0 L", Max: "100 L", Above: true, Help: "From the maker's document."},
			{Name: "filter", Title: "of it in the filter", Kind: "volume", Unit: "L", Default: "0.3 L", Help: "The difference of the maker's two figures; small filters hold 0.2 to 0.5 L."},
			{Name: "changed", Title: "Filter is changed", Kind: calc.YesNo, Default: "yes"},
			{Name: "drained", Title: "Came out, with the old filter if changed", Kind: "volume", Unit: "L", Optional: true},
		},
		Outputs: []calc.Output{
			{Name: "fill", Title: "Goes in", Kind: "volume", Unit: "L"},
			{Name: "first", Title: "Pour first", Kind: "volume", Unit: "L"},
			{Name: "missing", Title: "Was missing when drained", Kind: "volume", Unit: "L", Optional: true},
		},
		Sources:  []calc.Source{{Text: "Nine tenths first, wait, and fill to the mark", Known: calc.CommonPractice}},
		Cautions: []string{"The dipstick decides, not the figure: level ground, some minutes after stopping, between the marks.", notChosen},
		Example:  map[string]string{"with_filter": "4.5 L", "filter": "0.3 L", "changed": "yes", "drained": "3.6 L"},
		Compute: func(in calc.In, a *calc.Answer) error {
			fill, filter := in.Volume("with_filter"), in.Volume("filter")
			if filter >= fill {
				return in.Refuse("filter", "Of it in the filter: %s is not less than the whole fill of %s.", in.Written("filter"), in.Written("with_filter"))
			}
			if !in.Yes("changed") {
				fill -= filter
			}
			a.Give("fill", fill)
			a.Give("first", fill*0.9)
			a.Rest("first", calc.Advice, "nine tenths")
			if !in.Has("drained") {
				return nil
			}
			drained := in.Volume("drained")
			if drained > 2*fill {
				return in.Refuse("drained", "Came out: %s is more than twice the fill of %.3g L; measure again, or look whether fuel or coolant ran in.", in.Written("drained"), litres(fill))
			}
			missing := fill - drained
			off := 0.05*fill + quantity.Litres(0.1) // what clings, and the jug
			a.GiveBand("missing", missing-off, missing, missing+off)
			switch {
			case missing < -off:
				a.Judge(calc.Bad, "More came out than goes in: smell it for fuel and look for a milky colour before filling.")
			case missing > fill/4+off:
				a.Judge(calc.Bad, "More than a quarter was missing: look for the leak, and check the level more often.")
			case missing > off:
				a.Judge(calc.Careful, "Some was missing: note it against the distance since the last change.")
			default:
				a.Judge(calc.Good, "As much came out as goes in.")
			}
			return nil
		},
	}
})
