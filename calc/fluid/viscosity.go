package fluid

import (
	"fmt"
	"math"

	"lastbolt/calc"
	"lastbolt/quantity"
)

// Viscosity is an oil's kinematic viscosity in mm²/s at a temperature, from
// those at two others, after ASTM D341: log log(ν + 0.7) = A − B·log T. It holds
// from 2 mm²/s up, with v1 at t1 and v2 at t2, t1 and t2 different.
func Viscosity(t1 quantity.Temperature, v1 float64, t2 quantity.Temperature, v2 float64, t quantity.Temperature) float64 {
	w := func(v float64) float64 { return math.Log10(math.Log10(v + 0.7)) }
	k := func(t quantity.Temperature) float64 { return math.Log10(t.In(quantity.Kelvin)) }
	b := (w(v1) - w(v2)) / (k(t2) - k(t1))
	return math.Pow(10, math.Pow(10, w(v1)+b*(k(t1)-k(t)))) - 0.7
}

// lh is L and H of ASTM D2270 for a viscosity at 100 °C of 2 mm²/s or more.
func lh(y float64) (l, h float64) {
	var place float64
	switch {
	case y > 70:
		return 0.8353*y*y + 14.67*y - 216, 0.1684*y*y + 11.85*y - 97
	case y > 30:
		place = 230 + (y-30)/0.5
	case y > 20:
		place = 180 + (y-20)/0.2
	default:
		place = (y - 2) / 0.1
	}
	i := min(int(place), len(tableL)-2)
	part := place - float64(i)
	return tableL[i] + part*(tableL[i+1]-tableL[i]), tableH[i] + part*(tableH[i+1]-tableH[i])
}

// ViscosityIndex is the index of ASTM D2270, not rounded, from the viscosities
// at 40 and 100 °C in mm²/s; at100 is 2 or more, at40 above at100.
func ViscosityIndex(at40, at100 float64) float64 {
	l, h := lh(at100)
	if at40 > h {
		return 100 * (l - at40) / (l - h)
	}
	n := math.Log10(h/at40) / math.Log10(at100)
	return (math.Pow(10, n)-1)/0.00715 + 100
}

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "oil-viscosity",
		Title: "Viscosity of an oil at another temperature",
		About: "From the two viscosities on a data sheet to that at any temperature, and the viscosity index.",
		Method: "ASTM D341, log₁₀ log₁₀(ν + 0.7) = A − B·log₁₀ T with T in kelvin, through the two points; from 2 mm²/s up. Far outside the two " +
			"points it misleads, above all in the cold, where wax and thickeners make oil thicker than the line.\n\n" +
			"The viscosity index of ASTM D2270 follows from 40 and 100 °C, rounded to a whole number.",
		Inputs: []calc.Input{
			{Name: "first_at", Title: "First temperature", Kind: "temperature", Unit: "°C", Default: "40 °C", Min: "-60 °C", Max: "200 °C"},
			{Name: "first", Title: "Viscosity there", Kind: calc.Number, Unit: "mm²/s", Min: "2", Max: "1000000"},
			{Name: "second_at", Title: "Second temperature", Kind: "temperature", Unit: "°C", Default: "100 °C", Min: "-60 °C", Max: "200 °C"},
			{Name: "second", Title: "Viscosity there", Kind: calc.Number, Unit: "mm²/s", Min: "2", Max: "1000000"},
			{Name: "at", Title: "Wanted at", Kind: "temperature", Unit: "°C", Min: "-60 °C", Max: "200 °C"},
		},
		Outputs: []calc.Output{
			{Name: "viscosity", Title: "Viscosity", Kind: calc.Number, Unit: "mm²/s", Digits: 4},
			{Name: "index", Title: "Viscosity index", Kind: calc.Number, Optional: true},
		},
		Sources: []calc.Source{
			{Text: "ASTM D341, worked examples at scribd.com/document/361017004 and olezol.com", Known: calc.Published},
			{Text: "ASTM D2270, table and examples as carried by the chemicals library", Known: calc.Published}},
		Example: map[string]string{"first": "68", "second": "10.5", "at": "20 °C"},
		Compute: func(in calc.In, a *calc.Answer) error {
			t1, t2, t := in.Temperature("first_at"), in.Temperature("second_at"), in.Temperature("at")
			v1, v2 := in.Number("first"), in.Number("second")
			switch {
			case math.Abs(float64(t1-t2)) < 5:
				return in.Refuse("second_at", "Second temperature: it must lie at least 5 °C from the first, or the line has no slope.")
			case (v1-v2)*float64(t2-t1) <= 0:
				return in.Refuse("second", "Viscosity there: an oil is thinner when hot; look whether the two were exchanged.")
			}
			v := Viscosity(t1, v1, t2, v2, t)
			if math.IsNaN(v) || math.IsInf(v, 0) || v > 1e7 {
				return in.Refuse("at", "Wanted at: there the oil is no longer a liquid that flows; ask at a warmer temperature.")
			}
			a.Give("viscosity", v)
			if v < 2 {
				a.Judge(calc.Careful, "Below 2 mm²/s this line no longer holds.")
			}
			if low, high := min(t1, t2), max(t1, t2); t < low-20 || t > high+20 {
				a.Judge(calc.Careful, "More than 20 °C outside the two points: take it as a hint only.")
			}
			at40, at100 := Viscosity(t1, v1, t2, v2, quantity.Celsius(40)), Viscosity(t1, v1, t2, v2, quantity.Celsius(100))
			if at100 >= 2 {
				a.Give("index", math.RoundToEven(ViscosityIndex(at40, at100)))
			}
			return nil
		},
	}
})

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "viscosity-index",
		Title: "Viscosity index",
		About: "How little an oil's viscosity changes with temperature, from those at 40 and 100 °C.",
		Method: "ASTM D2270. With Y at 100 °C and U at 40 °C, L and H are read from the standard's table (above 70 mm²/s from its equations). " +
			"U above H: VI = 100·(L − U)/(L − H). Otherwise N = (log H − log U)/log Y and VI = (10ᴺ − 1)/0.00715 + 100. Rounded to a whole number, ties to even. Undefined below 2 mm²/s.",
		Inputs: []calc.Input{
			{Name: "at40", Title: "Viscosity at 40 °C", Kind: calc.Number, Unit: "mm²/s", Min: "2", Max: "100000"},
			{Name: "at100", Title: "Viscosity at 100 °C", Kind: calc.Number, Unit: "mm²/s", Min: "2", Max: "2000"},
		},
		Outputs: []calc.Output{
			{Name: "index", Title: "Viscosity index", Kind: calc.Number},
			{Name: "l", Title: "L", Kind: calc.Number, Unit: "mm²/s", Digits: 5},
			{Name: "h", Title: "H", Kind: calc.Number, Unit: "mm²/s", Digits: 5},
		},
		Sources: []calc.Source{{Text: "ASTM D2270, table and examples as carried by the chemicals library", Known: calc.Published}},
		Example: map[string]string{"at40": "73.3", "at100": "8.86"},
		Compute: func(in calc.In, a *calc.Answer) error {
			u, y := in.Number("at40"), in.Number("at100")
			if u <= y {
				return in.Refuse("at40", "Viscosity at 40 °C: it must be more than that at 100 °C; look whether the two were exchanged.")
			}
			l, h := lh(y)
			index := ViscosityIndex(u, y)
			if index > 1000 {
				return in.Refuse("at40", "Viscosity at 40 °C: %s is so near that at 100 °C that no oil is like it; measure again.", in.Written("at40"))
			}
			a.Give("index", math.RoundToEven(index))
			a.Give("l", l)
			a.Give("h", h)
			a.Step("Index", "VI after D2270", "%s", fmt.Sprintf("= %.2f", index))
			return nil
		},
	}
})
