// Package figure holds drawings as plain line work, so that one drawing made by
// a calculation is shown on a screen and printed on paper alike.
//
// Start with New, then add shapes with the methods of Figure. Lengths are in
// the figure's own units, x to the right and y down; a figure whose units are
// millimetres at true scale says so with TrueScale. The package draws nothing
// itself: the pages and the paper do.
package figure

import "math"

// A Point is a place in a figure.
type Point struct{ X, Y float64 }

// A Figure is a drawing with a title and the words that stand in for it where
// it cannot be seen.
type Figure struct {
	Title string
	Alt   string // what the drawing shows, in a sentence or two
	// The part of the plane that is shown.
	MinX, MinY, MaxX, MaxY float64
	TrueScale              bool // one unit is one millimetre on paper
	Shapes                 []Shape
}

// New makes an empty figure that shows the given part of the plane.
func New(title, alt string, minX, minY, maxX, maxY float64) *Figure {
	return &Figure{Title: title, Alt: alt, MinX: minX, MinY: minY, MaxX: maxX, MaxY: maxY}
}

// A Tone says what a line or filling stands for; the pages and the paper give
// it the colour of the theme.
type Tone string

// The tones.
const (
	Ink    Tone = ""       // the drawing itself
	Soft   Tone = "soft"   // help lines, axes, what is less important
	Mark   Tone = "mark"   // what to look at now, or is wrong
	Done   Tone = "done"   // finished or in order
	Ground Tone = "ground" // the colour of the card: to blank out what lies behind
)

// A Pen says how a line is drawn. The zero Pen is a thin solid line of ink.
type Pen struct {
	Tone  Tone
	Width float64   // times the thin line; 0 means 1
	Dash  []float64 // dash and gap lengths in times the thin line; nil is solid
}

// The usual pens. State is told by the style of line, not by the tone alone.
var (
	Thin    = Pen{}
	Heavy   = Pen{Width: 3}
	Help    = Pen{Tone: Soft}
	Hidden  = Pen{Dash: []float64{6, 4}}
	Dotted  = Pen{Dash: []float64{1, 4}, Width: 2}
	Now     = Pen{Tone: Mark, Width: 3}
	NowThin = Pen{Tone: Mark}
)

// An Anchor says which end of a text stands at its point.
type Anchor string

// The anchors; the point is always on the middle of the letters' height.
const (
	Middle Anchor = "middle"
	Start  Anchor = "start"
	End    Anchor = "end"
)

// A Shape is one thing drawn: a path, a circle or a text.
type Shape struct {
	Path   []Point // a line through these; for a circle or text its one point
	Closed bool
	Radius float64 // of a circle, 0 for the others
	Text   string
	Size   float64 // of the text: height of its letters in units
	Anchor Anchor
	Bold   bool
	Pen    Pen
	NoLine bool // filled only
	Filled bool
	Fill   Tone
	Shade  float64 // 0 to 1: how strong the filling is; 0 means full
}

// Line adds a line through points.
func (f *Figure) Line(pen Pen, points ...Point) {
	f.Shapes = append(f.Shapes, Shape{Path: points, Pen: pen})
}

// Outline adds a closed line.
func (f *Figure) Outline(pen Pen, points ...Point) {
	f.Shapes = append(f.Shapes, Shape{Path: points, Pen: pen, Closed: true})
}

// Area adds a filled area without a line; shade is from 0 to 1.
func (f *Figure) Area(tone Tone, shade float64, points ...Point) {
	f.Shapes = append(f.Shapes, Shape{Path: points, Closed: true, NoLine: true, Filled: true, Fill: tone, Shade: shade})
}

// Circle adds a circle.
func (f *Figure) Circle(pen Pen, centre Point, radius float64) {
	f.Shapes = append(f.Shapes, Shape{Path: []Point{centre}, Radius: radius, Pen: pen})
}

// Disc adds a filled circle; shade is from 0 to 1.
func (f *Figure) Disc(tone Tone, shade float64, centre Point, radius float64) {
	f.Shapes = append(f.Shapes, Shape{Path: []Point{centre}, Radius: radius, NoLine: true, Filled: true, Fill: tone, Shade: shade})
}

// Label adds a text of the given letter height.
func (f *Figure) Label(at Point, size float64, anchor Anchor, text string) {
	f.Shapes = append(f.Shapes, Shape{Path: []Point{at}, Text: text, Size: size, Anchor: anchor})
}

// Bold adds a text in bold.
func (f *Figure) Bold(at Point, size float64, anchor Anchor, text string) {
	f.Shapes = append(f.Shapes, Shape{Path: []Point{at}, Text: text, Size: size, Anchor: anchor, Bold: true})
}

// Arc gives the points of an arc of a circle from one angle to another, in
// radians, fine enough to look round; the angles run the way they are given.
func Arc(centre Point, radius, from, to float64) []Point {
	n := max(2, int(math.Ceil(math.Abs(to-from)/(math.Pi/36)))+1)
	points := make([]Point, n)
	for i := range points {
		a := from + (to-from)*float64(i)/float64(n-1)
		points[i] = Point{centre.X + radius*math.Cos(a), centre.Y + radius*math.Sin(a)}
	}
	return points
}

// Arrow adds a small open arrow head at a point, looking along dx, dy.
func (f *Figure) Arrow(pen Pen, at Point, dx, dy, size float64) {
	l := math.Hypot(dx, dy)
	if l == 0 {
		return
	}
	dx, dy = dx/l*size, dy/l*size
	f.Line(pen, Point{at.X - dx - dy/2, at.Y - dy + dx/2}, at, Point{at.X - dx + dy/2, at.Y - dy - dx/2})
}
