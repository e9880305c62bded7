package seal

import (
	"math"

	"lastbolt/calc"
	"lastbolt/quantity"
)

func gasketOptions() []calc.Option {
	titles := map[string]string{"o-ring": "O-ring and other self-energising seals", "soft elastomer": "elastomer under 75 Shore A",
		"hard elastomer": "elastomer of 75 Shore A and more", "spiral wound": "spiral wound with filler"}
	var options []calc.Option
	for _, g := range GasketMaterials() {
		title := titles[g.Name]
		if title == "" {
			title = g.Name
		}
		options = append(options, calc.Option{Value: g.Name, Title: title})
	}
	return options
}

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "gasket-seating",
		Title: "Bolts against what a gasket needs",
		About: "Compares the load of the bolts with the load that seats a flat gasket and keeps it tight under pressure.",
		Method: "After ASME VIII-1 Appendix 2. With N the contact's width, b₀ = N/2; b = b₀ to 1/4 in, beyond it 2.52·√b₀ (mm). G is the mean diameter of the contact, or beyond 1/4 in the outside " +
			"less 2·b. Seating takes Wm2 = π·b·G·y, working Wm1 = π/4·G²·P + 2·b·π·G·m·P; the bolts carry the larger. For a gasket that is not round π·G is the length of its middle line and π/4·G² the area inside it.\n\n" +
			"m and y are suggested values; head gaskets of coated steel layers have none that are published, so ask for the maker's torque and order there. Bending of the cover between bolts is left out.",
		Inputs: []calc.Input{
			{Name: "gasket", Title: "Gasket", Kind: calc.Choice, Choices: gasketOptions(), Default: "vegetable fibre"},
			lengthInput("outside", "Outside diameter of the contact", "Of a round gasket."),
			lengthInput("inside", "Inside diameter of the contact", ""),
			lengthInput("line", "Length of the middle line", "Of one that is not round."),
			lengthInput("width", "Width of the contact", "Of one that is not round."),
			{Name: "area", Title: "Area inside the middle line", Kind: "area", Unit: "cm²", Optional: true},
			{Name: "pressure", Title: "Pressure inside, gauge", Kind: "pressure", Unit: "bar", Default: "0 bar", Min: "0 bar", Max: "400 bar"},
			{Name: "m", Title: "Gasket factor m", Kind: calc.Number, Optional: true, Min: "0", Max: "10", Help: "Replaces the table's."},
			{Name: "y", Title: "Seating stress y", Kind: "pressure", Unit: "MPa", Optional: true, Min: "0 MPa", Help: "Replaces the table's."},
			{Name: "bolts", Title: "Bolts", Kind: calc.Count, Optional: true, Min: "1", Max: "200"},
			{Name: "preload", Title: "Load of each bolt", Kind: "force", Unit: "kN", Optional: true, Min: "0 kN", Above: true},
		},
		Outputs: []calc.Output{
			{Name: "needed", Title: "Load the bolts must carry", Kind: "force", Unit: "N", Digits: 4},
			{Name: "seating", Title: "To seat it, Wm2", Kind: "force", Unit: "N", Digits: 5},
			{Name: "working", Title: "To keep it tight, Wm1", Kind: "force", Unit: "N", Digits: 5},
			{Name: "effective", Title: "Effective width b", Kind: "length", Unit: "mm", Digits: 4},
			{Name: "diameter", Title: "Diameter of the load G", Kind: "length", Unit: "mm", Digits: 5, Optional: true},
			{Name: "each", Title: "Of each bolt", Kind: "force", Unit: "N", Digits: 3, Optional: true},
			{Name: "reserve", Title: "Bolts against the need", Kind: calc.Number, Unit: "times", Digits: 3, Optional: true},
			{Name: "stress", Title: "Stress on the whole contact", Kind: "pressure", Unit: "MPa", Digits: 3, Optional: true},
		},
		Sources: []calc.Source{
			{Text: "ASME VIII-1 Appendix 2, Table 2-5.1, as piping-world.com (gasket m and y factors) gives it", Known: calc.Published},
			{Text: "Garlock, metallic gasket catalogue p. D-35: Wm1, Wm2, effective width", Known: calc.Published}},
		Cautions: []string{"The maker's torque and order go before this; it is for a gasket made by hand, or a doubt."},
		Example:  map[string]string{"gasket": "vegetable fibre", "outside": "100 mm", "inside": "80 mm", "pressure": "2.5 bar", "bolts": "4", "preload": "8 kN"},
		Compute:  computeSeating,
	}
})

// gasketOf reads the gasket and its contact area.
func gasketOf(in calc.In) (Gasket, quantity.Area, error) {
	var g Gasket
	for _, row := range GasketMaterials() {
		if row.Name == in.Choice("gasket") {
			g.M, g.Y = row.M, row.Y
		}
	}
	if in.Has("m") {
		g.M = in.Number("m")
	}
	if in.Has("y") {
		g.Y = in.Pressure("y")
	}
	if in.Has("outside") {
		outside, inside := in.Length("outside"), in.Length("inside")
		if !in.Has("inside") {
			return g, 0, in.Refuse("inside", "The inside diameter of the contact is missing.")
		}
		if inside >= outside {
			return g, 0, in.Refuse("inside", "The inside diameter, %s, must be less than the outside, %s.", show(inside), show(outside))
		}
		g.Outer, g.Width, g.Mean = outside, (outside-inside)/2, (outside+inside)/2
		return g, quantity.Area(math.Pi / 4 * float64(outside*outside-inside*inside)), nil
	}
	if !in.Has("line") || !in.Has("width") {
		return g, 0, in.Refuse("outside", "Give the outside and inside diameter of a round gasket, or the length and width of its contact.")
	}
	if in.Pressure("pressure") > 0 && !in.Has("area") {
		return g, 0, in.Refuse("area", "The area inside the gasket's middle line is missing: the pressure acts on it.")
	}
	g.Long, g.Width, g.Area = in.Length("line"), in.Length("width"), in.Area("area")
	return g, quantity.Area(float64(g.Long) * float64(g.Width)), nil
}

func computeSeating(in calc.In, a *calc.Answer) error {
	g, contact, err := gasketOf(in)
	if err != nil {
		return err
	}
	seating, working := g.Seating(), g.Working(in.Pressure("pressure"))
	needed := max(seating, working)
	a.Give("needed", needed)
	a.Give("seating", seating)
	a.Give("working", working)
	a.Give("effective", g.Effective())
	line, _, across := g.Line()
	if across > 0 {
		a.Give("diameter", across)
	}
	a.Step("Effective width", "b = b₀ = N/2, or 2.52·√b₀ over 1/4 in", "= %.3f mm", mm(g.Effective()))
	a.Step("Seating", "Wm2 = b · (π·G) · y", "= %.3f mm · %.1f mm · %.2f MPa = %.0f N", mm(g.Effective()), mm(line), float64(g.Y)/1e6, float64(seating))
	a.Step("Working", "Wm1 = A · P + 2 · b · (π·G) · m · P", "= %.0f N", float64(working))
	if in.Has("bolts") {
		a.Give("each", needed/quantity.Force(in.Count("bolts")))
	}
	if in.Has("bolts") && in.Has("preload") {
		judgeBolts(in, a, g, needed, contact)
	}
	return nil
}

// judgeBolts compares what the bolts give with the need.
func judgeBolts(in calc.In, a *calc.Answer, g Gasket, needed quantity.Force, contact quantity.Area) {
	total := in.Force("preload") * quantity.Force(in.Count("bolts"))
	a.Give("stress", quantity.Pressure(float64(total)/float64(contact)))
	if needed == 0 {
		a.Judge(calc.Good, "This seal needs no load to seat it; the bolts only hold the joint shut.")
		return
	}
	reserve := float64(total / needed)
	a.Give("reserve", reserve)
	// Bolts tightened by torque spread by about a quarter either way.
	switch {
	case reserve < 1:
		a.Judge(calc.Bad, "The bolts carry %.0f N and the gasket needs %.0f N: it will leak; take a softer or narrower gasket.", float64(total), float64(needed))
	case reserve < 1.3:
		a.Judge(calc.Careful, "The bolts carry %.2f times the need; tightened by torque they may fall short of it by a quarter.", reserve)
	default:
		a.Judge(calc.Good, "The bolts carry %.2f times the need.", reserve)
	}
}
