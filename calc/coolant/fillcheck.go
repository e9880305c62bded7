package coolant

import (
	"lastbolt/calc"
	"lastbolt/quantity"
)

// TrappedAir is how much less went in than came out, with the band that the
// uncertainty of each measurement leaves. A negative value is more in than out.
func TrappedAir(caught, spilled, filled, unsure quantity.Volume) Band[quantity.Volume] {
	missing := caught + spilled - filled
	off := 2*unsure + spilled/2
	return Band[quantity.Volume]{Low: missing - off, Likely: missing, High: missing + off}
}

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "coolant-fill-check",
		Title: "Did it all go in: trapped air",
		About: "Compares what came out with what went in. What is missing is air somewhere high up, most often in the heater or under the thermostat.",
		Method: "Missing = caught + spilled − filled, all cold. Each jug is uncertain and a spill is only known to a half, so the answer is " +
			"a range; below its width nothing can be said. A system that was low before will rightly take more than came out.\n\n" +
			"After the first warm-up and cooling the level falls by about what was trapped: check it cold before the first drive and again after it.",
		Inputs: []calc.Input{
			{Name: "caught", Title: "Came out", Kind: "volume", Unit: "L", Min: "0 L", Above: true},
			{Name: "spilled", Title: "Spilled, a guess", Kind: "volume", Unit: "L", Default: "0 L"},
			{Name: "filled", Title: "Filled so far", Kind: "volume", Unit: "L", Min: "0 L"},
			{Name: "unsure", Title: "Each measurement is good to", Kind: "volume", Unit: "L", Default: "0.1 L", Seldom: true, Max: "2 L"},
			{Name: "capacity", Title: "The system holds", Kind: "volume", Unit: "L", Min: "0.1 L", Optional: true},
		},
		Outputs: []calc.Output{
			{Name: "missing", Title: "Still to go in", Kind: "volume", Unit: "L", Digits: 2},
			{Name: "share", Title: "Of what came out", Kind: calc.Number, Unit: "%", Digits: 2},
			{Name: "bleed", Title: "Getting the air out", Kind: calc.Table, Columns: []calc.Output{
				{Name: "step", Title: "Step", Kind: calc.Count}, {Name: "do", Title: "What to do", Kind: calc.Text}}},
		},
		Sources: []calc.Source{{Text: "Volume balance; the order of bleeding is common practice, without a source", Known: calc.CommonPractice}},
		Cautions: []string{
			"An engine with air in the head overheats with a cool gauge: watch for a cold heater, and stop when the gauge moves oddly.",
			"Never open the cap while the engine is warm: not before it is cool to touch."},
		Example: map[string]string{"caught": "4.2 L", "spilled": "0.3 L", "filled": "3.4 L"},
		Compute: func(in calc.In, a *calc.Answer) error {
			caught, spilled, filled, unsure := in.Volume("caught"), in.Volume("spilled"), in.Volume("filled"), in.Volume("unsure")
			if in.Has("capacity") {
				capacity := in.Volume("capacity")
				if caught+spilled > capacity+2*unsure {
					return in.Refuse("caught", "Came out: %s and what was spilled are more than the %s the system holds.", in.Written("caught"), in.Written("capacity"))
				}
				if filled > capacity+unsure {
					return in.Refuse("filled", "Filled so far: %s is more than the %s the system holds; look whether it runs out somewhere, or into the engine.", in.Written("filled"), in.Written("capacity"))
				}
			}
			air := TrappedAir(caught, spilled, filled, unsure)
			a.GiveBand("missing", air.Low, air.Likely, air.High)
			a.Give("share", 100*float64(air.Likely/caught))
			a.Step("Missing", "caught + spilled − filled", "= %.3g + %.3g − %.3g = %.3g L", caught.In(quantity.Litre), spilled.In(quantity.Litre), filled.In(quantity.Litre), air.Likely.In(quantity.Litre))
			for i, do := range bleeding {
				a.GiveRow("bleed", i+1, do)
			}
			switch {
			case air.Low > 0:
				a.Judge(calc.Bad, "Between %.2f and %.2f L of air are still in there: bleed before the engine is run hot.", air.Low.In(quantity.Litre), air.High.In(quantity.Litre))
			case air.High < 0:
				a.Judge(calc.Careful, "More went in than came out: it was low before, or it leaks. Watch the level.")
			case air.Likely > unsure:
				a.Judge(calc.Careful, "Perhaps air, perhaps the measuring: look at the level again after the first warm-up.")
			default:
				a.Judge(calc.Good, "As much went in as came out, as nearly as can be measured.")
			}
			return nil
		},
	}
})

// bleeding is the usual order; the maker's own goes before it.
var bleeding = []string{
	"Heater on its hottest, blower off; open every bleed screw there is.",
	"Front wheels up, or the filler raised: it must be the highest point.",
	"Fill slowly; close each bleed screw when a stream without bubbles runs out.",
	"Squeeze the large hoses by hand, wait, and fill again.",
	"Cap off or loose as the maker says: run it until the thermostat opens (the lower hose gets hot), topping up as it sinks.",
	"Heater must blow hot at idle; cold means air in it still.",
	"Stop, let it cool until it is cool to touch, and fill to the cold mark.",
	"Level again after the first drive, cold; and once more after the second.",
}
