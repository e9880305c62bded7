package coolant

import (
	"math"
	"sort"
)

// A curve runs through points of rising x, without overshooting them: a
// monotone cubic after Fritsch and Butland, SIAM J. Sci. Stat. Comput. 5 (1984)
// 300. Outside its points it is not defined; ask covers.
type curve struct{ x, y, slope []float64 }

// through makes the curve of x, y, x, y ...
func through(points ...float64) curve {
	var c curve
	for i := 0; i < len(points); i += 2 {
		c.x, c.y = append(c.x, points[i]), append(c.y, points[i+1])
	}
	n := len(c.x)
	steep := make([]float64, n-1)
	for i := range steep {
		steep[i] = (c.y[i+1] - c.y[i]) / (c.x[i+1] - c.x[i])
	}
	c.slope = make([]float64, n)
	c.slope[0], c.slope[n-1] = steep[0], steep[n-2]
	for i := 1; i < n-1; i++ {
		a, b := steep[i-1], steep[i]
		if a*b <= 0 {
			continue
		}
		left, right := c.x[i]-c.x[i-1], c.x[i+1]-c.x[i]
		share := (1 + right/(left+right)) / 3
		c.slope[i] = a * b / (share*b + (1-share)*a)
	}
	return c
}

// covers tells whether x lies within the points, to the last digit.
func (c curve) covers(x float64) bool {
	return x >= c.x[0]-1e-12 && x <= c.x[len(c.x)-1]+1e-12
}

// at is the height of the curve at x; beyond an end it is the end's.
func (c curve) at(x float64) float64 {
	n := len(c.x)
	switch {
	case x <= c.x[0]:
		return c.y[0]
	case x >= c.x[n-1]:
		return c.y[n-1]
	}
	i := sort.SearchFloat64s(c.x, x) - 1
	h := c.x[i+1] - c.x[i]
	t := (x - c.x[i]) / h
	return c.y[i] + t*(c.slope[i]*h+t*(3*(c.y[i+1]-c.y[i])-(2*c.slope[i]+c.slope[i+1])*h+
		t*((c.slope[i]+c.slope[i+1])*h-2*(c.y[i+1]-c.y[i]))))
}

// linear is the straight line between the points, beyond an end the end's. It
// is for tables so finely stepped that rounding is larger than the bend.
func (c curve) linear(x float64) float64 {
	n := len(c.x)
	switch {
	case x <= c.x[0]:
		return c.y[0]
	case x >= c.x[n-1]:
		return c.y[n-1]
	}
	i := sort.SearchFloat64s(c.x, x) - 1
	return c.y[i] + (c.y[i+1]-c.y[i])*(x-c.x[i])/(c.x[i+1]-c.x[i])
}

// turned is the curve with x and y changed over; y must rise.
func (c curve) turned() curve {
	var points []float64
	for i := range c.x {
		points = append(points, c.y[i], c.x[i])
	}
	return through(points...)
}

// polynomial is Σ c[i]·x^i.
func polynomial(x float64, c ...float64) float64 {
	sum := 0.0
	for i := len(c) - 1; i >= 0; i-- {
		sum = sum*x + c[i]
	}
	return sum
}

func near(a, b float64) bool { return math.Abs(a-b) < 1e-9 }
