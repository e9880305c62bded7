package seal

import (
	"fmt"
	"math"

	"lastbolt/calc/figure"
)

// DrawGland draws a section through the gland with the ring squeezed in it, in
// millimetres, not to scale of the paper. The free ring is dashed.
func DrawGland(g Gland, r Ring, fit Fit) *figure.Figure {
	cs, d := mm(fit.Section), mm(fit.Depth.Nominal)
	w := mm(g.Width.Nominal)
	if w == 0 {
		w = 1.35 * cs
	}
	pad := 0.9 * cs
	alt := fmt.Sprintf("A section through the groove, %.2f mm deep and %.2f mm wide: the ring of %.2f mm is squeezed by %.0f %%.",
		d, w, mm(r.Section.Nominal), fit.Stretched.Likely*100)
	f := figure.New("Ring in its groove", alt, -pad-0.3*cs, -1.1*cs, w+pad+2.4*cs, d+1.35*cs)
	size := cs / 5
	upper, lower := partNames(g.Seat)
	// The metal: the flat part above, the grooved part below.
	f.Area(figure.Soft, 0.25, figure.Point{X: -pad, Y: -0.6 * cs}, figure.Point{X: w + pad, Y: -0.6 * cs},
		figure.Point{X: w + pad, Y: 0}, figure.Point{X: -pad, Y: 0})
	f.Area(figure.Soft, 0.4, figure.Point{X: -pad, Y: 0.03 * cs}, figure.Point{X: 0, Y: 0.03 * cs}, figure.Point{X: 0, Y: d}, figure.Point{X: w, Y: d},
		figure.Point{X: w, Y: 0.03 * cs}, figure.Point{X: w + pad, Y: 0.03 * cs}, figure.Point{X: w + pad, Y: d + 0.5*cs}, figure.Point{X: -pad, Y: d + 0.5*cs})
	f.Line(figure.Heavy, figure.Point{X: -pad, Y: 0}, figure.Point{X: w + pad, Y: 0})
	f.Line(figure.Heavy, figure.Point{X: -pad, Y: 0.06 * cs}, figure.Point{X: 0, Y: 0.06 * cs}, figure.Point{X: 0, Y: d},
		figure.Point{X: w, Y: d}, figure.Point{X: w, Y: 0.06 * cs}, figure.Point{X: w + pad, Y: 0.06 * cs})
	// The ring: a flattened section of the same area, pressed to the middle.
	middle := figure.Point{X: w / 2, Y: d / 2}
	pen := figure.Pen{Width: 2}
	if fit.Stretched.Low <= 0 || fit.Fill.High > 1 {
		pen = figure.Now
	}
	squeezed := flattened(middle, cs, math.Min(d, cs))
	f.Area(figure.Ink, 0.15, squeezed...)
	f.Outline(pen, squeezed...)
	f.Circle(figure.Hidden, figure.Point{X: w / 2, Y: d - mm(r.Section.Nominal)/2}, mm(r.Section.Nominal)/2)
	f.Label(figure.Point{X: w / 2, Y: -0.85 * cs}, size, figure.Middle, upper)
	f.Label(figure.Point{X: w / 2, Y: d + 0.25*cs}, size, figure.Middle, lower)
	// Dimensions.
	x := w + pad + 0.25*cs
	f.Line(figure.Help, figure.Point{X: x, Y: 0}, figure.Point{X: x, Y: d})
	f.Arrow(figure.Help, figure.Point{X: x, Y: 0}, 0, -1, size/2)
	f.Arrow(figure.Help, figure.Point{X: x, Y: d}, 0, 1, size/2)
	f.Label(figure.Point{X: x + 0.15*cs, Y: d / 2}, size, figure.Start, fmt.Sprintf("%.2f deep", d))
	if g.Width.Nominal > 0 {
		y := d + 0.75*cs
		f.Line(figure.Help, figure.Point{X: 0, Y: y}, figure.Point{X: w, Y: y})
		f.Arrow(figure.Help, figure.Point{X: 0, Y: y}, -1, 0, size/2)
		f.Arrow(figure.Help, figure.Point{X: w, Y: y}, 1, 0, size/2)
		f.Label(figure.Point{X: w / 2, Y: y + 0.25*cs}, size, figure.Middle, fmt.Sprintf("%.2f wide, fill %.0f %%", w, fit.Fill.Likely*100))
	}
	f.Bold(figure.Point{X: x + 0.15*cs, Y: -0.45 * cs}, size, figure.Start, fmt.Sprintf("squeeze %.0f %%", fit.Stretched.Likely*100))
	if free := fmt.Sprintf("free %.0f %%", fit.Squeeze.Likely*100); fit.Stretch.Likely > 0 {
		f.Label(figure.Point{X: x + 0.15*cs, Y: -0.12 * cs}, size, figure.Start, free)
	}
	return f
}

// partNames names what lies above and below the ring.
func partNames(s Seat) (upper, lower string) {
	switch s {
	case Piston:
		return "bore", "plug or pipe"
	case Rod:
		return "rod or pipe", "housing"
	}
	return "lid", "face"
}

// flattened gives the outline of a round section pressed to a height, at the
// same area: two straight sides with half rounds between them.
func flattened(middle figure.Point, section, height float64) []figure.Point {
	r := height / 2
	straight := math.Max(0, (math.Pi/4*section*section-math.Pi*r*r)/height)
	right := figure.Arc(figure.Point{X: middle.X + straight/2, Y: middle.Y}, r, -math.Pi/2, math.Pi/2)
	left := figure.Arc(figure.Point{X: middle.X - straight/2, Y: middle.Y}, r, math.Pi/2, 3*math.Pi/2)
	return append(right, left...)
}
