package andor

import (
	"cmp"
	"math/bits"
	"slices"
)

// frontier is dynamic programming over sets of wanted facts. Facts are dealt
// with in an order in which every fact comes before all that it may need: the
// blocks, each a cycle of possible needs (nearly always a single fact). What
// remains to be paid after some blocks depends on the set of wanted facts
// alone, so of all decisions that lead to the same set only the cheapest is
// kept. Decisions whose bound reaches the best solution go too; and of each
// block only the most promising, up to a width. Nothing dropped for width
// means proven; otherwise the width grows.
//
// It is quick where few sets can be wanted at a time, as in layers, and
// needs no bound at all there; [search] is quick where the bounds are good.
type frontier struct {
	n      *net
	budget *budget
	cuts   []cut
	upper  int64
	best   []int32 // ops of the best found; nil: none better than upper
	lost   int64   // least bound dropped for width
	full   bool    // the next width would need too much memory

	blocks []block
	inCuts [][]int32 // cuts that hold an op
	least  []int64   // least reduced cost of a fact's ops
	words  int       // of a set of facts
	stride int       // words of a label: wanted facts, then cuts not hit yet
	steps  [][]fstep // how each label after each block came about
	from   stratum
	to     stratum
	table  []int32
}

// A block is the facts of one cycle of needs, and the ways found so far to
// establish subsets of it.
type block struct {
	facts []int32
	ways  map[uint64][]way // by the subset wanted
}

// A way establishes the wanted facts of a block.
type way struct {
	cost int64
	ops  []int32
	pre  []int32 // facts wanted outside the block
}

// stratum holds the labels between two blocks.
type stratum struct {
	sets   []uint64 // stride words a label
	labels []flabel
	steps  []fstep
}

// flabel is what led to a set of wanted facts at least cost: what is paid, and
// a bound on every completion.
type flabel struct{ paid, bound int64 }

// fstep remembers the label before and the way taken; -1: nothing was wanted.
type fstep struct {
	parent int32
	way    int32
	subset uint64
}

// blockLimit is the largest cycle that a frontier deals with.
const blockLimit = 10

// stepLimit bounds the memory of a sweep to about 100 MB.
const stepLimit = 6 << 20

// newFrontier prepares a frontier, or returns nil if a cycle is too large.
// The cuts and reduced costs are those of the pricer at the root.
func newFrontier(s *search, cuts []cut) *frontier {
	n := s.n
	f := &frontier{n: n, budget: s.budget, cuts: cuts}
	order := make([]int32, n.facts)
	for i := range order {
		order[i] = int32(i)
	}
	slices.SortStableFunc(order, func(a, b int32) int { return int(s.comp[b] - s.comp[a]) })
	for i := 0; i < len(order); {
		j := i
		for j < len(order) && s.comp[order[j]] == s.comp[order[i]] {
			j++
		}
		if j-i > blockLimit {
			return nil
		}
		f.blocks = append(f.blocks, block{facts: order[i:j], ways: map[uint64][]way{}})
		i = j
	}
	f.inCuts = make([][]int32, len(n.ops))
	for c, k := range cuts {
		for _, o := range k.ops {
			f.inCuts[o] = append(f.inCuts[o], int32(c))
		}
	}
	f.least = make([]int64, n.facts)
	for i := range f.least {
		f.least[i] = infinite
		for _, o := range n.by[i] {
			f.least[i] = min(f.least[i], s.pricer.reduced[o])
		}
	}
	f.words = (n.facts + 63) / 64
	f.stride = f.words + (len(cuts)+63)/64
	f.steps = make([][]fstep, len(f.blocks))
	return f
}

// run sweeps with a width, hands what it finds to s, and returns a lower
// bound (upper or more: the best is proven). A nil frontier knows nothing.
func (f *frontier) run(s *search, width int) int64 {
	if f == nil || f.full {
		return 0
	}
	f.upper, f.best, f.lost = s.upper, nil, infinite
	f.sweep(width)
	if f.best != nil {
		s.upper, s.best = f.upper, f.best
	}
	return min(f.lost, f.upper)
}

func (f *frontier) sweep(width int) {
	f.begin()
	total := 0
	for k := range f.blocks {
		f.advance(k)
		total += len(f.to.steps)
		if f.full = f.full || total > stepLimit; f.full || f.budget.stopped {
			for _, l := range f.from.labels {
				f.lost = min(f.lost, l.bound)
			}
			return
		}
		f.thin(width)
		f.steps[k] = append(f.steps[k][:0], f.to.steps...)
		f.from, f.to = f.to, f.from
	}
	for i, l := range f.from.labels {
		if l.paid < f.upper {
			f.upper = l.paid
			f.trace(i)
		}
	}
}

// begin makes the label before the first block.
func (f *frontier) begin() {
	root := make([]uint64, f.stride)
	var bound int64
	for _, g := range f.n.goals {
		bitset(root).add(g)
		bound += f.least[g]
	}
	for c := range f.cuts {
		bitset(root[f.words:]).add(int32(c))
		bound += f.cuts[c].price
	}
	f.from = stratum{sets: root, labels: []flabel{{bound: bound}}}
}

// advance deals with block k.
func (f *frontier) advance(k int) {
	from := &f.from
	f.to.sets, f.to.labels, f.to.steps = f.to.sets[:0], f.to.labels[:0], f.to.steps[:0]
	f.resetTable(1024)
	b := &f.blocks[k]
	next := make([]uint64, f.stride)
	for i, l := range from.labels {
		if l.bound >= f.upper {
			continue
		}
		set := from.sets[i*f.stride : (i+1)*f.stride]
		subset := b.wanted(set)
		if subset == 0 {
			f.insert(set, l, fstep{int32(i), -1, 0})
			continue
		}
		if !f.budget.spend() {
			return
		}
		for w, way := range f.ways(b, subset) {
			copy(next, set)
			if c := f.apply(b, subset, &way, next, l); c.bound < f.upper {
				f.insert(next, c, fstep{int32(i), int32(w), subset})
			}
		}
	}
}

// wanted is the subset of a block that is wanted.
func (b *block) wanted(set bitset) uint64 {
	var subset uint64
	for j, fact := range b.facts {
		if set.has(fact) {
			subset |= 1 << j
		}
	}
	return subset
}

// apply takes a way: it changes the words of a label and returns its figures.
func (f *frontier) apply(b *block, subset uint64, w *way, words []uint64, l flabel) flabel {
	l.paid += w.cost
	l.bound += w.cost
	set, open := bitset(words), bitset(words[f.words:])
	for j, fact := range b.facts {
		if subset>>j&1 != 0 {
			set.remove(fact)
			l.bound -= f.least[fact]
		}
	}
	for _, o := range w.ops {
		for _, c := range f.inCuts[o] {
			if open.has(c) {
				open.remove(c)
				l.bound -= f.cuts[c].price
			}
		}
	}
	for _, q := range w.pre {
		if !set.has(q) {
			set.add(q)
			l.bound += f.least[q]
		}
	}
	return l
}

// ways lists the orderable ways to establish a subset of a block.
func (f *frontier) ways(b *block, subset uint64) []way {
	if w, ok := b.ways[subset]; ok {
		return w
	}
	var found []way
	index := map[int32]int{}
	for j, fact := range b.facts {
		index[fact] = j
	}
	chosen := make([]int32, len(b.facts))
	var try func(todo, wanted uint64)
	try = func(todo, wanted uint64) {
		if todo == 0 {
			if w, ok := f.way(b, index, chosen, wanted); ok {
				found = append(found, w)
			}
			return
		}
		j := bits.TrailingZeros64(todo)
		for _, o := range f.n.by[b.facts[j]] {
			chosen[j] = o
			more := wanted
			for _, q := range f.n.ops[o].pre {
				if i, ok := index[q]; ok {
					more |= 1 << i
				}
			}
			try(todo&^(1<<j)|more&^wanted, more)
		}
	}
	try(subset, subset)
	b.ways[subset] = found
	return found
}

// way adds up one choice for the wanted facts of a block, if it is orderable.
func (f *frontier) way(b *block, index map[int32]int, chosen []int32, wanted uint64) (way, bool) {
	var w way
	held := uint64(0)
	for again := true; again && held != wanted; {
		again = false
		for j := range b.facts {
			if wanted>>j&1 == 0 || held>>j&1 != 0 {
				continue
			}
			ready := !slices.ContainsFunc(f.n.ops[chosen[j]].pre, func(q int32) bool {
				i, ok := index[q]
				return ok && held>>i&1 == 0
			})
			if ready {
				held |= 1 << j
				again = true
			}
		}
	}
	if held != wanted {
		return w, false
	}
	for j := range b.facts {
		if wanted>>j&1 == 0 {
			continue
		}
		o := &f.n.ops[chosen[j]]
		w.cost += o.cost
		w.ops = append(w.ops, chosen[j])
		for _, q := range o.pre {
			if _, inside := index[q]; !inside {
				w.pre = append(w.pre, q)
			}
		}
	}
	w.pre = distinct(w.pre)
	return w, true
}

func (f *frontier) resetTable(n int) {
	if cap(f.table) < n {
		f.table = make([]int32, n)
	}
	f.table = f.table[:n]
	for i := range f.table {
		f.table[i] = -1
	}
}

// insert keeps a label unless a cheaper one wants the same facts.
func (f *frontier) insert(set []uint64, l flabel, step fstep) {
	s := &f.to
	if 2*len(s.labels) >= len(f.table) {
		f.resetTable(4 * len(f.table))
		for i := range s.labels {
			f.table[f.slot(s.sets[i*f.stride:])] = int32(i)
		}
	}
	at := f.slot(set)
	i := f.table[at]
	if i < 0 {
		f.table[at] = int32(len(s.labels))
		s.labels, s.steps = append(s.labels, l), append(s.steps, step)
		s.sets = append(s.sets, set...)
		return
	}
	if l.paid < s.labels[i].paid {
		s.labels[i], s.steps[i] = l, step
		copy(s.sets[int(i)*f.stride:], set)
	}
}

func (f *frontier) slot(set []uint64) int {
	var h uint64
	for _, w := range set[:f.words] {
		h = scramble(h ^ w)
	}
	mask := len(f.table) - 1
	for i := int(h) & mask; ; i = (i + 1) & mask {
		j := int(f.table[i])
		if j < 0 || slices.Equal(f.to.sets[j*f.stride:j*f.stride+f.words], set[:f.words]) {
			return i
		}
	}
}

// thin keeps the most promising labels, up to a width.
func (f *frontier) thin(width int) {
	s := &f.to
	if len(s.labels) <= width {
		return
	}
	order := make([]int32, len(s.labels))
	for i := range order {
		order[i] = int32(i)
	}
	slices.SortFunc(order, func(a, b int32) int {
		return cmp.Or(cmp.Compare(s.labels[a].bound, s.labels[b].bound), cmp.Compare(a, b))
	})
	f.lost = min(f.lost, s.labels[order[width]].bound)
	var kept stratum
	for _, i := range order[:width] {
		kept.labels, kept.steps = append(kept.labels, s.labels[i]), append(kept.steps, s.steps[i])
		kept.sets = append(kept.sets, s.sets[int(i)*f.stride:(int(i)+1)*f.stride]...)
	}
	*s = kept
}

// trace reads the ops that lead to label i after the last block.
func (f *frontier) trace(i int) {
	f.best = nil
	for k := len(f.blocks) - 1; k >= 0; k-- {
		step := f.steps[k][i]
		if step.way >= 0 {
			f.best = append(f.best, f.blocks[k].ways[step.subset][step.way].ops...)
		}
		i = int(step.parent)
	}
}
