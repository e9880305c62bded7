// Package coolant computes with engine coolant: what a mixture of glycol and
// water does in the cold and in the heat, and the arithmetic of draining,
// mixing, filling and opening a cooling system.
//
// Start with Freezing, Boiling, Density and SpecificHeat for the mixture, with
// Exchange and Fill for the arithmetic, and with Group for the calculations a
// person is shown. Where published sources disagree the answer is a [Band] and
// names what each source says; nothing here is a maker's specification.
//
// Shares are fractions, not percentages: a [VolumeShare] counts volumes before
// mixing and a [MassShare] masses, and only Base.Mass and Base.Volume lead from
// one to the other. The package knows the two glycols and water; it does not
// know glycerol mixtures, alcohols or waterless coolants, and says so.
package coolant

import (
	"math"

	"lastbolt/calc"
	"lastbolt/quantity"
)

// Group is the calculations about coolant.
var Group = calc.NewGroup("coolant", "Coolant", "Glycol and water: protection, mixing, filling, reuse and a hot system.")

// A Base is the glycol a coolant is made of.
type Base int

// The glycols.
const (
	Ethylene Base = iota
	Propylene
)

func (b Base) String() string {
	if b == Propylene {
		return "propylene glycol"
	}
	return "ethylene glycol"
}

// Other is the glycol that b is not.
func (b Base) Other() Base { return Propylene - b }

// A VolumeShare is the volume of glycol (or of antifreeze concentrate, which is
// taken as glycol) over the volume of the mixture, 0 to 1.
type VolumeShare float64

// A MassShare is the mass of glycol over the mass of the mixture, 0 to 1.
type MassShare float64

// MaxShare is the strongest mixture a published table here reaches, and
// MaxPromised the strongest whose freezing point laboratories agree on: between
// 58 and 80 mass per cent one to three eutectics are reported (SAE abstract on
// automatic freeze point determination).
const (
	MaxShare    VolumeShare = 0.70
	MaxPromised VolumeShare = 0.60
)

// A Band is a value with the range within which the sources, or the
// uncertainty stated beside it, leave it.
type Band[Q ~float64] struct{ Low, Likely, High Q }

// Width is High − Low.
func (b Band[Q]) Width() Q { return b.High - b.Low }

// A Reading is what one source says.
type Reading[Q ~float64] struct {
	Source string
	Value  Q
	Known  bool // whether the source reaches this far
}

// spread makes the band over what the sources say, widened by a margin that
// stands for rounding and for commercial fluids; the first known is the likely.
func spread[Q ~float64](readings []Reading[Q], margin Q) (Band[Q], bool) {
	var b Band[Q]
	found := false
	for _, r := range readings {
		switch {
		case !r.Known:
		case !found:
			b, found = Band[Q]{r.Value, r.Value, r.Value}, true
		default:
			b.Low, b.High = min(b.Low, r.Value), max(b.High, r.Value)
		}
	}
	b.Low, b.High = b.Low-margin, b.High+margin
	return b, found
}

// celsius is a temperature as the number of degrees Celsius.
// It takes the base unit, kelvin, directly: these run many times in a chart.
func celsius(t quantity.Temperature) float64 { return float64(t) - 273.15 }

func fromCelsius(c float64) quantity.Temperature { return quantity.Temperature(c + 273.15) }

// solve finds x between low and high where f, which rises or falls all the way,
// is zero; the nearer end when it has no zero there.
func solve(low, high float64, f func(float64) float64) float64 {
	fl, fh := f(low), f(high)
	if fl == 0 || math.Signbit(fl) == math.Signbit(fh) {
		if math.Abs(fl) <= math.Abs(fh) {
			return low
		}
		return high
	}
	// The Illinois form of regula falsi: an end that stays twice counts for half.
	stayed := 0
	for range 100 {
		x := (low*fh - high*fl) / (fh - fl)
		fx := f(x)
		if fx == 0 || high-low < 1e-12*(1+math.Abs(x)) {
			return x
		}
		if math.Signbit(fx) == math.Signbit(fl) {
			if math.Abs(x-low) < 1e-13*(1+math.Abs(x)) {
				return x
			}
			low, fl = x, fx
			if stayed < 0 {
				fh /= 2
			}
			stayed = -1
		} else {
			if math.Abs(high-x) < 1e-13*(1+math.Abs(x)) {
				return x
			}
			high, fh = x, fx
			if stayed > 0 {
				fl /= 2
			}
			stayed = 1
		}
	}
	return (low + high) / 2
}
