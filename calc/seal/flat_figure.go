package seal

import (
	"fmt"
	"math"

	"lastbolt/calc/figure"
)

// drawFlatness draws a map of the face: shaded where it is hollow, hatched with
// dots where it stands high, the height at each spot in hundredths of a
// millimetre, the worst spot ringed.
func drawFlatness(spots []Spot, f Flatness) *figure.Figure {
	minX, minY, maxX, maxY := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, s := range spots {
		minX, maxX = math.Min(minX, mm(s.X)), math.Max(maxX, mm(s.X))
		minY, maxY = math.Min(minY, mm(s.Y)), math.Max(maxY, mm(s.Y))
	}
	size := math.Max(maxX-minX, 1.6*(maxY-minY)) / 26
	pad, edge := 2.2*size, 0.3*size
	alt := fmt.Sprintf("Map of the face with %d spots: flat within %s; the worst is %s, %s from the plane.",
		len(spots), fine(f.Zone), spotName(f.Worst, spots), signed(mm(f.Heights[f.Worst])))
	p := figure.New("Flatness map", alt, minX-pad-edge, -maxY-pad-edge, maxX+pad+edge, -minY+pad+2.4*size)
	shadeMap(p, spots, f, minX-pad, minY-pad, maxX+pad, maxY+pad)
	p.Outline(figure.Heavy, figure.Point{X: minX - pad, Y: -maxY - pad}, figure.Point{X: maxX + pad, Y: -maxY - pad},
		figure.Point{X: maxX + pad, Y: -minY + pad}, figure.Point{X: minX - pad, Y: -minY + pad})
	for i, s := range spots {
		at := figure.Point{X: mm(s.X), Y: -mm(s.Y)}
		p.Disc(figure.Ground, 1, at, 1.25*size)
		pen := figure.Thin
		if i == f.Worst {
			pen = figure.Now
		}
		p.Circle(pen, at, 1.25*size)
		p.Label(at, 0.95*size, figure.Middle, hundredths(mm(f.Heights[i])))
	}
	p.Label(figure.Point{X: minX - pad, Y: -minY + pad + 1.3*size}, size, figure.Start,
		"1/100 mm over the fitted plane: shaded is hollow, dotted is high")
	return p
}

// hundredths prints a height in hundredths of a millimetre with its sign.
func hundredths(n float64) string {
	if n = math.Round(n * 100); n == 0 {
		return "0"
	}
	return fmt.Sprintf("%+.0f", n)
}

func signed(n float64) string { return fmt.Sprintf("%+.3f mm", n) }

// shadeMap fills the face by the height between the spots, weighted by the
// inverse square of the distance.
func shadeMap(p *figure.Figure, spots []Spot, f Flatness, minX, minY, maxX, maxY float64) {
	most := 0.0
	for _, h := range f.Heights {
		most = math.Max(most, math.Abs(mm(h)))
	}
	if most == 0 {
		return
	}
	const columns = 36
	step := (maxX - minX) / columns
	rows := max(1, int(math.Round((maxY-minY)/step)))
	tall := (maxY - minY) / float64(rows)
	for r := range rows {
		for c := range columns {
			x, y := minX+(float64(c)+0.5)*step, minY+(float64(r)+0.5)*tall
			share := between(spots, f, x, y) / most
			left, top := x-step/2, -y-tall/2
			switch {
			case share < -0.08:
				p.Area(figure.Ink, -0.45*share, figure.Point{X: left, Y: top}, figure.Point{X: left + step, Y: top},
					figure.Point{X: left + step, Y: top + tall}, figure.Point{X: left, Y: top + tall})
			case share > 0.08 && (r+c)%2 == 0:
				p.Disc(figure.Ink, 0.6, figure.Point{X: x, Y: -y}, step*0.28*math.Sqrt(share))
			}
		}
	}
}

// between gives the height in millimetres at a place between the spots.
func between(spots []Spot, f Flatness, x, y float64) float64 {
	var sum, weight float64
	for i, s := range spots {
		dx, dy := mm(s.X)-x, mm(s.Y)-y
		w := 1 / (dx*dx + dy*dy + 1)
		w *= w
		sum, weight = sum+w*mm(f.Heights[i]), weight+w
	}
	return sum / weight
}
