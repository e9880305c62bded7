package calc

import "lastbolt/quantity"

// Units is the group of conversions.
var Units = NewGroup("units", "Units", "From one unit of the same quantity to another, without rounding on the way.")

// byUnits leaves it to the two units what is converted.
const byUnits = "what both units measure"

var _ = Units.Add(func() Definition {
	return Definition{
		Name:  "convert",
		Title: "Convert a unit",
		About: "Turns a quantity into another unit. Torque and energy are kept apart, and so are lbf·ft and lbf·in.",
		Method: "The factors are exact: they follow from the definitions of the inch, the pound, standard gravity " +
			"and the gallons.",
		Inputs: []Input{
			{Name: "quantity", Title: "What is converted", Kind: Choice, Choices: Options(append([]string{byUnits}, quantity.Names()...)...), Default: byUnits},
			{Name: "value", Title: "Value with its unit", Kind: Text, Help: "Such as 72 lbf·in."},
			{Name: "to", Title: "Unit wanted", Kind: Text, Help: "Such as N·m."},
		},
		Outputs: []Output{
			{Name: "result", Title: "Number of the unit wanted", Kind: Number, Digits: 7},
			{Name: "written", Title: "Written out", Kind: Text},
		},
		Sources: []Source{{"NIST Special Publication 811 (2008), Appendix B", Published}},
		Example: map[string]string{"quantity": "torque", "value": "72 lbf·in", "to": "N·m"},
		Compute: func(in In, a *Answer) error {
			name := in.Choice("quantity")
			if name == byUnits {
				if name = quantity.NameFor(in.Text("value"), in.Text("to")); name == "" {
					return in.Refuse("to", "Unit wanted: neither %q nor the unit in %q is known here: write for example 72 lbf·in and N·m.", in.Text("to"), in.Text("value"))
				}
			}
			base, written, err := quantity.ReadAs(name, in.Text("value"))
			if err != nil {
				return in.Refuse("value", "Value with its unit: %v.", err)
			}
			n, err := quantity.Convert(name, in.Text("value"), in.Text("to"))
			if err != nil {
				return in.Refuse("to", "Unit wanted: %v.", err)
			}
			text, err := quantity.FormatAs(name, base, in.Text("to"), 5)
			if err != nil {
				return in.Refuse("to", "Unit wanted: %v.", err)
			}
			a.Give("result", n)
			a.Give("written", written+" = "+text)
			return nil
		},
	}
})
