package opening

import (
	"math"
	"math/bits"
)

// The same relaxation where the jobs of each phase fit into one word, as they
// nearly always do: most of the time of a small order is spent here.

// fromWord is from.
func (x *relaxation) fromWord(p int, s uint64, held int32) float64 {
	for {
		if p == x.end {
			return x.after(held)
		}
		if s = x.closeWord(p, s, held); s != x.all[p][0] {
			break
		}
		p, s = p+1, 0
	}
	k, found := x.findWord(p, s, held)
	if found {
		return x.value[k]
	}
	if x.left == 0 {
		return x.rough(p, []uint64{s}, held)
	}
	x.left--
	best := math.Inf(1)
	for rest := x.all[p][0] &^ s; rest != 0; {
		i := bits.TrailingZeros64(rest)
		rest &= rest - 1
		if x.freeWord(p, i, s) {
			c := x.class[p][i]
			rest &^= x.with(p, c)[0]
			best = min(best, x.cost(held, c)+x.fromWord(p, s, c))
		}
	}
	if math.IsInf(best, 1) { // stuck: alternatives on the way back are not looked at
		best = x.rough(p, []uint64{s}, held)
	}
	x.value[k] = best
	return best
}

func (x *relaxation) freeWord(p, i int, s uint64) bool {
	if x.pre[p][i]&^s != 0 {
		return false
	}
	return p != down || x.gated[p][0]&(1<<i) == 0 || x.passes(i, s)
}

// passes reports whether the gates of a job of the way down are open.
func (x *relaxation) passes(i int, s uint64) bool {
	gates := x.o.jobs[down][i].gates
	for g := range gates {
		if k := &gates[g]; !k.all && len(k.kids) == 0 { // one of some items, as nearly always
			if k.out[0]&s == 0 && k.on == 0 {
				return false
			}
			continue
		}
		if !gates[g].open([]uint64{s}, math.MaxUint32) {
			return false
		}
	}
	return true
}

// closeWord is close. What an item needs has mostly been met later than it, and
// so has a greater number: the way down is gone through from the end.
func (x *relaxation) closeWord(p int, s uint64, held int32) uint64 {
	mask, pre := x.with(p, held)[0], x.pre[p]
	if p != down {
		for before := ^s; s != before; {
			before = s
			for rest := mask &^ s; rest != 0; rest &= rest - 1 {
				if i := bits.TrailingZeros64(rest); pre[i]&^s == 0 {
					s |= rest & -rest
				}
			}
		}
		return s
	}
	gated := x.gated[down][0]
	for before := ^s; s != before; {
		before = s
		for rest := mask &^ s; rest != 0; {
			i := bits.Len64(rest) - 1
			bit := uint64(1) << i
			rest &^= bit
			if pre[i]&^s == 0 && (gated&bit == 0 || x.passes(i, s)) {
				s |= bit
			}
		}
	}
	return s
}

// findWord is find.
func (x *relaxation) findWord(p int, s uint64, held int32) (at int, found bool) {
	if len(x.key)*2 >= len(x.slots) {
		x.grow()
	}
	h := wordHash(p, s, held) & uint64(len(x.slots)-1)
	for ; x.slots[h] != 0; h = (h + 1) & uint64(len(x.slots)-1) {
		k := x.slots[h] - 1
		if x.words[k] == s && x.key[k].held == held && x.key[k].phase == int8(p) {
			return int(k), true
		}
	}
	if x.left == 0 {
		return 0, false
	}
	x.key = append(x.key, relaxKey{int32(len(x.words)), int8(p), held})
	x.value = append(x.value, 0)
	x.words = append(x.words, s)
	x.slots[h] = int32(len(x.key))
	return len(x.key) - 1, false
}

// wordHash is relaxHash of one word.
func wordHash(p int, s uint64, held int32) uint64 {
	h := bits.RotateLeft64((uint64(p)<<32^uint64(uint32(held))^s)*0x9e3779b97f4a7c15, 29)
	h *= 0xbf58476d1ce4e5b9
	return h ^ h>>32
}
