package seal

import (
	"math"

	"lastbolt/quantity"
)

// A Sealant is a kind of liquid sealant.
type Sealant string

// The sealants.
const (
	Acetoxy      Sealant = "acetoxy silicone" // smells of vinegar; attacks bare metal and sensors
	Oxime        Sealant = "oxime silicone"   // neutral, the usual engine silicone
	AnaerobicGel Sealant = "anaerobic"        // cures between metal faces, without air
)

// A Cure is an estimate of the waits of a sealant. Every wait is a band; the
// tube's label goes before all of it.
type Cure struct {
	Close [2]quantity.Duration // after laying it, until it skins: close the joint before the first
	Fluid [2]quantity.Duration // after closing, until the joint may see fluid without pressure
	Full  [2]quantity.Duration // after closing, until it is cured right through
}

// Where the estimates stand and how they are bent.
const (
	// skin at 25 °C and 50 % humidity: 15 to 30 min, silicone-solutions.co.uk (RTV102).
	skinFrom, skinTo = 15 * 60, 30 * 60
	// depth cured in the first day at 23 °C and 50 %: 2 to 3 mm, from memory.
	dayDepthLow, dayDepthHigh = 2e-3, 3e-3
	day                       = 86400.0
	// still water after 24 h, 48 h when cold or dry (a sealant maker's answers).
	waterAfter = day
	// anaerobic at 22 °C: in hand after 1 to 3 h, cured after 24 h, from memory;
	// each 10 K colder doubles it, a rule of thumb.
	anaerobicFrom, anaerobicTo = 3600.0, 3 * 3600.0
)

// Vapour gives the pressure of water vapour in air of a temperature and relative
// humidity (0 to 1), in pascals, by the Magnus formula for −45 to 60 °C:
// 611.2·exp(17.62·t/(243.12 + t)), t in °C.
func Vapour(at quantity.Temperature, humidity float64) quantity.Pressure {
	t := quantity.DegreeCelsius.Count(at)
	return quantity.Pressure(humidity * 611.2 * math.Exp(17.62*t/(243.12+t)))
}

// CureOf estimates the waits of a sealant at a temperature and relative humidity
// (0 to 1). path is how far moisture must creep in from the nearest open edge:
// half the width the bead is pressed to, or all of it where one edge is shut in.
//
// Silicone takes its moisture from the air: skin and cured depth are scaled by
// the vapour pressure against that of the published figure, and the depth grows
// with the square root of time, so that twice the depth takes four times as
// long. That model is an estimate; it gives 24 h at 23 °C and half as fast at
// 12 °C, as the published 24 to 48 h do. Anaerobic sealant needs no air; cold
// halves its speed every 10 K. The error is a sentence.
func CureOf(s Sealant, at quantity.Temperature, humidity float64, path quantity.Length) (Cure, error) {
	t := quantity.DegreeCelsius.Count(at)
	switch {
	case t < 0 || t > 60:
		return Cure{}, refuse("At %.0f °C no wait can be told: sealant is laid between 0 and 60 °C, and the tube says how cold it may be.", t)
	case s != AnaerobicGel && humidity < 0.05:
		return Cure{}, refuse("Silicone takes its moisture from the air: at %.0f %% humidity it does not cure, however warm it is.", humidity*100)
	case humidity > 1:
		return Cure{}, refuse("A relative humidity of %.0f %% cannot be: it is 100 %% at most.", humidity*100)
	case path <= 0:
		return Cure{}, refuse("The width of sealant must be more than 0.")
	}
	if s == AnaerobicGel {
		slower := math.Pow(2, (22-t)/10)
		return Cure{Close: band(30*60, 60*60), Fluid: band(anaerobicFrom*slower, anaerobicTo*slower),
			Full: band(day*slower, 2*day*slower)}, nil
	}
	skin := float64(Vapour(quantity.DegreeCelsius.Of(25), 0.5)) / float64(Vapour(at, humidity))
	slower := float64(Vapour(quantity.DegreeCelsius.Of(23), 0.5)) / float64(Vapour(at, humidity))
	deep := func(first float64) float64 {
		n := float64(path) / first
		return math.Max(n*n, 1) * day * slower
	}
	return Cure{
		Close: band(skinFrom*skin, skinTo*skin),
		Fluid: band(waterAfter*math.Max(slower, 1), 2*waterAfter*math.Max(slower, 1)),
		Full:  band(deep(dayDepthHigh), deep(dayDepthLow)),
	}, nil
}

func band(low, high float64) [2]quantity.Duration {
	return [2]quantity.Duration{quantity.Duration(low), quantity.Duration(high)}
}
