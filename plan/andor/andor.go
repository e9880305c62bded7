// Package andor finds the cheapest set of removals that frees some parts of a
// machine: every part comes off by one of its methods (OR), a method needs all
// of the parts it names to be off before (AND), a part that serves several
// others is paid for once, and so is each resource (a tool, a position) that
// any chosen method uses. The choice must be orderable: two parts that each
// wait for the other are no plan.
//
// Start with [Solve]. [Enumerate] yields every sensible selection in order of
// cost, for a caller who adds a cost of his own. The problem is NP-hard; the
// search is exact, and when it is stopped early it says how far from the best
// it may be ([Result].Bound).
//
// How: the instance is compiled into a net of facts and ops (compile), made
// smaller by rules that keep the best cost (reduce), bounded by disjunctive
// landmarks (pricer), and what is left is searched by two exact methods that
// take turns (frontier, search).
//
// The package plans sets, not sequences (package sequence does those), and
// never puts anything back. It does no I/O and has no clock: a search ends
// when it is proven, when its context ends, or when its node budget is spent.
package andor

import (
	"context"
	"errors"
	"fmt"
	"math"
)

// Unit is the resolution of costs: they are counted in millionths of the
// caller's unit (minutes, say), so that sums and comparisons are exact.
const Unit = 1e-6

// MaxCost is the largest cost of one method or resource. It keeps every sum
// far from overflow.
const MaxCost = 1e6

// A Method is one way to take a part off.
type Method struct {
	Part      int     // the part it removes
	Needs     []int   // parts that must all be off before
	Cost      float64 // 0 … MaxCost
	Resources []int   // set-ups that are paid once if any chosen method uses them
}

// An Instance is a machine: Parts parts numbered from 0, and their methods.
// A part without a method cannot be taken off.
type Instance struct {
	Parts     int
	Methods   []Method
	Resources []float64 // cost of each resource, 0 … MaxCost
	Targets   []int     // parts that must be off
}

// Options narrow one call.
type Options struct {
	Forbidden []int // methods that must not be used
	Off       []int // parts that are off already
	Free      []int // resources that are paid for already
	// Nodes is the budget of search nodes; 0 means no limit.
	Nodes int
}

// A Selection is a choice of methods that is orderable and frees the targets.
type Selection struct {
	// Method is the chosen method of each part, -1 for a part that stays on
	// or was off already.
	Method []int
	// Order lists the chosen methods in one legal order: depth first from the
	// targets, each part right after what it needs, lower numbers first.
	Order []int
	// Resources lists the resources used, ascending, those already paid for
	// included.
	Resources []int
}

// A Result is the best selection found and what is known about it.
type Result struct {
	Selection
	Cost   float64
	Bound  float64 // no selection costs less
	Proven bool    // Cost is the least possible
	Nodes  int     // search nodes looked at
}

// Gap is how far the result may be from the best, as a share of its cost.
func (r *Result) Gap() float64 {
	if r.Proven || r.Cost == 0 {
		return 0
	}
	return (r.Cost - r.Bound) / r.Cost
}

// ErrStopped is wrapped by the error of a search that was stopped before it
// had found any selection.
var ErrStopped = errors.New("the search was stopped before it found a plan")

// Solve finds the cheapest orderable selection. Equal inputs give equal
// results. If the context ends or the node budget is spent, the result is the
// best found, with its bound and without Proven. The error is an *[Impossible]
// when the targets cannot be freed, and names the faulty index when the input
// is malformed.
func Solve(ctx context.Context, in *Instance, opt Options) (Result, error) {
	if err := in.check(opt); err != nil {
		return Result{}, err
	}
	r, err := solveOnly(ctx, in, opt)
	if errors.Is(err, errUnreachable) {
		return Result{}, explain(ctx, in, opt)
	}
	return r, err
}

var errUnreachable = errors.New("a target cannot be freed")

// solveOnly is Solve for a well-formed input, without the explanation of what
// is impossible: then the error is errUnreachable.
func solveOnly(ctx context.Context, in *Instance, opt Options) (Result, error) {
	n := compile(in, opt)
	if !n.reachable() {
		return Result{}, errUnreachable
	}
	budget := newBudget(ctx, opt.Nodes)
	sol := solveNet(n, budget, infinite)
	if !sol.found {
		return Result{}, fmt.Errorf("%w (after %d nodes)", ErrStopped, budget.used)
	}
	sel := newSelection(in, opt, sol.methods)
	r := Result{Selection: sel, Nodes: budget.used, Proven: sol.bound >= sol.cost}
	r.Cost, r.Bound = n.minutes(sol.cost), n.minutes(min(sol.bound, sol.cost))
	return r, nil
}

// check reports the first malformed index or cost.
func (in *Instance) check(opt Options) error {
	part := func(p int) bool { return p >= 0 && p < in.Parts }
	for i, m := range in.Methods {
		if !part(m.Part) {
			return fmt.Errorf("method %d removes part %d, but parts run from 0 to %d", i, m.Part, in.Parts-1)
		}
		for _, q := range m.Needs {
			if !part(q) {
				return fmt.Errorf("method %d needs part %d, but parts run from 0 to %d", i, q, in.Parts-1)
			}
		}
		for _, r := range m.Resources {
			if r < 0 || r >= len(in.Resources) {
				return fmt.Errorf("method %d uses resource %d, but there are %d", i, r, len(in.Resources))
			}
		}
		if !validCost(m.Cost) {
			return fmt.Errorf("method %d costs %v; a cost is from 0 to %v", i, m.Cost, MaxCost)
		}
	}
	for r, c := range in.Resources {
		if !validCost(c) {
			return fmt.Errorf("resource %d costs %v; a cost is from 0 to %v", r, c, MaxCost)
		}
	}
	for _, t := range in.Targets {
		if !part(t) {
			return fmt.Errorf("target %d: parts run from 0 to %d", t, in.Parts-1)
		}
	}
	for _, p := range opt.Off {
		if !part(p) {
			return fmt.Errorf("part %d is said to be off already, but parts run from 0 to %d", p, in.Parts-1)
		}
	}
	for _, m := range opt.Forbidden {
		if m < 0 || m >= len(in.Methods) {
			return fmt.Errorf("method %d is forbidden, but there are %d", m, len(in.Methods))
		}
	}
	for _, r := range opt.Free {
		if r < 0 || r >= len(in.Resources) {
			return fmt.Errorf("resource %d is said to be paid for, but there are %d", r, len(in.Resources))
		}
	}
	return nil
}

func validCost(c float64) bool { return c >= 0 && c <= MaxCost } // false for NaN

func units(c float64) int64 { return int64(math.Round(c / Unit)) }
