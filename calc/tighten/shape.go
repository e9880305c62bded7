package tighten

import (
	"math"
	"slices"
)

// xy is a place in mm.
type xy struct{ x, y float64 }

func (a xy) minus(b xy) xy             { return xy{a.x - b.x, a.y - b.y} }
func (a xy) plus(b xy) xy              { return xy{a.x + b.x, a.y + b.y} }
func (a xy) times(f float64) xy        { return xy{a.x * f, a.y * f} }
func (a xy) dot(b xy) float64          { return a.x*b.x + a.y*b.y }
func (a xy) cross(b xy) float64        { return a.x*b.y - a.y*b.x }
func (a xy) length() float64           { return math.Hypot(a.x, a.y) }
func (a xy) to(b xy) float64           { return a.minus(b).length() }
func (a xy) turned(c, s float64) xy    { return xy{c*a.x + s*a.y, c*a.y - s*a.x} }
func (a xy) toward(b xy, f float64) xy { return a.plus(b.minus(a).times(f)) }

// layout is a joint's face in its own frame: the origin in the middle of the
// cover and x along its longer way, so that a joint that is moved, turned or
// mirrored is modelled the same.
type layout struct {
	bolts   []xy
	line    []xy // the seal's path, closed
	outline []xy // nil: the flange of width margin around the path
	margin  float64
	seal    []xy      // the places the seal is sampled at
	part    []float64 // mm of seal each stands for
	ex, ey  float64   // the cover lies within ±ex, ±ey
	size    float64   // the largest distance of a bolt from the middle
}

func layOut(j Joint) *layout {
	var l layout
	for _, b := range j.Bolts {
		l.bolts = append(l.bolts, xy{1000 * float64(b.X), 1000 * float64(b.Y)})
	}
	l.outline, l.line = inMM(j.Outline), inMM(j.Line)
	l.turn()
	if len(l.line) == 0 {
		l.line = l.around()
	}
	l.line = widened(l.line)
	l.margin = 0.3 * medianEdge(l.line)
	if len(j.Line) == 0 && len(l.bolts) > 2 {
		l.margin = max(l.margin, 0.3*nearest(l.bolts))
	}
	l.centre()
	l.sample()
	return &l
}

func inMM(points []Point) []xy {
	var all []xy
	for _, p := range points {
		all = append(all, xy{1000 * float64(p.X), 1000 * float64(p.Y)})
	}
	return all
}

// all visits every place of the layout.
func (l *layout) all(change func(xy) xy) {
	for _, list := range [][]xy{l.bolts, l.line, l.outline} {
		for i := range list {
			list[i] = change(list[i])
		}
	}
}

// turn puts the middle of the bolts at the origin and their longer way along x.
// Where neither way is longer, x points to the bolt farthest out.
func (l *layout) turn() {
	middle := mean(l.bolts)
	l.all(func(p xy) xy { return p.minus(middle) })
	var xx, yy, xy2 float64
	for _, p := range l.bolts {
		xx, yy, xy2 = xx+p.x*p.x, yy+p.y*p.y, xy2+p.x*p.y
	}
	round := math.Hypot(xx-yy, 2*xy2)/max(xx+yy, 1e-12) < 0.05
	angle := math.Atan2(2*xy2, xx-yy) / 2
	if round {
		far := l.bolts[0]
		for _, p := range l.bolts[1:] {
			if p.length() > far.length()*(1+1e-6) {
				far = p
			}
		}
		angle = math.Atan2(far.y, far.x)
	}
	c, s := math.Cos(angle), math.Sin(angle)
	l.all(func(p xy) xy { return p.turned(c, s) })
}

func mean(points []xy) xy {
	var sum xy
	for _, p := range points {
		sum = sum.plus(p)
	}
	return sum.times(1 / float64(len(points)))
}

// around is the path of a seal that nothing is said about: from bolt to bolt
// around the cover, leaving out those that stand far inside. Bolts all in a line
// and single ones get an oval, or the outline drawn in by a tenth.
func (l *layout) around() []xy {
	long, wide := extent(l.bolts)
	if len(l.bolts) < 3 || wide < 0.05*long {
		if len(l.outline) > 2 {
			path, middle := slices.Clone(l.outline), mean(l.outline)
			for i := range path {
				path[i] = middle.toward(path[i], 0.9)
			}
			return path
		}
		return oval(l.bolts, long)
	}
	path := hull(l.bolts)
	for {
		best, at, which := 0.75, -1, xy{}
		for _, b := range l.bolts {
			if slices.Contains(path, b) {
				continue
			}
			for k, p := range path {
				next := path[(k+1)%len(path)]
				if detour := (p.to(b)+b.to(next))/p.to(next) - 1; detour < best-1e-9 {
					best, at, which = detour, k+1, b
				}
			}
		}
		if at < 0 {
			return path
		}
		path = slices.Insert(path, at, which)
	}
}

// extent gives how long the points lie along x and how wide along y.
func extent(points []xy) (long, wide float64) {
	lo, hi := points[0], points[0]
	for _, p := range points {
		lo, hi = xy{min(lo.x, p.x), min(lo.y, p.y)}, xy{max(hi.x, p.x), max(hi.y, p.y)}
	}
	return hi.x - lo.x, hi.y - lo.y
}

// oval is a path around bolts in a line along x.
func oval(bolts []xy, long float64) []xy {
	pitch := 40.0
	if len(bolts) > 1 {
		pitch = long / float64(len(bolts)-1)
	}
	r := 0.3 * pitch
	var path []xy
	for k := range 12 {
		a := (float64(k) + 0.5) * math.Pi / 6
		p := xy{r * math.Cos(a), r * math.Sin(a)}
		p.x += math.Copysign(long/2, p.x)
		path = append(path, p)
	}
	return path
}

// hull is the convex hull, corners only.
func hull(points []xy) []xy {
	sorted := slices.Clone(points)
	slices.SortFunc(sorted, func(a, b xy) int {
		if a.x != b.x {
			return int(math.Copysign(1, a.x-b.x))
		}
		return int(math.Copysign(1, a.y-b.y))
	})
	half := func(list []xy) []xy {
		var h []xy
		for _, p := range list {
			for len(h) > 1 {
				a, b := h[len(h)-2], h[len(h)-1]
				if b.minus(a).cross(p.minus(b)) > 1e-6*b.to(a)*p.to(b) {
					break
				}
				h = h[:len(h)-1]
			}
			h = append(h, p)
		}
		return h[:len(h)-1]
	}
	lower := half(sorted)
	slices.Reverse(sorted)
	return append(lower, half(sorted)...)
}

// widened makes a seal line that runs straight to and fro into a narrow loop: a
// seal has a width, and a cover on a line without any could roll.
func widened(path []xy) []xy {
	a := path[0]
	b := a
	for _, p := range path {
		if p.to(a) > b.to(a) {
			b = p
		}
	}
	along := b.minus(a)
	for _, p := range path {
		if math.Abs(along.cross(p.minus(a))) > 1e-3*along.dot(along) {
			return path
		}
	}
	across := xy{-along.y, along.x}.times(3 / max(along.length(), 1e-9))
	lo, hi := a, a
	for _, p := range path {
		if along.dot(p.minus(lo)) < 0 {
			lo = p
		}
		if along.dot(p.minus(hi)) > 0 {
			hi = p
		}
	}
	return []xy{lo.minus(across), hi.minus(across), hi.plus(across), lo.plus(across)}
}

func medianEdge(path []xy) float64 {
	var edges []float64
	for k, p := range path {
		edges = append(edges, p.to(path[(k+1)%len(path)]))
	}
	slices.Sort(edges)
	return edges[len(edges)/2]
}

// nearest is the median distance of a bolt from its nearest neighbour.
func nearest(points []xy) float64 {
	var all []float64
	for i, p := range points {
		least := math.Inf(1)
		for k, q := range points {
			if i != k {
				least = min(least, p.to(q))
			}
		}
		all = append(all, least)
	}
	slices.Sort(all)
	return all[len(all)/2]
}

// centre puts the middle of the cover at the origin and measures it.
func (l *layout) centre() {
	lo, hi := xy{math.Inf(1), math.Inf(1)}, xy{math.Inf(-1), math.Inf(-1)}
	reach := func(list []xy, by float64) {
		for _, p := range list {
			lo = xy{min(lo.x, p.x-by), min(lo.y, p.y-by)}
			hi = xy{max(hi.x, p.x+by), max(hi.y, p.y+by)}
		}
	}
	if len(l.outline) > 0 {
		reach(l.outline, 0)
		reach(l.line, 0)
		reach(l.bolts, 0)
	} else {
		reach(l.line, l.margin)
		reach(l.bolts, l.margin)
	}
	middle := lo.toward(hi, 0.5)
	l.all(func(p xy) xy { return p.minus(middle) })
	l.ex, l.ey = (hi.x-lo.x)/2, (hi.y-lo.y)/2
	m := mean(l.bolts)
	for _, b := range l.bolts {
		l.size = max(l.size, b.to(m))
	}
	if l.size == 0 {
		l.size = max(l.ex, l.ey)
	}
}

// inside reports whether a place is on the cover.
func (l *layout) inside(p xy) bool {
	if len(l.outline) > 0 {
		return within(l.outline, p) || l.onLug(p)
	}
	if within(l.line, p) {
		return true
	}
	for k, a := range l.line {
		if distance(p, a, l.line[(k+1)%len(l.line)]) <= l.margin {
			return true
		}
	}
	for _, b := range l.bolts {
		if p.to(b) <= l.margin {
			return true
		}
	}
	return false
}

// onLug reports whether a place is on the lug of a bolt that stands outside the
// outline: a strip from the bolt toward the middle of the cover.
func (l *layout) onLug(p xy) bool {
	middle := mean(l.outline)
	for _, b := range l.bolts {
		if !within(l.outline, b) && distance(p, b, middle) <= max(l.margin, 0.08*l.size) {
			return true
		}
	}
	return false
}

// within reports whether a place is inside a closed path.
func within(path []xy, p xy) bool {
	in := false
	for k, a := range path {
		b := path[(k+1)%len(path)]
		if (a.y > p.y) != (b.y > p.y) && p.x < a.x+(p.y-a.y)/(b.y-a.y)*(b.x-a.x) {
			in = !in
		}
	}
	return in
}

// distance is from a place to a piece of line.
func distance(p, a, b xy) float64 {
	along := b.minus(a)
	f := along.dot(p.minus(a)) / max(along.dot(along), 1e-12)
	return p.to(a.toward(b, min(1, max(0, f))))
}

// samples is the largest number of places a seal is sampled at.
const samples = 150

// sample divides each straight piece of the seal evenly, by its length, so that
// a mirrored path is sampled at the mirrored places. A path of very many pieces
// is divided as a whole.
func (l *layout) sample() {
	total := 0.0
	for k, p := range l.line {
		total += p.to(l.line[(k+1)%len(l.line)])
	}
	want := min(samples*2/3, max(48, 4*len(l.bolts)))
	if len(l.line) > samples/3 {
		l.sampleWhole(total, want)
		return
	}
	for k, a := range l.line {
		b := l.line[(k+1)%len(l.line)]
		n := max(1, int(math.Round(a.to(b)/total*float64(want)-1e-9)))
		for i := range n {
			l.seal = append(l.seal, a.toward(b, (float64(i)+0.5)/float64(n)))
			l.part = append(l.part, a.to(b)/float64(n))
		}
	}
}

func (l *layout) sampleWhole(total float64, want int) {
	step, gone, next := total/float64(want), 0.0, 0.5
	for k, a := range l.line {
		b := l.line[(k+1)%len(l.line)]
		edge := a.to(b)
		for ; next*step < gone+edge && len(l.seal) < want; next++ {
			l.seal = append(l.seal, a.toward(b, (next*step-gone)/edge))
			l.part = append(l.part, step)
		}
		gone += edge
	}
}
