package tighten

import (
	"fmt"
	"math"
	"strings"

	"lastbolt/calc/figure"
	"lastbolt/quantity"
)

// Map draws the joint with each bolt's place in a sequence in it and the bolt's
// own number beside it.
func (j Joint) Map(title string, sequence []int) *figure.Figure {
	place := map[int]int{}
	var words []string
	for k, b := range sequence {
		place[b] = k + 1
		words = append(words, fmt.Sprint(b+1))
	}
	at := make([]figure.Point, len(j.Bolts))
	for i, b := range j.Bolts {
		at[i] = onPaper(Point{b.X, b.Y})
	}
	outline, line := corners(j.Outline), corners(j.Line)
	lo, hi := box(at, outline, line)
	r := 0.36 * gap(at)
	r = min(r, 0.09*max(hi.X-lo.X, hi.Y-lo.Y, 1e-6))
	if len(at) == 1 {
		r = 10
	}
	r = max(r, 0.012*max(hi.X-lo.X, hi.Y-lo.Y))
	f := figure.New(title, fmt.Sprintf("%d bolts; one after the other: %s.", len(at), strings.Join(words, ", ")),
		lo.X-3.3*r, lo.Y-2.4*r, hi.X+3.3*r, hi.Y+2.4*r)
	if len(outline) > 0 {
		f.Outline(figure.Thin, outline...)
	}
	if len(line) > 0 {
		f.Outline(figure.Hidden, line...)
	}
	middle := figure.Point{X: (lo.X + hi.X) / 2, Y: (lo.Y + hi.Y) / 2}
	for i, p := range at {
		k := place[i]
		f.Disc(figure.Ground, 0, p, r)
		if k == 1 {
			f.Disc(figure.Mark, 0.2, p, r)
		}
		f.Circle(map[bool]figure.Pen{true: figure.Now, false: figure.Thin}[k == 1], p, r)
		if k > 0 {
			f.Bold(p, 1.0*r, figure.Middle, fmt.Sprint(k))
		}
		out := figure.Point{X: p.X - middle.X, Y: p.Y - middle.Y}
		l := math.Hypot(out.X, out.Y)
		if l < r {
			out, l = figure.Point{X: 0, Y: -1}, 1
		}
		// Letters are wider than high, so a number at the side stands farther out.
		f.Label(figure.Point{X: p.X + out.X/l*2.1*r, Y: p.Y + out.Y/l*1.5*r}, 0.6*r, figure.Middle, fmt.Sprintf("no. %d", i+1))
	}
	return f
}

func onPaper(p Point) figure.Point {
	mm := func(l quantity.Length) float64 { return 1000 * float64(l) }
	return figure.Point{X: mm(p.X), Y: mm(p.Y)}
}

func corners(points []Point) []figure.Point {
	var all []figure.Point
	for _, p := range points {
		all = append(all, onPaper(p))
	}
	return all
}

func box(lists ...[]figure.Point) (lo, hi figure.Point) {
	lo, hi = lists[0][0], lists[0][0]
	for _, list := range lists {
		for _, p := range list {
			lo = figure.Point{X: min(lo.X, p.X), Y: min(lo.Y, p.Y)}
			hi = figure.Point{X: max(hi.X, p.X), Y: max(hi.Y, p.Y)}
		}
	}
	return lo, hi
}

// gap is the least distance of two points.
func gap(points []figure.Point) float64 {
	least := math.Inf(1)
	for i, p := range points {
		for _, q := range points[:i] {
			least = min(least, math.Hypot(p.X-q.X, p.Y-q.Y))
		}
	}
	return least
}

// curve is one line of the chart.
type curve struct {
	name string
	pen  figure.Pen
	run  *Run
}

// Chart draws how uneven the seal pressure is after each bolt: this order with a
// last pass around, the same in one pass, and simply around.
func (o *Order) Chart() *figure.Figure {
	return o.chart("Unevenness of the seal pressure, bolt by bolt", "unevenness", func(s Step) float64 { return s.Unevenness })
}

// TiltChart draws of the same how much one side is pressed before the other.
func (o *Order) TiltChart() *figure.Figure {
	return o.chart("Tilt of the seal pressure, bolt by bolt", "one side before the other", func(s Step) float64 { return s.Tilt })
}

func (o *Order) chart(title, what string, value func(Step) float64) *figure.Figure {
	var curves []curve
	for _, a := range o.Why.Alternatives {
		switch {
		case a.Name == onePass:
			curves = append(curves, curve{"in one pass", figure.Pen{Dash: []float64{2, 4}, Width: 1.5}, a.Run})
		case strings.HasPrefix(a.Name, aroundPasses) && len(a.Run.Passes) == len(o.Passes):
			curves = append(curves, curve{"simply around", figure.Pen{Dash: []float64{8, 4}, Width: 1.5}, a.Run})
		}
	}
	curves = append(curves, curve{"this order", figure.Heavy, o.Why.Around})
	const width, height, letters = 600.0, 280.0, 15.0
	top, steps := 0.05, 1
	var words []string
	for i := len(curves) - 1; i >= 0; i-- {
		c, worst := curves[i], 0.0
		for _, s := range c.run.Steps {
			worst = max(worst, value(s))
		}
		words = append(words, c.name+" "+percent(worst))
		top, steps = max(top, worst), max(steps, len(c.run.Steps))
	}
	tick := niceTick(top)
	top = tick * math.Ceil(top/tick)
	x := func(k float64) float64 { return k / float64(steps) * width }
	y := func(u float64) float64 { return height * (1 - u/top) }
	f := figure.New(title, "At worst: "+strings.Join(words, ", ")+".", -72, -58, width+30, height+54)
	f.Label(figure.Point{X: -60, Y: -42}, letters, figure.Start, what+", % of the mean pressure when tight")
	for u := 0.0; u <= top+1e-9; u += tick {
		f.Line(figure.Help, figure.Point{X: 0, Y: y(u)}, figure.Point{X: width, Y: y(u)})
		f.Label(figure.Point{X: -10, Y: y(u)}, letters, figure.End, fmt.Sprintf("%.0f", 100*u))
	}
	o.passMarks(f, x, height, letters)
	for _, c := range curves {
		var points []figure.Point
		for k, s := range c.run.Steps {
			points = append(points, figure.Point{X: x(float64(k) + 0.5), Y: y(value(s))})
		}
		f.Line(c.pen, points...)
	}
	key(f, curves, width, letters)
	return f
}

// passMarks writes the passes under the axis and a line between them.
func (o *Order) passMarks(f *figure.Figure, x func(float64) float64, height, letters float64) {
	begin := 0
	run := o.Why.Around
	for p, pass := range run.Passes {
		end := begin
		for end < len(run.Steps) && run.Steps[end].Pass == p {
			end++
		}
		name := fmt.Sprintf("pass %d to %.0f %%", p+1, 100*pass.Share)
		if p == len(o.Passes) {
			name = "around"
		}
		f.Line(figure.Help, figure.Point{X: x(float64(end)), Y: 0}, figure.Point{X: x(float64(end)), Y: height + 8})
		f.Label(figure.Point{X: x(float64(begin+end) / 2), Y: height + 20}, letters, figure.Middle, name)
		begin = end
	}
	f.Label(figure.Point{X: x(float64(begin) / 2), Y: height + 42}, letters, figure.Middle, "one bolt after the other")
}

// key names the lines above the chart.
func key(f *figure.Figure, curves []curve, width, letters float64) {
	at := 0.0
	for i := len(curves) - 1; i >= 0; i-- {
		c := curves[i]
		f.Line(c.pen, figure.Point{X: at, Y: -18}, figure.Point{X: at + 44, Y: -18})
		f.Label(figure.Point{X: at + 52, Y: -18}, letters, figure.Start, c.name)
		at += width / 3
	}
}

func niceTick(top float64) float64 {
	for _, t := range []float64{0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1} {
		if top/t <= 6 {
			return t
		}
	}
	return top / 4
}
