package draw

// Point is a place in the picture, in CSS pixels from the top left corner.
type Point struct{ X, Y float64 }

// ShapeKind says which fields of a [Shape] count.
type ShapeKind int

const (
	Path   ShapeKind = iota // Points joined by straight lines; Closed joins the ends
	Circle                  // At and Radius
	Box                     // centred At, Width × Height, Corner is the corners' radius
	Words                   // Text, its baseline beginning, centred or ending At
)

// Anchor is the end of a text that stands at its point.
type Anchor int

const (
	Start Anchor = iota
	Middle
	End
)

// Shape is one primitive. Class is what it stands for; the style sheet and the
// paper renderer choose colour and line from it: trace and run (the valley's
// line, and the part behind you), come, now, core, done, tick, aside, owed,
// dispute, cross (knots), part, part-now, part-done (the box at the bottom),
// pole and flag (no return), lead (from a knot to its label), name and min
// (words).
type Shape struct {
	Kind   ShapeKind
	Class  string
	At     Point
	Points []Point
	Closed bool
	Radius float64
	Width  float64
	Height float64
	Corner float64
	Text   string
	Size   float64 // type size
	Bold   bool
	Anchor Anchor
}

// Group is shapes that belong together: a knot with its label. Name says in
// words what it is and how far it has got. Href and Hit, where Href is not
// empty, are its link and the area that answers a tap.
type Group struct {
	Name   string
	Href   string
	Hit    Rect
	Shapes []Shape
}

// Picture is a drawing as primitives, in drawing order. Everything lies within
// 0…Width and 0…Height.
type Picture struct {
	Width, Height float64
	Class         string // valley-strip or valley-wide; is-tight where knots stand close
	Title         string // the picture in a sentence
	Desc          string // the same at more length
	Groups        []Group
}

// Rect is an upright rectangle.
type Rect struct{ Left, Top, Right, Bottom float64 }

func around(p Point, r float64) Rect { return Rect{p.X - r, p.Y - r, p.X + r, p.Y + r} }

func (r Rect) meets(o Rect) bool {
	return r.Left < o.Right && o.Left < r.Right && r.Top < o.Bottom && o.Top < r.Bottom
}

func (r Rect) grow(by float64) Rect {
	return Rect{r.Left - by, r.Top - by, r.Right + by, r.Bottom + by}
}

func (r Rect) within(o Rect) bool {
	return r.Left >= o.Left && r.Right <= o.Right && r.Top >= o.Top && r.Bottom <= o.Bottom
}

// Bounds is the rectangle the shape covers, line width left out. For words it
// comes from the font's advance widths.
func (s Shape) Bounds() Rect {
	switch s.Kind {
	case Circle:
		return around(s.At, s.Radius)
	case Box:
		return Rect{s.At.X - s.Width/2, s.At.Y - s.Height/2, s.At.X + s.Width/2, s.At.Y + s.Height/2}
	case Words:
		w := TextWidth(s.Text, s.Size, s.Bold)
		left := s.At.X
		switch s.Anchor {
		case Middle:
			left -= w / 2
		case End:
			left -= w
		}
		return Rect{left, s.At.Y - textAbove*s.Size, left + w, s.At.Y + textBelow*s.Size}
	}
	r := Rect{s.Points[0].X, s.Points[0].Y, s.Points[0].X, s.Points[0].Y}
	for _, p := range s.Points[1:] {
		r = Rect{min(r.Left, p.X), min(r.Top, p.Y), max(r.Right, p.X), max(r.Bottom, p.Y)}
	}
	return r
}
