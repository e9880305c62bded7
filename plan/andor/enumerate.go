package andor

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"lastbolt/plan/heap"
)

// Enumerate yields selections in non-decreasing order of cost, every one that
// opens only what its own choice needs, each once, until yield returns false
// or none is left. It works lazily: what is not asked for is hardly computed.
//
// A caller who adds a cost of his own that is never negative (or never less
// than the resources' cost here) has found the best total as soon as the cost
// yielded reaches his best: no later selection can beat it.
//
// It returns nil when yield stopped it or nothing is left, an error that wraps
// [ErrStopped] when the context or the node budget ended first, and otherwise
// what [Solve] would have returned. Opt.Nodes is the budget of the whole
// enumeration.
//
// Method: the set of selections is split around each one yielded (Lawler,
// Management Science 18 (1972) 401-405; from memory). If the best opens parts
// p1 … pk by methods m1 … mk, in an order in which each is a target or needed
// by an earlier one, then the others fall into k classes: the i-th uses m1 …
// m(i-1) but not mi. Each class is the same problem with more methods
// forbidden.
func Enumerate(ctx context.Context, in *Instance, opt Options, yield func(sel Selection, cost float64) bool) error {
	if err := in.check(opt); err != nil {
		return err
	}
	e := enumeration{ctx: ctx, in: in, opt: opt, left: opt.Nodes}
	first, err := e.class(class{forbidden: opt.Forbidden})
	if errors.Is(err, errUnreachable) {
		return explain(ctx, in, opt)
	}
	if err != nil {
		return err
	}
	e.open = append(e.open, first)
	for len(e.open) > 0 {
		var c class
		c, e.open = heap.Pop(e.open, before)
		if !yield(c.best, c.cost) {
			return nil
		}
		if err := e.split(c); err != nil {
			return err
		}
	}
	return nil
}

// A class is a set of selections: those without some methods. Its parts up to
// fixed already have their method prescribed.
type class struct {
	forbidden []int
	fixed     map[int]bool // parts whose method is prescribed
	best      Selection
	cost      float64
	serial    int
}

type enumeration struct {
	ctx    context.Context
	in     *Instance
	opt    Options
	open   []class // heap
	left   int     // nodes left, if opt.Nodes is set
	serial int
}

// class solves a class.
func (e *enumeration) class(c class) (class, error) {
	opt := e.opt
	opt.Forbidden = c.forbidden
	if e.opt.Nodes > 0 {
		if e.left <= 0 {
			return c, fmt.Errorf("%w: the node budget is spent", ErrStopped)
		}
		opt.Nodes = e.left
	}
	r, err := solveOnly(e.ctx, e.in, opt)
	if err != nil {
		return c, err
	}
	e.left -= r.Nodes + 1
	if !r.Proven {
		return c, fmt.Errorf("%w: the next selection is not proven", ErrStopped)
	}
	c.best, c.cost, c.serial = r.Selection, r.Cost, e.serial
	e.serial++
	return c, nil
}

// split queues the classes of what is left of c after its best.
func (e *enumeration) split(c class) error {
	forbidden := slices.Clone(c.forbidden)
	fixed := map[int]bool{}
	for p := range c.fixed {
		fixed[p] = true
	}
	for _, p := range e.topDown(c.best) {
		if fixed[p] {
			continue
		}
		m := c.best.Method[p]
		next := class{forbidden: append(slices.Clone(forbidden), m), fixed: cloneSet(fixed)}
		next, err := e.class(next)
		switch {
		case err == nil:
			e.open = heap.Push(e.open, next, before)
		case !errors.Is(err, errUnreachable):
			return err
		}
		fixed[p] = true
		for other := range e.in.Methods {
			if e.in.Methods[other].Part == p && other != m {
				forbidden = append(forbidden, other)
			}
		}
	}
	return nil
}

func cloneSet(s map[int]bool) map[int]bool {
	c := make(map[int]bool, len(s))
	for p := range s {
		c[p] = true
	}
	return c
}

// topDown lists the opened parts so that each is a target or needed by the
// method of an earlier one.
func (e *enumeration) topDown(s Selection) []int {
	seen := make([]bool, e.in.Parts)
	var list []int
	add := func(p int) {
		if !seen[p] && s.Method[p] >= 0 {
			seen[p] = true
			list = append(list, p)
		}
	}
	for _, t := range e.in.Targets {
		add(t)
	}
	for i := 0; i < len(list); i++ {
		for _, q := range e.in.Methods[s.Method[list[i]]].Needs {
			add(q)
		}
	}
	return list
}

// before orders classes by cost, then by age.
func before(a, b class) bool {
	return a.cost < b.cost || a.cost == b.cost && a.serial < b.serial
}
