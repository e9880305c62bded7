package andor

import "slices"

// A reduction is a net made smaller without losing every best solution, and
// what was decided on the way.
type reduction struct {
	net  *net
	base int64   // cost of what was decided
	pick []int32 // methods decided
}

// reduce applies the rules below until none of them changes anything. Each
// keeps the cost of the best solution; which of several equal ones survives
// is fixed by the order of the input.
//
//  1. Ops that can never be done, and facts that the goals never need, go.
//  2. An op that needs its own fact first, directly or by necessity, goes.
//  3. A need that another need of the same op implies is not listed.
//  4. An op goes that another op of the fact replaces at no more cost.
//  5. A fact that every solution holds becomes a goal; nobody outside its
//     cycle need ask for it. If there is only one op for it, that is decided.
//  6. A fact with one op, wanted only by ops of one other fact, is merged
//     into those.
func (d *reduction) reduce() {
	for {
		d.net.trim()
		if len(d.net.goals) == 0 || !d.net.prune() && !d.force() && !d.merge() {
			return
		}
	}
}

// trim drops what cannot be done and what is not relevant, and numbers facts
// and ops anew. It presumes that the goals can be reached.
func (n *net) trim() {
	held := n.reach()
	keep := make([]bool, n.facts)
	var queue []int32
	want := func(f int32) {
		if !keep[f] {
			keep[f] = true
			queue = append(queue, f)
		}
	}
	possible := func(o *op) bool {
		return !slices.ContainsFunc(o.pre, func(q int32) bool { return !held[q] || q == o.fact })
	}
	for _, g := range n.goals {
		want(g)
	}
	for len(queue) > 0 {
		f := queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		for _, i := range n.by[f] {
			if o := &n.ops[i]; possible(o) {
				for _, q := range o.pre {
					want(q)
				}
			}
		}
	}
	n.keep(func(o *op) bool { return keep[o.fact] && possible(o) }, keep)
}

// keep retains the facts marked and the ops that pass, renumbered.
func (n *net) keep(pass func(*op) bool, facts []bool) {
	number := make([]int32, n.facts)
	var label []int32
	for f, k := range facts {
		if k {
			number[f] = int32(len(label))
			label = append(label, n.label[f])
		}
	}
	ops := n.ops[:0]
	for i := range n.ops {
		o := n.ops[i]
		if !pass(&o) {
			continue
		}
		o.fact = number[o.fact]
		for j, q := range o.pre {
			o.pre[j] = number[q]
		}
		ops = append(ops, o)
	}
	for i, g := range n.goals {
		n.goals[i] = number[g]
	}
	n.ops, n.label, n.facts = ops, label, len(label)
	n.index()
}

// landmarks computes for every fact the facts that hold whenever it holds,
// itself included: the greatest solution of
//
//	L(f) = {f} ∪ ⋂ over ops of f of ⋃ over needs q of L(q)
//
// (Zhu & Givan, landmark propagation in planning graphs, 2003; from memory).
func (n *net) landmarks() []bitset {
	words := (n.facts + 63) / 64
	flat := make(bitset, words*(n.facts+2))
	cut := func(i int) bitset { return flat[i*words : (i+1)*words] }
	marks := make([]bitset, n.facts)
	for f := range marks {
		marks[f] = cut(f)
		marks[f].fill()
	}
	meet, join := cut(n.facts), cut(n.facts+1)
	comp, _ := n.components()
	order := make([]int32, n.facts)
	for f := range order {
		order[f] = int32(f)
	}
	slices.SortStableFunc(order, func(a, b int32) int { return int(comp[a] - comp[b]) })
	for changed := true; changed; {
		changed = false
		for _, f := range order {
			meet.fill()
			for _, o := range n.by[f] {
				join.clear()
				for _, q := range n.ops[o].pre {
					join.or(marks[q])
				}
				meet.and(join)
			}
			meet.add(f)
			changed = marks[f].and(meet) || changed
		}
	}
	return marks
}

// prune applies rules 2, 3 and 4 and reports whether anything changed.
func (n *net) prune() bool {
	marks := n.landmarks()
	changed := false
	dead := make([]bool, len(n.ops))
	implied := make([]bitset, len(n.ops)) // all that holds before the op
	for i := range n.ops {
		o := &n.ops[i]
		implied[i] = newBitset(n.facts)
		for _, q := range o.pre {
			implied[i].or(marks[q])
		}
		if implied[i].has(o.fact) {
			dead[i], changed = true, true
			continue
		}
		kept := slices.DeleteFunc(slices.Clone(o.pre), func(q int32) bool {
			return slices.ContainsFunc(o.pre, func(r int32) bool { return r != q && marks[r].has(q) })
		})
		changed = changed || len(kept) < len(o.pre)
		o.pre = kept
	}
	for _, ops := range n.by {
		for _, a := range ops {
			for _, b := range ops {
				if a != b && !dead[a] && !dead[b] && n.replaces(a, b, implied[b]) {
					dead[b], changed = true, true
				}
			}
		}
	}
	if changed {
		n.drop(dead)
	}
	return changed
}

// replaces reports whether op a can stand in for op b, given what holds before
// b, at no more cost: it needs nothing more, or only facts without needs (the
// resources) whose price the difference pays.
func (n *net) replaces(a, b int32, before bitset) bool {
	cost := n.ops[a].cost
	for _, q := range n.ops[a].pre {
		if before.has(q) {
			continue
		}
		if len(n.by[q]) != 1 || len(n.ops[n.by[q][0]].pre) > 0 {
			return false
		}
		cost += n.ops[n.by[q][0]].cost
	}
	return cost <= n.ops[b].cost
}

// drop removes the dead ops and keeps all facts.
func (n *net) drop(dead []bool) {
	at := 0
	for i := range n.ops {
		if !dead[i] {
			n.ops[at] = n.ops[i]
			at++
		}
	}
	n.ops = n.ops[:at]
	n.index()
}

// force applies rule 5.
func (d *reduction) force() bool {
	n := d.net
	marks := n.landmarks()
	forced := newBitset(n.facts)
	for _, g := range n.goals {
		forced.or(marks[g])
	}
	comp, cyclic := n.components()
	changed := false
	for i := range n.ops {
		o := &n.ops[i]
		kept := slices.DeleteFunc(slices.Clone(o.pre), func(q int32) bool {
			return forced.has(q) && comp[q] != comp[o.fact]
		})
		changed = changed || len(kept) < len(o.pre)
		o.pre = kept
	}
	var goals []int32
	dead := make([]bool, len(n.ops))
	forced.each(func(f int32) {
		if len(n.by[f]) == 1 {
			only := n.by[f][0]
			o := &n.ops[only]
			if o.cost > 0 {
				d.base += o.cost
				o.cost = 0
				changed = true
			}
			if !cyclic[comp[f]] {
				d.decide(o)
				dead[only], changed = true, true
				return
			}
		}
		goals = append(goals, f)
	})
	changed = changed || len(goals) != len(n.goals)
	n.goals = goals
	if changed {
		n.drop(dead)
	}
	return changed
}

// decide records that an op is part of the solution; its cost is counted by
// the caller.
func (d *reduction) decide(o *op) {
	d.pick = append(d.pick, o.methods...)
}

// merge applies rule 6.
func (d *reduction) merge() bool {
	n := d.net
	isGoal := newBitset(n.facts)
	for _, g := range n.goals {
		isGoal.add(g)
	}
	changed := false
	dead := make([]bool, len(n.ops))
	touched := newBitset(n.facts)
	for f := range int32(n.facts) {
		if len(n.by[f]) != 1 || isGoal.has(f) || len(n.users[f]) == 0 || touched.has(f) {
			continue
		}
		src := &n.ops[n.by[f][0]]
		user := n.ops[n.users[f][0]].fact
		other := func(i int32) bool { return n.ops[i].fact != user }
		if slices.ContainsFunc(n.users[f], other) || slices.ContainsFunc(src.pre, touched.has) || touched.has(user) {
			continue
		}
		for _, i := range n.users[f] {
			o := &n.ops[i]
			o.cost += src.cost
			o.methods = append(slices.Clone(o.methods), src.methods...)
			pre := slices.DeleteFunc(slices.Clone(o.pre), func(q int32) bool { return q == f })
			o.pre = distinct(append(pre, src.pre...))
		}
		dead[n.by[f][0]], changed = true, true
		touched.add(f)
		touched.add(user)
		for _, q := range src.pre {
			touched.add(q)
		}
	}
	if changed {
		n.drop(dead)
	}
	return changed
}

// split cuts the net into parts that share nothing.
func (n *net) split() []*net {
	root := make([]int32, n.facts)
	for f := range root {
		root[f] = int32(f)
	}
	find := func(f int32) int32 {
		for root[f] != f {
			root[f] = root[root[f]]
			f = root[f]
		}
		return f
	}
	for i := range n.ops {
		for _, q := range n.ops[i].pre {
			root[find(q)] = find(n.ops[i].fact)
		}
	}
	number := map[int32]int{}
	var parts []*net
	part := func(f int32) *net {
		r := find(f)
		if _, ok := number[r]; !ok {
			number[r] = len(parts)
			parts = append(parts, &net{scale: n.scale})
		}
		return parts[number[r]]
	}
	renumber := make([]int32, n.facts)
	for f := range int32(n.facts) {
		p := part(f)
		renumber[f] = int32(p.facts)
		p.facts++
		p.label = append(p.label, n.label[f])
	}
	for i := range n.ops {
		o := n.ops[i]
		p := part(o.fact)
		pre := make([]int32, len(o.pre))
		for j, q := range o.pre {
			pre[j] = renumber[q]
		}
		o.fact, o.pre = renumber[o.fact], distinct(pre)
		p.ops = append(p.ops, o)
	}
	for _, g := range n.goals {
		p := part(g)
		p.goals = append(p.goals, renumber[g])
	}
	for _, p := range parts {
		p.index()
	}
	return parts
}
