package seal

import (
	"strings"

	"lastbolt/calc"
	"lastbolt/quantity"
)

// lengthInput is an optional dimension in millimetres.
func lengthInput(name, title, help string) calc.Input {
	return calc.Input{Name: name, Title: title, Help: help, Kind: "length", Unit: "mm", Min: "0 mm", Above: true, Optional: true}
}

// toleranceInput is the tolerance of a dimension; left out it is 0.
func toleranceInput(name, title string) calc.Input {
	return calc.Input{Name: name, Title: title, Help: "How far it may be off either way.", Kind: "length", Unit: "mm", Min: "0 mm", Default: "0 mm", Seldom: true}
}

// seldom folds an input away in a form until it is filled.
func seldom(in calc.Input) calc.Input {
	in.Seldom = true
	return in
}

// ringInputs ask for a ring, by its size or as measured.
func ringInputs() []calc.Input {
	return []calc.Input{
		{Name: "size", Title: "Ring's size", Kind: calc.Text, Optional: true,
			Help: "A dash number (214), inside by section in mm (20x2.65), or a JIS size; or leave it and give the measures."},
		lengthInput("inside", "Ring's inside diameter", "As it lies free."),
		toleranceInput("inside_tolerance", "Tolerance of the inside diameter, ±"),
		lengthInput("section", "Ring's section", "The thickness of the cord."),
		toleranceInput("section_tolerance", "Tolerance of the section, ±"),
	}
}

// ringOf reads the ring; measures given beside a size replace its own.
func ringOf(in calc.In) (Ring, error) {
	var r Ring
	if in.Has("size") {
		sized, err := Sized(in.Text("size"))
		if err != nil {
			return r, in.Refuse("size", "%v", err)
		}
		r = sized
	}
	if in.Has("inside") {
		r.Inside = Toleranced{in.Length("inside"), in.Length("inside_tolerance")}
	}
	if in.Has("section") {
		r.Section = Toleranced{in.Length("section"), in.Length("section_tolerance")}
	}
	switch {
	case r.Inside.Nominal == 0:
		return r, in.Refuse("inside", "Nothing is known of the ring: give its size, or its inside diameter and section.")
	case r.Section.Nominal == 0:
		return r, in.Refuse("section", "The ring's section is missing: give its size, or the thickness of the cord.")
	}
	return r, nil
}

// glandInputs ask for the room the ring sits in.
func glandInputs() []calc.Input {
	return []calc.Input{
		{Name: "seat", Title: "How it sits", Kind: calc.Choice, Default: "face", Choices: []calc.Option{
			{Value: "face", Title: "in a flat face, squeezed by a lid"},
			{Value: "piston", Title: "round a plug or pipe, squeezed by the bore"},
			{Value: "rod", Title: "in a housing, squeezed by the rod or pipe"}}},
		{Name: "motion", Title: "Movement", Kind: calc.Choice, Default: "static", Seldom: true, Choices: calc.Options("static", "reciprocating", "rotary")},
		lengthInput("depth", "Groove's depth", "Of a face: metal to metal, the gap under the lid included."),
		toleranceInput("depth_tolerance", "Tolerance of the depth, ±"),
		lengthInput("groove", "Diameter of the groove's floor", "Of a piston or rod seat."),
		toleranceInput("groove_tolerance", "Tolerance of the groove, ±"),
		lengthInput("mate", "Diameter of the bore, or of the rod", "What the ring seals against: the bore of a piston seat, the rod of a rod seat."),
		toleranceInput("mate_tolerance", "Tolerance of the bore or rod, ±"),
		lengthInput("width", "Groove's width", "Left out, the fill is not told."),
		toleranceInput("width_tolerance", "Tolerance of the width, ±"),
		seldom(lengthInput("inner_wall", "Diameter of a face groove's inner wall", "")),
		seldom(lengthInput("outer_wall", "Diameter of a face groove's outer wall", "")),
	}
}

// glandOf reads the gland.
func glandOf(in calc.In) (Gland, error) {
	g := Gland{Seat: Seat(in.Choice("seat")),
		Width: Toleranced{in.Length("width"), in.Length("width_tolerance")},
		Depth: Toleranced{in.Length("depth"), in.Length("depth_tolerance")}}
	if g.Seat == Face {
		g.Inner, g.Outer = in.Length("inner_wall"), in.Length("outer_wall")
		if g.Depth.Nominal == 0 {
			return g, in.Refuse("depth", "The groove's depth is missing: a face seat needs it, metal to metal.")
		}
		if g.Width.Nominal == 0 && g.Outer > g.Inner && g.Inner > 0 {
			g.Width.Nominal = (g.Outer - g.Inner) / 2
		}
		return g, nil
	}
	g.Depth = Toleranced{}
	g.Groove = Toleranced{in.Length("groove"), in.Length("groove_tolerance")}
	g.Mate = Toleranced{in.Length("mate"), in.Length("mate_tolerance")}
	if g.Groove.Nominal == 0 {
		return g, in.Refuse("groove", "The diameter of the groove's floor is missing: a %s seat needs it.", g.Seat)
	}
	if g.Mate.Nominal == 0 {
		return g, in.Refuse("mate", "The diameter of the %s is missing: a %s seat needs it.", strings.ToLower(mateName(g.Seat)), g.Seat)
	}
	return g, nil
}

func mateName(s Seat) string {
	if s == Rod {
		return "Rod"
	}
	return "Bore"
}

// metals is the linear growth of what the groove is cut in, per kelvin.
var metals = map[string]float64{"steel": 1.2e-5, "aluminium": 2.3e-5, "plastic": 8e-5}

// growthInputs ask for what heat and fluid do to the ring.
func growthInputs() []calc.Input {
	return []calc.Input{
		{Name: "swell", Title: "Swell of the rubber in its fluid", Kind: calc.Number, Unit: "%", Default: "0", Min: "-30", Max: "100", Seldom: true,
			Help: "By volume."},
		{Name: "material", Title: "Ring's material", Kind: calc.Choice, Choices: materialOptions(), Default: "NBR"},
		{Name: "metal", Title: "Groove cut in", Kind: calc.Choice, Choices: calc.Options("steel", "aluminium", "plastic"), Default: "aluminium", Seldom: true},
		{Name: "cold", Title: "Coldest it gets", Kind: "temperature", Unit: "°C", Min: "-80 °C", Max: "20 °C", Optional: true},
		{Name: "hot", Title: "Hottest it gets", Kind: "temperature", Unit: "°C", Min: "20 °C", Max: "320 °C", Optional: true},
	}
}

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "o-ring-gland",
		Title: "O-ring in its groove",
		About: "Says whether an O-ring will seal in its groove: squeeze, stretch and fill over the whole tolerance band, and what to change.",
		Method: "Squeeze is (section − depth)/section; the depth of a piston or rod gland is half the difference of the two diameters. Stretch is what the " +
			"inside diameter grows over itself when it is pulled over the groove's floor (piston), the rod, or the inner wall (face). A stretched ring is thinner: the squeeze that really " +
			"seals is taken of the section thinned by the empirical curve of the handbooks, which takes away more than constant volume does. Fill is the " +
			"free ring's area over depth times width.\n\nEvery end of every tolerance is tried, so the band holds the worst case. Swell adds its share " +
			"of volume to the fill; heat grows the rubber about ten times as much as the metal, which fills the groove when hot and takes squeeze away when " +
			"cold.\n\nEccentric parts, pressure, extrusion through the gap and the set an old ring has taken are left out.",
		Inputs: append(append(ringInputs(), glandInputs()...), growthInputs()...),
		Outputs: []calc.Output{
			{Name: "squeeze", Title: "Squeeze of the free section", Kind: calc.Number, Unit: "%", Digits: 4},
			{Name: "stretched_squeeze", Title: "Squeeze of the stretched section", Kind: calc.Number, Unit: "%", Digits: 4},
			{Name: "stretch", Title: "Stretch", Kind: calc.Number, Unit: "%", Digits: 3},
			{Name: "fill", Title: "Fill of the groove", Kind: calc.Number, Unit: "%", Digits: 3, Optional: true},
			{Name: "grown_fill", Title: "Fill when swollen and hot", Kind: calc.Number, Unit: "%", Digits: 3, Optional: true},
			{Name: "cold_squeeze", Title: "Squeeze when cold", Kind: calc.Number, Unit: "%", Digits: 3, Optional: true},
			{Name: "depth", Title: "Depth of the gland", Kind: "length", Unit: "mm", Digits: 4},
			{Name: "squeezed_by", Title: "Squeezed by", Kind: "length", Unit: "mm", Digits: 3},
			{Name: "thinned", Title: "Section when stretched, empirical curve", Kind: "length", Unit: "mm", Digits: 4},
			{Name: "thinned_volume", Title: "Section when stretched, constant volume", Kind: "length", Unit: "mm", Digits: 4},
			{Name: "outer_fit", Title: "Larger than the wall round it by", Kind: calc.Number, Unit: "%", Digits: 2, Optional: true},
			{Name: "instead", Title: "Sizes that would do instead", Kind: calc.Table, Optional: true, Columns: choiceColumns()},
		},
		Sources: []calc.Source{fromDirectory, fromStretch, fromGland, fromApple, fromCurve, fromVolume, fromFill, fromGrowth},
		Cautions: []string{"An old ring has taken a set: measure the new ring and the groove, not the old ring.",
			"The maker's ring goes before any other; this tells only whether a ring can seal, not that it is the right one."},
		Example: map[string]string{"size": "214", "seat": "piston", "groove": "25.6 mm", "groove_tolerance": "0.05 mm",
			"mate": "31.35 mm", "mate_tolerance": "0.05 mm", "width": "4.95 mm", "width_tolerance": "0.1 mm", "swell": "10", "cold": "-20 °C", "hot": "110 °C"},
		Compute: computeGland,
	}
})

func computeGland(in calc.In, a *calc.Answer) error {
	r, err := ringOf(in)
	if err != nil {
		return err
	}
	g, err := glandOf(in)
	if err != nil {
		return err
	}
	fit, err := g.Fit(r)
	if err != nil {
		return err
	}
	giveBand(a, "squeeze", fit.Squeeze)
	giveBand(a, "stretched_squeeze", fit.Stretched)
	giveBand(a, "stretch", fit.Stretch)
	if fit.Depth.Tolerance > 0 {
		a.GiveBand("depth", fit.Depth.Min(), fit.Depth.Nominal, fit.Depth.Max())
	} else {
		a.Give("depth", fit.Depth.Nominal)
	}
	a.Give("squeezed_by", r.Section.Nominal-fit.Depth.Nominal)
	a.Give("thinned", fit.Section)
	a.Give("thinned_volume", fit.Constant)
	if g.Outer > 0 || g.Seat == Rod {
		giveBand(a, "outer_fit", fit.Outer)
	}
	if fit.Fill.Likely > 0 {
		giveBand(a, "fill", fit.Fill)
	} else {
		a.Note("The groove's width was not given, so the fill is not known.")
	}
	good := true
	for _, finding := range fit.Judge(g, r, Motion(in.Choice("motion"))) {
		a.Judge(finding.Level, "%s", finding.Say)
		good = good && finding.Level == calc.Good
	}
	if !good {
		giveInstead(a, g, r, Motion(in.Choice("motion")))
	}
	if err := glandGrowth(in, a, g, r, fit); err != nil {
		return err
	}
	if r.Inside.Tolerance+r.Section.Tolerance == 0 || g.Radial().Tolerance == 0 {
		a.Note("Some dimensions were given without a tolerance, so the real band is wider than the one shown.")
	}
	glandSteps(a, g, r, fit)
	a.Draw(DrawGland(g, r, fit))
	return nil
}

// giveInstead lists sizes that would do better. A face groove of which no wall
// is known is searched round the ring that was laid in it.
func giveInstead(a *calc.Answer, g Gland, r Ring, motion Motion) {
	if g.Seat == Face && g.Inner == 0 && g.Outer == 0 {
		g.Inner = r.Inside.Nominal
	}
	found, err := RingsFor(g, motion, g.Outer > 0, 5)
	if err != nil {
		return // nothing is known to search by; the verdict has said what is wrong
	}
	for _, c := range found {
		if c.Ring.Name != r.Name && (c.Level == calc.Good || c.Ring.Standard != Trade) {
			giveChoice(a, "instead", c)
		}
	}
}

func giveBand(a *calc.Answer, name string, b Band) {
	low, likely, high := b.percent()
	if low == high {
		a.Give(name, likely)
		return
	}
	a.GiveBand(name, low, likely, high)
}

// glandGrowth gives what swell, heat and cold do.
func glandGrowth(in calc.In, a *calc.Answer, g Gland, r Ring, fit Fit) error {
	m, metal, swell := Material(in.Choice("material")), metals[in.Choice("metal")], in.Number("swell")/100
	if fit.Fill.Likely > 0 && (swell != 0 || in.Has("hot")) {
		hot := in.Temperature("hot")
		if !in.Has("hot") {
			hot = quantity.DegreeCelsius.Of(20)
		}
		by := VolumeGrowth(m, metal, swell, hot)
		grown := Band{fit.Fill.Low * by, fit.Fill.Likely * by, fit.Fill.High * by}
		giveBand(a, "grown_fill", grown)
		switch {
		case grown.High > 1:
			a.Judge(calc.Bad, "Swollen and hot the ring may fill %.0f %% of the groove: it forces the joint apart or is squeezed out.", grown.High*100)
		case grown.High > 0.95:
			a.Judge(calc.Careful, "Swollen and hot the ring may fill %.0f %% of the groove; little room is left.", grown.High*100)
		}
	}
	if in.Has("cold") {
		coldGland, coldRing := Grown(g, r, m, metal, 0, in.Temperature("cold"))
		cold, err := coldGland.Fit(coldRing)
		if err != nil {
			a.Judge(calc.Bad, "At %s nothing squeezes the ring any more: it leaks when cold.", in.Written("cold"))
			return nil
		}
		giveBand(a, "cold_squeeze", cold.Stretched)
		if cold.Stretched.Low <= 0 && fit.Stretched.Low > 0 {
			a.Judge(calc.Bad, "At %s the least squeeze is gone: it can leak when cold.", in.Written("cold"))
		}
	}
	return nil
}

func glandSteps(a *calc.Answer, g Gland, r Ring, fit Fit) {
	cs, d := mm(r.Section.Nominal), mm(fit.Depth.Nominal)
	switch g.Seat {
	case Piston:
		a.Step("Depth of the gland", "d = (bore − groove)/2", "= (%.3f − %.3f)/2 = %.3f mm", mm(g.Mate.Nominal), mm(g.Groove.Nominal), d)
	case Rod:
		a.Step("Depth of the gland", "d = (groove − rod)/2", "= (%.3f − %.3f)/2 = %.3f mm", mm(g.Groove.Nominal), mm(g.Mate.Nominal), d)
	}
	if over := g.over().Nominal; over > 0 {
		a.Step("Stretch", "s = (over − ID)/ID", "= (%.3f − %.3f)/%.3f = %.2f %%", mm(over), mm(r.Inside.Nominal), mm(r.Inside.Nominal), fit.Stretch.Likely*100)
		a.Step("Section when stretched", "CS′ = CS·(1 − R), R of the empirical curve", "= %.3f mm (constant volume: %.3f mm)", mm(fit.Section), mm(fit.Constant))
	}
	a.Step("Squeeze", "(CS − d)/CS", "= (%.3f − %.3f)/%.3f = %.2f %%", cs, d, cs, fit.Squeeze.Likely*100)
	if fit.Squeeze.Low < fit.Squeeze.High {
		a.Step("Worst case", "(CSmin − dmax)/CSmin to (CSmax − dmin)/CSmax", "= %.2f to %.2f %%; of the stretched section %.2f to %.2f %%",
			fit.Squeeze.Low*100, fit.Squeeze.High*100, fit.Stretched.Low*100, fit.Stretched.High*100)
	}
	if fit.Fill.Likely > 0 {
		a.Step("Fill", "(π/4 · CS²)/(d · w)", "= π/4 · %.3f² / (%.3f · %.3f) = %.2f %%", cs, d, mm(g.Width.Nominal), fit.Fill.Likely*100)
	}
}
