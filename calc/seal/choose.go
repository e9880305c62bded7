package seal

import (
	"cmp"
	"math"
	"slices"

	"lastbolt/calc"
)

// A Choice is a ring of the tables in a gland.
type Choice struct {
	Ring  Ring
	Fit   Fit
	Level calc.Level
	off   float64 // from the middle of what is usual
}

// RingsFor finds the sizes that would do in a gland, the best first, at most so
// many. A face gland needs a wall's diameter; outward says that the pressure
// comes from inside, so that the ring leans on the outer wall. The list is empty
// when no size of the tables does; the error is a sentence.
func RingsFor(g Gland, motion Motion, outward bool, most int) ([]Choice, error) {
	if g.Seat == Face && g.Inner == 0 && g.Outer == 0 {
		return nil, refuse("A face groove needs the diameter of its inner or its outer wall to find a ring for it.")
	}
	if g.Seat == Face && outward && g.Outer == 0 || g.Seat == Face && !outward && g.Inner == 0 {
		outward = g.Outer > 0
	}
	depth := g.Radial()
	if depth.Min() <= 0 {
		return nil, refuse("The gland is %s deep: bore and groove, or the depth, do not fit together.", show(depth.Nominal))
	}
	l := LimitsOf(g.Seat, motion)
	var all []Choice
	for _, r := range AllRings() {
		squeeze := 1 - float64(depth.Nominal/r.Section.Nominal)
		if squeeze < l.Worst[0] || squeeze > l.Worst[1] || !lies(g, r, outward) {
			continue
		}
		fit, err := g.Fit(r)
		if err != nil {
			continue
		}
		c := Choice{Ring: r, Fit: fit, Level: calc.Good}
		for _, f := range fit.Judge(g, r, motion) {
			if f.Level == calc.Bad || f.Level == calc.Careful && c.Level == calc.Good {
				c.Level = f.Level
			}
		}
		if c.Level == calc.Bad {
			continue
		}
		c.off = offMiddle(g, r, fit, l, outward)
		all = append(all, c)
	}
	slices.SortStableFunc(all, func(a, b Choice) int {
		return cmp.Or(cmp.Compare(order(a), order(b)), cmp.Compare(a.off, b.off))
	})
	return all[:min(most, len(all))], nil
}

// order sorts good before careful, and standards before trade sizes.
func order(c Choice) int {
	n := rank(c.Ring.Standard)
	if c.Level != calc.Good {
		n += 2
	}
	return n
}

// lies reports whether the ring's diameter suits the gland at all.
func lies(g Gland, r Ring, outward bool) bool {
	id, od := float64(r.Inside.Nominal), float64(r.Outside())
	switch g.Seat {
	case Piston:
		s := float64(g.Groove.Nominal)/id - 1
		return s >= -0.005 && s <= 0.05
	case Rod: // leans on the groove's floor, and passes the rod
		o := 1 - float64(g.Groove.Nominal)/od
		return o >= -0.01 && o <= 0.03
	}
	if outward {
		o := 1 - float64(g.Outer)/od
		return o >= -0.005 && o <= 0.03 && (g.Inner == 0 || id >= float64(g.Inner)*0.98)
	}
	s := float64(g.Inner)/id - 1
	return s >= -0.005 && s <= 0.05 && (g.Outer == 0 || od <= float64(g.Outer)*1.02)
}

// offMiddle says how far a fit is from the middle of what is usual.
func offMiddle(g Gland, r Ring, fit Fit, l Limits, outward bool) float64 {
	squeeze := (fit.Squeeze.Likely - (l.Squeeze[0]+l.Squeeze[1])/2) / (l.Squeeze[1] - l.Squeeze[0])
	best, is := 0.02, fit.Stretch.Likely // 2 % is the ideal stretch
	if g.Seat == Rod || g.Seat == Face && outward {
		best, is = 0.01, fit.Outer.Likely
	}
	return math.Abs(squeeze) + math.Abs(is-best)/0.03
}
