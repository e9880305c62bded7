package draw

// leastTick is the smallest radius, in CSS pixels, at which a tick inside a
// knot can be seen.
const leastTick = 4.5

// shapes draws one knot without its label.
func (s site) shapes() []Shape {
	var out []Shape
	if s.noReturn {
		out = append(out, s.flag()...)
	}
	if s.bottom {
		return append(out, s.box()...)
	}
	c := func(class string, r float64) Shape { return Shape{Kind: Circle, Class: class, At: s.at, Radius: r} }
	switch s.State {
	case Now:
		return append(out, c("now", s.r), c("core", s.r*0.5))
	case Done:
		out = append(out, c("done", s.r))
		if s.r < leastTick {
			return out // a tick would only blur: filled says done
		}
		return append(out, s.tick("tick"))
	case Aside:
		return append(out, Shape{Kind: Path, Class: "aside", Closed: true, Points: []Point{
			s.from(0, -1), s.from(0.95, 0.8), s.from(-0.95, 0.8)}})
	case Owed:
		return append(out, c("owed", s.r))
	case Dispute:
		return append(out, c("dispute", s.r), s.line("cross", -0.5, -0.5, 0.5, 0.5), s.line("cross", -0.5, 0.5, 0.5, -0.5))
	}
	return append(out, c("come", s.r))
}

// from is a point relative to the knot, in radii.
func (s site) from(x, y float64) Point { return Point{s.at.X + x*s.r, s.at.Y + y*s.r} }

func (s site) line(class string, x1, y1, x2, y2 float64) Shape {
	return Shape{Kind: Path, Class: class, Points: []Point{s.from(x1, y1), s.from(x2, y2)}}
}

func (s site) tick(class string) Shape {
	return Shape{Kind: Path, Class: class, Points: []Point{s.from(-0.42, 0.05), s.from(-0.1, 0.38), s.from(0.45, -0.32)}}
}

// box is the bottom of the valley: the work itself.
func (s site) box() []Shape {
	b := Shape{Kind: Box, Class: "part", At: s.at, Width: 2 * s.r, Height: 1.6 * s.r, Corner: 0.35 * s.r}
	switch s.State {
	case Now:
		b.Class = "part-now"
		return []Shape{b, {Kind: Circle, Class: "core", At: s.at, Radius: 0.38 * s.r}}
	case Done:
		b.Class = "part-done"
		return []Shape{b, s.tick("tick")}
	case Dispute:
		return []Shape{b, s.line("cross", -0.45, -0.45, 0.45, 0.45), s.line("cross", -0.45, 0.45, 0.45, -0.45)}
	}
	return []Shape{b}
}

// flag marks the point of no return, on a pole above its knot.
func (s site) flag() []Shape {
	x, foot := s.at.X, s.at.Y-s.r
	h := s.flagHeight()
	top := foot - h
	return []Shape{
		{Kind: Path, Class: "pole", Points: []Point{{x, foot}, {x, top}}},
		{Kind: Path, Class: "flag", Closed: true, Points: []Point{{x, top}, {x + 0.9*h, top + 0.28*h}, {x, top + 0.56*h}}},
	}
}

// flagHeight keeps the flag inside the picture above the highest knot.
func (s site) flagHeight() float64 { return min(16, max(s.at.Y-s.r-2, 6)) }

// reach is the rectangle a knot and its flag keep free of labels.
func (s site) reach() Rect {
	r := around(s.at, s.r+2)
	if s.noReturn {
		h := s.flagHeight()
		r.Top -= h
		r.Right = max(r.Right, s.at.X+0.9*h+2)
	}
	return r
}
