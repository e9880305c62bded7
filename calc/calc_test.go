package calc_test

import (
	"encoding/json"
	"strings"
	"testing"

	"lastbolt/calc"
	"lastbolt/fault"
	"lastbolt/quantity"
)

// plank is a calculation with an input of every kind.
var plank = alone(calc.Definition{
	Name: "plank", Title: "Plank", About: "Weighs planks.",
	Inputs: []calc.Input{
		{Name: "length", Title: "Length", Kind: "length", Unit: "mm", Min: "0 mm", Above: true, Max: "10 m"},
		{Name: "factor", Title: "Factor", Kind: calc.Number, Default: "2"},
		{Name: "wood", Title: "Wood", Kind: calc.Choice, Choices: calc.Options("oak", "pine"), Default: "oak"},
		{Name: "holes", Title: "Holes", Kind: calc.Table, Optional: true, Columns: []calc.Input{
			{Name: "x", Title: "Across", Kind: "length", Unit: "mm"},
			{Name: "n", Title: "How many", Kind: calc.Count, Default: "1"},
		}},
	},
	Outputs: []calc.Output{
		{Name: "double", Title: "Double", Kind: "length", Unit: "mm"},
		{Name: "holes", Title: "Holes", Kind: calc.Table, Optional: true, Columns: []calc.Output{
			{Name: "x", Title: "Across", Kind: "length", Unit: "mm"}}},
	},
	Sources: []calc.Source{{Text: "arithmetic", Known: calc.Published}},
	Compute: func(in calc.In, a *calc.Answer) error {
		if in.Choice("wood") == "pine" {
			return in.Refuse("wood", "Wood: no pine today; choose oak.")
		}
		l := quantity.Length(float64(in.Length("length")) * in.Number("factor"))
		a.GiveBand("double", l*0.9, l, l*1.1)
		for _, row := range in.Rows("holes") {
			a.GiveRow("holes", row.Length("x"))
		}
		return nil
	},
})

// alone is a calculation in a group of its own.
func alone(d calc.Definition) *calc.Definition {
	return calc.NewGroup("test", "Test", "For the tests.").Add(func() calc.Definition { return d }).Calculations()[0]
}

func TestRunReadsLimitsAndPrints(t *testing.T) {
	out, err := plank.Run(map[string]string{"length": "100 mm", "holes": "10; 2\n1/2 in"})
	if err != nil {
		t.Fatal(err)
	}
	r, _ := out.Result("double")
	if got := r.Show(); got != "200 mm (180 to 220 mm)" {
		t.Errorf("shown as %q", got)
	}
	holes, _ := out.Result("holes")
	if len(holes.Rows) != 2 || holes.Rows[1][0].Show() != "12.7 mm" {
		t.Errorf("rows: %+v", holes.Rows)
	}
	text, err := json.Marshal(out)
	if err != nil || !strings.Contains(string(text), `"low":180`) {
		t.Errorf("JSON: %s, %v", text, err)
	}
}

func TestRunRefusesInASentence(t *testing.T) {
	for _, test := range []struct {
		name, input, say string
		given            map[string]string
	}{
		{"nothing given", "length", "Length: nothing is given; write a number with its unit, such as mm.", nil},
		{"no unit", "length", "has no unit", map[string]string{"length": "8"}},
		{"wrong unit", "length", "is a unit of torque", map[string]string{"length": "8 N·m"}},
		{"at the open limit", "length", "it must be more than 0 mm", map[string]string{"length": "0 mm"}},
		{"too large", "length", "it must be at most 10 m", map[string]string{"length": "11 m"}},
		{"unknown input", "lenght", `did you mean "length"?`, map[string]string{"lenght": "8 mm", "length": "8 mm"}},
		{"unknown input like none", "q", `There is no input "q" here; write `, map[string]string{"q": "8 mm", "length": "8 mm"}},
		{"not a choice", "wood", "write oak or pine", map[string]string{"length": "8 mm", "wood": "ash"}},
		{"not a number", "factor", "is not a number", map[string]string{"length": "8 mm", "factor": "0x10"}},
		{"far too large", "factor", `"1e99" is far too large`, map[string]string{"length": "8 mm", "factor": "1e99"}},
		{"a whole letter", "wood", "3000 letters long", map[string]string{"length": "8 mm", "wood": strings.Repeat("ø", 3000)}},
		{"a bad row", "holes", "line 2: How many: 1.5 is not a whole number", map[string]string{"length": "8 mm", "holes": "1\n2;1.5"}},
		{"refused inside", "wood", "no pine today", map[string]string{"length": "8 mm", "wood": "pine"}},
	} {
		t.Run(test.name, func(t *testing.T) {
			_, err := plank.Run(test.given)
			problems := calc.ProblemsOf(err)
			if len(problems) != 1 || problems[0].Input != test.input || !strings.Contains(fault.Say(err), test.say) {
				t.Errorf("got %+v", problems)
			}
		})
	}
}
