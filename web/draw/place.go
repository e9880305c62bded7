package draw

import "math"

// Sizes of a picture where the caller gives none, CSS pixels.
const (
	stripWidth  = 366 // a 390 px phone less its margins
	stripHeight = 80
	wideWidth   = 1120
)

// site is a knot with its place.
type site struct {
	Knot
	up, bottom bool
	at         Point
	r          float64 // radius of the drawn shape
	noReturn   bool
}

// plan is the valley after places are given and before anything is drawn.
type plan struct {
	width, height float64
	curve         curve
	sites         []site // left to right
	scale         float64
	travelled     float64 // x up to which the job has got; less than left for not begun
}

func sane(x, fallback float64) float64 {
	if x > 0 && !math.IsInf(x, 0) {
		return x
	}
	return fallback
}

// place gives every knot its x by the minutes (Wide) or evenly (strip), and its
// y by the curve.
func (v Valley) place() plan {
	p := plan{width: sane(v.Width, stripWidth), height: sane(v.Height, stripHeight)}
	margin, top, foot := 16.0, 15.0, 13.0
	if v.NoReturn == 0 && len(v.Down) > 0 {
		top = 26 // room for a flag on the highest knot
	}
	if v.Wide {
		p.width = max(sane(v.Width, wideWidth), 320)
		n := float64(max(len(v.Down), len(v.Up)))
		p.height = max(sane(v.Height, min(250+12*n, 660)), 160)
		margin, top, foot = 20, 30, 60
	}
	left, right := margin, p.width-margin
	downGaps, upGaps := v.gaps(v.Down), v.gaps(v.Up)
	downSum, upSum := sum(downGaps), sum(upGaps)
	// a side with nothing on it keeps a short slope, so that it stays a valley
	share := 0.5
	if downSum+upSum > 0 {
		share = min(max(downSum/(downSum+upSum), 0.12), 0.88)
	}
	if !v.Wide {
		share = min(max(share, 0.3), 0.7)
	}
	mid := left + (right-left)*share
	p.curve = curve{left: left, mid: mid, right: right, top: top, floor: p.height - foot}
	p.placeSides(v, downGaps, upGaps)
	p.size(v.Wide)
	p.travelled = left - 1
	for _, s := range p.sites {
		if s.State == Done || s.State == Aside || s.State == Now {
			p.travelled = s.at.X
		}
	}
	return p
}

// gaps are the relative lengths of the pieces of line that belong to the knots.
// A step without minutes takes a median step's length. The constant part keeps
// quick steps apart from their neighbours.
func (v Valley) gaps(knots []Knot) []float64 {
	gaps := make([]float64, len(knots))
	total, known := 0.0, 0
	for _, k := range knots {
		if m := sane(k.Minutes, 0); m > 0 {
			total += m
			known++
		}
	}
	mean := 1.0
	if known > 0 {
		mean = total / float64(known)
	}
	for i, k := range knots {
		m := sane(k.Minutes, mean)
		// one very long step must not press the others together
		gaps[i] = 0.5 + 0.5*min(m/mean, 4)
		if !v.Wide {
			gaps[i] = 1
		}
	}
	return gaps
}

func (p *plan) placeSides(v Valley, downGaps, upGaps []float64) {
	c := p.curve
	x := c.left
	unit := (c.mid - c.left) / max(sum(downGaps), 1)
	for i, k := range v.Down {
		p.add(site{Knot: k, noReturn: i == v.NoReturn}, x)
		x += downGaps[i] * unit
	}
	p.add(site{Knot: v.Bottom, bottom: true}, c.mid)
	x = c.mid
	unit = (c.right - c.mid) / max(sum(upGaps), 1)
	for i, k := range v.Up {
		x += upGaps[i] * unit
		p.add(site{Knot: k, up: true}, min(x, c.right))
	}
}

func (p *plan) add(s site, x float64) {
	s.Label = oneLine(s.Label)
	s.at = p.curve.at(x)
	p.sites = append(p.sites, s)
}

// size chooses one scale for all knots so that neighbours do not touch.
func (p *plan) size(wide bool) {
	gap := math.Inf(1)
	for i := 1; i < len(p.sites); i++ {
		a, b := p.sites[i-1], p.sites[i]
		d := math.Hypot(b.at.X-a.at.X, b.at.Y-a.at.Y)
		if a.bottom || b.bottom {
			continue // the box is drawn over a neighbour that stands close
		}
		gap = min(gap, d)
	}
	least := 0.3
	if wide {
		least = 0.45
	}
	p.scale = min(max(gap/18, least), 1)
	for i := range p.sites {
		p.sites[i].r = p.radius(p.sites[i])
	}
}

// radius is the half size of a knot's shape. The step in hand stays large in a
// crowd: it is what the eye looks for.
func (p *plan) radius(s site) float64 {
	switch {
	case s.bottom:
		return 10 * max(p.scale, 0.7)
	case s.State == Now:
		return 11 * max(p.scale, 0.65)
	case s.State == ToCome:
		return 4 * p.scale
	}
	return 7 * p.scale
}

func sum(xs []float64) float64 {
	total := 0.0
	for _, x := range xs {
		total += x
	}
	return total
}
