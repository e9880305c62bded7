package belt

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"lastbolt/calc"
	"lastbolt/quantity"
)

// A Tapped is a pulley tapped on a photo: its centre and any point of its rim,
// in picture points, x to the right and y down.
type Tapped struct {
	// Pulley is all else about it. Its Centre is taken from the photo, and so is
	// its Diameter unless it was measured.
	Pulley
	CentreX, CentreY float64
	RimX, RimY       float64
}

// FromPhoto makes pulleys of taps on a photo taken square from the front. The
// scale is that of the pulleys whose diameters are known, the mean of several;
// off is how far they disagree, as a share, and tells of a photo taken askew.
// The first pulley's centre is the origin.
func FromPhoto(taps []Tapped) (pulleys []Pulley, off float64, err error) {
	sum, n := 0.0, 0
	radii := make([]float64, len(taps))
	for i, t := range taps {
		radii[i] = math.Hypot(t.RimX-t.CentreX, t.RimY-t.CentreY)
		if !(radii[i] > 0) || math.IsInf(radii[i], 0) {
			return nil, 0, calc.Cannot("The rim of %s was tapped on its centre; tap it again further out.", t.Name)
		}
		if t.Diameter > 0 {
			sum += float64(t.Diameter) / (2 * radii[i])
			n++
		}
	}
	if n == 0 {
		return nil, 0, calc.Cannot("No size is known on the photo; measure one pulley across its rim and write its diameter.")
	}
	scale := sum / float64(n)
	for i, t := range taps {
		p := t.Pulley
		p.Centre = Point{quantity.Length((t.CentreX - taps[0].CentreX) * scale), quantity.Length((taps[0].CentreY - t.CentreY) * scale)}
		seen := quantity.Length(2 * radii[i] * scale)
		if p.Diameter > 0 {
			off = max(off, math.Abs(float64(seen-p.Diameter))/float64(p.Diameter))
		} else {
			p.Diameter = seen
		}
		pulleys = append(pulleys, p)
	}
	return pulleys, off, nil
}

// A Last is a pulley over which the belt can be slipped on last.
type Last struct {
	Pulley int
	Why    string
}

// LastOn lists the pulleys by how well they serve to slip the belt on last, best
// first: smooth before grooved, small before large, then the higher one, which
// is more often in reach. Common practice, no source; reach is for the person to
// judge. The crank and the tensioner come at the end.
func (s *Solution) LastOn() []Last {
	d := s.Drive
	awkward := func(st Stop) int {
		switch {
		case st.Pulley == d.Crank:
			return 3
		case d.Tensioner.moves() && st.Pulley == d.Tensioner.Pulley:
			return 2
		case d.Pulleys[st.Pulley].Surface.surface() == Grooved:
			return 1
		}
		return 0
	}
	stops := slices.Clone(s.Stops)
	slices.SortStableFunc(stops, func(a, b Stop) int {
		return cmp.Or(cmp.Compare(awkward(a), awkward(b)), cmp.Compare(a.Radius, b.Radius),
			cmp.Compare(d.Pulleys[b.Pulley].Centre.Y, d.Pulleys[a.Pulley].Centre.Y))
	})
	var out []Last
	for _, st := range stops {
		rim := "grooved"
		if d.Pulleys[st.Pulley].Surface.surface() != Grooved {
			rim = "smooth"
		}
		out = append(out, Last{st.Pulley, fmt.Sprintf("%s: %s, %s across", st.Name, rim, mm(d.Pulleys[st.Pulley].Diameter))})
	}
	return out
}
