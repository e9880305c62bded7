package fluid

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"lastbolt/calc"
	"lastbolt/quantity"
)

// CatchSize is how much a container must hold for what is expected to come out:
// a quarter more for a surprise and the slop when it is carried, and half a
// litre at the least, rounded up to half litres. Common practice.
func CatchSize(expected quantity.Volume) quantity.Volume {
	halves := math.Ceil(litres(expected)*1.25/0.5 - 1e-9)
	return quantity.Litres(0.5 * max(1, halves))
}

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "catch-containers",
		Title: "What to catch the fluids in",
		About: "What comes out where when things are opened, how much each container must hold, and which fluids need one of their own. Ask before the first plug is loosened.",
		Method: "Each container is to hold a quarter more than is expected, at least half a litre, rounded up to half litres. Fluids of different kinds are never " +
			"caught together: a mixture is costly waste, and coolant that is to go back in needs a clean container with a lid.\n\n" +
			"All of one fluid that comes out at one place may share a container; the total of each fluid is what must be handed in or put back.",
		Inputs: []calc.Input{{Name: "openings", Title: "What is opened", Kind: calc.Table, Columns: []calc.Input{
			{Name: "place", Title: "Where", Kind: calc.Text},
			{Name: "fluid", Title: "Fluid", Kind: calc.Text},
			{Name: "expected", Title: "Comes out", Kind: "volume", Unit: "L", Max: "1000 L"},
			{Name: "container", Title: "Container at hand holds", Kind: "volume", Unit: "L", Optional: true}}}},
		Outputs: []calc.Output{
			{Name: "containers", Title: "Containers", Kind: calc.Table, Columns: []calc.Output{
				{Name: "place", Title: "Where", Kind: calc.Text},
				{Name: "fluid", Title: "Fluid", Kind: calc.Text},
				{Name: "expected", Title: "Comes out", Kind: "volume", Unit: "L"},
				{Name: "holds", Title: "Must hold", Kind: "volume", Unit: "L", Digits: 2}}},
			{Name: "fluids", Title: "Of each fluid", Kind: calc.Table, Columns: []calc.Output{
				{Name: "fluid", Title: "Fluid", Kind: calc.Text},
				{Name: "total", Title: "Together", Kind: "volume", Unit: "L"}}},
			{Name: "largest", Title: "Largest container", Kind: "volume", Unit: "L", Digits: 2},
		},
		Sources: []calc.Source{
			{Text: "A quarter more and half a litre at the least", Known: calc.CommonPractice},
			{Text: "Keep used antifreeze apart from oil, fuel and solvents: EPA fact sheet 1102, March 1998", Known: calc.Published}},
		Cautions: []string{"Cover what is caught: children and animals drink coolant. Hand each fluid in where your local rules say."},
		Example:  map[string]string{"openings": "lower hose; coolant; 4.2 L; 6 L\noil cooler line; coolant; 0.4 L\nsump; oil; 4.5 L; 5 L"},
		Compute: func(in calc.In, a *calc.Answer) error {
			var fluids []string
			total := map[string]quantity.Volume{}
			largest := quantity.Volume(0)
			for _, row := range in.Rows("openings") {
				expected, name := row.Volume("expected"), strings.ToLower(strings.TrimSpace(row.Text("fluid")))
				if !slices.Contains(fluids, name) {
					fluids = append(fluids, name)
				}
				total[name] += expected
				holds := CatchSize(expected)
				largest = max(largest, holds)
				a.GiveRow("containers", row.Text("place"), name, expected, holds)
				if !row.Has("container") {
					continue
				}
				switch at := row.Volume("container"); {
				case at < expected:
					a.Judge(calc.Bad, "%s: the container holds %s and %s come out; it runs over.", capital(row.Text("place")), row.Written("container"), row.Written("expected"))
				case at < holds-1e-9:
					a.Judge(calc.Careful, "%s: %s is just enough for %s; it cannot be carried full.", capital(row.Text("place")), row.Written("container"), row.Written("expected"))
				}
			}
			for _, name := range fluids {
				a.GiveRow("fluids", name, total[name])
			}
			a.Give("largest", largest)
			a.Rest("largest", calc.Advice, "a quarter more than is expected")
			if len(fluids) > 1 {
				a.Note("%s", fmt.Sprintf("%d fluids: catch each alone.", len(fluids)))
			}
			return nil
		},
	}
})

// capital begins a sentence with a text.
func capital(text string) string {
	r := []rune(text)
	if len(r) == 0 {
		return text
	}
	return strings.ToUpper(string(r[:1])) + string(r[1:])
}
