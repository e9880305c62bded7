package andor

import "slices"

// An arrangement is an order of a frontier's blocks, users before needs. How
// many sets of facts can be wanted at a time grows about exponentially with how
// many facts can be, so the order is good in which the sum of that over all
// blocks is small.
type arrangement struct {
	order []int32
	at    []int32    // by block: its place in the order
	users [][]int32  // by block: blocks that may need it
	needs [][]int32  // by block: blocks it may need
	wants []wantable // by fact
	ends  []int      // scratch, by place: how many more facts can be wanted than before
	grow  []float64  // powers of growth
	spare []int32
}

// A wantable is a fact that can be wanted from after the first of its users, or
// as a goal from the beginning, until its own block is dealt with.
type wantable struct {
	goal  bool
	home  int32
	users []int32 // other blocks
}

// growth is how many times more sets one more fact makes. The best order hardly
// depends on it.
const growth = 1.35

// arrangeRounds is how often every block is tried everywhere; later rounds
// bring little.
const arrangeRounds = 2

// arrange puts the blocks in a better order.
func (f *frontier) arrange() {
	a := f.arrangement()
	for range arrangeRounds {
		for b := range int32(len(a.order)) {
			a.settle(b)
		}
	}
	blocks := make([]block, 0, len(f.blocks))
	for _, b := range a.order {
		blocks = append(blocks, f.blocks[b])
	}
	f.blocks = blocks
}

func (f *frontier) arrangement() *arrangement {
	n, blocks := f.n, len(f.blocks)
	a := &arrangement{order: make([]int32, blocks), at: make([]int32, blocks), users: make([][]int32, blocks), needs: make([][]int32, blocks),
		wants: make([]wantable, n.facts), ends: make([]int, blocks+1), grow: []float64{1}, spare: make([]int32, blocks)}
	for k := range f.blocks {
		a.order[k], a.at[k] = int32(k), int32(k)
		for _, x := range f.blocks[k].facts {
			a.wants[x].home = int32(k)
		}
	}
	for _, g := range n.goals {
		a.wants[g].goal = true
	}
	for i := range n.ops {
		by := a.wants[n.ops[i].fact].home
		for _, q := range n.ops[i].pre {
			if w := &a.wants[q]; w.home != by {
				w.users = append(w.users, by)
				a.users[w.home], a.needs[by] = append(a.users[w.home], by), append(a.needs[by], w.home)
			}
		}
	}
	for x := range a.wants {
		a.wants[x].users = distinct(a.wants[x].users)
	}
	for k := range a.users {
		a.users[k], a.needs[k] = distinct(a.users[k]), distinct(a.needs[k])
	}
	for range n.facts {
		a.grow = append(a.grow, growth*a.grow[len(a.grow)-1])
	}
	return a
}

// settle moves a block to where it serves best between its users and its
// needs.
func (a *arrangement) settle(b int32) {
	first, last := int32(0), int32(len(a.order)-1)
	for _, u := range a.users[b] {
		first = max(first, a.at[u]+1)
	}
	for _, q := range a.needs[b] {
		last = min(last, a.at[q]-1)
	}
	from := a.at[b]
	best, least := from, a.cost()
	copy(a.spare, a.order)
	for to := first; to <= last; to++ {
		if to == from {
			continue
		}
		a.move(from, to)
		if c := a.cost(); c < least*(1-1e-9) {
			best, least = to, c
		}
		copy(a.order, a.spare)
	}
	a.move(from, best)
	for k, x := range a.order {
		a.at[x] = int32(k)
	}
}

// move takes a block out of its place and puts it in another, and leaves at
// to cost.
func (a *arrangement) move(from, to int32) {
	b := a.order[from]
	a.order = slices.Insert(slices.Delete(a.order, int(from), int(from)+1), int(to), b)
}

// cost is how much there is to do in the present order.
func (a *arrangement) cost() float64 {
	for k, b := range a.order {
		a.at[b] = int32(k)
	}
	clear(a.ends)
	for x := range a.wants {
		w := &a.wants[x]
		first := int32(len(a.order))
		if w.goal {
			first = 0
		}
		for _, u := range w.users {
			first = min(first, a.at[u]+1)
		}
		if last := a.at[w.home]; first <= last {
			a.ends[first]++
			a.ends[last+1]--
		}
	}
	sum, open := 0.0, 0
	for _, e := range a.ends[:len(a.order)] {
		open += e
		sum += a.grow[open]
	}
	return sum
}
