package coolant

import (
	"lastbolt/calc"
	"lastbolt/quantity"
)

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "coolant-properties",
		Title: "Density and heat capacity of a coolant",
		About: "How heavy a mixture is and how much heat a litre of it carries, from its freezing point to 100 °C. The density is what a hydrometer reads.",
		Method: "ASHRAE's tables through the fits CoolProp gives for them (within 0.3 kg/m³ of the tables), below 10 % by volume " +
			"straight between water and the table's first column; beside them, up to 40 °C, Melinder's tables. The likely value is ASHRAE's, " +
			"an inhibited industrial fluid; plain glycol is some 5 kg/m³ lighter at half and half.\n\n" +
			"At most 60 % by volume, where the tables end.",
		Inputs: []calc.Input{askBase, askStrength("50"), askBy,
			{Name: "temperature", Title: "Temperature", Kind: "temperature", Unit: "°C", Default: "20 °C", Max: "100 °C"}},
		Outputs: []calc.Output{
			{Name: "density", Title: "Density", Kind: "density", Unit: "kg/m³", Digits: 6},
			{Name: "heat", Title: "Specific heat capacity", Kind: "specific heat", Unit: "J/(kg·K)", Digits: 4},
			{Name: "against_water", Title: "Heat carried by a litre, against water at 20 °C", Kind: calc.Number, Unit: "%"},
			{Name: "by_source", Title: "What each source says", Kind: calc.Table, Columns: []calc.Output{
				{Name: "source", Title: "Source", Kind: calc.Text},
				{Name: "density", Title: "Density", Kind: "density", Unit: "kg/m³", Digits: 6},
				{Name: "heat", Title: "Specific heat", Kind: "specific heat", Unit: "J/(kg·K)", Digits: 4},
			}},
		},
		Sources:  []calc.Source{fromASHRAE, fromMelinder, fromKell},
		Cautions: []string{notMakers},
		Example:  map[string]string{"base": "ethylene", "strength": "50", "temperature": "20 °C"},
		Compute: func(in calc.In, a *calc.Answer) error {
			b, t := baseOf(in), in.Temperature("temperature")
			v, err := shareOf(in, b, MaxPromised)
			if err != nil {
				return err
			}
			if ice, _, _ := Freezing(b, v); t < ice.Low {
				return in.Refuse("temperature", "Temperature: at %s this mixture is ice and slush; ask above its freezing point of about %.0f °C.", in.Written("temperature"), celsius(ice.Likely))
			}
			density, densities := Density(b, v, t)
			heat, heats := SpecificHeat(b, v, t)
			a.GiveBand("density", density.Low, density.Likely, density.High)
			a.GiveBand("heat", heat.Low, heat.Likely, heat.High)
			water := float64(WaterDensity(quantity.Celsius(20))) * waterHeat.at(20)
			a.Give("against_water", 100*float64(density.Likely)*float64(heat.Likely)/water)
			for i := range densities {
				row := []any{densities[i].Source, nil, nil}
				if densities[i].Known {
					row[1], row[2] = densities[i].Value, heats[i].Value
				}
				a.GiveRow("by_source", row...)
			}
			return nil
		},
	}
})
