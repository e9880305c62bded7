// Package draw makes the plain line drawings of a job. The first is the
// valley, the picture of a job on every page of it: down the left side the
// taking apart, at the bottom the new part, up the right side the putting
// back.
//
// Start at [Valley]: fill it in and call [Valley.SVG] for a page, or
// [Valley.Layout] for a [Picture], the same geometry as bare circles, lines
// and words that a paper renderer can draw too.
//
// The package places things and nothing else: it knows no jobs and no colours.
// SVG elements carry class names (.valley .now and so on) that the style sheet
// in web/ui colours. The meaning is in the shapes, so it survives print and
// sunlight.
package draw

// KnotState says how far one step of a job has got.
type KnotState int

const (
	ToCome  KnotState = iota // small dot: not reached yet
	Now                      // ring with a centre: the step in hand
	Done                     // filled with a tick
	Aside                    // triangle: set aside with its lines connected
	Owed                     // open ring: taken off, must go back on
	Dispute                  // crossed: two records of it disagree
)

// Knot is one step on the valley's line.
type Knot struct {
	Label   string  // the thing's name, "Charge pipe"; may be empty
	Minutes float64 // planned or taken minutes; 0 when not known
	State   KnotState
	Href    string // where a tap leads; empty for nowhere
}

// Valley is a job as one line: down, across the bottom, up.
type Valley struct {
	Down     []Knot // taking apart, in order from the top left
	Bottom   Knot   // the work itself; a box
	Up       []Knot // putting back, in order from the bottom to the top right
	NoReturn int    // index into Down after which the vehicle cannot be driven; -1 for none
	Wide     bool   // for desk and paper: labels and minutes, spaced by minutes; else a strip
	// Width and Height of the picture in CSS pixels; 0 for a sensible size.
	Width, Height float64
}
