package coolant

import (
	"lastbolt/calc"
	"lastbolt/quantity"
)

// StrengthOfDensity is the strength of a mixture that has a density at a
// temperature, 0 to 60 per cent by volume after ASHRAE; ok is false when no
// mixture has it.
func StrengthOfDensity(b Base, density quantity.Density, t quantity.Temperature) (v VolumeShare, ok bool) {
	at := func(v float64) float64 { return float64(b.density(VolumeShare(v), t)[0].Value - density) }
	const slack = 1.5 // kg/m³: what a float cannot show
	if at(0) > slack || at(float64(MaxPromised)) < -slack {
		return 0, false
	}
	return VolumeShare(solve(0, float64(MaxPromised), at)), true
}

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "hydrometer",
		Title: "Hydrometer reading, corrected for temperature",
		About: "From a float's reading and the sample's temperature to the strength and the protection. A warm sample read on a cold table looks far too weak.",
		Method: "The reading is taken as the density of the sample at its own temperature, and the mixture is sought that has it (ASHRAE's " +
			"densities). A relative density is times that of water at the temperature the float is made for. The float's own glass is left out (0.03 % in 40 °C).\n\n" +
			"Commercial coolants are up to 8 kg/m³ lighter than the table, which is 5 % by volume, hence the range. Propylene glycol hardly changes " +
			"above 50 %, so there a hydrometer says little: use a refractometer.",
		Inputs: []calc.Input{askBase,
			{Name: "temperature", Title: "Temperature of the sample", Kind: "temperature", Unit: "°C", Default: "20 °C", Min: "0 °C", Max: "100 °C"},
			{Name: "density", Title: "Density read", Kind: "density", Unit: "kg/m³", Optional: true},
			{Name: "relative", Title: "or relative density read", Kind: calc.Number, Min: "0.9", Max: "1.2", Optional: true},
			{Name: "made_for", Title: "The float is made for", Kind: "temperature", Unit: "°C", Default: "20 °C", Min: "10 °C", Max: "30 °C", Help: "15.6, 20 or 25 °C, as printed on it; for the relative density."},
		},
		Outputs: []calc.Output{
			{Name: "by_volume", Title: "Strength by volume", Kind: calc.Number, Unit: "%"},
			{Name: "freezing", Title: "First ice", Kind: "temperature", Unit: "°C"},
			{Name: "at_twenty", Title: "Density at 20 °C", Kind: "density", Unit: "kg/m³", Digits: 5},
			{Name: "uncorrected", Title: "What it would look like on a table for 20 °C", Kind: calc.Number, Unit: "%", Optional: true},
		},
		Sources: []calc.Source{fromASHRAE, fromKell,
			{Text: "ASTM D1122: reference temperatures 15.6, 20 and 25 °C", Known: calc.Published},
			{Text: "TM 9-6115-464-12, table 2-1: military antifreeze reads 0.003 to 0.008 below ASHRAE", Known: calc.Published}},
		Cautions: []string{"Take no sample from a hot system: not before it is cool to touch.", notMakers},
		Example:  map[string]string{"base": "ethylene", "temperature": "60 °C", "density": "1052 kg/m³"},
		Compute:  computeHydrometer,
	}
})

func computeHydrometer(in calc.In, a *calc.Answer) error {
	b, t := baseOf(in), in.Temperature("temperature")
	if in.Has("density") == in.Has("relative") {
		return calc.Cannot("Write either the density or the relative density that was read.")
	}
	density, field := in.Density("density"), "density"
	if in.Has("relative") {
		field = "relative"
		density = quantity.Density(in.Number("relative")) * WaterDensity(in.Temperature("made_for"))
	}
	v, ok := StrengthOfDensity(b, density, t)
	if !ok {
		least, most := b.density(0, t)[0].Value, b.density(MaxPromised, t)[0].Value
		return in.Refuse(field, "%.1f kg/m³ at %s is no mixture of %s and water: it must lie between %.0f (water) and %.0f (60 %%). Look at the temperature, and for the other glycol.",
			float64(density), in.Written("temperature"), b, float64(least), float64(most))
	}
	off := VolumeShare(0.05)
	if b == Propylene {
		off = 0.10
	}
	low, high := max(0, v-off), min(v+off, MaxPromised)
	a.GiveBand("by_volume", 100*float64(low), 100*float64(v), 100*float64(high))
	weak, _, _ := Freezing(b, low)
	likely, _, _ := Freezing(b, v)
	strong, _, _ := Freezing(b, high)
	a.GiveBand("freezing", strong.Low, likely.Likely, weak.High)
	a.Give("at_twenty", b.density(v, quantity.Celsius(20))[0].Value)
	if wrong, ok := StrengthOfDensity(b, density, quantity.Celsius(20)); ok {
		a.Give("uncorrected", 100*float64(wrong))
	}
	if b == Propylene && v > 0.4 {
		a.Judge(calc.Careful, "A hydrometer says little of propylene glycol this strong: use a refractometer.")
	}
	a.Step("Density at the sample's temperature", "ρ(c, T) = ρ(read)", "%.1f kg/m³ at %.0f °C is %.1f %% by volume", float64(density), celsius(t), 100*float64(v))
	return nil
}
