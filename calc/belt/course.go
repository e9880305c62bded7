package belt

import "math"

// vec is a place or a direction in the plane, m.
type vec struct{ x, y float64 }

func (a vec) minus(b vec) vec     { return vec{a.x - b.x, a.y - b.y} }
func (a vec) plus(b vec) vec      { return vec{a.x + b.x, a.y + b.y} }
func (a vec) times(k float64) vec { return vec{a.x * k, a.y * k} }
func (a vec) dot(b vec) float64   { return a.x*b.x + a.y*b.y }
func (a vec) cross(b vec) float64 { return a.x*b.y - a.y*b.x }
func (a vec) length() float64     { return math.Hypot(a.x, a.y) }
func (p Point) vec() vec          { return vec{float64(p.X), float64(p.Y)} }
func (a vec) right() vec          { return vec{a.y, -a.x} }
func polar(r, angle float64) vec  { return vec{r * math.Cos(angle), r * math.Sin(angle)} }

// disc is a pulley as the pitch line of the belt meets it: radius r, and s = +1
// when it turns counter-clockwise, -1 clockwise.
type disc struct {
	at   vec
	r, s float64
}

// leg is a free span: the belt leaves one disc at from, flies straight along
// heading (of length 1) and reaches the next at to.
type leg struct {
	from, to vec
	heading  vec
	length   float64
}

// tangent lays the span from disc a to disc b. With k = sb·rb − sa·ra the span
// is √(d²−k²) and the heading is that of the centre line turned by asin(−k/d);
// the tangent points stand s·r along the right-hand normal of the heading. There
// is none when one disc holds the other, |k| ≥ d.
func tangent(a, b disc) (leg, bool) {
	c := b.at.minus(a.at)
	d, k := c.length(), b.s*b.r-a.s*a.r
	if !(d > math.Abs(k)) {
		return leg{}, false
	}
	span := math.Sqrt((d - k) * (d + k))
	cos, sin := span/d, -k/d
	h := vec{(c.x*cos - c.y*sin) / d, (c.x*sin + c.y*cos) / d}
	return leg{a.at.plus(h.right().times(a.s * a.r)), b.at.plus(h.right().times(b.s * b.r)), h, span}, true
}

// straight is the angle under which a turn is taken as none: below it the
// rounding of the headings could make a full turn of a touch.
const straight = 1e-9

// wrap is the angle of belt on a disc that turns by s, between two headings, in
// 0 to 2π.
func wrap(s float64, in, out vec) float64 {
	a := s * math.Atan2(in.cross(out), in.dot(out))
	switch {
	case a < -straight:
		return a + 2*math.Pi
	case a < 0:
		return 0
	}
	return a
}

// course is a closed run over discs: legs[i] goes from disc i to the next.
type course struct {
	legs  []leg
	wraps []float64
}

// lay lays the belt over discs in order; at says which span does not exist,
// from that disc to the next, or -1.
func lay(discs []disc) (c course, at int) {
	n := len(discs)
	c.legs, c.wraps = make([]leg, n), make([]float64, n)
	for i := range discs {
		l, ok := tangent(discs[i], discs[(i+1)%n])
		if !ok {
			return c, i
		}
		c.legs[i] = l
	}
	for i := range discs {
		c.wraps[i] = wrap(discs[i].s, c.legs[(i+n-1)%n].heading, c.legs[i].heading)
	}
	return c, -1
}

// length is that of the pitch line: spans and arcs.
func (c course) length(discs []disc) float64 {
	sum := 0.0
	for i, l := range c.legs {
		sum += l.length + discs[i].r*c.wraps[i]
	}
	return sum
}

// turning is the sum of the signed wraps: ±2π for a loop that does not cross
// itself.
func (c course) turning(discs []disc) float64 {
	sum := 0.0
	for i, w := range c.wraps {
		sum += discs[i].s * w
	}
	return sum
}

// away is the distance of a point from a span.
func (l leg) away(p vec) float64 {
	along := p.minus(l.from).dot(l.heading)
	switch {
	case along <= 0:
		return p.minus(l.from).length()
	case along >= l.length:
		return p.minus(l.to).length()
	}
	return math.Abs(p.minus(l.from).cross(l.heading))
}

// crosses reports whether two spans cut or touch each other.
func (l leg) crosses(m leg) bool {
	a, b := l.heading.cross(m.from.minus(l.from)), l.heading.cross(m.to.minus(l.from))
	c, d := m.heading.cross(l.from.minus(m.from)), m.heading.cross(l.to.minus(m.from))
	return a*b <= 0 && c*d <= 0 && !(a == 0 && b == 0)
}

// apart is the least distance between two spans, 0 when they cross.
func (l leg) apart(m leg) float64 {
	if l.crosses(m) {
		return 0
	}
	return min(l.away(m.from), l.away(m.to), m.away(l.from), m.away(l.to))
}
