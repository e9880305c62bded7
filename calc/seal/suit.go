package seal

import (
	"fmt"
	"math"

	"lastbolt/calc"
	"lastbolt/quantity"
)

// A Judgement is what comes out of putting a material to a fluid.
type Judgement struct {
	Level   calc.Level
	Reasons []string // clauses that stand alone as sentences, the worst first
	Instead []Material
}

// Suit judges a material against a fluid between two temperatures. It is
// guidance of the rubber's family; the compound decides.
func Suit(m Material, f Fluid, cold, hot quantity.Temperature) Judgement {
	level, reasons := judge(m, f, quantity.DegreeCelsius.Count(cold), quantity.DegreeCelsius.Count(hot))
	j := Judgement{Level: level, Reasons: reasons}
	if level == calc.Good {
		return j
	}
	for _, other := range Materials() {
		if other == m || other == PTFE {
			continue
		}
		if l, _ := judge(other, f, quantity.DegreeCelsius.Count(cold), quantity.DegreeCelsius.Count(hot)); l == calc.Good {
			j.Instead = append(j.Instead, other)
		}
	}
	return j
}

// judge rates one material; the reasons of the worst level come first.
func judge(m Material, f Fluid, cold, hot float64) (calc.Level, []string) {
	level := calc.Good
	var bad, careful, good []string
	add := func(l calc.Level, format string, args ...any) {
		say := fmt.Sprintf(format, args...)
		switch l {
		case calc.Bad:
			bad, level = append(bad, say), calc.Bad
		case calc.Careful:
			careful = append(careful, say)
			if level == calc.Good {
				level = calc.Careful
			}
		default:
			good = append(good, say)
		}
	}
	p := properties[m]
	rating, why, _ := Rate(m, f)
	switch rating {
	case Unsuited:
		add(calc.Bad, "%s is unsuited to %s: %s.", m, f.Title(), why)
	case Suits:
		add(calc.Good, "%s suits %s: %s.", m, f.Title(), why)
	case Limited:
		add(calc.Careful, "%s in %s: %s.", m, f.Title(), why)
	case NotKnown:
		add(calc.Careful, "%s in %s is not known: %s; ask the seal's maker.", m, f.Title(), why)
	}
	hottest, careHot := p.hottest, p.hot
	if f.watery() && p.hotWater > 0 {
		careHot = math.Min(careHot, p.hotWater)
		if p.hotWater < p.hot { // beyond the hot-water limit the rubber breaks down, not only ages faster
			hottest = math.Min(hottest, p.hotWater+20)
		}
	}
	switch {
	case hot > hottest:
		add(calc.Bad, "%.0f °C is too hot for %s, which stands about %.0f °C here.", hot, m, careHot)
	case hot > careHot:
		add(calc.Careful, "%.0f °C is more than the %.0f °C that the careful source gives %s here; special grades may stand it.", hot, careHot, m)
	}
	switch {
	case cold < p.coldest:
		add(calc.Bad, "At %.0f °C %s is stiff as plastic; it stays elastic to about %.0f °C.", cold, m, p.cold)
	case cold < p.cold:
		add(calc.Careful, "%.0f °C is colder than the %.0f °C that the careful source gives %s; it may leak on a cold start.", cold, p.cold, m)
	}
	return level, append(append(bad, careful...), good...)
}

// Swell gives the band of volume swell to reckon with, as shares, from what is
// published of the pair: a static seal stands 3 to 12 % (oringsupplyco.com);
// EPDM in mineral oil swells 30 to 80 %. Limited pairs are taken to 30 %, the
// most that a static seal is said to tolerate (O-ring handbook, volume change).
func Swell(m Material, f Fluid) (low, high float64) {
	rating, _, _ := Rate(m, f)
	switch {
	case m == PTFE:
		return 0, 0.01
	case rating == Suits:
		return 0, 0.12
	case rating == Unsuited:
		return 0.30, 0.80
	}
	return 0.03, 0.30
}

// Grown gives what a gland and its ring become at a temperature: the section
// and the ring by the rubber's growth and by swell, shared over three
// dimensions, the gland by the metal's. Growth is linear from 20 °C; metal is
// the metal's linear expansion per kelvin, swell a share of volume.
func Grown(g Gland, r Ring, m Material, metal, swell float64, at quantity.Temperature) (Gland, Ring) {
	warmer := quantity.DegreeCelsius.Count(at) - 20
	rubber := quantity.Length((1 + properties[m].grows*warmer) * math.Cbrt(1+swell))
	steel := quantity.Length(1 + metal*warmer)
	scale := func(t Toleranced, by quantity.Length) Toleranced { return Toleranced{t.Nominal * by, t.Tolerance * by} }
	r.Section, r.Inside = scale(r.Section, rubber), scale(r.Inside, rubber)
	g.Depth, g.Width, g.Groove, g.Mate = scale(g.Depth, steel), scale(g.Width, steel), scale(g.Groove, steel), scale(g.Mate, steel)
	g.Inner, g.Outer = g.Inner*steel, g.Outer*steel
	return g, r
}

// VolumeGrowth gives by how much the fill of a closed gland grows: the volume
// of the ring over that of the gland, against what both were at 20 °C.
func VolumeGrowth(m Material, metal, swell float64, at quantity.Temperature) float64 {
	warmer := quantity.DegreeCelsius.Count(at) - 20
	ratio := (1 + properties[m].grows*warmer) / (1 + metal*warmer)
	return ratio * ratio * ratio * (1 + swell)
}
