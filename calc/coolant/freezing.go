package coolant

import (
	"fmt"

	"lastbolt/calc"
	"lastbolt/quantity"
)

// FreezingMargin is how far below the coldest air the freezing point should
// lie: 5 °C, after a coolant laboratory's interpretation guide.
const FreezingMargin quantity.TemperatureDifference = 5

var freezingOutputs = []calc.Output{
	{Name: "freezing", Title: "First ice", Kind: "temperature", Unit: "°C", Digits: 3,
		Help: "The likely value is ASHRAE's; the range is what all the sources say, with half a degree for rounding."},
	{Name: "good_for", Title: "Coldest air it is good for", Kind: "temperature", Unit: "°C", Digits: 2,
		Help: "The warmest of the sources, and 5 °C to spare."},
	{Name: "by_source", Title: "What each source says", Kind: calc.Table, Columns: []calc.Output{
		{Name: "source", Title: "Source", Kind: calc.Text},
		{Name: "freezing", Title: "First ice", Kind: "temperature", Unit: "°C", Digits: 3},
	}},
	{Name: "by_volume", Title: "Strength by volume", Kind: calc.Number, Unit: "%"},
	{Name: "by_mass", Title: "Strength by mass", Kind: calc.Number, Unit: "%"},
}

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "coolant-freezing",
		Title: "Freezing point of a coolant",
		About: "At which temperature the first ice appears in a mixture of glycol and water, and how far the published tables disagree.",
		Method: "Four sources are read at the strength asked for, each between its own points by a monotone cubic, and shown beside " +
			"each other: ASHRAE's table (industrial fluids with inhibitors), Melinder's (plain glycol), SAE J814 and one more for " +
			"each glycol. Mass and volume are turned into each other by ASHRAE's table.\n\n" +
			"The first ice is slush, not a burst block; but the pump does not move slush. Above 60 % by volume laboratories do " +
			"not agree on the freezing point, so only a range is given there and nothing is promised; above 70 % there is no table.",
		Inputs:   []calc.Input{askBase, askStrength("50"), askBy},
		Outputs:  freezingOutputs,
		Sources:  []calc.Source{fromASHRAE, fromMelinder, fromJ814, fromLange, fromD1177},
		Cautions: []string{notMakers},
		Example:  map[string]string{"base": "ethylene", "strength": "50", "by": "volume"},
		Compute: func(in calc.In, a *calc.Answer) error {
			b := baseOf(in)
			v, err := shareOf(in, b, MaxShare)
			if err != nil {
				return err
			}
			giveFreezing(a, b, v)
			a.Draw(Chart(b, v, quantity.Kilopascals(101.325)))
			return nil
		},
	}
})

// giveFreezing fills freezingOutputs.
func giveFreezing(a *calc.Answer, b Base, v VolumeShare) {
	band, readings, promised := Freezing(b, v)
	if promised {
		a.GiveBand("freezing", band.Low, band.Likely, band.High)
	} else {
		a.GiveRange("freezing", band.Low, band.High)
		a.Judge(calc.Careful, "Above 60 %% by volume laboratories disagree by more than %.0f °C: nothing colder than %.0f °C is promised.",
			float64(band.Width()), celsius(band.High))
	}
	a.Rest("freezing", calc.Tabulated, "published tables, read between their points")
	a.Give("good_for", band.High.Add(FreezingMargin))
	a.Rest("good_for", calc.Advice, "the warmest source, and 5 °C to spare")
	for _, r := range readings {
		if r.Known {
			a.GiveRow("by_source", r.Source, r.Value)
		} else {
			a.GiveRow("by_source", r.Source+": does not reach "+fmt.Sprintf("%.0f %%", 100*float64(v)), nil)
		}
	}
	a.Give("by_volume", 100*float64(v))
	a.Give("by_mass", 100*float64(b.Mass(v)))
	if v > 0 && v < 0.395 {
		a.Note("Below 40 % by volume the inhibitors are thin as well: coolant standards are written for 40 to 60 %.")
	}
}
