package coolant

import (
	"math"

	"lastbolt/quantity"
)

// The sources by the names they are shown under.
const (
	ashraeName   = "ASHRAE (inhibited fluid)"
	melinderName = "Melinder (plain glycol)"
	j814Name     = "SAE J814"
)

// Freezing is the temperature at which the first ice appears in a mixture, and
// what each source says, warmest reading last in the band. Up to MaxPromised
// the likely value is ASHRAE's; above it only a range is given (Likely is its
// warm end) and promised is false. v is from 0 to MaxShare.
func Freezing(b Base, v VolumeShare) (band Band[quantity.Temperature], readings []Reading[quantity.Temperature], promised bool) {
	d, percent, w := b.data(), 100*float64(v), 100*float64(b.Mass(v))
	read := func(name string, c curve, x float64) {
		readings = append(readings, Reading[quantity.Temperature]{name, fromCelsius(c.at(x)), c.covers(x)})
	}
	read(ashraeName, d.ashrae.freezing, percent)
	read(melinderName, d.melinder.freezing, w)
	read(j814Name, d.j814Freezing, percent)
	read(d.otherName, d.other, percent)
	// Half a kelvin stands for rounding and for a concentrate's own water.
	margin := quantity.Temperature(0.5 * min(1, 10*float64(v)))
	if v <= MaxPromised+1e-12 {
		band, _ = spread(readings, margin)
		return band, readings, true
	}
	warm, _, _ := Freezing(b, MaxPromised)
	cold, _ := spread(readings, margin)
	return Band[quantity.Temperature]{Low: min(cold.Low, warm.Low), Likely: warm.High, High: warm.High}, readings, false
}

// StrengthFor is the weakest mixture whose every source freezes no warmer than
// a temperature, and whether one is promised at all.
func StrengthFor(b Base, t quantity.Temperature) (VolumeShare, bool) {
	warmest := func(v float64) float64 {
		band, _, _ := Freezing(b, VolumeShare(v))
		return float64(band.High - t)
	}
	if warmest(float64(MaxPromised)) > 0 {
		return MaxPromised, false
	}
	if warmest(0) <= 0 {
		return 0, true
	}
	return VolumeShare(solve(0, float64(MaxPromised), warmest)), true
}

// BoilingBand is how far a computed boiling point may be off, K: it meets SAE
// J814 within 1 K up to 60 volume per cent and is 2 K high at 70.
const BoilingBand = 2

// Boiling is the temperature at which a mixture begins to boil under an
// absolute pressure: the bubble point by Raoult's law, with water's pressure
// from IAPWS-IF97 and the glycol's from its Antoine equation. v is from 0 to
// MaxShare, p from 0.3 to 4 bar.
func Boiling(b Base, v VolumeShare, p quantity.Pressure) Band[quantity.Temperature] {
	d, w := b.data(), float64(b.Mass(v))
	moles := (1 - w) / 18.015
	water := moles / (moles + w/d.molar)
	// ln(p/Pa) = A − B/(T/K + C)
	glycol := func(k float64) float64 { return math.Exp(d.antoine[0] - d.antoine[1]/(k+d.antoine[2])) }
	k := solve(300, 500, func(k float64) float64 {
		return water*float64(SaturationPressure(quantity.Temperature(k))) + (1-water)*glycol(k) - float64(p)
	})
	// Thin mixtures are nearly water, which is known to a tenth.
	t, off := quantity.Temperature(k), quantity.Temperature(0.1+(BoilingBand-0.1)*min(1, 10*float64(v)))
	return Band[quantity.Temperature]{Low: t - off, Likely: t, High: t + off}
}

// Swell is by what share of its cold volume a mixture of at most 60 volume per
// cent grows from one temperature to another: ρ(cold)/ρ(hot) − 1 after ASHRAE.
// The band is a twentieth either way, which is what plain and inhibited glycol
// differ by below 40 °C; water is known.
func Swell(b Base, v VolumeShare, cold, hot quantity.Temperature) Band[float64] {
	share := float64(b.density(v, cold)[0].Value/b.density(v, hot)[0].Value) - 1
	off := 0.05 * share * min(1, 10*float64(v))
	return Band[float64]{Low: share - off, Likely: share, High: share + off}
}
