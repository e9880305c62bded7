package coolant

import (
	"lastbolt/calc"
	"lastbolt/quantity"
)

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "coolant-boiling",
		Title: "Boiling point of a coolant under its cap",
		About: "At which temperature a mixture begins to boil, given the cap and the altitude. Ask when it boils over, and before driving with a leaking cap.",
		Method: "A cap holds its pressure over the air outside, so the absolute pressure is that of the standard atmosphere at the " +
			"altitude plus the cap. The bubble point follows from Raoult's law, x·p(water) + (1 − x)·p(glycol) = p, with x the " +
			"share of water molecules, water's vapour pressure by IAPWS-IF97 and the glycol's by its Antoine equation.\n\n" +
			"It meets SAE J814 within 1 °C up to 60 % by volume and is 2 °C high at 70 %, hence the range of ±2 °C. The rule of " +
			"thumb of 3 °F for each psi is a little too good. A cap must be trusted to open at its figure: old ones open early.",
		Inputs: append([]calc.Input{askBase, askStrength("50"), askBy}, append(askCap, askAltitude)...),
		Outputs: []calc.Output{
			{Name: "boiling", Title: "Boils from", Kind: "temperature", Unit: "°C", Digits: 4},
			{Name: "open", Title: "Without a cap at sea level, computed", Kind: "temperature", Unit: "°C", Digits: 4},
			{Name: "standard", Title: "The same after SAE J814", Kind: "temperature", Unit: "°C", Digits: 4, Optional: true, Help: "From 40 to 70 % by volume, in whole degrees."},
			{Name: "water", Title: "Water alone under the same pressure", Kind: "temperature", Unit: "°C", Digits: 4},
			{Name: "absolute", Title: "Absolute pressure in the system", Kind: "pressure", Unit: "kPa", Digits: 5},
			{Name: "hottest", Title: "Hottest the coolant should get", Kind: "temperature", Unit: "°C", Digits: 3,
				Help: "The low end, and 5.6 °C (10 °F) to spare for the hot spots in the head."},
		},
		Sources:  []calc.Source{fromIF97, fromAntoine, fromJ814, fromASHRAE, fromAir},
		Cautions: []string{"A hot system under pressure scalds when it is opened: never before it is cool to touch.", notMakers},
		Example:  map[string]string{"base": "ethylene", "strength": "50", "cap": "1 bar", "altitude": "0 m"},
		Compute: func(in calc.In, a *calc.Answer) error {
			b := baseOf(in)
			v, err := shareOf(in, b, MaxShare)
			if err != nil {
				return err
			}
			p, err := pressureOf(in)
			if err != nil {
				return err
			}
			band := Boiling(b, v, p)
			a.GiveBand("boiling", band.Low, band.Likely, band.High)
			a.Rest("boiling", calc.Computed, "Raoult's law; within 1 °C of SAE J814 up to 60 %")
			a.Give("open", Boiling(b, v, quantity.Pascals(101325)).Likely)
			if c := b.data().j814Boiling; c.covers(100 * float64(v)) {
				a.Give("standard", fromCelsius(c.at(100*float64(v))))
				a.Rest("standard", calc.Tabulated, "SAE J814, read between its points")
			}
			a.Give("water", SaturationTemperature(p))
			a.Give("absolute", p)
			a.Give("hottest", band.Low.Add(-5.6))
			a.Rest("hottest", calc.Advice, "10 °F below boiling, after a coolant laboratory's guide")
			air := Atmosphere(in.Length("altitude"))
			a.Step("Pressure", "p = p(air) + cap", "= %.1f + %.1f = %.1f kPa", air.In(quantity.Kilopascal), (p - air).In(quantity.Kilopascal), p.In(quantity.Kilopascal))
			a.Step("Bubble point", "x·p(water) + (1 − x)·p(glycol) = p", "at %.1f °C", celsius(band.Likely))
			if in.Choice("system") == "open" {
				open := Boiling(b, v, air+quantity.Bars(1))
				a.Judge(calc.Careful, "Without a cap it boils %.0f °C sooner than under one of 1 bar.", float64(open.Likely-band.Likely))
			}
			a.Draw(Chart(b, v, p))
			return nil
		},
	}
})

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:   "water-boiling",
		Title:  "Boiling point of water under pressure",
		About:  "At which temperature plain water boils under a pressure: what is left of the boiling point when the system was topped up with water alone.",
		Method: "The saturation line of IAPWS-IF97, region 4, backward equation. It holds from the triple point to the critical point; here pressures from 0.2 bar to 20 bar are taken.",
		Inputs: []calc.Input{
			{Name: "pressure", Title: "Pressure", Kind: "pressure", Unit: "bar"},
			{Name: "reading", Title: "The pressure is", Kind: calc.Choice, Default: "gauge", Choices: []calc.Option{
				{Value: "gauge", Title: "over the air outside, as gauges and caps show it"},
				{Value: "absolute", Title: "absolute"}}},
			askAltitude,
		},
		Outputs: []calc.Output{
			{Name: "boiling", Title: "Boils at", Kind: "temperature", Unit: "°C", Digits: 4},
			{Name: "absolute", Title: "Absolute pressure", Kind: "pressure", Unit: "bar", Digits: 5},
		},
		Sources: []calc.Source{fromIF97, fromAir},
		Example: map[string]string{"pressure": "1 bar", "reading": "gauge", "altitude": "0 m"},
		Compute: func(in calc.In, a *calc.Answer) error {
			altitude, err := altitudeOf(in)
			if err != nil {
				return err
			}
			p := in.Pressure("pressure")
			if in.Choice("reading") == "gauge" {
				p += Atmosphere(altitude)
			}
			if p < quantity.Bars(0.2) || p > quantity.Bars(20) {
				return in.Refuse("pressure", "Pressure: %s is %.3g bar absolute; between 0.2 and 20 bar absolute can be answered.", in.Written("pressure"), p.In(quantity.Bar))
			}
			a.Give("boiling", SaturationTemperature(p))
			a.Give("absolute", p)
			return nil
		},
	}
})
