package draw

import "math"

// roundness is how far the valley's floor is rounded, as a share of a side:
// small gives a V, large a bowl.
const roundness = 0.42

// curve is the valley's line: from (left, top) down to the floor at mid and up
// to (right, top). Each side is one branch of the hyperbola
//
//	depth(u) = 1 - (√(u²+c²) - c) / (√(1+c²) - c),   0 ≤ u ≤ 1
//
// with u the distance from the floor as a share of the side and c the
// roundness. It is level at the floor, so sides of unequal length join without
// a corner, and nearly straight at the top, so labels there keep their spacing.
type curve struct {
	left, mid, right float64
	top, floor       float64
}

func (c curve) y(x float64) float64 {
	side := c.right - c.mid
	if x < c.mid {
		side = c.mid - c.left
	}
	if side <= 0 {
		return c.floor
	}
	u := min(math.Abs(x-c.mid)/side, 1)
	depth := 1 - (math.Hypot(u, roundness)-roundness)/(math.Hypot(1, roundness)-roundness)
	return c.top + (c.floor-c.top)*depth
}

func (c curve) at(x float64) Point { return Point{x, c.y(x)} }

// trace is the line from one x to another as points, close enough together
// that no straight piece shows.
func (c curve) trace(from, to float64) []Point {
	n := int(math.Ceil((to-from)/6)) + 1
	points := make([]Point, 0, n+1)
	for i := range n + 1 {
		points = append(points, c.at(from+(to-from)*float64(i)/float64(n)))
	}
	return points
}

// touches reports whether the line passes through the rectangle. It leans on
// the line falling from left to mid and rising after it: within an interval
// the lowest and highest points are at the ends or at mid.
func (c curve) touches(r Rect) bool {
	lo, hi := max(r.Left, c.left), min(r.Right, c.right)
	if lo > hi {
		return false
	}
	a, b := c.y(lo), c.y(hi)
	top, bottom := min(a, b), max(a, b)
	if lo <= c.mid && c.mid <= hi {
		bottom = c.floor
	}
	return top < r.Bottom && r.Top < bottom
}
