package paper

import (
	"math"

	"lastbolt/calc/figure"
)

// drawing puts a calculation's figure into a block of the given width, at most
// so high; a figure at true scale keeps its size where that fits.
func (c *canvas) drawing(f *figure.Figure, w, most float64) block {
	width, height := f.MaxX-f.MinX, f.MaxY-f.MinY
	if width <= 0 || height <= 0 {
		return gap(0)
	}
	scale := min(w/width, most/height)
	if f.TrueScale && scale > 1 {
		scale = 1
	}
	left := (w - width*scale) / 2
	return block{height * scale, func(x, y float64) {
		p := plotter{c, func(at figure.Point) (float64, float64) {
			return x + left + (at.X-f.MinX)*scale, y + (at.Y-f.MinY)*scale
		}, scale}
		for _, s := range f.Shapes {
			p.shape(s)
		}
		c.pdf.SetAlpha(1, "Normal")
		c.pdf.SetFillColor(255, 255, 255)
		c.pen(0.3)
	}}
}

// A plotter draws a figure's shapes at a place and scale on the page.
type plotter struct {
	c     *canvas
	at    func(figure.Point) (x, y float64)
	scale float64
}

func (p plotter) shape(s figure.Shape) {
	if len(s.Path) == 0 {
		return
	}
	if s.Text != "" {
		p.text(s)
		return
	}
	if s.Filled {
		grey := greyOf(s.Fill)
		if s.Shade > 0 && s.Shade < 1 { // mixed with the white paper, so that it needs no transparency
			grey = 255 - int(math.Round(float64(255-grey)*s.Shade))
		}
		p.c.pdf.SetFillColor(grey, grey, grey)
		p.trace(s, "F")
	}
	if !s.NoLine {
		width := s.Pen.Width
		if width == 0 {
			width = 1
		}
		dashes := make([]float64, len(s.Pen.Dash))
		for i, n := range s.Pen.Dash {
			dashes[i] = n * thinLine
		}
		p.c.pen(width*thinLine, dashes...)
		grey := 0
		if s.Pen.Tone == figure.Soft {
			grey = 110
		}
		if s.Pen.Tone == figure.Ground {
			grey = 255
		}
		p.c.pdf.SetDrawColor(grey, grey, grey)
		p.trace(s, "D")
	}
}

// thinLine is a figure's thinnest line in millimetres.
const thinLine = 0.3

func greyOf(t figure.Tone) int {
	switch t {
	case figure.Ground:
		return 255
	case figure.Soft:
		return 150
	case figure.Mark:
		return 60
	case figure.Done:
		return 110
	}
	return 0
}

// trace draws a shape's line or area; how is D for drawn, F for filled.
func (p plotter) trace(s figure.Shape, how string) {
	x, y := p.at(s.Path[0])
	if s.Radius > 0 {
		p.c.pdf.Circle(x, y, s.Radius*p.scale, how)
		return
	}
	p.c.pdf.MoveTo(x, y)
	for _, point := range s.Path[1:] {
		x, y := p.at(point)
		p.c.pdf.LineTo(x, y)
	}
	if s.Closed {
		p.c.pdf.ClosePath()
	}
	p.c.pdf.DrawPath(how)
}

func (p plotter) text(s figure.Shape) {
	x, y := p.at(s.Path[0])
	st := style{size: max(s.Size*p.scale/point, 6), bold: s.Bold}
	text, _ := printable(s.Text)
	w := p.c.measure(st, text)
	switch s.Anchor {
	case figure.Start:
	case figure.End:
		x -= w
	default:
		x -= w / 2
	}
	p.c.line(x, y-st.mm()*0.59, st, text) // line takes the top; the letters' middle is 0.59 below
}
