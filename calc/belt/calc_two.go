package belt

import (
	"math"

	"lastbolt/calc"
	"lastbolt/quantity"
)

var pairInputs = []calc.Input{
	{Name: "first", Title: "Diameter of one pulley", Kind: "length", Unit: "mm", Min: "1 mm", Max: "20 m"},
	{Name: "second", Title: "Diameter of the other", Kind: "length", Unit: "mm", Min: "1 mm", Max: "20 m"},
}

var runOfPair = calc.Input{Name: "run", Title: "The belt is", Kind: calc.Choice, Default: "open", Choices: []calc.Option{
	{Value: "open", Title: "open: both turn the same way"}, {Value: "crossed", Title: "crossed: they turn against each other"}}}

var beltThickness = calc.Input{Name: "thickness", Title: "Thickness of the belt", Kind: "length", Unit: "mm", Default: "0 mm", Min: "0 mm", Max: "100 mm",
	Help: "Added to both diameters, half on each side, so that the middle of the belt is measured; 0 where pitch diameters are given."}

var pairSources = []calc.Source{
	{Text: "Encyclopaedia Britannica, 11th ed., vol. 17, \"Mechanics\", eq. 32A (crossed) and 32B (open)", Known: calc.Published},
	{Text: "The usual approximation: a public first-year course note, and the FOSSEE textbook companions", Known: calc.Published},
	{Text: "Arc factor K1 of V belts, curve fit in Shigley, Mechanical Engineering Design, table 17-13", Known: calc.FromMemory},
}

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "belt-two-pulleys",
		Title: "Length and wraps of a belt over two pulleys",
		About: "How long a belt over two pulleys must be, open or crossed, and how far it wraps each.",
		Method: "Exact: with α = asin((D ∓ d)/2C), minus for an open belt and plus for a crossed one, the length is 2C·cos α and the arcs. The usual approximation is given beside it, since many tables and books are made with it; it is short by a hair for open belts and by more for crossed ones.\n\n" +
			"The length is that of the line whose diameters are given: effective diameters give the effective length that is marked on a ribbed belt, pitch diameters the pitch length.",
		Inputs: append(append([]calc.Input{}, pairInputs...),
			calc.Input{Name: "centres", Title: "Distance of the centres", Kind: "length", Unit: "mm", Min: "1 mm", Max: "100 m"}, runOfPair, beltThickness),
		Outputs: []calc.Output{
			{Name: "length", Title: "Length", Kind: "length", Unit: "mm", Digits: 5},
			{Name: "usual", Title: "By the usual approximation", Kind: "length", Unit: "mm", Digits: 5},
			{Name: "wrap_small", Title: "Wrap on the smaller pulley", Kind: "angle", Unit: "°", Digits: 4},
			{Name: "wrap_large", Title: "Wrap on the larger pulley", Kind: "angle", Unit: "°", Digits: 4},
			{Name: "span", Title: "Free span", Kind: "length", Unit: "mm", Digits: 6},
			{Name: "slope", Title: "Slope of the span to the line of centres", Kind: "angle", Unit: "°", Digits: 5},
			{Name: "arc_factor", Title: "Arc factor of V belts", Kind: calc.Number, Digits: 3, Optional: true, Help: "Share of its rating that a V belt keeps at this wrap; from 90° to 180°."},
		},
		Sources: pairSources,
		Example: map[string]string{"first": "150 mm", "second": "60 mm", "centres": "320 mm"},
		Compute: func(in calc.In, a *calc.Answer) error {
			t, c, crossed := in.Length("thickness"), in.Length("centres"), in.Choice("run") == "crossed"
			d1, d2 := in.Length("first"), in.Length("second")
			if 2*c <= d1+d2 {
				return in.Refuse("centres", "The pulleys overlap: their centres are %s apart and their radii add to %s. Move them apart or check the diameters.", mm(c), mm((d1+d2)/2))
			}
			p := TwoPulleys(d1+t, d2+t, c, crossed)
			if p.Overlapped {
				return in.Refuse("centres", "A belt %s thick has no room to run between these pulleys; move them apart.", mm(t))
			}
			a.Give("length", p.Length)
			a.Give("usual", p.Usual)
			a.Give("wrap_small", p.WrapSmall)
			a.Give("wrap_large", p.WrapLarge)
			a.Give("span", p.Span)
			a.Give("slope", p.SpanSlope)
			a.Step("Slope", map[bool]string{false: "α = asin((D − d)/2C)", true: "α = asin((D + d)/2C)"}[crossed], "= %.4f°", degrees(p.SpanSlope))
			a.Step("Spans", "2 · C · cos α", "= %.3f mm", 2000*float64(p.Span))
			a.Step("Length", "spans + D/2 · wrap + d/2 · wrap", "= %.3f mm", 1000*float64(p.Length))
			if w := degrees(p.WrapSmall); w >= 90 && w <= 180 {
				a.Give("arc_factor", arcFactor(w))
				a.Rest("arc_factor", calc.Tabulated, "curve fit of a published table, from memory")
			}
			if w := degrees(p.WrapSmall); w < loadedWrap {
				a.Judge(calc.Careful, "The belt wraps the smaller pulley by %.0f° only; move the pulleys apart or add an idler on the outside.", w)
			}
			return nil
		},
	}
})

// arcFactor is the share of a V belt's rating left at a wrap of 90° to 180°
// (Shigley, table 17-13, column VV, curve fit).
func arcFactor(wrap float64) float64 { return 0.143543 + 0.007468*wrap - 0.000015052*wrap*wrap }

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:   "belt-centre-distance",
		Title:  "Centre distance from the belt's length",
		About:  "How far apart two pulleys stand with a given belt.",
		Method: "The exact length is solved for the distance. The usual formula comes from the approximate length and is given beside it: with b = L − π(D+d)/2, C = (b + √(b² − 2(D ∓ d)²))/4.",
		Inputs: append(append([]calc.Input{}, pairInputs...),
			calc.Input{Name: "belt_length", Title: "Length of the belt", Kind: "length", Unit: "mm", Min: "1 mm", Max: "200 m", Help: "Along the same line as the diameters: effective with effective, pitch with pitch."}, runOfPair, beltThickness),
		Outputs: []calc.Output{
			{Name: "centres", Title: "Distance of the centres", Kind: "length", Unit: "mm", Digits: 6},
			{Name: "usual", Title: "By the usual formula", Kind: "length", Unit: "mm", Digits: 6, Optional: true},
			{Name: "wrap_small", Title: "Wrap on the smaller pulley", Kind: "angle", Unit: "°", Digits: 5},
			{Name: "wrap_large", Title: "Wrap on the larger pulley", Kind: "angle", Unit: "°", Digits: 5},
		},
		Sources: append(pairSources[:2:2], calc.Source{Text: "Shigley, Mechanical Engineering Design, eq. 17-16b, for the usual formula", Known: calc.FromMemory}),
		Example: map[string]string{"first": "150 mm", "second": "60 mm", "belt_length": "980 mm"},
		Compute: func(in calc.In, a *calc.Answer) error {
			t, l, crossed := in.Length("thickness"), in.Length("belt_length"), in.Choice("run") == "crossed"
			d1, d2 := in.Length("first")+t, in.Length("second")+t
			c, ok := CentreDistance(d1, d2, l, crossed)
			if !ok {
				return in.Refuse("belt_length", "A belt of %s is too short to go round both pulleys; the pulleys would overlap.", mm(l))
			}
			p := TwoPulleys(d1, d2, c, crossed)
			a.Give("centres", c)
			a.Give("wrap_small", p.WrapSmall)
			a.Give("wrap_large", p.WrapLarge)
			b, k := float64(l)-math.Pi*float64(d1+d2)/2, float64(d1-d2)
			if crossed {
				k = float64(d1 + d2)
			}
			if under := b*b - 2*k*k; under >= 0 {
				usual := (b + math.Sqrt(under)) / 4
				a.Give("usual", quantity.Length(usual))
				a.Step("Usual formula", "b = L − π(D+d)/2, C = (b + √(b² − 2(D ∓ d)²))/4", "b = %.3f mm, C = %.3f mm", 1000*b, 1000*usual)
			}
			a.Step("Exact", "the distance at which the exact length is L", "= %.3f mm", 1000*float64(c))
			return nil
		},
	}
})
