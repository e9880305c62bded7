package seal

import "lastbolt/calc"

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "o-ring-size",
		Title: "Size of an O-ring",
		About: "Gives the measures and tolerances behind a dash number, a metric size or a JIS size.",
		Method: "Inch sizes are those of AS568. A metric size is written inside diameter by section; its tolerances are those of " +
			"ISO 3601-1 class B, ± (0.009·d^0.95 + 0.11) mm on the inside diameter and a band table on the section. Class A has the " +
			"tighter tolerances of AS568.\n\nThe outside diameter is the inside diameter and twice the section; the volume is that of a torus.",
		Inputs: []calc.Input{
			{Name: "size", Title: "Size", Kind: calc.Text, Help: "A dash number (214), inside by section in mm (20x2.65), or a JIS size (P22A)."},
		},
		Outputs: []calc.Output{
			{Name: "inside", Title: "Inside diameter", Kind: "length", Unit: "mm", Digits: 5},
			{Name: "section", Title: "Section (cord)", Kind: "length", Unit: "mm", Digits: 4},
			{Name: "inside_tolerance", Title: "Tolerance of the inside diameter, ±", Kind: "length", Unit: "mm", Digits: 3},
			{Name: "section_tolerance", Title: "Tolerance of the section, ±", Kind: "length", Unit: "mm", Digits: 2},
			{Name: "outside", Title: "Outside diameter", Kind: "length", Unit: "mm", Digits: 5},
			{Name: "volume", Title: "Volume of the rubber", Kind: "volume", Unit: "cm³", Digits: 3},
			{Name: "name", Title: "Name", Kind: calc.Text},
		},
		Sources: []calc.Source{fromAS568, fromISO, fromClassB, fromJIS},
		Example: map[string]string{"size": "214"},
		Compute: func(in calc.In, a *calc.Answer) error {
			r, err := Sized(in.Text("size"))
			if err != nil {
				return in.Refuse("size", "%v", err)
			}
			a.Give("inside", r.Inside.Nominal)
			a.Give("section", r.Section.Nominal)
			a.Give("inside_tolerance", r.Inside.Tolerance)
			a.Give("section_tolerance", r.Section.Tolerance)
			a.Give("outside", r.Outside())
			a.Give("volume", r.Volume())
			a.Give("name", r.Name)
			why := string(r.Standard)
			switch r.Standard {
			case NoSize:
				a.Note("This size stands in no table here; the tolerances are those of ISO 3601-1 class B.")
				why = "ISO 3601-1 class B"
			case Trade:
				a.Note("This is a trade size of no standard; the tolerances are those of ISO 3601-1 class B.")
				why = "ISO 3601-1 class B"
			case JIS:
				a.Note("The tolerances are those of ISO 3601-1 class B, taken for want of the standard's own.")
			}
			for _, name := range []string{"inside_tolerance", "section_tolerance"} {
				a.Rest(name, calc.Tabulated, why)
			}
			if r.Standard != NoSize {
				a.Rest("inside", calc.Tabulated, why)
				a.Rest("section", calc.Tabulated, why)
			}
			a.Step("Outside diameter", "OD = ID + 2·CS", "= %.2f + 2 · %.2f = %.2f mm", mm(r.Inside.Nominal), mm(r.Section.Nominal), mm(r.Outside()))
			return nil
		},
	}
})
