package seal

import (
	"math"

	"lastbolt/quantity"
)

// A Bead is a string of sealant laid on a face.
type Bead struct {
	Diameter quantity.Length // of the bead as it leaves the nozzle
	Length   quantity.Length // along the outline, loops round bolt holes included
}

// Volume gives the bead's volume: π/4·d²·L.
func (b Bead) Volume() quantity.Volume {
	d := float64(b.Diameter)
	return quantity.Volume(math.Pi / 4 * d * d * float64(b.Length))
}

// Spread gives the width the bead is pressed to when the joint closes to a gap,
// if nothing is lost: π·d²/(4·gap). The gap must be more than 0.
func (b Bead) Spread(gap quantity.Length) quantity.Length {
	d := float64(b.Diameter)
	return quantity.Length(math.Pi * d * d / (4 * float64(gap)))
}

// BeadFor gives the diameter of the bead that spreads to a width at a gap; the
// inverse of Spread.
func BeadFor(width, gap quantity.Length) quantity.Length {
	return quantity.Length(math.Sqrt(4 * float64(width) * float64(gap) / math.Pi))
}

// Tubes gives how many tubes hold a volume with a share of waste: whole tubes,
// and how much of them is used. The tube's volume must be more than 0.
func Tubes(volume, tube quantity.Volume, waste float64) (count int, used float64) {
	used = float64(volume) * (1 + waste) / float64(tube)
	// A full tube is not two for the last digit of a floating-point number.
	return int(math.Ceil(used - 1e-9)), used
}

// A Point is a place on a face, in metres.
type Point struct{ X, Y quantity.Length }

// Outline gives the length of the line through points, back to the first when
// closed.
func Outline(points []Point, closed bool) quantity.Length {
	var total float64
	for i := 1; i < len(points); i++ {
		total += distance(points[i-1], points[i])
	}
	if closed && len(points) > 2 {
		total += distance(points[len(points)-1], points[0])
	}
	return quantity.Length(total)
}

func distance(a, b Point) float64 {
	return math.Hypot(float64(b.X-a.X), float64(b.Y-a.Y))
}
