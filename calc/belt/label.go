package belt

import (
	"cmp"
	"math"
	"slices"

	"lastbolt/calc/figure"
)

// box is a rectangle that a label takes up.
type box struct{ x1, y1, x2, y2 float64 }

func (b box) overlaps(c box) bool { return b.x1 < c.x2 && c.x1 < b.x2 && b.y1 < c.y2 && c.y1 < b.y2 }

// letterWidth is the width of a letter over its height, on the wide side of the
// house typeface, so that labels keep apart in others too.
const letterWidth = 0.62

// textBox is what a text takes up round its middle, with a margin.
func textBox(at figure.Point, size float64, text string) box {
	w, h := letterWidth*size*float64(len([]rune(text)))/2, 0.62*size
	return box{at.X - w, at.Y - h, at.X + w, at.Y + h}
}

// labels names the pulleys: inside the rim where the name fits, else beside it
// where it meets nothing, with a thin line to the rim. Large pulleys first.
func (p *picture) labels() {
	order := make([]int, len(p.d.Pulleys))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Compare(p.d.rimRadius(&p.d.Pulleys[b]), p.d.rimRadius(&p.d.Pulleys[a]))
	})
	var taken []box
	for _, i := range order {
		taken = append(taken, p.label(i, taken))
	}
	for _, b := range taken {
		m := 0.3 * p.text
		p.include(b.x1-m, b.y1-m, b.x2+m, b.y2+m)
	}
}

func (p *picture) label(i int, taken []box) box {
	pulley := &p.d.Pulleys[i]
	c, r := onPaper(pulley.Centre.vec()), 1000*p.d.rimRadius(pulley)
	inside := textBox(figure.Point{X: c.X, Y: c.Y + 0.35*r}, p.text, pulley.Name)
	if corner := math.Hypot(inside.x2-c.X, inside.y2-c.Y); corner < 0.88*r && !p.cuts(inside) {
		p.fig.Bold(figure.Point{X: c.X, Y: c.Y + 0.35*r}, p.text, figure.Middle, pulley.Name)
		return inside
	}
	best, least := figure.Point{}, math.Inf(1)
	for ring := range 16 {
		for step := range 32 {
			a := 2 * math.Pi * float64(step) / 32
			b := textBox(figure.Point{}, p.text, pulley.Name)
			reach := r + p.text*(0.5+0.9*float64(ring))
			at := figure.Point{X: c.X + (reach+b.x2)*math.Cos(a), Y: c.Y + (reach+b.y2)*math.Sin(a)}
			if cost := p.cost(textBox(at, p.text, pulley.Name), taken) + float64(ring); cost < least {
				best, least = at, cost
			}
		}
		if least < 100 {
			break
		}
	}
	b := textBox(best, p.text, pulley.Name)
	end := figure.Point{X: min(b.x2, max(b.x1, c.X)), Y: min(b.y2, max(b.y1, c.Y))}
	d := math.Hypot(end.X-c.X, end.Y-c.Y)
	if d > r+0.8*p.text {
		p.fig.Line(figure.Help, figure.Point{X: c.X + (end.X-c.X)*r/d, Y: c.Y + (end.Y-c.Y)*r/d}, end)
	}
	p.fig.Bold(best, p.text, figure.Middle, pulley.Name)
	return b
}

// cost weighs a place for a label: over another label it is never taken, over a
// line or a rim only when there is no other.
func (p *picture) cost(b box, taken []box) float64 {
	sum := 0.0
	for _, t := range taken {
		if b.overlaps(t) {
			sum += 1e6
		}
	}
	if p.cuts(b) {
		sum += 500
	}
	for _, c := range p.rings {
		x, y := min(b.x2, max(b.x1, c.at.X)), min(b.y2, max(b.y1, c.at.Y))
		if math.Hypot(x-c.at.X, y-c.at.Y) < c.r+0.3*p.text {
			sum += 500
		}
	}
	// Out of the picture is allowed, it grows, but not wished for.
	f := p.fig
	out := max(0, f.MinX-b.x1) + max(0, b.x2-f.MaxX) + max(0, f.MinY-b.y1) + max(0, b.y2-f.MaxY)
	return sum + 10*out/p.size
}

// cuts reports whether a line of the drawing runs through a box.
func (p *picture) cuts(b box) bool {
	m := 0.4 * p.text
	b = box{b.x1 - m, b.y1 - m, b.x2 + m, b.y2 + m}
	return slices.ContainsFunc(p.wires, func(w [2]figure.Point) bool { return b.cut(w[0], w[1]) })
}

// cut reports whether a segment meets the box.
func (b box) cut(p, q figure.Point) bool {
	t0, t1 := 0.0, 1.0
	for _, side := range [][2]float64{{p.X - q.X, p.X - b.x1}, {q.X - p.X, b.x2 - p.X}, {p.Y - q.Y, p.Y - b.y1}, {q.Y - p.Y, b.y2 - p.Y}} {
		den, num := side[0], side[1]
		switch {
		case den == 0 && num < 0:
			return false
		case den < 0:
			t0 = max(t0, num/den)
		case den > 0:
			t1 = min(t1, num/den)
		}
	}
	return t0 <= t1
}
