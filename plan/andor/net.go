package andor

import "context"

// A net is the compiled form that the search works on. Facts are parts and
// resources alike: a resource is a fact with one op that needs nothing, and a
// method needs its resources as it needs its parts. So everything that is paid
// once is an op, and a solution is one op for every fact it opens.
type net struct {
	facts int
	ops   []op
	by    [][]int32 // ops that establish a fact
	users [][]int32 // ops that need a fact
	goals []int32
	label []int32 // the caller's number of a fact: a part, or Parts + resource
	scale int64   // costs are in multiples of scale millionths
}

type op struct {
	fact    int32
	cost    int64
	pre     []int32 // distinct facts, ascending
	methods []int32 // the caller's methods it stands for; none for a resource
}

// minutes turns a cost of the net into the caller's unit.
func (n *net) minutes(c int64) float64 { return float64(c*n.scale) * Unit }

// compile builds the net of one call: without forbidden methods, without what
// is off or paid already, and without resources that cost nothing.
func compile(in *Instance, opt Options) *net {
	n := &net{facts: in.Parts + len(in.Resources), scale: 1}
	n.label = make([]int32, n.facts)
	for f := range n.label {
		n.label[f] = int32(f)
	}
	gone := make([]bool, n.facts)
	for _, p := range opt.Off {
		gone[p] = true
	}
	for _, r := range opt.Free {
		gone[in.Parts+r] = true
	}
	for r, c := range in.Resources {
		f := in.Parts + r
		gone[f] = gone[f] || units(c) == 0
		if !gone[f] {
			n.ops = append(n.ops, op{fact: int32(f), cost: units(c)})
		}
	}
	forbidden := make([]bool, len(in.Methods))
	for _, m := range opt.Forbidden {
		forbidden[m] = true
	}
	for i, m := range in.Methods {
		if forbidden[i] || gone[m.Part] {
			continue
		}
		var pre []int32
		for _, q := range m.Needs {
			if !gone[q] {
				pre = append(pre, int32(q))
			}
		}
		for _, r := range m.Resources {
			if f := in.Parts + r; !gone[f] {
				pre = append(pre, int32(f))
			}
		}
		n.ops = append(n.ops, op{fact: int32(m.Part), cost: units(m.Cost), pre: distinct(pre), methods: []int32{int32(i)}})
	}
	for _, t := range in.Targets {
		if !gone[t] {
			n.goals = append(n.goals, int32(t))
		}
	}
	n.goals = distinct(n.goals)
	n.coarsen()
	n.index()
	return n
}

// coarsen divides the costs by their greatest common divisor: bounds may then
// be compared in whole steps.
func (n *net) coarsen() {
	var g int64
	for _, o := range n.ops {
		for a := o.cost; a != 0; {
			g, a = a, g%a
		}
	}
	if g <= 1 {
		return
	}
	for i := range n.ops {
		n.ops[i].cost /= g
	}
	n.scale *= g
}

// index rebuilds by and users from ops, in two flat arrays.
func (n *net) index() {
	byCount, useCount := make([]int32, n.facts+1), make([]int32, n.facts+1)
	for i := range n.ops {
		byCount[n.ops[i].fact]++
		for _, q := range n.ops[i].pre {
			useCount[q]++
		}
	}
	n.by, n.users = slots(byCount), slots(useCount)
	for i := range n.ops {
		o := &n.ops[i]
		n.by[o.fact] = append(n.by[o.fact], int32(i))
		for _, q := range o.pre {
			n.users[q] = append(n.users[q], int32(i))
		}
	}
}

// slots makes empty lists with the given room, cut from one array.
func slots(count []int32) [][]int32 {
	var total int32
	for _, c := range count {
		total += c
	}
	flat := make([]int32, total)
	lists := make([][]int32, len(count))
	var at int32
	for i, c := range count {
		lists[i] = flat[at : at : at+c]
		at += c
	}
	return lists
}

// reachable reports whether every goal can be established at all.
func (n *net) reachable() bool {
	held := n.reach()
	for _, g := range n.goals {
		if !held[g] {
			return false
		}
	}
	return true
}

// reach is the set of facts that can be established.
func (n *net) reach() []bool {
	held := make([]bool, n.facts)
	missing := make([]int32, len(n.ops))
	var queue []int32
	hold := func(f int32) {
		if !held[f] {
			held[f] = true
			queue = append(queue, f)
		}
	}
	for i := range n.ops {
		missing[i] = int32(len(n.ops[i].pre))
		if missing[i] == 0 {
			hold(n.ops[i].fact)
		}
	}
	for len(queue) > 0 {
		f := queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		for _, o := range n.users[f] {
			if missing[o]--; missing[o] == 0 {
				hold(n.ops[o].fact)
			}
		}
	}
	return held
}

// A budget counts search nodes and says when to stop or to pause.
type budget struct {
	ctx     context.Context
	limit   int // of used; 0: none
	pause   int // of used; 0: none
	used    int
	stopped bool // for good
}

func newBudget(ctx context.Context, limit int) *budget {
	return &budget{ctx: ctx, limit: limit, stopped: ctx.Err() != nil}
}

// pauseAfter makes spend refuse after so many nodes more; 0 means never.
func (b *budget) pauseAfter(nodes int) {
	if b.pause = 0; nodes > 0 {
		b.pause = b.used + nodes
	}
}

// spend counts one node and reports whether the search may go on.
func (b *budget) spend() bool {
	b.used++
	if b.limit > 0 && b.used > b.limit {
		b.stopped = true
	} else if b.used&15 == 0 && b.ctx.Err() != nil {
		b.stopped = true
	}
	return !b.halted()
}

// halted reports that the search is to end for good or for now.
func (b *budget) halted() bool { return b.stopped || b.pause > 0 && b.used > b.pause }
