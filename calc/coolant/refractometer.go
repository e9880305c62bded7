package coolant

import (
	"math"

	"lastbolt/calc"
	"lastbolt/quantity"
)

// The refractive index of glycol in water at 20 °C, sodium D line, over mass
// per cent. Ethylene glycol is the CRC table of concentrative properties at 0 to
// 60 % (from memory) and the pure liquid at 100. For propylene glycol no table
// was found; it follows the rule of Lorentz and Lorenz, see indexByRule.
var ethyleneIndex = through(0, 1.3330, 10, 1.3425, 20, 1.3524, 40, 1.3728, 60, 1.3931, 100, 1.4318)

// RefractiveIndex is the index of a mixture of at most 60 per cent by volume at
// 20 °C and the sodium D line. It is good to 0.0015, or 1.5 per cent by mass.
func RefractiveIndex(b Base, v VolumeShare) float64 {
	w := b.Mass(v)
	if b == Ethylene {
		return ethyleneIndex.at(100 * float64(w))
	}
	return indexByRule(b, w)
}

// indexByRule mixes the specific refractions of glycol and water by mass:
// R = w·R(glycol) + (1 − w)·R(water), R = (n² − 1)/(n² + 2)/ρ, with Melinder's
// density of the mixture.
func indexByRule(b Base, w MassShare) float64 {
	refraction := func(n, density float64) float64 { return (n*n - 1) / (n*n + 2) / density }
	pure := map[Base]float64{Ethylene: 1.4318, Propylene: 1.4324}[b]
	twenty := quantity.Celsius(20)
	rule := float64(w)*refraction(pure, b.data().pure) + float64(1-w)*refraction(1.3330, float64(WaterDensity(twenty)))
	density := b.data().melinder.density.at(100*float64(w), 20)
	if least := b.data().melinder.density.least; 100*float64(w) < least {
		// Weaker than the book: straight between water and its first density.
		share := 100 * float64(w) / least
		density = share*b.data().melinder.density.at(least, 20) + (1-share)*float64(WaterDensity(twenty))
	}
	x := rule * density
	return math.Sqrt((1 + 2*x) / (1 - x))
}

// StrengthOfIndex undoes RefractiveIndex; below water and above 60 per cent by
// volume ok is false.
func StrengthOfIndex(b Base, n float64) (v VolumeShare, ok bool) {
	if n < RefractiveIndex(b, 0)-0.0005 || n > RefractiveIndex(b, MaxPromised)+1e-9 {
		return 0, false
	}
	return VolumeShare(solve(0, float64(MaxPromised), func(v float64) float64 { return RefractiveIndex(b, VolumeShare(v)) - n })), true
}

// strengthOfScale is the strength whose likely freezing point stands at a mark
// of a refractometer's scale for a glycol.
func strengthOfScale(scale Base, t quantity.Temperature) (VolumeShare, bool) {
	likely := func(v float64) float64 {
		band, _, _ := Freezing(scale, VolumeShare(v))
		return float64(band.Likely - t)
	}
	if likely(0) < -0.2 || likely(float64(MaxPromised)) > 0 {
		return 0, false
	}
	return VolumeShare(solve(0, float64(MaxPromised), likely)), true
}

// scaleUnsure is how far two refractometers' scales may differ, by volume.
const scaleUnsure = 0.03

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "refractometer",
		Title: "Refractometer reading",
		About: "From a refractometer's freezing scale, its per cent scale or a refractive index to the strength and the protection, also when the scale is for the other glycol.",
		Method: "An index is turned into mass per cent by the CRC table for ethylene glycol and by the rule of Lorentz and Lorenz for propylene " +
			"glycol. A freezing scale is read back to the strength at which that freezing point lies; when the scale is for the other glycol, " +
			"back to its index and from there to the strength of the glycol at hand.\n\n" +
			"Set the instrument to zero with water first, and let the drop come to its temperature. Brix is a sugar scale: there is no published " +
			"table from it to glycol, so it is not taken.",
		Inputs: []calc.Input{askBase,
			{Name: "scale", Title: "What was read", Kind: calc.Choice, Default: "freezing", Choices: []calc.Option{
				{Value: "freezing", Title: "freezing point on the scale"}, {Value: "per cent", Title: "per cent by volume on the scale"}, {Value: "index", Title: "refractive index"}}},
			{Name: "scale_for", Title: "The scale is for", Kind: calc.Choice, Default: "same", Choices: []calc.Option{
				{Value: "same", Title: "the glycol above"}, {Value: "other", Title: "the other glycol"}}},
			{Name: "freezing", Title: "Freezing point read", Kind: "temperature", Unit: "°C", Optional: true},
			{Name: "percent", Title: "Per cent read", Kind: calc.Number, Unit: "%", Min: "0", Max: "100", Optional: true},
			{Name: "index", Title: "Refractive index read, at 20 °C", Kind: calc.Number, Min: "1.3", Max: "1.5", Optional: true},
		},
		Outputs: []calc.Output{
			{Name: "by_volume", Title: "Strength by volume", Kind: calc.Number, Unit: "%"},
			{Name: "by_mass", Title: "Strength by mass", Kind: calc.Number, Unit: "%"},
			{Name: "freezing", Title: "First ice", Kind: "temperature", Unit: "°C"},
			{Name: "index", Title: "Refractive index at 20 °C", Kind: calc.Number, Digits: 5},
		},
		Sources: []calc.Source{
			{Text: "CRC Handbook, concentrative properties of aqueous solutions, ethylene glycol", Known: calc.FromMemory},
			{Text: "Pure glycols 1.4318 and 1.4324: CRC Handbook as carried by the chemicals library", Known: calc.Published},
			fromASHRAE, fromMelinder, fromJ814,
			{Text: "ASTM D3321 significance text: the scale must be that of the glycol", Known: calc.Published}},
		Cautions: []string{notMakers},
		Example:  map[string]string{"base": "ethylene", "scale": "freezing", "scale_for": "same", "freezing": "-30 °C"},
		Compute:  computeRefractometer,
	}
})

func computeRefractometer(in calc.In, a *calc.Answer) error {
	b := baseOf(in)
	scale := b
	if in.Choice("scale_for") == "other" {
		scale = b.Other()
	}
	field := map[string]string{"freezing": "freezing", "per cent": "percent", "index": "index"}[in.Choice("scale")]
	if !in.Has(field) {
		return in.Refuse(field, "Nothing is read: write the %s that was read.", map[string]string{"freezing": "freezing point", "percent": "per cent", "index": "refractive index"}[field])
	}
	var read VolumeShare
	ok := true
	switch field {
	case "freezing":
		if read, ok = strengthOfScale(scale, in.Temperature("freezing")); !ok {
			warm, _, _ := Freezing(scale, 0)
			cold, _, _ := Freezing(scale, MaxPromised)
			return in.Refuse("freezing", "Freezing point read: %s is off the scale; it must lie between %.0f and %.0f °C. Wipe the prism and set it to zero with water.",
				in.Written("freezing"), celsius(cold.Likely), celsius(warm.Likely))
		}
	case "percent":
		if read = VolumeShare(in.Number("percent") / 100); read > MaxPromised {
			return in.Refuse("percent", "Per cent read: above 60 %% by volume the protection falls off again and is not promised; thin it with water and read again.")
		}
	case "index":
		scale = b // an index is no glycol's scale
		if read, ok = StrengthOfIndex(b, in.Number("index")); !ok {
			return in.Refuse("index", "Refractive index read: %s does not lie between water (1.3330) and 60 %% %s (%.4f); set the instrument to zero with water.",
				in.Written("index"), b, RefractiveIndex(b, MaxPromised))
		}
	}
	n := RefractiveIndex(scale, read)
	v := read
	if scale != b {
		if v, ok = StrengthOfIndex(b, n); !ok {
			return calc.Cannot("On the other scale this reading lies beyond 60 %% of %s: thin a measured part with as much water and read again.", b)
		}
		a.Judge(calc.Careful, "The scale is for %s: its own figure is wrong for this coolant.", scale)
	}
	low, high := max(0, v-scaleUnsure), min(v+scaleUnsure, MaxPromised)
	a.GiveBand("by_volume", 100*float64(low), 100*float64(v), 100*float64(high))
	a.GiveBand("by_mass", 100*float64(b.Mass(low)), 100*float64(b.Mass(v)), 100*float64(b.Mass(high)))
	weak, _, _ := Freezing(b, low)
	likely, _, _ := Freezing(b, v)
	strong, _, _ := Freezing(b, high)
	a.GiveBand("freezing", strong.Low, likely.Likely, weak.High)
	a.Give("index", n)
	a.Draw(Chart(b, v, quantity.Kilopascals(101.325)))
	return nil
}
