package belt

import (
	"math"

	"lastbolt/calc"
	"lastbolt/quantity"
)

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "belt-profile",
		Title: "Ribbed belt profiles",
		About: "Rib pitch, width, effective line differential, smallest pulley and mass of a ribbed belt.",
		Method: "A table of the profiles of ISO 9981 and ISO 9982. The differential is a step of the radius: the pitch diameter is the effective diameter and twice the differential. The width is the rib pitch times the ribs; belts are cut a little narrower.\n\n" +
			"Most numbers other than those of PK are from memory and say so.",
		Inputs: []calc.Input{
			{Name: "profile", Title: "Profile", Kind: calc.Choice, Default: "PK", Choices: calc.Options("PK", "PH", "PJ", "PL", "PM")},
			{Name: "ribs", Title: "Ribs", Kind: calc.Count, Default: "6", Min: "1", Max: "60"},
		},
		Outputs: []calc.Output{
			{Name: "rib_pitch", Title: "Rib pitch", Kind: "length", Unit: "mm", Digits: 3},
			{Name: "width", Title: "Width, about", Kind: "length", Unit: "mm", Digits: 4},
			{Name: "differential", Title: "Effective line differential", Kind: "length", Unit: "mm", Digits: 2},
			{Name: "groove", Title: "Groove angle", Kind: "angle", Unit: "°", Digits: 2},
			{Name: "wedge", Title: "Groove multiplies the friction by", Kind: calc.Number, Digits: 4},
			{Name: "smallest", Title: "Smallest effective diameter", Kind: "length", Unit: "mm", Digits: 3},
			{Name: "mass", Title: "Mass", Kind: "mass per length", Unit: "g/m", Digits: 2},
		},
		Sources: []calc.Source{
			{Text: "PK: ISO 9981:1998 and 2020 (excerpts); rib pitch 3.56 mm: a belt maker's note", Known: calc.Published},
			{Text: "PH, PJ, PL, PM: ISO 9982, table 1; masses", Known: calc.FromMemory},
		},
		Example: map[string]string{"profile": "PK", "ribs": "6"},
		Compute: func(in calc.In, a *calc.Answer) error {
			p, err := ProfileNamed(in.Choice("profile"))
			if err != nil {
				return err
			}
			n := in.Count("ribs")
			a.Give("rib_pitch", p.RibPitch)
			a.Give("width", p.RibPitch*quantity.Length(n))
			a.Give("differential", p.Differential)
			a.Give("groove", p.Groove)
			a.Give("wedge", p.Wedge())
			a.Give("smallest", p.Smallest)
			m := p.MassPerRib * quantity.MassPerLength(n)
			a.GiveBand("mass", 0.8*m, m, 1.2*m)
			for _, name := range []string{"rib_pitch", "differential", "smallest", "mass"} {
				a.Rest(name, calc.Tabulated, p.Why)
			}
			return nil
		},
	}
})

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "belt-diameters",
		Title: "Effective, pitch and outside diameters",
		About: "Turns one diameter of a ribbed or V pulley, or the outside of a plain one under the belt's back, into the one the belt's speed is taken at.",
		Method: "Pitch diameter = effective diameter + 2·be. A V belt's pitch line, taken at the datum diameter, runs inside the rim instead: outside diameter less 2·b. On a plain pulley the pitch line runs outside the rim by the step from the belt's back to its pitch line, on which sources disagree; it is a band.\n\n" +
			"A caliper over the rim of a grooved pulley reads about the effective diameter, some tenths of a millimetre off.",
		Inputs: []calc.Input{
			{Name: "diameter", Title: "Diameter", Kind: "length", Unit: "mm", Min: "1 mm", Max: "5 m"},
			{Name: "measure", Title: "It is the", Kind: calc.Choice, Default: "effective", Choices: []calc.Option{
				{Value: "effective", Title: "effective diameter, grooved"}, {Value: "outside", Title: "outside diameter, grooved"},
				{Value: "pitch", Title: "pitch or datum diameter, grooved"}, {Value: "plain", Title: "outside diameter, plain, belt's back on it"}}},
			{Name: "profile", Title: "Profile", Kind: calc.Choice, Default: "PK", Choices: calc.Options("PK", "PH", "PJ", "PL", "PM", "Z", "A", "B", "C", "SPZ", "SPA", "SPB")},
		},
		Outputs: []calc.Output{
			{Name: "pitch", Title: "Pitch diameter", Kind: "length", Unit: "mm", Digits: 5},
			{Name: "effective", Title: "Effective diameter, or outside of a V pulley", Kind: "length", Unit: "mm", Digits: 5, Optional: true},
			{Name: "per_turn", Title: "Belt for one turn", Kind: "length", Unit: "mm", Digits: 5},
		},
		Sources: append(driveSources[1:2:2], calc.Source{Text: "b of V pulleys: ISO 4183", Known: calc.FromMemory}),
		Example: map[string]string{"diameter": "60 mm"},
		Compute: func(in calc.In, a *calc.Answer) error {
			p, err := ProfileNamed(in.Choice("profile"))
			if err != nil {
				return err
			}
			d := in.Length("diameter")
			switch in.Choice("measure") {
			case "plain":
				pitch := d + 2*p.BackOffset
				a.GiveBand("pitch", d+2*p.BackLow, pitch, d+2*p.BackHigh)
				a.Rest("pitch", calc.Computed, "the step from the back to the pitch line is from memory")
				a.Give("per_turn", pitch*math.Pi)
				return nil
			case "pitch":
				if d <= max(0, 2*p.Differential) {
					return in.Refuse("diameter", "A pitch diameter of %s is less than twice the differential; check it.", mm(d))
				}
				d -= 2 * p.Differential
			}
			if d+2*p.Differential <= 0 {
				return in.Refuse("diameter", "%s is too small for a %s belt; check it.", mm(d), p.Name)
			}
			a.Give("effective", d)
			a.Give("pitch", d+2*p.Differential)
			a.Give("per_turn", (d+2*p.Differential)*math.Pi)
			if p.Smallest > 0 && d < p.Smallest {
				a.Judge(calc.Careful, "%s is under the smallest effective diameter of %s, %s: the belt would bend too sharply.", mm(d), p.Name, mm(p.Smallest))
			}
			return nil
		},
	}
})
