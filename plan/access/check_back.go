package access

import (
	"fmt"
	"slices"
	"strings"
)

// A follow is a rule of putting back: the item goes back before to, because
// to says so (after), or because it was taken off through to (a mirrored
// need).
type follow struct {
	to    int32
	after bool
}

// backOrder finds circles on the way back that no choice of ways avoids: rules
// that hold for every way of an item, with at least one after among them.
func (c *checker) backOrder() {
	rules := make([][]follow, len(c.m.Items))
	ordered := false
	for i := range c.m.Items {
		befores, mirrors := c.backRules(i)
		for _, b := range befores {
			ordered = true
			rules[b] = append(rules[b], follow{int32(i), true})
		}
		for _, m := range mirrors {
			if !slices.Contains(befores, m) { // said already, where it stands
				rules[i] = append(rules[i], follow{m, false})
			}
		}
	}
	if !ordered {
		return
	}
	part := strongParts(rules)
	said := map[int32]bool{}
	for from := range rules {
		for _, f := range rules[from] {
			if f.after && part[from] == part[f.to] && !said[part[from]] {
				said[part[from]] = true
				c.backCircle(rules, part, int32(from), f.to)
			}
		}
	}
}

// backRules gives what must be back before item i, and what i must be back
// before, whichever way is used.
func (c *checker) backRules(i int) (befores, mirrors []int32) {
	for j := range c.m.Items[i].Ways {
		w := &c.m.Items[i].Ways[j]
		held := w.Back.Still
		if held == nil {
			held = w.mustBeOut()
		}
		b, m := c.places(w.Back.After), c.places(held)
		m = slices.DeleteFunc(m, func(k int32) bool { return c.m.Items[k].Repeats })
		if j == 0 {
			befores, mirrors = b, m
			continue
		}
		befores = slices.DeleteFunc(befores, func(k int32) bool { return !slices.Contains(b, k) })
		mirrors = slices.DeleteFunc(mirrors, func(k int32) bool { return !slices.Contains(m, k) })
	}
	return befores, mirrors
}

func (c *checker) places(ids []string) []int32 {
	var out []int32
	for _, id := range ids {
		if i, ok := c.items[id]; ok {
			out = append(out, int32(i))
		}
	}
	return out
}

// backCircle prints the shortest circle through the rule from → to.
func (c *checker) backCircle(rules [][]follow, part []int32, from, to int32) {
	came := map[int32]int32{to: -1}
	queue := []int32{to}
	for len(queue) > 0 && queue[0] != from {
		g := queue[0]
		queue = queue[1:]
		for _, f := range rules[g] {
			if _, seen := came[f.to]; !seen && part[f.to] == part[from] {
				came[f.to] = g
				queue = append(queue, f.to)
			}
		}
	}
	ring := []int32{}
	for g := from; g >= 0; g = came[g] {
		ring = append(ring, g)
	}
	slices.Reverse(ring)
	path := at("items", int(to)) + ".ways[0].back.after"
	if from == to {
		c.add(path, quote(c.m.Items[to].ID)+" is to be back on before itself (back.after)", "take it out of its own after")
		return
	}
	c.add(path, "putting back goes in a circle, each before the next: "+c.idChain(append(ring, to)), "take one out of back.after, or add still: [] under the back of one that can go back behind what it needed")
}

// idChain writes items as "a → b → c", at most eight of them.
func (c *checker) idChain(items []int32) string {
	var ids []string
	for _, i := range items {
		ids = append(ids, c.m.Items[i].ID)
	}
	if n := len(ids); n > 8 {
		ids = append(ids[:6:6], fmt.Sprintf("(%d more)", n-7), ids[n-1])
	}
	return strings.Join(ids, " → ")
}

// strongParts gives each item the number of its strongly connected part
// (Tarjan's method, without recursion: a map may be one long chain).
func strongParts(rules [][]follow) []int32 {
	n := len(rules)
	part := make([]int32, n)
	low := make([]int32, n)
	order := make([]int32, n)
	next := make([]int, n)
	var stack, walk []int32
	count, parts := int32(0), int32(0)
	for root := range n {
		if order[root] != 0 {
			continue
		}
		walk = append(walk[:0], int32(root))
		for len(walk) > 0 {
			g := walk[len(walk)-1]
			if order[g] == 0 {
				count++
				order[g], low[g], part[g] = count, count, -1
				stack = append(stack, g)
			}
			if next[g] < len(rules[g]) {
				to := rules[g][next[g]].to
				next[g]++
				if order[to] == 0 {
					walk = append(walk, to)
				} else if part[to] == -1 {
					low[g] = min(low[g], order[to])
				}
				continue
			}
			walk = walk[:len(walk)-1]
			if len(walk) > 0 {
				up := walk[len(walk)-1]
				low[up] = min(low[up], low[g])
			}
			if low[g] == order[g] {
				parts++
				for part[g] == -1 {
					part[stack[len(stack)-1]] = parts
					stack = stack[:len(stack)-1]
				}
			}
		}
	}
	return part
}
