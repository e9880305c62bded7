package coolant

import (
	"lastbolt/calc"
	"lastbolt/quantity"
)

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "coolant-top-up",
		Title: "Topping up",
		About: "What is left of the protection after topping up with water or antifreeze, and what should have been filled.",
		Method: "The mixture present, V − missing, keeps its strength; what is filled is mixed in. Coolant lost through a leak is " +
			"replaced by its own strength; what boiled away was nearly all water and is replaced by water.\n\n" +
			"A system that must be topped up again has a leak: find it.",
		Inputs: []calc.Input{askBase, askCapacity,
			{Name: "missing", Title: "Missing", Kind: "volume", Unit: "L", Min: "0 L"},
			{Name: "present", Title: "Strength of what is in there, by volume", Kind: calc.Number, Unit: "%", Min: "0", Max: "70", Default: "50"},
			{Name: "filled", Title: "Strength of what is filled, by volume", Kind: calc.Number, Unit: "%", Min: "0", Max: "100", Default: "0", Help: "0 % is water, 100 % is concentrate."},
		},
		Outputs: []calc.Output{
			{Name: "after", Title: "Strength afterwards, by volume", Kind: calc.Number, Unit: "%"},
			{Name: "freezing", Title: "First ice afterwards", Kind: "temperature", Unit: "°C", Optional: true},
			{Name: "before", Title: "First ice before", Kind: "temperature", Unit: "°C"},
			{Name: "good_for", Title: "Coldest air it is good for", Kind: "temperature", Unit: "°C", Digits: 2, Optional: true},
		},
		Sources:  []calc.Source{{Text: "Mass balance; freezing points from ASHRAE, Melinder, SAE J814, Lange and ASTM D1177 as in the calculation of the freezing point", Known: calc.Published}},
		Cautions: []string{"Fill a hot engine only when it is cool to touch, and never cold water into a hot one.", notMakers},
		Example:  map[string]string{"base": "ethylene", "capacity": "7 L", "missing": "1.5 L", "present": "50", "filled": "0"},
		Compute: func(in calc.In, a *calc.Answer) error {
			b, total, missing := baseOf(in), in.Volume("capacity"), in.Volume("missing")
			if missing > total {
				return in.Refuse("missing", "Missing: %s is more than the %s the system holds.", in.Written("missing"), in.Written("capacity"))
			}
			have, fill := VolumeShare(in.Number("present")/100), VolumeShare(in.Number("filled")/100)
			after := Exchange(total, missing, have, fill)
			a.Give("after", 100*float64(after))
			before, _, _ := Freezing(b, have)
			a.GiveBand("before", before.Low, before.Likely, before.High)
			if after > MaxShare {
				a.Judge(calc.Bad, "%.0f %% is stronger than any table reaches; it freezes sooner again and carries heat badly. Fill water in place of some of it.", 100*float64(after))
				return nil
			}
			band, _, promised := Freezing(b, after)
			if promised {
				a.GiveBand("freezing", band.Low, band.Likely, band.High)
			} else {
				a.GiveRange("freezing", band.Low, band.High)
			}
			a.Give("good_for", band.High.Add(FreezingMargin))
			switch {
			case after > MaxPromised+1e-9:
				a.Judge(calc.Careful, "%.0f %% is stronger than the 60 %% worth having.", 100*float64(after))
			case after < 0.395:
				a.Judge(calc.Careful, "%.0f %% is weaker than the 40 %% the inhibitors are made for: put it right soon.", 100*float64(after))
			default:
				a.Judge(calc.Good, "%.0f %% by volume, within the 40 to 60 %% coolants are made for.", 100*float64(after))
			}
			if missing > total/10 {
				a.Note("%.0f %% of the fill is missing: look for the leak, and for trapped air afterwards.", 100*float64(missing/total))
			}
			a.Step("Strength", "c₁ = c₀ + (c − c₀)·D/V", "= %.4g + (%.4g − %.4g)·%.4g/%.4g = %.3g %%", 100*float64(have), 100*float64(fill), 100*float64(have),
				missing.In(quantity.Litre), total.In(quantity.Litre), 100*float64(after))
			return nil
		},
	}
})
