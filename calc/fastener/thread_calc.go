package fastener

import (
	"lastbolt/calc"
	"lastbolt/quantity"
)

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "thread",
		Title: "Thread: sizes and stress area",
		About: "The pitch, the diameters, the stress area, the tap drill and the holes of a thread from its name.",
		Method: "Metric and unified threads share the 60° profile, so every diameter is the nominal one less a multiple of the pitch. " +
			"The stress area is that of a circle between pitch and root diameter; it is what a bolt is reckoned to break with.\n\n" +
			"The diameters are basic sizes: a real bolt is a little smaller, a real nut a little larger.",
		Inputs: []calc.Input{threadInput()},
		Outputs: []calc.Output{
			{Name: "stress_area", Title: "Stress area", Kind: "area", Unit: "mm²", Digits: 4},
			{Name: "name", Title: "Name", Kind: calc.Text},
			{Name: "series", Title: "Series", Kind: calc.Text},
			{Name: "diameter", Title: "Nominal diameter d", Kind: "length", Unit: "mm", Digits: 5},
			{Name: "pitch", Title: "Pitch P", Kind: "length", Unit: "mm", Digits: 4},
			{Name: "per_inch", Title: "Threads per inch", Kind: calc.Number, Digits: 3},
			{Name: "pitch_diameter", Title: "Pitch diameter d2", Kind: "length", Unit: "mm", Digits: 5},
			{Name: "internal_minor", Title: "Minor diameter of the nut D1", Kind: "length", Unit: "mm", Digits: 5},
			{Name: "root_diameter", Title: "Root diameter of the bolt d3", Kind: "length", Unit: "mm", Digits: 5},
			{Name: "root_area", Title: "Area at the root", Kind: "area", Unit: "mm²", Digits: 4},
			{Name: "height", Title: "Height of the sharp triangle H", Kind: "length", Unit: "mm", Digits: 4},
			{Name: "lead_angle", Title: "Lead angle", Kind: "angle", Unit: "°", Digits: 4},
			{Name: "tap_drill", Title: "Drill before tapping", Kind: "length", Unit: "mm", Digits: 4},
			{Name: "heads", Title: "Heads it is found with", Kind: calc.Text, Optional: true},
		},
		Sources: []calc.Source{
			{Text: "FED-STD-H28/2B, p. 67 and formula (1b): basic profile and stress area, inch", Known: calc.Published},
			{Text: "ISO 68-1, ISO 724, ISO 898-1: basic profile, root diameter and stress area, metric", Known: calc.FromMemory},
			{Text: "ISO 261, ASME B1.1: which pitches there are", Known: calc.FromMemory},
		},
		Example: map[string]string{"thread": "M8"},
		Compute: func(in calc.In, a *calc.Answer) error {
			t, err := threadOf(in)
			if err != nil {
				return err
			}
			a.Give("name", t.Name)
			a.Give("series", string(t.System)+", "+string(t.Series))
			a.Give("diameter", t.Major)
			a.Give("pitch", t.Pitch)
			a.Give("per_inch", 25.4/t.Pitch.In(quantity.Millimetre))
			a.Give("pitch_diameter", t.PitchDiameter())
			a.Give("internal_minor", t.InternalMinor())
			a.Give("root_diameter", t.RootDiameter())
			root := t.RootDiameter().In(quantity.Millimetre)
			a.Give("root_area", circle(t.RootDiameter()))
			a.Give("stress_area", t.StressArea())
			a.Give("height", t.Height())
			a.Give("lead_angle", t.LeadAngle())
			a.Give("tap_drill", t.TapDrill())
			if heads := headsText(t); heads != "" {
				a.Give("heads", heads)
			}
			d, p := mmText(t.Major), mmText(t.Pitch)
			a.Step("Pitch diameter", "d2 = d − 0.6495·P", "= %s − 0.6495 · %s = %s", d, p, lengthText(t.PitchDiameter()))
			a.Step("Minor diameter of the nut", "D1 = d − 1.0825·P", "= %s − 1.0825 · %s = %s", d, p, lengthText(t.InternalMinor()))
			a.Step("Root diameter of the bolt", "d3 = d − 1.2269·P", "= %s − 1.2269 · %s = %s mm", d, p, numberText(root, 4))
			fall := "0.9382"
			if t.System == Unified {
				fall = "0.9743"
			}
			a.Step("Stress area", "A = π/4·(d − "+fall+"·P)²", "= π/4 · (%s − %s · %s)² = %s", d, fall, p, areaText(t.StressArea()))
			a.Step("Drill before tapping", "d − P", "= %s − %s = %s", d, p, lengthText(t.TapDrill()))
			return nil
		},
	}
})
