package coolant

import "lastbolt/calc"

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "coolant-strength",
		Title: "Volume per cent and mass per cent",
		About: "Turns the strength of a coolant from per cent by volume into per cent by mass or back. Ask before comparing two tables.",
		Method: "Up to 60 % by mass the two stand beside each other in ASHRAE's table, which is read straight between its lines; " +
			"above it the volumes of pure glycol and water before mixing at 20 °C are taken.\n\n" +
			"Volume per cent here is glycol before mixing over the mixture. A mixture is a little smaller than its parts " +
			"(about 1 % at half and half), so other books differ by half a per cent. A concentrate is taken as pure glycol; " +
			"it may hold up to 5 % water and inhibitors.",
		Inputs: []calc.Input{askBase, askStrength("50"), askBy},
		Outputs: []calc.Output{
			{Name: "by_volume", Title: "By volume", Kind: calc.Number, Unit: "%"},
			{Name: "by_mass", Title: "By mass", Kind: calc.Number, Unit: "%"},
		},
		Sources: []calc.Source{fromASHRAE},
		Example: map[string]string{"base": "ethylene", "strength": "50", "by": "volume"},
		Compute: func(in calc.In, a *calc.Answer) error {
			b := baseOf(in)
			v, err := shareOf(in, b, 1)
			if err != nil {
				return err
			}
			w := b.Mass(v)
			a.Give("by_volume", 100*float64(v))
			a.Give("by_mass", 100*float64(w))
			if w <= 0.60+1e-9 {
				a.Rest("by_mass", calc.Tabulated, "ASHRAE's table, between its lines")
			}
			a.Note("Within half a per cent: the books count the volume before or after mixing, which is not the same.")
			return nil
		},
	}
})
