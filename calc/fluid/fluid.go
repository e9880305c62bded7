// Package fluid computes with the other working fluids of a vehicle: engine
// oil and brake fluid, what leaks and how fast, and what to catch it in.
//
// Start with Group for the calculations a person is shown; GradeOf, Viscosity,
// ViscosityIndex, BrakeBoiling, Leak and DailyLoss are the engines behind them.
// A grade or a boiling point here is what a standard asks at least; which oil or
// fluid a vehicle takes is its maker's to say, and the package never chooses it.
package fluid

import (
	"sort"

	"lastbolt/calc"
	"lastbolt/quantity"
)

// Group is the calculations about oil, brake fluid and leaks.
var Group = calc.NewGroup("fluid", "Oil, brake fluid and leaks", "Oil grades, brake fluid, leak rates and what to catch fluids in.")

// A Band is a likely value with the range the sources or the measuring leave.
type Band[Q ~float64] struct{ Low, Likely, High Q }

// between is the straight line through points x0, y0, x1, y1 ... at x; beyond an
// end it is the end's.
func between(x float64, points ...float64) float64 {
	n := len(points) / 2
	i := sort.Search(n, func(i int) bool { return points[2*i] >= x })
	switch i {
	case 0:
		return points[1]
	case n:
		return points[2*n-1]
	}
	x0, y0, x1, y1 := points[2*i-2], points[2*i-1], points[2*i], points[2*i+1]
	return y0 + (y1-y0)*(x-x0)/(x1-x0)
}

func celsius(t quantity.Temperature) float64 { return t.In(quantity.DegreeCelsius) }

func litres(v quantity.Volume) float64 { return v.In(quantity.Litre) }
