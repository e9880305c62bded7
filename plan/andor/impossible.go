package andor

import (
	"context"
	"fmt"
	"slices"
	"strings"
)

// Impossible is the error of targets that cannot be freed. It holds a smallest
// set of reasons: releasing all of them makes every target possible; no release
// makes do with fewer parts, nor, with as many parts, with fewer forbidden
// methods. (Unless Proven is false: then the search was stopped, and there may
// be a smaller set, or the lists are empty.) A target itself is named only if
// nothing else helps.
type Impossible struct {
	Targets []int // the targets that cannot be freed, ascending
	// Forbidden lists methods that Options forbids.
	Forbidden []int
	// Parts lists parts that would have to be off already. They have no usable
	// method, or all of theirs wait in a circle.
	Parts []int
	// Circle lists parts that wait for each other, each for the next and the
	// last for the first. It is empty if what blocks is a lack of methods.
	Circle []int
	Proven bool
}

func (e *Impossible) Error() string {
	var why []string
	if len(e.Forbidden) > 0 {
		why = append(why, fmt.Sprintf("allow methods %v", e.Forbidden))
	}
	if len(e.Parts) > 0 {
		why = append(why, fmt.Sprintf("have parts %v off already", e.Parts))
	}
	text := fmt.Sprintf("parts %v cannot be taken off; it would take: %s", e.Targets, strings.Join(why, " and "))
	if len(e.Circle) > 0 {
		text += fmt.Sprintf("; parts %v wait for each other in a circle", e.Circle)
	}
	return text
}

// explain finds the reasons by solving the same problem with a price on every
// release: nothing for what is allowed, 1 for each forbidden method, and for
// parts declared off a little more than for all the forbidden methods that
// might do instead. Declaring a target itself off is the last resort.
func explain(ctx context.Context, in *Instance, opt Options) error {
	held := compile(in, opt).reach()
	gone := make([]bool, in.Parts)
	for _, p := range opt.Off {
		gone[p] = true
	}
	e := &Impossible{}
	target := make([]bool, in.Parts)
	for _, t := range in.Targets {
		target[t] = true
		if !gone[t] && !held[t] && !slices.Contains(e.Targets, t) {
			e.Targets = append(e.Targets, t)
		}
	}
	slices.Sort(e.Targets)
	ask := &Instance{Parts: in.Parts, Targets: in.Targets}
	for _, m := range in.Methods {
		ask.Methods = append(ask.Methods, Method{Part: m.Part, Needs: m.Needs})
	}
	for _, m := range opt.Forbidden {
		ask.Methods[m].Cost = 1
	}
	dear := float64(1 + len(opt.Forbidden))
	for p := range in.Parts {
		if held[p] || gone[p] {
			continue
		}
		cost := dear
		if target[p] {
			cost = dear * float64(1+in.Parts)
		}
		ask.Methods = append(ask.Methods, Method{Part: p, Cost: min(cost, MaxCost)})
	}
	r, err := solveOnly(ctx, ask, Options{Off: opt.Off, Nodes: opt.Nodes})
	if err != nil { // stopped: say what is known
		return e
	}
	e.Proven = r.Proven
	for p, m := range r.Method {
		switch {
		case m >= len(in.Methods):
			e.Parts = append(e.Parts, p)
		case m >= 0 && ask.Methods[m].Cost > 0:
			e.Forbidden = append(e.Forbidden, m)
		}
	}
	slices.Sort(e.Forbidden)
	for _, p := range e.Parts {
		if e.Circle = circle(in, held, gone, p); e.Circle != nil {
			break
		}
	}
	return e
}

// circle follows, from a part that cannot be taken off, the first need that
// blocks, until a part comes again. It returns nil if that ends at a part
// without any method. Forbidden methods count as methods here: the circle
// stands even if they are released.
func circle(in *Instance, held, gone []bool, p int) []int {
	at := map[int]int{}
	var path []int
	for {
		if i, seen := at[p]; seen {
			return path[i:]
		}
		at[p] = len(path)
		path = append(path, p)
		next := -1
		for _, m := range in.Methods {
			if m.Part != p {
				continue
			}
			for _, q := range m.Needs {
				if next < 0 && !held[q] && !gone[q] {
					next = q
				}
			}
		}
		if next < 0 {
			return nil
		}
		p = next
	}
}
