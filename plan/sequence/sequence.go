// Package sequence puts a fixed set of steps into the order that takes one
// person the least time, where some steps must precede others and changing
// position, tool or the state of the vehicle between steps costs time.
//
// Start with [Solve]. A step may start a wait (cooling, curing, draining) that
// runs by itself while the hands do something else. [Check] recomputes the
// time of any order, sharing nothing with the search; [Schedule] says where
// the time goes. [SolveMatrix] solves the bare sequential ordering problem,
// where any cost may hold between any two steps.
//
// The search is exact. When it is stopped early it returns the best order
// found and how far from the best that may be ([Result].Bound). Equal inputs
// give equal results; of equally good orders it prefers steps in input order
// where the choice comes up, but does not promise the first of all.
//
// The package chooses no steps (package andor does), does no I/O and has no
// clock: a search ends when it is proven, when its context ends, or when its
// budget of states is spent.
package sequence

import (
	"context"
	"errors"
	"fmt"
	"math"
)

// Any stands for a position or tool that does not matter, and in a [State] for
// none yet.
const Any = -1

// Limits of a [Problem]. MaxMinutes bounds every single figure.
const (
	MaxSteps    = 255
	MaxSwitches = 16
	MaxMinutes  = 1e6
)

// Unit is the resolution of time: figures are counted in millionths of a
// minute, so that sums and comparisons are exact.
const Unit = 1e-6

// A Need is the set-up that must hold while a step is done.
type Need struct {
	Position, Tool int    // Any keeps the present one
	On, Off        uint16 // switches that must be on, and off: bit i is switch i
}

// A Step takes Minutes of hand work under a set-up.
type Step struct {
	Minutes float64
	Need
}

// A Lag forbids After to start until Minutes after Before has ended. It
// implies that Before precedes After.
type Lag struct {
	Before, After int
	Minutes       float64
}

// A Setup is what changing a many-valued set-up (the position, the tool) costs
// in minutes.
type Setup struct {
	Between [][]float64 // [from][to]; the diagonal is not read
	First   []float64   // taking up a value when there is none yet; nil: free
}

// Flat is a Setup of n values where every change costs the same, the first
// one too.
func Flat(n int, minutes float64) Setup {
	s := Setup{First: make([]float64, n)}
	for i := range n {
		s.First[i] = minutes
		row := make([]float64, n)
		for j := range row {
			row[j] = minutes
		}
		s.Between = append(s.Between, row)
	}
	return s
}

// A Switch is a two-valued set-up (raised or lowered) and the minutes of
// turning it on and off.
type Switch struct{ On, Off float64 }

// A State is a present set-up. A position or tool that is Any is none yet.
type State struct {
	Position, Tool int
	On             uint16
}

// A Problem is what to order.
type Problem struct {
	Steps          []Step
	Before         [][2]int // the first of each pair must precede the second
	Lags           []Lag
	Position, Tool Setup
	Switches       []Switch
	Start          State
	End            *Need // set-up to end in; nil: any
}

// Options narrow one call.
type Options struct {
	// States is the budget of search states; 0 means DefaultStates.
	States int
}

// DefaultStates is the budget of states when none is given: some hundred
// megabytes and a few seconds.
const DefaultStates = 2_000_000

// A Result is the best order found and what is known about it.
type Result struct {
	Order  []int
	Cost   float64 // minutes from the start to the end of the last step and of End's set-up
	Bound  float64 // no order takes less
	Proven bool    // Cost is the least possible
	States int     // search states looked at
}

// Gap is how far the result may be from the best, as a share of its cost.
func (r *Result) Gap() float64 {
	if r.Proven || r.Cost == 0 {
		return 0
	}
	return (r.Cost - r.Bound) / r.Cost
}

// ErrStopped is wrapped by the error of a search that was stopped before it
// had found any order.
var ErrStopped = errors.New("the search was stopped before it found an order")

// Solve finds the order that takes the least time. If the context ends or the
// budget is spent, the result is the best found, with its bound and without
// Proven. The error is a *[CircleError] when steps must precede each other in
// a circle, and names the faulty index when the input is malformed.
func Solve(ctx context.Context, p *Problem, opt Options) (Result, error) {
	if err := p.check(); err != nil {
		return Result{}, err
	}
	m, err := newSetupModel(p)
	if err != nil {
		return Result{}, err
	}
	return search(ctx, m, m.origin(), m.input, opt, 1)
}

// A CircleError names steps that must each precede the next, and the last the
// first.
type CircleError struct{ Steps []int }

func (e *CircleError) Error() string {
	return fmt.Sprintf("steps %v must precede each other in a circle", e.Steps)
}

func units(minutes float64) int64 { return int64(math.Round(minutes / Unit)) }

func validMinutes(m float64) bool { return m >= 0 && m <= MaxMinutes } // false for NaN

// check reports the first malformed index or figure.
func (p *Problem) check() error {
	n := len(p.Steps)
	if n > MaxSteps {
		return fmt.Errorf("there are %d steps; at most %d can be ordered at once", n, MaxSteps)
	}
	if len(p.Switches) > MaxSwitches {
		return fmt.Errorf("there are %d switches; at most %d are allowed", len(p.Switches), MaxSwitches)
	}
	if err := p.Position.check("position"); err != nil {
		return err
	}
	if err := p.Tool.check("tool"); err != nil {
		return err
	}
	for i, s := range p.Switches {
		if !validMinutes(s.On) || !validMinutes(s.Off) {
			return fmt.Errorf("switch %d takes %v and %v minutes; minutes are from 0 to %v", i, s.On, s.Off, MaxMinutes)
		}
	}
	for i, s := range p.Steps {
		if !validMinutes(s.Minutes) {
			return fmt.Errorf("step %d takes %v minutes; minutes are from 0 to %v", i, s.Minutes, MaxMinutes)
		}
		if err := p.checkNeed(fmt.Sprintf("step %d", i), s.Need); err != nil {
			return err
		}
	}
	if p.End != nil {
		if err := p.checkNeed("the end", *p.End); err != nil {
			return err
		}
	}
	if err := p.checkNeed("the start", Need{Position: p.Start.Position, Tool: p.Start.Tool, On: p.Start.On}); err != nil {
		return err
	}
	for _, b := range p.Before {
		if b[0] < 0 || b[0] >= n || b[1] < 0 || b[1] >= n {
			return fmt.Errorf("step %d is to precede step %d, but steps run from 0 to %d", b[0], b[1], n-1)
		}
	}
	for _, l := range p.Lags {
		if l.Before < 0 || l.Before >= n || l.After < 0 || l.After >= n {
			return fmt.Errorf("step %d is to wait for step %d, but steps run from 0 to %d", l.After, l.Before, n-1)
		}
		if !validMinutes(l.Minutes) {
			return fmt.Errorf("step %d is to wait %v minutes for step %d; minutes are from 0 to %v", l.After, l.Minutes, l.Before, MaxMinutes)
		}
	}
	return nil
}

func (s Setup) check(name string) error {
	n := len(s.Between)
	if s.First != nil && len(s.First) != n {
		return fmt.Errorf("the %s table has %d rows but %d first costs", name, n, len(s.First))
	}
	for i, row := range s.Between {
		if len(row) != n {
			return fmt.Errorf("row %d of the %s table has %d figures; it needs %d", i, name, len(row), n)
		}
		for j, c := range row {
			if i != j && !validMinutes(c) {
				return fmt.Errorf("changing from %s %d to %d takes %v minutes; minutes are from 0 to %v", name, i, j, c, MaxMinutes)
			}
		}
	}
	for i, c := range s.First {
		if !validMinutes(c) {
			return fmt.Errorf("taking up %s %d takes %v minutes; minutes are from 0 to %v", name, i, c, MaxMinutes)
		}
	}
	return nil
}

func (p *Problem) checkNeed(who string, n Need) error {
	if n.Position < Any || n.Position >= len(p.Position.Between) {
		return fmt.Errorf("%s is at position %d, but there are %d", who, n.Position, len(p.Position.Between))
	}
	if n.Tool < Any || n.Tool >= len(p.Tool.Between) {
		return fmt.Errorf("%s uses tool %d, but there are %d", who, n.Tool, len(p.Tool.Between))
	}
	if known := uint32(1)<<len(p.Switches) - 1; uint32(n.On|n.Off)&^known != 0 {
		return fmt.Errorf("%s names a switch that does not exist; there are %d", who, len(p.Switches))
	}
	if n.On&n.Off != 0 {
		return fmt.Errorf("%s wants a switch both on and off", who)
	}
	return nil
}
