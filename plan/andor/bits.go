package andor

import "math/bits"

// A bitset is a set of facts.
type bitset []uint64

func newBitset(n int) bitset { return make(bitset, (n+63)/64) }

func (b bitset) has(i int32) bool { return b[i>>6]&(1<<(i&63)) != 0 }
func (b bitset) add(i int32)      { b[i>>6] |= 1 << (i & 63) }
func (b bitset) remove(i int32)   { b[i>>6] &^= 1 << (i & 63) }

func (b bitset) or(c bitset) {
	for i, w := range c {
		b[i] |= w
	}
}

// and intersects and reports whether b changed.
func (b bitset) and(c bitset) bool {
	var change uint64
	for i, w := range c {
		change |= b[i] &^ w
		b[i] &= w
	}
	return change != 0
}

func (b bitset) clear() {
	for i := range b {
		b[i] = 0
	}
}

func (b bitset) fill() {
	for i := range b {
		b[i] = ^uint64(0)
	}
}

// each calls f for every member, ascending.
func (b bitset) each(f func(int32)) {
	for i, w := range b {
		for ; w != 0; w &= w - 1 {
			f(int32(i<<6 + bits.TrailingZeros64(w)))
		}
	}
}
