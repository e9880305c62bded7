package opening

import "slices"

// relations is what a choice says of the order of its items, in bitsets over
// the model's items: only what holds in every plan of the choice.
type relations struct {
	m     *model
	c     *choice
	words int
	items []int      // in every plan of the choice, and those asked for; conditions that repeat left out
	ways  [][]int    // by item: those it may still take
	off   [][]uint64 // by item: what comes off before it does, by whichever way
	byWay [][]uint64 // by way: what comes off before the item does by that way
	on    [][]uint64 // by item: what goes back before it does
}

// relate finds the relations of the items that are in every plan of the choice,
// and of others as they are in the plans that have them.
func (m *model) relate(c *choice, others []int) *relations {
	n := len(m.items)
	r := &relations{m: m, c: c, words: (n + 63) / 64, ways: make([][]int, n), byWay: make([][]uint64, len(m.ways))}
	for i, w := range c.way {
		switch {
		case w == fitted && !slices.Contains(others, i) || m.items[i].src.Repeats:
			continue
		case w >= 0:
			r.ways[i] = []int{int(w)}
		default:
			for _, k := range m.items[i].ways {
				if !c.banned(k) {
					r.ways[i] = append(r.ways[i], k)
				}
			}
		}
		r.items = append(r.items, i)
	}
	r.layOff()
	r.layOn()
	return r
}

func (r *relations) set() []uint64 { return make([]uint64, r.words) }

// layOff finds what comes off before what.
func (r *relations) layOff() {
	direct := make([][]uint64, len(r.m.items))
	for _, i := range r.items {
		direct[i] = r.set()
		if r.m.items[i].already != nothing || len(r.ways[i]) == 0 {
			continue
		}
		all := ones(r.words)
		for _, k := range r.ways[i] {
			r.byWay[k] = r.set()
			r.sure(r.m.ways[k].need, r.byWay[k])
			for w := range all {
				all[w] &= r.byWay[k][w]
			}
		}
		for w := range all {
			direct[i][w] |= all[w]
		}
	}
	for _, i := range r.items { // what must still be fitted while an item comes off
		if r.m.items[i].already == nothing && len(r.ways[i]) > 0 {
			r.shared(i, func(w *mWay) []int { return w.still }, func(s int) {
				if direct[s] != nil && s != i {
					set(direct[s], i)
				}
			})
		}
	}
	r.off = r.closed(direct)
	for _, i := range r.items {
		for _, k := range r.ways[i] {
			if r.byWay[k] != nil {
				r.byWay[k] = r.widened(r.byWay[k], r.off)
			}
		}
	}
}

// layOn finds what goes back before what: an item waits for those that want it
// out of the way while they go back.
func (r *relations) layOn() {
	direct := make([][]uint64, len(r.m.items))
	for _, i := range r.items {
		direct[i] = r.set()
	}
	for _, i := range r.items {
		if len(r.ways[i]) == 0 {
			continue
		}
		if r.m.items[i].already == nothing {
			all := ones(r.words)
			for _, k := range r.ways[i] {
				wants := r.set()
				r.sure(r.m.ways[k].mirror, wants)
				for w := range all {
					all[w] &= wants[w]
				}
			}
			for _, o := range r.items {
				if o != i && has(all, o) {
					set(direct[o], i)
				}
			}
		}
		r.shared(i, func(w *mWay) []int { return w.after }, func(a int) {
			if direct[a] != nil && a != i {
				set(direct[i], a)
			}
		})
	}
	r.on = r.closed(direct)
}

// shared visits what a list of all ways of an item has in common.
func (r *relations) shared(i int, list func(*mWay) []int, f func(int)) {
	for _, x := range list(&r.m.ways[r.ways[i][0]]) {
		n := 0
		for _, k := range r.ways[i] {
			for _, y := range list(&r.m.ways[k]) {
				if x == y {
					n++
					break
				}
			}
		}
		if n == len(r.ways[i]) {
			f(x)
		}
	}
}

// sure adds the items of a need that every way of meeting it has in common.
func (r *relations) sure(t *tree, into []uint64) {
	switch {
	case t.item != nothing:
		if !r.m.items[t.item].src.Repeats {
			set(into, t.item)
		}
	case t.all:
		for _, k := range t.kids {
			r.sure(k, into)
		}
	case len(t.kids) > 0:
		all := ones(r.words)
		for _, k := range t.kids {
			one := r.set()
			r.sure(k, one)
			for w := range all {
				all[w] &= one[w]
			}
		}
		for w := range all {
			into[w] |= all[w]
		}
	}
}

// closed adds what comes before what comes before.
func (r *relations) closed(direct [][]uint64) [][]uint64 {
	out := make([][]uint64, len(direct))
	var visit func(i int)
	visit = func(i int) {
		if out[i] != nil || direct[i] == nil {
			return
		}
		out[i] = r.set()
		copy(out[i], direct[i])
		for x := range r.m.items {
			if has(direct[i], x) && x != i {
				visit(x)
				if out[x] != nil {
					for w, b := range out[x] {
						out[i][w] |= b
					}
				}
			}
		}
	}
	for _, i := range r.items {
		visit(i)
	}
	return out
}

// widened is a set with all that comes before its members.
func (r *relations) widened(s []uint64, before [][]uint64) []uint64 {
	out := r.set()
	copy(out, s)
	for x := range r.m.items {
		if has(s, x) && before[x] != nil {
			for w, b := range before[x] {
				out[w] |= b
			}
		}
	}
	return out
}
