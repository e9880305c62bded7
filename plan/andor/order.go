package andor

import "slices"

func distinct(s []int32) []int32 {
	slices.Sort(s)
	return slices.Compact(s)
}

// components numbers the strongly connected components of the graph "a fact is
// needed by an op that establishes another fact" in an order in which needs
// come first, and says which of them hold a cycle.
func (n *net) components() (comp []int32, cyclic []bool) {
	t := tarjan{n: n, comp: make([]int32, n.facts), low: make([]int32, n.facts), num: make([]int32, n.facts)}
	for f := range t.comp {
		t.comp[f] = -1
	}
	for f := range int32(n.facts) {
		if t.num[f] == 0 {
			t.visit(f)
		}
	}
	return t.comp, t.cyclic
}

// tarjan is Tarjan's depth-first search for strongly connected components
// (SIAM J. Comput. 1 (1972) 146-160), from each fact to what it may need.
type tarjan struct {
	n         *net
	comp      []int32
	low, num  []int32
	stack     []int32
	next      int32
	cyclic    []bool
	component int32
}

func (t *tarjan) visit(f int32) {
	t.next++
	t.num[f], t.low[f] = t.next, t.next
	t.stack = append(t.stack, f)
	for _, o := range t.n.by[f] {
		for _, q := range t.n.ops[o].pre {
			switch {
			case t.num[q] == 0:
				t.visit(q)
				t.low[f] = min(t.low[f], t.low[q])
			case t.comp[q] < 0:
				t.low[f] = min(t.low[f], t.num[q])
			}
		}
	}
	if t.low[f] != t.num[f] {
		return
	}
	size := 0
	for {
		g := t.stack[len(t.stack)-1]
		t.stack = t.stack[:len(t.stack)-1]
		t.comp[g] = t.component
		size++
		if g == f {
			break
		}
	}
	t.cyclic = append(t.cyclic, size > 1)
	t.component++
}
