package belt

import (
	"math"

	"lastbolt/calc"
	"lastbolt/quantity"
)

var slipSources = []calc.Source{
	{Text: "n1·(d1 + t)·(1 − s) = n2·(d2 + t): a public first-year course note on belt drives; FOSSEE companion to Theory of Machines, ex. 11.1", Known: calc.Published},
	{Text: "ISO 9981:2020, 5.4: effective line differential 2 mm of the PK profile, for the speed ratio", Known: calc.Published},
}

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "belt-speed",
		Title: "Speeds through one or more belts",
		About: "How fast a driven shaft turns, through one belt or several in a row.",
		Method: "Each belt carries the speed over in the ratio of the diameters of its pitch line: given diameters, plus the belt's thickness, plus twice the effective line differential of a ribbed belt. Slip takes its per cent off at each belt.\n\n" +
			"With effective diameters of ribbed pulleys the differential matters: leaving it out is 2 to 4 per cent wrong on small pulleys.",
		Inputs: []calc.Input{
			{Name: "stages", Title: "Belts in a row", Kind: calc.Table, MaxRows: 12, Help: "One belt a line: the driving pulley, then the driven one.", Columns: []calc.Input{
				{Name: "driver", Title: "Driving diameter", Kind: "length", Unit: "mm", Min: "1 mm", Max: "20 m"},
				{Name: "driven", Title: "Driven diameter", Kind: "length", Unit: "mm", Min: "1 mm", Max: "20 m"},
				{Name: "slip", Title: "Slip", Kind: calc.Number, Unit: "%", Default: "0", Min: "0", Max: "50"},
				{Name: "thickness", Title: "Belt thickness", Kind: "length", Unit: "mm", Default: "0 mm", Min: "0 mm", Max: "100 mm"},
			}},
			{Name: "speed", Title: "Speed of the first shaft", Kind: "rotational speed", Unit: "rpm", Min: "0 rpm", Above: true, Max: "100000 rpm"},
			{Name: "diameters", Title: "Diameters given are", Kind: calc.Choice, Default: "pitch", Choices: []calc.Option{
				{Value: "pitch", Title: "pitch, or of a thin flat belt"}, {Value: "PK", Title: "effective, PK belt"}, {Value: "PH", Title: "effective, PH belt"},
				{Value: "PJ", Title: "effective, PJ belt"}, {Value: "PL", Title: "effective, PL belt"}, {Value: "PM", Title: "effective, PM belt"}}},
		},
		Outputs: []calc.Output{
			{Name: "speed", Title: "Speed of the last shaft", Kind: "rotational speed", Unit: "rpm", Digits: 5},
			{Name: "ratio", Title: "Turns of the last for one of the first", Kind: calc.Number, Digits: 5},
			{Name: "belts", Title: "Belts", Kind: calc.Table, Columns: []calc.Output{
				{Name: "speed", Title: "Driven shaft", Kind: "rotational speed", Unit: "rpm", Digits: 5},
				{Name: "belt_speed", Title: "Belt speed", Kind: "speed", Unit: "m/s", Digits: 4},
			}},
		},
		Sources: slipSources,
		Example: map[string]string{"stages": "150; 60", "speed": "800 rpm", "diameters": "PK"},
		Compute: func(in calc.In, a *calc.Answer) error {
			more := quantity.Length(0)
			if name := in.Choice("diameters"); name != "pitch" {
				p, err := ProfileNamed(name)
				if err != nil {
					return err
				}
				more = 2 * p.Differential
			}
			n := float64(in.RotationalSpeed("speed"))
			for i, row := range in.Rows("stages") {
				d1, d2 := float64(row.Length("driver")+row.Length("thickness")+more), float64(row.Length("driven")+row.Length("thickness")+more)
				v := n * d1 / 2
				next := n * d1 / d2 * (1 - row.Number("slip")/100)
				a.Step("Belt "+string(rune('1'+i)), "n2 = n1 · d1/d2 · (1 − s)", "= %.2f · %.3f/%.3f · (1 − %.4g) = %.2f rpm",
					rpm(n), 1000*d1, 1000*d2, row.Number("slip")/100, rpm(next))
				n = next
				a.GiveRow("belts", quantity.RotationalSpeed(n), quantity.Speed(v))
			}
			a.Give("speed", quantity.RotationalSpeed(n))
			a.Give("ratio", n/float64(in.RotationalSpeed("speed")))
			return nil
		},
	}
})

func rpm(omega float64) float64 { return omega * 60 / (2 * math.Pi) }

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:   "belt-pulley-size",
		Title:  "Size of a driven pulley",
		About:  "Which diameter a driven pulley needs to turn at a wanted speed.",
		Method: "d2 = (d1 + t)·n1/n2·(1 − s) − t, with the belt's thickness t and its slip s. For ribbed belts give pitch diameters, or effective ones with t twice the effective line differential (4 mm for PK).",
		Inputs: []calc.Input{
			{Name: "driver", Title: "Driving diameter", Kind: "length", Unit: "mm", Min: "1 mm", Max: "20 m"},
			{Name: "driver_speed", Title: "Its speed", Kind: "rotational speed", Unit: "rpm", Min: "0 rpm", Above: true},
			{Name: "speed", Title: "Speed wanted", Kind: "rotational speed", Unit: "rpm", Min: "0 rpm", Above: true},
			{Name: "thickness", Title: "Belt thickness", Kind: "length", Unit: "mm", Default: "0 mm", Min: "0 mm", Max: "100 mm"},
			{Name: "slip", Title: "Slip", Kind: calc.Number, Unit: "%", Default: "0", Min: "0", Max: "50"},
		},
		Outputs: []calc.Output{{Name: "diameter", Title: "Driven diameter", Kind: "length", Unit: "mm", Digits: 5}},
		Sources: slipSources[:1],
		Example: map[string]string{"driver": "150 mm", "driver_speed": "800 rpm", "speed": "1900 rpm"},
		Compute: func(in calc.In, a *calc.Answer) error {
			t, slip := float64(in.Length("thickness")), in.Number("slip")/100
			ratio := float64(in.RotationalSpeed("driver_speed")) / float64(in.RotationalSpeed("speed"))
			d := (float64(in.Length("driver"))+t)*ratio*(1-slip) - t
			if d <= 0 {
				return in.Refuse("speed", "No pulley is small enough for that speed with a belt %s thick; use a larger driving pulley or two belts.", mm(in.Length("thickness")))
			}
			a.Give("diameter", quantity.Length(d))
			a.Step("Driven diameter", "d2 = (d1 + t) · n1/n2 · (1 − s) − t", "= %.3f mm", 1000*d)
			return nil
		},
	}
})
