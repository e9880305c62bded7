package opening

import (
	"math"
	"math/bits"
)

// A relaxation is the order with all but one kind of set-up for nothing: only
// changes of place, or only changes of tool, cost anything, conditions hold
// whenever they are wanted, and nothing waits. What is left is small, because
// whatever can be done without a change is done at once: states are sets of
// jobs closed under that. The least minutes of the two relaxations add up to a
// bound on the set-ups of the order itself, since every set-up is of one kind.
type relaxation struct {
	o     *order
	end   int                // the phase before which it ends
	class [phases][]int32    // by job: its place or tool, nothing for any
	jobs  [phases][][]uint64 // by place or tool: its jobs and those of any; nil if it has none of its own
	any   [phases][]uint64   // the jobs of any
	all   [phases][]uint64
	pre   [phases][]uint64 // by job, words in a row: the jobs before it
	gated [phases][]uint64 // the jobs with gates
	cost  func(from, to int32) float64
	after func(held int32) float64                    // least minutes of what follows the end
	rough func(p int, s []uint64, held int32) float64 // a bound when left is 0
	key   []relaxKey
	value []float64
	slots []int32 // hash table into key and value, + 1
	words []uint64
	left  int // states that may still be added
	stack []uint64
}

type relaxKey struct {
	at    int32 // of the first word in words
	phase int8
	held  int32
}

// mostRelaxed bounds the states of one relaxation; most get by with usualStates.
const (
	mostRelaxed = 4000
	usualStates = 512
)

// newRelaxation makes one, in the memory of an old one if there is one.
func newRelaxation(o *order, old *relaxation, end int, of func(*job) int, cost func(from, to int32) float64) *relaxation {
	x := old
	if x == nil {
		x = &relaxation{slots: make([]int32, 2*usualStates), key: make([]relaxKey, 0, usualStates), value: make([]float64, 0, usualStates), words: make([]uint64, 0, usualStates)}
	}
	x.o, x.end, x.cost = o, end, cost
	x.forget()
	for p := range phases {
		x.layClasses(p, of)
	}
	return x
}

func (x *relaxation) layClasses(p int, of func(*job) int) {
	jobs := x.o.jobs[p]
	x.class[p], x.jobs[p], x.pre[p] = x.class[p][:0], x.jobs[p][:0], x.pre[p][:0]
	x.any[p], x.all[p], x.gated[p] = x.o.bits(), x.o.bits(), x.o.bits()
	for i := range jobs {
		c := of(&jobs[i])
		x.pre[p] = append(x.pre[p], jobs[i].pre...)
		if len(jobs[i].gates) > 0 {
			set(x.gated[p], i)
		}
		x.class[p] = append(x.class[p], int32(c))
		set(x.all[p], i)
		if c == nothing {
			set(x.any[p], i)
			continue
		}
		for len(x.jobs[p]) <= c {
			x.jobs[p] = append(x.jobs[p], nil)
		}
		if x.jobs[p][c] == nil {
			x.jobs[p][c] = x.o.bits()
		}
		set(x.jobs[p][c], i)
	}
	for _, own := range x.jobs[p] {
		for w := range own {
			own[w] |= x.any[p][w]
		}
	}
}

// with is the set of jobs that need no change from a place or tool.
func (x *relaxation) with(p int, held int32) []uint64 {
	if held >= 0 && int(held) < len(x.jobs[p]) && x.jobs[p][held] != nil {
		return x.jobs[p][held]
	}
	return x.any[p]
}

// least is the least minutes of changes from a state of the order to the end.
func (x *relaxation) least(p int, done []uint64, held int32) float64 {
	if len(done) == 1 {
		return x.fromWord(p, done[0], held)
	}
	x.stack = append(x.stack[:0], done...)
	return x.from(p, 0, held)
}

// forget drops what is known, because the cost after the end has changed.
func (x *relaxation) forget() {
	clear(x.slots)
	x.key, x.value, x.words, x.left = x.key[:0], x.value[:0], x.words[:0], mostRelaxed
}

// from is least for the set at a place of the stack, which it may change.
func (x *relaxation) from(p, at int, held int32) float64 {
	n := x.o.words
	for {
		if p == x.end {
			return x.after(held)
		}
		s := x.stack[at : at+n]
		x.close(p, s, held)
		if !same(s, x.all[p]) {
			break
		}
		p++
		clear(s)
	}
	k, found := x.find(p, x.stack[at:at+n], held)
	if found {
		return x.value[k]
	}
	if x.left == 0 {
		return x.rough(p, x.stack[at:at+n], held)
	}
	x.left--
	best := math.Inf(1)
	x.stack = append(x.stack[:at+n], x.stack[at:at+n]...) // room for the classes not tried yet
	for w := range n {
		x.stack[at+n+w] = x.all[p][w] &^ x.stack[at+w]
	}
	for w := 0; w < n; {
		rest := x.stack[at+n+w]
		if rest == 0 {
			w++
			continue
		}
		i := w<<6 + bits.TrailingZeros64(rest)
		x.stack[at+n+w] &= rest - 1
		if !x.free(p, i, x.stack[at:at+n]) {
			continue
		}
		c := x.class[p][i]
		for v, m := range x.with(p, c) {
			x.stack[at+n+v] &^= m
		}
		x.stack = append(x.stack[:at+2*n], x.stack[at:at+n]...)
		best = min(best, x.cost(held, c)+x.from(p, at+2*n, c))
	}
	if math.IsInf(best, 1) { // stuck: alternatives on the way back are not looked at
		best = x.rough(p, x.stack[at:at+n], held)
	}
	x.value[k] = best
	return best
}

// free reports whether a job may be done when those of s are.
func (x *relaxation) free(p, i int, s []uint64) bool {
	pre := x.pre[p][i*len(s) : (i+1)*len(s)]
	for w, m := range pre {
		if m&^s[w] != 0 {
			return false
		}
	}
	if p != down || !has(x.gated[p], i) {
		return true
	}
	gates := x.o.jobs[p][i].gates
	for g := range gates {
		if !gates[g].open(s, math.MaxUint32) {
			return false
		}
	}
	return true
}

// close does everything that needs no change.
func (x *relaxation) close(p int, s []uint64, held int32) {
	mask := x.with(p, held)
	for changed := true; changed; {
		changed = false
		for w, m := range mask {
			for rest := m &^ s[w]; rest != 0; rest &= rest - 1 {
				if i := w<<6 + bits.TrailingZeros64(rest); x.free(p, i, s) {
					s[w] |= rest & -rest
					changed = true
				}
			}
		}
	}
}

// find looks a state up and enters it if it is new.
func (x *relaxation) find(p int, s []uint64, held int32) (at int, found bool) {
	if len(x.key)*2 >= len(x.slots) {
		x.grow()
	}
	h := relaxHash(p, s, held) & uint64(len(x.slots)-1)
	for ; x.slots[h] != 0; h = (h + 1) & uint64(len(x.slots)-1) {
		k := &x.key[x.slots[h]-1]
		if k.phase == int8(p) && k.held == held && same(x.words[k.at:int(k.at)+len(s)], s) {
			return int(x.slots[h] - 1), true
		}
	}
	if x.left == 0 {
		return 0, false
	}
	x.key = append(x.key, relaxKey{int32(len(x.words)), int8(p), held})
	x.value = append(x.value, 0)
	x.words = append(x.words, s...)
	x.slots[h] = int32(len(x.key))
	return len(x.key) - 1, false
}

func (x *relaxation) grow() {
	x.slots = make([]int32, 2*len(x.slots))
	for i := range x.key {
		k := &x.key[i]
		s := x.words[k.at : int(k.at)+x.o.words]
		h := relaxHash(int(k.phase), s, k.held) & uint64(len(x.slots)-1)
		for x.slots[h] != 0 {
			h = (h + 1) & uint64(len(x.slots)-1)
		}
		x.slots[h] = int32(i + 1)
	}
}

func same(a, b []uint64) bool {
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

func relaxHash(p int, s []uint64, held int32) uint64 {
	h := uint64(p)<<32 ^ uint64(uint32(held))
	for _, w := range s {
		h = bits.RotateLeft64((h^w)*0x9e3779b97f4a7c15, 29)
	}
	h *= 0xbf58476d1ce4e5b9
	return h ^ h>>32
}
