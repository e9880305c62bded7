package seal

import (
	"fmt"
	"math"
	"slices"

	"lastbolt/calc"
	"lastbolt/quantity"
)

// A Judgement is what comes out of putting a material to a fluid.
type Judgement struct {
	Level   calc.Level
	Reasons []Finding  // the worst first
	Instead []Material // that would do where this one does not; empty when it does
	Perhaps []Material // that might do, with care
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
		switch l, _ := judge(other, f, quantity.DegreeCelsius.Count(cold), quantity.DegreeCelsius.Count(hot)); l {
		case calc.Good:
			j.Instead = append(j.Instead, other)
		case calc.Careful:
			j.Perhaps = append(j.Perhaps, other)
		}
	}
	return j
}

// judge rates one material; the worst finding comes first.
func judge(m Material, f Fluid, cold, hot float64) (calc.Level, []Finding) {
	all := []Finding{rateFinding(m, f)}
	all = append(all, heatFindings(m, f, cold, hot)...)
	slices.SortStableFunc(all, func(a, b Finding) int { return severity(b.Level) - severity(a.Level) })
	return all[0].Level, all
}

// severity orders levels, good to bad.
func severity(l calc.Level) int {
	switch l {
	case calc.Bad:
		return 2
	case calc.Careful:
		return 1
	}
	return 0
}

func rateFinding(m Material, f Fluid) Finding {
	switch rating, why, _ := Rate(m, f); rating {
	case Unsuited:
		return Finding{calc.Bad, fmt.Sprintf("%s is unsuited to %s: %s.", m, f.Title(), why)}
	case Suits:
		return Finding{calc.Good, fmt.Sprintf("%s suits %s: %s.", m, f.Title(), why)}
	case Limited:
		return Finding{calc.Careful, fmt.Sprintf("%s in %s: %s.", m, f.Title(), why)}
	default:
		return Finding{calc.Careful, fmt.Sprintf("%s in %s is not known: %s; ask the seal's maker.", m, f.Title(), why)}
	}
}

// heatFindings compares temperatures in °C with the material's limits.
func heatFindings(m Material, f Fluid, cold, hot float64) (all []Finding) {
	add := func(l calc.Level, format string, args ...any) {
		all = append(all, Finding{l, fmt.Sprintf(format, args...)})
	}
	p := properties[m]
	careful, hottest := p.hot, p.hottest
	if f.watery() && p.hotWater > 0 {
		careful = math.Min(careful, p.hotWater)
		if p.hotWater < p.hot { // beyond it water breaks the rubber down, not only ages it faster
			hottest = math.Min(hottest, p.hotWater+pastHotWater)
		}
	}
	switch {
	case hot > hottest:
		add(calc.Bad, "%.0f °C is too hot for %s, which stands about %.0f °C here.", hot, m, careful)
	case hot > careful:
		add(calc.Careful, "%.0f °C is more than the %.0f °C that the careful source gives %s here; special grades may stand it.", hot, careful, m)
	}
	switch {
	case cold < p.coldest:
		add(calc.Bad, "At %.0f °C %s is stiff as plastic; it stays elastic to about %.0f °C.", cold, m, p.cold)
	case cold < p.cold:
		add(calc.Careful, "%.0f °C is colder than the %.0f °C that the careful source gives %s; it may leak on a cold start.", cold, p.cold, m)
	}
	return all
}

// pastHotWater is by how many kelvins a hot-water limit may be passed before it
// is called bad and not careful: common practice.
const pastHotWater = 20

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
