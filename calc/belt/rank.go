package belt

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"lastbolt/quantity"
)

// lap is one routing with the tensioner in one place.
type lap struct {
	u      float64 // NaN: as given
	length float64 // effective
	wraps  []float64
}

// ways gathers the routings of a search over the places of the tensioner.
type ways struct {
	d    *Drive
	all  map[string]*candidate
	list []*candidate // in the order found
}

type candidate struct {
	routing Routing
	laps    []lap
	penalty float64
	off     float64 // from fitting, m
	fits    bool
}

func newWays(d *Drive) *ways { return &ways{d: d, all: map[string]*candidate{}} }

func (w *ways) add(r Routing, l lap) {
	key := make([]byte, 0, len(r))
	for _, t := range r {
		b := byte(t.Pulley) << 1
		if t.Side == Back {
			b |= 1
		}
		key = append(key, b)
	}
	c := w.all[string(key)]
	if c == nil {
		c = &candidate{routing: r}
		w.all[string(key)] = c
		w.list = append(w.list, c)
	}
	c.laps = append(c.laps, l)
}

// The weights of the ranking, in degrees of wrap that fall short. A length that
// does not fit outweighs everything; leaving a pulley out, or the tensioner on
// the tight side, is as bad as a good part of an arc.
const (
	weightMisfit = 1000.0
	weightUnused = 40.0
	weightTight  = 20.0
	// weightGrip breaks ties: for each degree by which the least loaded wrap is
	// under a half turn.
	weightGrip = 0.05
)

// rank weighs the candidates and solves the best.
func (w *ways) rank(o Search, f *Found) {
	for _, c := range w.list {
		w.weigh(c, o, false)
		f.All++
		if c.fits {
			f.Fitting++
		}
	}
	slices.SortStableFunc(w.list, func(a, b *candidate) int { return cmp.Compare(a.penalty, b.penalty) })
	for _, c := range w.list {
		if len(f.Ways) == o.Best {
			break
		}
		s, err := Solve(*w.d, c.routing)
		if err != nil || s.onlyLaid() {
			// Possible for the search in some place of the tensioner, and not where
			// this belt holds it.
			f.All--
			if c.fits {
				f.Fitting--
			}
			continue
		}
		f.Ways = append(f.Ways, Way{Solution: s, Penalty: c.penalty, Reasons: w.weigh(c, o, true), Fits: c.fits, Off: quantity.Length(c.off)})
	}
}

// onlyLaid reports whether the belt would cross or rub where it ends up.
func (s *Solution) onlyLaid() bool {
	for _, t := range s.Troubles {
		if t.Grave && (t.Kind == Crossing || t.Kind == TooNear || t.Kind == InsideOut) {
			return true
		}
	}
	return false
}

// weigh fills in the penalty of a candidate; asked to tell, it says in words
// what speaks against it, which is not needed to rank thousands.
func (w *ways) weigh(c *candidate, o Search, tell bool) (reasons []string) {
	d := w.d
	c.penalty = 0
	against := func(weight float64, say string, args ...any) {
		c.penalty += weight
		if tell {
			reasons = append(reasons, fmt.Sprintf(say, args...))
		}
	}
	best := c.fit(float64(d.Belt.Length), float64(o.Tolerance))
	switch want := float64(d.Belt.Length); {
	case !c.fits:
		against(weightMisfit*(1+5*c.off/want), "the belt is %s off its length", mm(quantity.Length(c.off)))
	case c.off > 0:
		c.penalty += 10 * c.off / float64(o.Tolerance)
	}
	least := math.Pi
	for i, t := range c.routing {
		got, want := best.wraps[i]*180/math.Pi, d.advised(t.Pulley)
		if got < want {
			against(want-got, "%s is wrapped by %.0f° where %.0f° is usual", d.Pulleys[t.Pulley].Name, got, want)
		}
		if t.Pulley == d.Crank || d.Pulleys[t.Pulley].loaded() {
			least = min(least, best.wraps[i])
		}
	}
	c.penalty += weightGrip * (180 - least*180/math.Pi)
	for i := range d.Pulleys {
		if p := &d.Pulleys[i]; !c.routing.touches(i) && p.Known != Untouched {
			against(weightUnused, "%s is left out", p.Name)
		}
	}
	if d.tightSide(c.routing) {
		against(weightTight, "the tensioner is not on the slack side, between the crank and the first accessory")
	}
	return reasons
}

// fit tells whether a belt of the wanted length, 0 when not known, can be held
// in one of the tensioner's places, and which of them is nearest.
func (c *candidate) fit(want, tolerance float64) lap {
	c.fits, c.off = true, 0
	if want == 0 {
		return c.laps[0]
	}
	shortest, longest, best := math.Inf(1), math.Inf(-1), c.laps[0]
	for _, l := range c.laps {
		shortest, longest = min(shortest, l.length), max(longest, l.length)
		if math.Abs(l.length-want) < math.Abs(best.length-want) {
			best = l
		}
	}
	c.off = max(0, shortest-want, want-longest)
	c.fits = c.off <= tolerance
	return best
}

// tightSide reports whether an accessory stands between the crank and the
// tensioner, in the direction of travel.
func (d *Drive) tightSide(r Routing) bool {
	if d.Tensioner == nil || d.Tensioner.Kind == Fixed || !r.touches(d.Tensioner.Pulley) {
		return false
	}
	for _, t := range r[1:] {
		if t.Pulley == d.Tensioner.Pulley {
			return false
		}
		if d.Pulleys[t.Pulley].loaded() {
			return true
		}
	}
	return false
}
