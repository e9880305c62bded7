package coolant

import (
	"lastbolt/calc"
	"lastbolt/quantity"
)

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "coolant-for-cold",
		Title: "Strength for the coldest night",
		About: "How strong the coolant must be for the coldest air to be expected, and whether that can be had at all.",
		Method: "The freezing point is to lie a margin below the coldest air; 5 °C is a coolant laboratory's advice. The strength is " +
			"the weakest at which the warmest of the published sources freezes no sooner than that.\n\n" +
			"Nothing above 60 % by volume is promised, because laboratories disagree there and stronger mixtures freeze sooner again.",
		Inputs: []calc.Input{askBase,
			{Name: "coldest", Title: "Coldest air expected", Kind: "temperature", Unit: "°C", Min: "-90 °C", Max: "50 °C"},
			{Name: "margin", Title: "To spare", Kind: "temperature difference", Unit: "°C", Default: "5 °C", Min: "0 °C", Max: "30 °C"},
		},
		Outputs: []calc.Output{
			{Name: "needed", Title: "Strength needed, by volume", Kind: calc.Number, Unit: "%"},
			{Name: "needed_by_mass", Title: "Strength needed, by mass", Kind: calc.Number, Unit: "%"},
			{Name: "to_fill", Title: "Strength to fill, by volume", Kind: calc.Number, Unit: "%", Digits: 2,
				Help: "Rounded up to 5 %, and at least 40 % for the inhibitors."},
			{Name: "reachable", Title: "Can it be reached", Kind: calc.YesNo},
			{Name: "freezing", Title: "First ice at the strength to fill", Kind: "temperature", Unit: "°C"},
		},
		Sources: []calc.Source{fromASHRAE, fromMelinder, fromJ814, fromLange, fromD1177,
			{Text: "5 °C to spare: a coolant laboratory's interpretation guide (scribd.com/document/667014351)", Known: calc.Published},
			{Text: "40 to 60 % by volume: scope of ASTM D3306, newer text, as quoted at mat-cs.com", Known: calc.Published}},
		Cautions: []string{notMakers},
		Example:  map[string]string{"base": "ethylene", "coldest": "-25 °C"},
		Compute: func(in calc.In, a *calc.Answer) error {
			b := baseOf(in)
			ice := in.Temperature("coldest").Add(-in.TemperatureDifference("margin"))
			v, ok := StrengthFor(b, ice)
			fill := FillFor(v)
			a.Give("needed", 100*float64(v))
			a.Give("needed_by_mass", 100*float64(b.Mass(v)))
			a.Give("to_fill", 100*float64(fill))
			a.Rest("to_fill", calc.Advice, "rounded up to 5 %, at least 40 %")
			a.Give("reachable", ok)
			band, _, _ := Freezing(b, fill)
			a.GiveBand("freezing", band.Low, band.Likely, band.High)
			if !ok {
				a.Judge(calc.Bad, "No mixture of %s is promised for %s with %s to spare: the most is %.0f °C at 60 %%. Keep the vehicle inside or use a block heater.",
					b, in.Written("coldest"), in.Written("margin"), celsius(band.High.Add(in.TemperatureDifference("margin"))))
				return nil
			}
			a.Judge(calc.Good, "%.0f %% by volume keeps ice away at %s with at least %s to spare.", 100*float64(fill), in.Written("coldest"), in.Written("margin"))
			a.Draw(Chart(b, fill, quantity.Kilopascals(101.325)))
			return nil
		},
	}
})

// FillFor is the strength to fill for a strength needed: rounded up to the next
// 5 per cent, at least 40 (the inhibitors need it) and at most 60.
func FillFor(v VolumeShare) VolumeShare {
	for fill := VolumeShare(0.40); fill < MaxPromised; fill += 0.05 {
		if fill >= v-1e-9 {
			return fill
		}
	}
	return MaxPromised
}
