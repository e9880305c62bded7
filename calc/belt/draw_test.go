package belt_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"lastbolt/calc/belt"
	"lastbolt/calc/figure"
	"lastbolt/quantity"
)

// named gives the labels of a figure and the room they take.
func named(f *figure.Figure) []figure.Shape {
	var out []figure.Shape
	for _, s := range f.Shapes {
		if s.Text != "" {
			out = append(out, s)
		}
	}
	return out
}

// room is what a text takes up, by the widths of a common sans-serif face.
func room(s figure.Shape) (x1, y1, x2, y2 float64) {
	w, h := 0.58*s.Size*float64(len([]rune(s.Text))), s.Size
	x := s.Path[0].X
	switch s.Anchor {
	case figure.Middle:
		x -= w / 2
	case figure.End:
		x -= w
	}
	return x, s.Path[0].Y - h/2, x + w, s.Path[0].Y + h/2
}

func TestLabelsNeverOverlapAndStayInThePicture(t *testing.T) {
	drawn := 0
	for seed := range uint64(60) {
		d := scattered(3+int(seed%8), seed)
		for i := range d.Pulleys {
			d.Pulleys[i].Name = strings.Repeat("name ", 1+(i+int(seed))%4) + fmt.Sprint(i)
		}
		f := belt.DrawPulleys(&d)
		if found, err := belt.Find(d, belt.Search{Best: 1}); err == nil && len(found.Ways) > 0 {
			f = belt.Draw(found.Ways[0].Solution)
			drawn++
		}
		labels := named(f)
		if len(labels) < len(d.Pulleys) {
			t.Errorf("seed %d: %d labels for %d pulleys", seed, len(labels), len(d.Pulleys))
		}
		for i, a := range labels {
			ax1, ay1, ax2, ay2 := room(a)
			if ax1 < f.MinX || ax2 > f.MaxX || ay1 < f.MinY || ay2 > f.MaxY {
				t.Errorf("seed %d: %q leaves the picture", seed, a.Text)
			}
			for _, b := range labels[:i] {
				bx1, by1, bx2, by2 := room(b)
				if ax1 < bx2 && bx1 < ax2 && ay1 < by2 && by1 < ay2 {
					t.Errorf("seed %d: %q and %q overlap", seed, a.Text, b.Text)
				}
			}
		}
	}
	if drawn < 10 {
		t.Errorf("only %d drawings with a belt", drawn)
	}
}

// The drawing is to scale: each rim is a circle of its radius at its centre, y
// down, and the belt's line is as long as the belt.
func TestDrawingIsToScale(t *testing.T) {
	d, r := frontDrive()
	s, err := belt.Solve(d, r)
	if err != nil {
		t.Fatal(err)
	}
	f := belt.Draw(s)
	for _, p := range d.Pulleys {
		found := false
		for _, shape := range f.Shapes {
			found = found || shape.Radius > 0 && math.Abs(shape.Radius-p.Diameter.In(quantity.Millimetre)/2) < 1e-9 &&
				math.Abs(shape.Path[0].X-p.Centre.X.In(quantity.Millimetre)) < 1e-9 && math.Abs(shape.Path[0].Y+p.Centre.Y.In(quantity.Millimetre)) < 1e-9
		}
		if !found {
			t.Errorf("no circle for the rim of %s", p.Name)
		}
	}
	longest := 0.0
	for _, shape := range f.Shapes {
		if !shape.Closed || shape.Filled || shape.Pen.Dash != nil {
			continue
		}
		length := 0.0
		for i, a := range shape.Path {
			b := shape.Path[(i+1)%len(shape.Path)]
			length += math.Hypot(b.X-a.X, b.Y-a.Y)
		}
		longest = max(longest, length)
	}
	near(t, "line of the belt mm", longest, s.Pitch.In(quantity.Millimetre), 1)
	if !strings.Contains(f.Alt, s.Order()) {
		t.Errorf("the words do not name the order: %s", f.Alt)
	}
}
