package fastener

import (
	"math"

	"lastbolt/calc"
	"lastbolt/quantity"
)

// A Method is a way of tightening with the scatter of preload it leaves.
type Method struct {
	Name, Title string
	Scatter     float64 // Γ, the half-width as a share of the preload meant
	Source      string
}

// Methods are ways of tightening with the wider of the published scatters; the
// narrower ones are in the source's text.
var Methods = []Method{
	{"feel", "by feel, with a spanner", 0.35, "MIL-HDBK-60, table I"},
	{"torque dry", "torque wrench, threads not lubricated", 0.35, "NASA-STD-5020B, table 3 (MIL-HDBK-60: 25 %)"},
	{"torque lubricated", "torque wrench, thread and face lubricated", 0.25, "NASA-STD-5020B, table 3"},
	{"turn of nut", "angle from snug, by eye", 0.25, "NASA-STD-5020B, table 3 (MIL-HDBK-60: 15 %)"},
	{"torque and angle", "torque, then a measured angle", 0.15, "MIL-HDBK-60, table I, turn control"},
	{"to yield", "to the yield point, by controller", 0.08, "MIL-HDBK-60, table I"},
	{"indicating washer", "load-indicating washer", 0.10, "MIL-HDBK-60, table I, and NSTS 08307, 3.4"},
	{"elongation", "stretch of the bolt measured", 0.10, "NASA-STD-5020B, table 3 (NSTS 08307: 5 %)"},
	{"impact", "impact wrench", 0.43, "power screwdriver ±26 to 43 %, VDI 2230:1986 (TR Fastenings page)"},
}

// FindMethod finds a way of tightening by name.
func FindMethod(name string) (m Method, ok bool) {
	for _, m := range Methods {
		if m.Name == name {
			return m, true
		}
	}
	return Method{}, false
}

// PreloadBand is what preload can come out as: least and most for a single bolt,
// and the least mean of a number of bolts, whose scatters even out,
//
//	most = (1 + tool)·(1 + Γ)·F
//	least = (1 − tool)·(1 − Γ)·F·(1 − relaxation)
//	least mean of n = (1 − tool)·(1 − Γ/√n)·F·(1 − relaxation)
//
// as NASA-STD-5020B 4.3.1 has it. All shares are from 0 to below 1.
func PreloadBand(preload quantity.Force, scatter, tool, relaxation float64, bolts int) (least, most, leastMean quantity.Force) {
	keep := quantity.Force((1 - tool) * (1 - relaxation))
	least = preload * keep * quantity.Force(1-scatter)
	most = preload * quantity.Force((1+tool)*(1+scatter))
	leastMean = preload * keep * quantity.Force(1-scatter/math.Sqrt(float64(max(1, bolts))))
	return least, most, leastMean
}

func methodInput(byDefault string) calc.Input {
	var options []calc.Option
	for _, m := range Methods {
		options = append(options, calc.Option{Value: m.Name, Title: m.Title})
	}
	return calc.Input{Name: "method", Title: "How it is tightened", Kind: calc.Choice, Choices: options, Default: byDefault}
}

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "preload-band",
		Title: "What preload really comes out",
		About: "The band of preloads that a way of tightening leaves, after the parts have settled: the most a bolt may see and the least that may be left.",
		Method: "The scatter of the method and the tolerance of the tool widen the band both ways; settling of the surfaces takes from the low end only. " +
			"Over several bolts the scatter of the mean shrinks with the square root of their number, the tool's error does not.",
		Inputs: []calc.Input{
			{Name: "preload", Title: "Preload meant", Kind: "force", Unit: "kN", Min: "0 N", Above: true, Max: "10000 kN"},
			methodInput("torque dry"),
			{Name: "scatter", Title: "Scatter, if known", Kind: calc.Number, Unit: "%", Min: "0", Max: "90", Optional: true, Help: "Half the width of the band, from tests of this joint."},
			{Name: "tool", Title: "Tolerance of the tool", Kind: calc.Number, Unit: "%", Min: "0", Max: "50", Default: "4"},
			{Name: "relaxation", Title: "Lost by settling", Kind: calc.Number, Unit: "%", Min: "0", Max: "60", Default: "5",
				Help: "5 % for metal on metal; 10 % and more with paint, gaskets or many layers."},
			{Name: "bolts", Title: "Bolts in the joint", Kind: calc.Count, Min: "1", Max: "1000", Default: "1"},
		},
		Outputs: []calc.Output{
			{Name: "preload", Title: "Preload", Kind: "force", Unit: "kN"},
			{Name: "least", Title: "Least of one bolt", Kind: "force", Unit: "kN", Digits: 4},
			{Name: "most", Title: "Most of one bolt", Kind: "force", Unit: "kN", Digits: 4},
			{Name: "least_mean", Title: "Least mean of all bolts", Kind: "force", Unit: "kN", Digits: 4},
			{Name: "ratio", Title: "Most over least", Kind: calc.Number},
		},
		Sources: []calc.Source{
			{Text: "NASA-STD-5020B (2021), 4.3.1 and table 3: band, scatter and 5 % relaxation", Known: calc.Published},
			{Text: "MIL-HDBK-60, table I and 5.5.2: scatter; 10 % relaxation or retighten", Known: calc.Published},
			{Text: "NSTS 08307 rev. A (1998), 3.4", Known: calc.Published},
			{Text: "RCSC commentary (Munse 1967): 2.5 % uncoated, 6.5 % galvanised within five days", Known: calc.Published},
		},
		Example: map[string]string{"preload": "20 kN", "method": "torque lubricated", "bolts": "8"},
		Compute: func(in calc.In, a *calc.Answer) error {
			m, ok := FindMethod(in.Choice("method"))
			if !ok {
				panic("fastener: a choice of method has no row: " + in.Choice("method"))
			}
			scatter := m.Scatter
			if in.Has("scatter") {
				scatter = in.Number("scatter") / 100
			} else {
				a.Note("Scatter ±%.0f %% is taken for this method (%s).", 100*scatter, m.Source)
			}
			tool, lost, n := in.Number("tool")/100, in.Number("relaxation")/100, in.Count("bolts")
			f := in.Force("preload")
			least, most, mean := PreloadBand(f, scatter, tool, lost, n)
			a.GiveBand("preload", least, f, most)
			a.Give("least", least)
			a.Give("most", most)
			a.Give("least_mean", mean)
			a.Give("ratio", float64(most)/float64(least))
			a.Step("Most of one bolt", "(1 + tool)·(1 + Γ)·F", "= %.3g · %.3g · %s = %s", 1+tool, 1+scatter, forceText(f), forceText(most))
			a.Step("Least of one bolt", "(1 − tool)·(1 − Γ)·(1 − lost)·F", "= %.3g · %.3g · %.3g · %s = %s", 1-tool, 1-scatter, 1-lost, forceText(f), forceText(least))
			a.Step("Least mean of all", "(1 − tool)·(1 − Γ/√n)·(1 − lost)·F", "= %.3g · (1 − %.3g/√%d) · %.3g · %s = %s", 1-tool, scatter, n, 1-lost, forceText(f), forceText(mean))
			return nil
		},
	}
})
