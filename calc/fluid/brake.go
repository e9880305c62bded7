package fluid

import (
	"lastbolt/calc"
	"lastbolt/quantity"
)

// A BrakeType is what FMVSS 116 asks of a brake fluid: least boiling points dry
// and wet in °C and the greatest viscosity at −40 °C in mm²/s.
type BrakeType struct {
	Name     string
	Dry, Wet float64
	Cold     float64
	Silicone bool
	Base     string
	tested   []float64 // boiling points of good fluids at 2 and 3 per cent water
}

// BrakeTypes are the types; the order is that of the input "type".
var BrakeTypes = []BrakeType{
	{Name: "DOT 3", Dry: 205, Wet: 140, Cold: 1500, Base: "glycol ether", tested: []float64{180, 160}},
	{Name: "DOT 4", Dry: 230, Wet: 155, Cold: 1800, Base: "glycol ether and borate", tested: []float64{210, 187}},
	{Name: "DOT 5", Dry: 260, Wet: 180, Cold: 900, Silicone: true, Base: "silicone"},
	{Name: "DOT 5.1", Dry: 260, Wet: 180, Cold: 900, Base: "glycol ether and borate"},
}

// WetWater is how much water the wet boiling point stands for, per cent.
const WetWater = 3.7

// share tells how the boiling point of a glycol fluid falls with water: 1 dry,
// 0 at WetWater. Its points are those reported for a common DOT 3 fluid at 1, 2
// and 3 per cent (187, 160 and 145 °C) between 205 and 140; beyond WetWater it
// goes on at the last slope for a while.
func share(water float64) float64 {
	return between(water, 0, 1, 1, 47.0/65, 2, 20.0/65, 3, 5.0/65, WetWater, 0, 8, -0.25)
}

// BrakeBoiling is where a brake fluid with so many per cent of water boils: the
// low end for a fluid that just meets its type, the high end for the better ones
// that were measured. water is from 0 to 8.
func BrakeBoiling(t BrakeType, water float64) Band[quantity.Temperature] {
	least := t.Wet + (t.Dry-t.Wet)*share(water)
	better := least + between(water, 0, 25, 2, 25, WetWater, 20, 8, 10)
	if t.tested != nil {
		better = max(better, between(water, 0, t.Dry+30, 2, t.tested[0], 3, t.tested[1], WetWater, t.tested[1]-10, 8, t.tested[1]-30))
	}
	return Band[quantity.Temperature]{quantity.Celsius(least), quantity.Celsius((least + better) / 2), quantity.Celsius(better)}
}

// WaterTaken is how many per cent of water a glycol fluid has taken up after so
// many years in a vehicle: 1 to 2 a year, the sources say, and at most 8.
func WaterTaken(years float64) Band[float64] {
	return Band[float64]{Low: min(8, years), Likely: min(8, 1.5*years), High: min(8, 2*years)}
}

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "brake-fluid",
		Title: "Boiling point of the brake fluid",
		About: "What is left of a brake fluid's boiling point after some years or with a measured share of water, and whether it is due.",
		Method: "FMVSS 116 sets least boiling points dry and with 3.7 % water. Between them the fluid falls steeply at first, as reported for a common " +
			"DOT 3 fluid at 1, 2 and 3 % water; the same shape is taken for the others. The high end is what a tester's maker gives for good fluids.\n\n" +
			"Where the water was not measured it is taken as 1 to 2 % for each year, which differs widely with climate and hoses. Silicone fluid takes up no " +
			"water, but water in it lies at the lowest point and boils at 100 °C. A measured boiling point is better than any of this.",
		Inputs: []calc.Input{
			{Name: "type", Title: "Type", Kind: calc.Choice, Default: "DOT 4", Choices: calc.Options("DOT 3", "DOT 4", "DOT 5", "DOT 5.1")},
			{Name: "age", Title: "Years since it was changed", Kind: calc.Number, Min: "0", Max: "40", Optional: true},
			{Name: "water", Title: "Water, if measured", Kind: calc.Number, Unit: "%", Min: "0", Max: "8", Optional: true},
			{Name: "measured", Title: "Boiling point, if measured", Kind: "temperature", Unit: "°C", Min: "90 °C", Max: "350 °C", Optional: true},
		},
		Outputs: []calc.Output{
			{Name: "boiling", Title: "Boils from", Kind: "temperature", Unit: "°C"},
			{Name: "water", Title: "Water in it", Kind: calc.Number, Unit: "%", Digits: 2},
			{Name: "dry", Title: "Least of a new one", Kind: "temperature", Unit: "°C"},
			{Name: "wet", Title: "Least with 3.7 % water", Kind: "temperature", Unit: "°C"},
			{Name: "cold", Title: "At −40 °C at most", Kind: calc.Number, Unit: "mm²/s", Digits: 4},
		},
		Sources: []calc.Source{
			{Text: "FMVSS 116 (49 CFR 571.116) limits as quoted at adelaideoil.com and in encyclopedia copies of 2017", Known: calc.Published},
			{Text: "DOT 3 at 1, 2 and 3 % water; 2 % after a year, 3 % after 18 months: trade text quoted at forums.anandtech.com and saabcentral.com", Known: calc.Published},
			{Text: "Boiling points at 2 and 3 % water and 1 % a year: misco.com, When to change your brake fluid", Known: calc.Published},
			{Text: "Change at 3 % water: the same", Known: calc.Published}},
		Cautions: []string{
			"Brakes can kill: use the type on the reservoir cap, from a sealed can, and never silicone (DOT 5) where glycol was.",
			"Brake fluid eats paint; rinse spills with water at once."},
		Example: map[string]string{"type": "DOT 4", "age": "3"},
		Compute: computeBrake,
	}
})

func computeBrake(in calc.In, a *calc.Answer) error {
	var t BrakeType
	for _, b := range BrakeTypes {
		if b.Name == in.Choice("type") {
			t = b
		}
	}
	a.Give("dry", quantity.Celsius(t.Dry))
	a.Give("wet", quantity.Celsius(t.Wet))
	a.Give("cold", t.Cold)
	for _, name := range []string{"dry", "wet", "cold"} {
		a.Rest(name, calc.Tabulated, "FMVSS 116")
	}
	water := Band[float64]{}
	switch {
	case in.Has("water"):
		w := in.Number("water")
		water = Band[float64]{max(0, w-0.5), w, w + 0.5} // what a tester is good to
	case t.Silicone:
	case in.Has("age"):
		water = WaterTaken(in.Number("age"))
	case !in.Has("measured"):
		return calc.Cannot("Write how many years ago it was changed, how much water was measured, or the boiling point measured.")
	}
	a.GiveBand("water", water.Low, water.Likely, water.High)
	if in.Has("water") {
		a.Rest("water", calc.Measured, "measured, to half a per cent")
	} else {
		a.Rest("water", calc.Advice, "1 to 2 % a year")
	}
	boiling := Band[quantity.Temperature]{BrakeBoiling(t, water.High).Low, BrakeBoiling(t, water.Likely).Likely, BrakeBoiling(t, water.Low).High}
	basis, why := calc.Advice, "least of the type, and how water lowers it"
	if in.Has("measured") {
		m := in.Temperature("measured")
		boiling, basis, why = Band[quantity.Temperature]{m - 5, m, m + 5}, calc.Measured, "measured, to 5 °C"
	}
	a.GiveBand("boiling", boiling.Low, boiling.Likely, boiling.High)
	a.Rest("boiling", basis, why)
	judgeBrake(a, t, water, boiling, in.Has("measured"))
	return nil
}

func judgeBrake(a *calc.Answer, t BrakeType, water Band[float64], boiling Band[quantity.Temperature], measured bool) {
	switch {
	case t.Silicone && water.Likely > 0.5:
		a.Judge(calc.Bad, "Water does not mix with silicone fluid: it lies in the calipers, rusts them and boils at 100 °C. Flush it.")
	case measured && celsius(boiling.Likely) < t.Wet:
		a.Judge(calc.Bad, "Below the %.0f °C asked of a wet %s: change it now.", t.Wet, t.Name)
	case !measured && water.Likely >= 3:
		a.Judge(calc.Bad, "About %.1f %% water: change it.", water.Likely)
	case measured && celsius(boiling.Likely) < t.Wet+(t.Dry-t.Wet)*share(2), !measured && water.High >= 3:
		a.Judge(calc.Careful, "Near its end: change it soon, and before mountains or towing.")
	case t.Silicone && !measured:
		a.Judge(calc.Careful, "Silicone takes up no water of itself; nothing can be told from its age. Look for water at the lowest bleeder.")
	default:
		a.Judge(calc.Good, "Not due by its water.")
	}
}
