package opening

import "math/bits"

// A table finds labels of the same state, so that of two only those are kept
// that the other does not dominate: no later, and no wait over later.
type table struct {
	slots []int32 // label + 1 at the head of a chain, 0 if empty
	next  []int32 // by label: the next of the same slot's chain, + 1
	gone  []bool  // by label: dominated since
	count int
}

func (t *table) reset() {
	if t.slots == nil {
		t.slots = make([]int32, 1<<8)
	}
	clear(t.slots)
	t.next, t.gone, t.count = append(t.next[:0], 0), append(t.gone[:0], false), 0
}

func (t *table) dead(l int32) bool { return t.gone[l] }

// add enters the newest label of a run and reports whether it is any use.
func (t *table) add(r *run, l int32) bool {
	t.next, t.gone = t.next[:l], t.gone[:l]
	if t.count > len(t.slots)*2 {
		t.grow(r)
	}
	at := r.hash(l) & uint64(len(t.slots)-1)
	for k := t.slots[at]; k != 0; k = t.next[k-1] {
		o := k - 1
		if t.gone[o] || !r.sameState(o, l) {
			continue
		}
		if r.dominates(o, l) {
			return false
		}
		if r.dominates(l, o) {
			t.gone[o] = true
		}
	}
	t.next = append(t.next, t.slots[at])
	t.gone = append(t.gone, false)
	t.slots[at] = l + 1
	t.count++
	return true
}

func (t *table) grow(r *run) {
	t.slots = make([]int32, len(t.slots)*8)
	t.count = 0
	for l := range t.next {
		if l == 0 || t.gone[l] {
			continue
		}
		at := r.hash(int32(l)) & uint64(len(t.slots)-1)
		t.next[l] = t.slots[at]
		t.slots[at] = int32(l) + 1
		t.count++
	}
}

func (r *run) hash(l int32) uint64 {
	lab := &r.labels[l]
	h := uint64(lab.on)<<32 | uint64(uint16(lab.place))<<16 | uint64(uint16(lab.tool))
	h ^= uint64(lab.phase) << 60
	if lab.pair {
		h ^= 1 << 58
	}
	for _, w := range r.bitsOf(l) {
		h = (h ^ w) * 0x9e3779b97f4a7c15
		h = bits.RotateLeft64(h, 29) // spreads the high bits of the product
	}
	h *= 0xbf58476d1ce4e5b9
	return h ^ h>>32
}

func (r *run) sameState(a, b int32) bool {
	x, y := &r.labels[a], &r.labels[b]
	if x.phase != y.phase || x.place != y.place || x.tool != y.tool || x.on != y.on || x.pair != y.pair {
		return false
	}
	p, q := r.bitsOf(a), r.bitsOf(b)
	for i := range p {
		if p[i] != q[i] {
			return false
		}
	}
	return true
}

// dominates reports that whatever can follow b can follow a no later. A wait
// that was over before the later of the two times is as good as any.
func (r *run) dominates(a, b int32) bool {
	x, y := &r.labels[a], &r.labels[b]
	if x.time > y.time+1e-9 || y.used&^x.used != 0 {
		return false
	}
	p, q := r.readyOf(a), r.readyOf(b)
	for i := range p {
		if p[i] > q[i]+1e-9 && p[i] > y.time {
			return false
		}
	}
	return true
}
