package seal

import (
	"math"

	"lastbolt/quantity"
)

// A Spot is one reading of a face against one flat reference: where, and the
// gap found there.
type Spot struct {
	X, Y quantity.Length
	// Leaf is the thickest leaf that goes in, 0 when none does; Next is the
	// thinnest that does not, 0 when it was not tried. The gap lies between.
	Leaf, Next quantity.Length
}

// gap gives the middle of the bracket, and its half width.
func (s Spot) gap() (middle, half float64) {
	if s.Next <= s.Leaf {
		return float64(s.Leaf), 0
	}
	return float64(s.Leaf+s.Next) / 2, float64(s.Next-s.Leaf) / 2
}

// A Flatness is what readings over a face come to. Heights are over the plane
// of least squares, so a tilt of the reference plays no part; a hollow is
// negative.
type Flatness struct {
	Heights []quantity.Length // of each spot over the fitted plane
	Tilt    [2]float64        // of the fitted plane, height per length along x and y
	// Zone is the least distance of two parallel planes that hold every spot:
	// the flatness. ZoneLow and ZoneHigh are what the leaves' brackets allow.
	Zone, ZoneLow, ZoneHigh quantity.Length
	Squares                 quantity.Length // highest less lowest over the plane of least squares
	Worst                   int             // the spot farthest from the plane
	Straight                Dip             // worst dip or hump under a straight edge over the whole face
	// Bow along x and y: how far the middle stands over the ends; Twist: how far
	// one corner stands off the plane of the other three. Known only where the
	// spots are enough and well spread.
	BowX, BowY, Twist    quantity.Length
	BowKnown, TwistKnown bool
}

// A Dip is what a straight edge laid from one spot to another shows between.
type Dip struct {
	From, At, To int             // spots, −1 when there is none
	Off          quantity.Length // of At from the edge; below 0 is a hollow
	Length       quantity.Length // of the edge
}

// Measure fits a plane to the spots and tells bow, twist and worst spot. At
// least four spots that do not lie on one line are needed; the error is a
// sentence.
func Measure(spots []Spot) (Flatness, error) {
	if len(spots) < 4 {
		return Flatness{}, refuse("%d spots cannot show whether a face is flat: three always lie in a plane; measure at least four, better twelve.", len(spots))
	}
	for n, s := range spots {
		if s.Leaf < 0 || s.Next < 0 {
			return Flatness{}, refuse("Spot %d: a leaf cannot be thinner than 0.", n+1)
		}
		if s.Next > 0 && s.Next < s.Leaf {
			return Flatness{}, refuse("Spot %d: the leaf that does not go in, %s, is thinner than the one that does, %s; the two are swapped.", n+1, show(s.Next), show(s.Leaf))
		}
	}
	g := gridOf(spots)
	plane, ok := g.fit([]term{one, alongX, alongY})
	if !ok {
		return Flatness{}, refuse("The spots lie on one line: no plane can be laid through them; measure across the face as well.")
	}
	f := Flatness{Heights: make([]quantity.Length, len(spots)),
		Tilt: [2]float64{plane[1] / g.scaleX, plane[2] / g.scaleY}}
	low, high := math.Inf(1), math.Inf(-1)
	for i := range spots {
		h := g.z[i] - plane[0] - plane[1]*g.u[i] - plane[2]*g.v[i]
		f.Heights[i] = quantity.Length(h)
		low, high = math.Min(low, h), math.Max(high, h)
		if math.Abs(h) > math.Abs(float64(f.Heights[f.Worst])) {
			f.Worst = i
		}
	}
	f.Squares = quantity.Length(high - low)
	zone := g.zone(f.Heights)
	f.Zone = quantity.Length(zone)
	f.ZoneLow, f.ZoneHigh = quantity.Length(math.Max(0, zone-2*g.doubt)), quantity.Length(zone+2*g.doubt)
	f.Straight = Straightest(spots, 0)
	f.bend(g)
	return f, nil
}

// bend fits the second-order shape where the spots allow it.
func (f *Flatness) bend(g grid) {
	if shape, ok := g.fit([]term{one, alongX, alongY, squareX, cross, squareY}); ok {
		f.BowX, f.BowY, f.BowKnown = quantity.Length(-shape[3]), quantity.Length(-shape[5]), true
		f.Twist, f.TwistKnown = quantity.Length(4*shape[4]), true
		return
	}
	if shape, ok := g.fit([]term{one, alongX, alongY, cross}); ok {
		f.Twist, f.TwistKnown = quantity.Length(4*shape[3]), true
	}
}

// Straightest finds the worst dip or hump that a straight edge no longer than
// span would show, laid from spot to spot over one between; span 0 is any
// length. At is −1 when no three spots lie in a line.
func Straightest(spots []Spot, span quantity.Length) Dip {
	worst := Dip{-1, -1, -1, 0, 0}
	for i, a := range spots {
		za, _ := a.gap()
		for k := i + 1; k < len(spots); k++ {
			c := spots[k]
			dx, dy := float64(c.X-a.X), float64(c.Y-a.Y)
			length := math.Hypot(dx, dy)
			if length == 0 || span > 0 && length > float64(span)*(1+1e-9) {
				continue
			}
			zc, _ := c.gap()
			for j, b := range spots {
				bx, by := float64(b.X-a.X), float64(b.Y-a.Y)
				share := (bx*dx + by*dy) / (length * length)
				if share <= 1e-9 || share >= 1-1e-9 || math.Abs(bx*dy-by*dx) > inLine*length*length {
					continue
				}
				zb, _ := b.gap()
				off := za + share*(zc-za) - zb // a larger gap lies lower
				if worst.At < 0 || math.Abs(off) > math.Abs(float64(worst.Off)) {
					worst = Dip{i, j, k, quantity.Length(off), quantity.Length(length)}
				}
			}
		}
	}
	return worst
}

// inLine is how far a spot may lie beside a straight edge, as a share of its
// length: an edge has some width.
const inLine = 0.02

// grid is the spots in normalised coordinates, from −1 to 1 over their extent.
type grid struct {
	u, v, z        []float64 // z is the height, so a gap is below 0
	scaleX, scaleY float64   // half the extent
	doubt          float64   // the widest bracket's half width
}

func gridOf(spots []Spot) grid {
	minX, maxX, minY, maxY := spots[0].X, spots[0].X, spots[0].Y, spots[0].Y
	for _, s := range spots {
		minX, maxX, minY, maxY = min(minX, s.X), max(maxX, s.X), min(minY, s.Y), max(maxY, s.Y)
	}
	g := grid{scaleX: float64(maxX-minX) / 2, scaleY: float64(maxY-minY) / 2}
	if g.scaleX == 0 {
		g.scaleX = 1
	}
	if g.scaleY == 0 {
		g.scaleY = 1
	}
	for _, s := range spots {
		middle, half := s.gap()
		g.u = append(g.u, float64(s.X-(minX+maxX)/2)/g.scaleX)
		g.v = append(g.v, float64(s.Y-(minY+maxY)/2)/g.scaleY)
		g.z = append(g.z, -middle)
		g.doubt = math.Max(g.doubt, half)
	}
	return g
}

// term is one term of a fitted shape.
type term func(u, v float64) float64

var (
	one     term = func(u, v float64) float64 { return 1 }
	alongX  term = func(u, v float64) float64 { return u }
	alongY  term = func(u, v float64) float64 { return v }
	squareX term = func(u, v float64) float64 { return u * u }
	cross   term = func(u, v float64) float64 { return u * v }
	squareY term = func(u, v float64) float64 { return v * v }
)

// fit finds the factors of the terms by least squares; ok is false when the
// spots cannot tell the terms apart.
func (g grid) fit(terms []term) (factors []float64, ok bool) {
	n := len(terms)
	if len(g.z) < n {
		return nil, false
	}
	// The normal equations, with the right side as the last column.
	m := make([][]float64, n)
	for i := range m {
		m[i] = make([]float64, n+1)
	}
	for p := range g.z {
		for i, ti := range terms {
			a := ti(g.u[p], g.v[p])
			for j, tj := range terms {
				m[i][j] += a * tj(g.u[p], g.v[p])
			}
			m[i][n] += a * g.z[p]
		}
	}
	return solve(m, float64(len(g.z)))
}

// solve solves linear equations by elimination with pivoting; size tells what a
// pivot is compared with.
func solve(m [][]float64, size float64) ([]float64, bool) {
	n := len(m)
	for c := range n {
		best := c
		for r := c + 1; r < n; r++ {
			if math.Abs(m[r][c]) > math.Abs(m[best][c]) {
				best = r
			}
		}
		m[c], m[best] = m[best], m[c]
		if math.Abs(m[c][c]) < 1e-9*size {
			return nil, false
		}
		for r := range n {
			if r == c {
				continue
			}
			by := m[r][c] / m[c][c]
			for k := c; k <= n; k++ {
				m[r][k] -= by * m[c][k]
			}
		}
	}
	out := make([]float64, n)
	for i := range out {
		out[i] = m[i][n] / m[i][i]
	}
	return out, true
}

// zone finds the least distance of two parallel planes that hold all heights,
// by turning the plane about both axes. The distance is convex in the two
// slopes, so narrowing each in turn, one inside the other, finds its least.
func (g grid) zone(heights []quantity.Length) float64 {
	width := func(a, b float64) float64 {
		low, high := math.Inf(1), math.Inf(-1)
		for i := range heights {
			h := float64(heights[i]) - a*g.u[i] - b*g.v[i]
			low, high = math.Min(low, h), math.Max(high, h)
		}
		return high - low
	}
	start := width(0, 0)
	if start == 0 {
		return 0
	}
	most := 4 * start
	return narrow(most, func(a float64) float64 {
		return narrow(most, func(b float64) float64 { return width(a, b) })
	})
}

// narrow gives the least of a convex function between −most and most, to within
// a ten-millionth of most for slopes of 1.
func narrow(most float64, f func(float64) float64) float64 {
	const golden = 0.6180339887498949
	low, high := -most, most
	x1, x2 := high-golden*(high-low), low+golden*(high-low)
	f1, f2 := f(x1), f(x2)
	for range 40 {
		if f1 <= f2 {
			high, x2, f2 = x2, x1, f1
			x1 = high - golden*(high-low)
			f1 = f(x1)
		} else {
			low, x1, f1 = x1, x2, f2
			x2 = low + golden*(high-low)
			f2 = f(x2)
		}
	}
	return math.Min(f1, f2)
}
