package belt

import (
	"fmt"
	"math"

	"lastbolt/calc/figure"
)

// Draw draws a routing to scale, seen from the front of the engine: pulleys with
// their names, the belt as a heavy line with arrows the way it travels, a dashed
// line along the side of its ribs, the way each pulley turns, and the arm and
// travel of the tensioner. The figure's units are millimetres of the vehicle.
func Draw(s *Solution) *figure.Figure {
	p := newPicture(s.Drive)
	p.tensioner(s)
	p.pulleys(s)
	p.belt(s)
	p.labels()
	p.legend(s)
	f := p.fig
	f.Title = "How the belt runs"
	f.Alt = fmt.Sprintf("The belt seen from the front of the engine, crank turning %s. In the direction it travels: %s.", s.Drive.turns(), s.Order())
	return f
}

// DrawPulleys draws the pulleys of a drive alone, before a routing is known.
func DrawPulleys(d *Drive) *figure.Figure {
	p := newPicture(d)
	p.pulleys(&Solution{Drive: d})
	p.labels()
	p.fig.Title = "The pulleys"
	p.fig.Alt = "The pulleys seen from the front of the engine, without the belt."
	return p.fig
}

// picture gathers one drawing. Its points are in figure units: mm, y down.
type picture struct {
	fig  *figure.Figure
	size float64 // the longer side of what the pulleys take up
	text float64 // letter height
	d    *Drive
	// wires are the lines that labels must keep off, besides the rims.
	wires [][2]figure.Point
	rings []ring // and circles
}

type ring struct {
	at figure.Point
	r  float64
}

func newPicture(d *Drive) *picture {
	f := figure.New("", "", math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1))
	p := &picture{fig: f, d: d}
	for i := range d.Pulleys {
		c, r := onPaper(d.Pulleys[i].Centre.vec()), 1000*d.rimRadius(&d.Pulleys[i])
		p.include(c.X-r, c.Y-r, c.X+r, c.Y+r)
		p.rings = append(p.rings, ring{c, r})
	}
	p.size = max(f.MaxX-f.MinX, f.MaxY-f.MinY)
	p.text = p.size * 0.035
	pad := 0.06 * p.size
	p.include(f.MinX-pad, f.MinY-pad, f.MaxX+pad, f.MaxY+pad)
	return p
}

func onPaper(v vec) figure.Point { return figure.Point{X: 1000 * v.x, Y: -1000 * v.y} }

func (p *picture) include(x1, y1, x2, y2 float64) {
	f := p.fig
	f.MinX, f.MinY, f.MaxX, f.MaxY = min(f.MinX, x1), min(f.MinY, y1), max(f.MaxX, x2), max(f.MaxY, y2)
}

// pulleys draws the rims, filled for those the belt touches, hubs, and the way
// each turns.
func (p *picture) pulleys(s *Solution) {
	for i := range p.d.Pulleys {
		pulley := &p.d.Pulleys[i]
		c, r := onPaper(pulley.Centre.vec()), 1000*p.d.rimRadius(pulley)
		stop, touched := s.Stop(i)
		pen := figure.Thin
		if !touched && len(s.Stops) > 0 {
			pen = figure.Hidden
		}
		p.fig.Disc(figure.Soft, 0.15, c, r)
		p.fig.Circle(pen, c, r)
		if pulley.Surface.surface() == Grooved {
			p.fig.Circle(figure.Help, c, 0.9*r)
		}
		p.fig.Disc(figure.Ink, 1, c, min(0.012*p.size, 0.15*r))
		if touched {
			p.sense(c, 0.72*r, stop.Turns)
		}
	}
}

// sense draws a short arc with an arrow the way a pulley turns; y is down here,
// so counter-clockwise is towards smaller angles.
func (p *picture) sense(c figure.Point, r float64, turns Sense) {
	const from, to = -140 * math.Pi / 180, -40 * math.Pi / 180
	a, b := from, to
	if turns == CounterClockwise {
		a, b = to, from
	}
	arc := figure.Arc(c, r, a, b)
	p.fig.Line(figure.Help, arc...)
	end, before := arc[len(arc)-1], arc[len(arc)-2]
	p.fig.Arrow(figure.Help, end, end.X-before.X, end.Y-before.Y, min(0.3*r, 0.02*p.size))
}

// The lines of the belt.
var (
	backLine = figure.Pen{Width: 3}
	ribLine  = figure.Pen{Width: 1.5, Dash: []float64{3, 3}}
)

// belt draws the line of the belt and, towards its ribs, a dashed one.
func (p *picture) belt(s *Solution) {
	ribs := s.Drive.sign(Ribs, s.Routing[0].Side)
	gap := 0.011 * p.size
	p.fig.Outline(backLine, p.run(s, 0)...)
	p.fig.Outline(ribLine, p.run(s, gap*ribs)...)
	for i, sp := range s.Spans {
		a, b := onPaper(s.Stops[i].Off.vec()), onPaper(s.Stops[sp.To].On.vec())
		p.wires = append(p.wires, [2]figure.Point{a, b})
		size := 0.035 * p.size
		if 1000*float64(sp.Length) < size {
			continue
		}
		along := figure.Point{X: b.X - a.X, Y: b.Y - a.Y}
		half := 0.5 + 0.5*size/math.Hypot(along.X, along.Y)
		tip := figure.Point{X: a.X + along.X*half, Y: a.Y + along.Y*half}
		p.fig.Arrow(figure.Now, tip, along.X, along.Y, size)
	}
}

// run is the closed line of the belt, moved to the left of its travel by a
// distance in figure units: towards the centre of a counter-clockwise pulley.
func (p *picture) run(s *Solution, left float64) []figure.Point {
	var points []figure.Point
	for _, st := range s.Stops {
		pulley := &s.Drive.Pulleys[st.Pulley]
		c := onPaper(pulley.Centre.vec())
		on := onPaper(st.On.vec())
		r := max(0, 1000*float64(st.Radius)-left*float64(st.Turns))
		// y down turns the sense of angles round.
		from := math.Atan2(on.Y-c.Y, on.X-c.X)
		points = append(points, figure.Arc(c, r, from, from-float64(st.Turns)*float64(st.Wrap))...)
	}
	return points
}

// tensioner draws the arm from its pivot, or the slot, and the travel.
func (p *picture) tensioner(s *Solution) {
	t := p.d.Tensioner
	if s.Travel == nil {
		return
	}
	const steps = 24
	var path []figure.Point
	for i := range steps + 1 {
		path = append(path, onPaper(p.d.centreAt(float64(i)/steps)))
	}
	p.fig.Line(figure.Dotted, path...)
	r := 1000 * p.d.rimRadius(&p.d.Pulleys[t.Pulley])
	for _, end := range []figure.Point{path[0], path[steps]} {
		p.fig.Circle(figure.Pen{Tone: figure.Soft, Dash: []float64{2, 4}}, end, r)
		p.include(end.X-r, end.Y-r, end.X+r, end.Y+r)
		p.rings = append(p.rings, ring{end, r})
	}
	if t.Kind == SpringArm {
		pivot, c := onPaper(t.Pivot.vec()), onPaper(s.Travel.Centre.vec())
		p.fig.Line(figure.Pen{Width: 5, Tone: figure.Soft}, pivot, c)
		p.fig.Circle(figure.Thin, pivot, 0.015*p.size)
		p.fig.Disc(figure.Ink, 1, pivot, 0.006*p.size)
		p.wires = append(p.wires, [2]figure.Point{pivot, c})
		k := 0.02 * p.size
		p.include(pivot.X-k, pivot.Y-k, pivot.X+k, pivot.Y+k)
	}
}

// legend explains the lines, under the drawing.
func (p *picture) legend(s *Solution) {
	f, size := p.fig, 0.8*p.text
	rows := []struct {
		pen  figure.Pen
		text string
	}{{backLine, "back of the belt"}, {ribLine, "its ribs"}, {figure.Now, "way it travels"}}
	if s.Travel != nil {
		rows = append(rows, struct {
			pen  figure.Pen
			text string
		}{figure.Dotted, "travel of the tensioner"})
	}
	x, y := f.MinX+size, f.MaxY+1.2*size
	for _, r := range rows {
		wide := 4*size + letterWidth*size*float64(len([]rune(r.text)))
		if x+wide > f.MaxX && x > f.MinX+size {
			x, y = f.MinX+size, y+1.6*size
		}
		a, b := figure.Point{X: x, Y: y}, figure.Point{X: x + 2*size, Y: y}
		f.Line(r.pen, a, b)
		if r.pen.Tone == figure.Mark {
			f.Arrow(r.pen, b, 1, 0, 0.7*size)
		}
		f.Label(figure.Point{X: x + 2.6*size, Y: y}, size, figure.Start, r.text)
		x += wide + size
		p.include(x, y, x, y)
	}
	p.include(f.MinX, y+1.2*size, f.MinX, y+1.2*size)
}
