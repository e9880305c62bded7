package coolant

import (
	"lastbolt/calc"
	"lastbolt/quantity"
)

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "coolant-expansion",
		Title: "Expansion when it gets hot",
		About: "By how much the fill grows from cold to hot, and whether the expansion tank has the room.",
		Method: "ΔV = V·(ρ(cold)/ρ(hot) − 1), with the density of the mixture at both temperatures from ASHRAE. The range is a twentieth either way, " +
			"which is what plain and inhibited glycol differ by. The hoses give a little and the metal grows a little; both are left out, so less may rise.",
		Inputs: []calc.Input{askBase, askStrength("50"), askBy,
			{Name: "volume", Title: "Coolant in the system", Kind: "volume", Unit: "L", Min: "0 L", Above: true},
			{Name: "cold", Title: "Filled at", Kind: "temperature", Unit: "°C", Default: "20 °C"},
			{Name: "hot", Title: "Runs at", Kind: "temperature", Unit: "°C", Default: "90 °C", Max: "100 °C", Help: "At most 100 °C: the tables end there. Above it expect 0.8 % more for each 10 °C."},
			{Name: "room", Title: "Room above the cold mark", Kind: "volume", Unit: "L", Optional: true},
		},
		Outputs: []calc.Output{
			{Name: "grows", Title: "It grows by", Kind: "volume", Unit: "L"},
			{Name: "share", Title: "That is", Kind: calc.Number, Unit: "%"},
		},
		Sources: []calc.Source{fromASHRAE, fromKell},
		Example: map[string]string{"base": "ethylene", "strength": "50", "volume": "10 L", "cold": "20 °C", "hot": "90 °C", "room": "0.7 L"},
		Compute: func(in calc.In, a *calc.Answer) error {
			b, cold, hot, volume := baseOf(in), in.Temperature("cold"), in.Temperature("hot"), in.Volume("volume")
			v, err := shareOf(in, b, MaxPromised)
			if err != nil {
				return err
			}
			if ice, _, _ := Freezing(b, v); cold < ice.Low {
				return in.Refuse("cold", "Filled at: at %s this mixture is ice and slush.", in.Written("cold"))
			}
			if hot < cold {
				return in.Refuse("hot", "Runs at: %s is colder than the %s it was filled at.", in.Written("hot"), in.Written("cold"))
			}
			swell := Swell(b, v, cold, hot)
			a.GiveBand("grows", volume*quantity.Volume(swell.Low), volume*quantity.Volume(swell.Likely), volume*quantity.Volume(swell.High))
			a.GiveBand("share", 100*swell.Low, 100*swell.Likely, 100*swell.High)
			a.Step("Growth", "V·(ρ(cold)/ρ(hot) − 1)", "= %.4g · %.4f = %.3g L", volume.In(quantity.Litre), swell.Likely, volume.In(quantity.Litre)*swell.Likely)
			if in.Has("room") {
				if room := in.Volume("room"); room < volume*quantity.Volume(swell.High) {
					a.Judge(calc.Bad, "The tank has %s and up to %.2f L rise: it will spill. Fill only to the cold mark.", in.Written("room"), volume.In(quantity.Litre)*swell.High)
				} else {
					a.Judge(calc.Good, "The tank takes it.")
				}
			}
			return nil
		},
	}
})
