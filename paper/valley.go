package paper

import (
	"lastbolt/job"
	"lastbolt/web/draw"
	"lastbolt/web/valley"
)

// valley draws the job's picture over a width.
func (c *canvas) valley(s *job.State, w float64) block {
	if len(s.Steps) == 0 {
		return gap(0)
	}
	const pixel = 0.245 // millimetres: labels of 15 px come out at over 10 points
	v := valley.Of(s, func(st *job.Step) string { return st.Name }, nil)
	v.Width = w / pixel
	v.Height = min(230+5*float64(max(len(v.Down), len(v.Up))), 420)
	for _, side := range [][]draw.Knot{v.Down, v.Up, {v.Bottom}} {
		for i := range side {
			side[i].Label, _ = printable(side[i].Label)
		}
	}
	v.Bottom.Label, _ = printable(v.Bottom.Label)
	pic := v.Layout()
	return block{pic.Height * pixel, func(x, y float64) {
		for _, g := range pic.Groups {
			for _, sh := range g.Shapes {
				c.shape(sh, x, y, pixel)
			}
		}
		c.pen(0.3)
	}}
}

// shape draws one primitive of a picture, k millimetres to the pixel.
func (c *canvas) shape(s draw.Shape, x, y, k float64) {
	fill := c.ink(s.Class)
	at := func(p draw.Point) (float64, float64) { return x + p.X*k, y + p.Y*k }
	px, py := at(s.At)
	switch s.Kind {
	case draw.Circle:
		c.pdf.Circle(px, py, s.Radius*k, fill)
	case draw.Box:
		w, h := s.Width*k, s.Height*k
		c.pdf.RoundedRect(px-w/2, py-h/2, w, h, s.Corner*k, "1234", fill)
	case draw.Path:
		c.pdf.MoveTo(at(s.Points[0]))
		for _, p := range s.Points[1:] {
			c.pdf.LineTo(at(p))
		}
		if s.Closed {
			c.pdf.ClosePath()
		} else {
			fill = "D"
		}
		c.pdf.DrawPath(fill)
	case draw.Words:
		c.words(s, px, py, k)
	}
}

// words sets a label; a picture gives baselines, lines go by their top.
func (c *canvas) words(s draw.Shape, x, y, k float64) {
	st := style{size: s.Size * k / point, bold: s.Bold}
	switch w := c.measure(st, s.Text); s.Anchor {
	case draw.Middle:
		x -= w / 2
	case draw.End:
		x -= w
	}
	c.line(x, y-st.mm()*0.95, st, s.Text)
}

// ink sets pen and fill for a class of shape and says how to paint it. State
// is by shape: ink on paper knows no colour.
func (c *canvas) ink(class string) string {
	white, black := 255, 0
	set := func(width float64, fill int, how string, dashes ...float64) string {
		c.pen(width, dashes...)
		c.pdf.SetFillColor(fill, fill, fill)
		return how
	}
	switch class {
	case "trace":
		return set(0.4, white, "D")
	case "run":
		return set(1.1, white, "D")
	case "come", "core", "done", "flag", "part-done":
		return set(0.3, black, "FD")
	case "tick":
		c.pen(0.5)
		c.pdf.SetDrawColor(255, 255, 255)
		return "D"
	case "part-now", "now":
		return set(0.9, white, "FD")
	case "lead":
		return set(0.2, white, "D", 0.6, 0.6)
	case "cross", "pole":
		return set(0.5, white, "D")
	default: // aside, owed, dispute, part
		return set(0.5, white, "FD")
	}
}
