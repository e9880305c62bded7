package sequence

import "math/bits"

// rest bounds the remaining time of l from below: the larger of the hand work
// left plus the set-ups it cannot do without, and the longest chain of work
// and waits.
func (m *setupModel) rest(l *label, enough int64) int64 {
	hands := l.work
	var chain int64
	for w := range m.words {
		for left := m.all[w] &^ l.done[w]; left != 0; left &= left - 1 {
			chain = max(chain, m.steps[w<<6+bits.TrailingZeros64(left)].tail)
		}
	}
	for _, w := range l.waits {
		chain = max(chain, w.ready-l.cost+m.steps[w.step].tail)
	}
	if chain >= enough || hands >= enough {
		return max(hands, chain)
	}
	for i := range m.toggles {
		hands += m.flips(l, i)
	}
	hands += m.visits(l, &m.position, l.at, enough-hands)
	hands += m.visits(l, &m.tool, l.tool, enough-hands)
	return max(hands, chain)
}

// flips is the least cost of the flips of one switch, the others and
// everything else forgotten: do all that can be done in the present position,
// flip, and so on.
func (m *setupModel) flips(l *label, i int) int64 {
	t := &m.toggles[i]
	on := l.on>>i&1 != 0
	wantOn, wantOff := !m.within(&t.on, &l.done), !m.within(&t.off, &l.done)
	switch {
	case on && !wantOff, !on && !wantOn:
		return 0
	case on && !wantOn:
		return m.offCost[i]
	case !on && !wantOff:
		return m.onCost[i]
	}
	m.scratch = l.done
	var cost int64
	for {
		wrong := &t.on
		if on {
			wrong = &t.off
		}
		if m.absorb(wrong) {
			return cost
		}
		if on {
			cost += m.offCost[i]
		} else {
			cost += m.onCost[i]
		}
		on = !on
	}
}

// absorb adds to scratch every step that can be done without those barred,
// and reports whether nothing is left. One pass does, for steps are numbered
// with those that precede first.
func (m *setupModel) absorb(barred *set) bool {
	var missing uint64
	for w := range m.words {
		for open := m.all[w] &^ m.scratch[w] &^ barred[w]; open != 0; open &= open - 1 {
			if m.within(&m.steps[w<<6+bits.TrailingZeros64(open)].before, &m.scratch) {
				m.scratch[w] |= open & -open
			}
		}
		missing |= m.all[w] &^ m.scratch[w]
	}
	return missing == 0
}

func (m *setupModel) within(a, b *set) bool { return within(a, b, m.words) }

// within reports that a is a subset of b; both use only the first n words.
func within(a, b *set, n int) bool {
	var missing uint64
	for w := range n {
		missing |= a[w] &^ b[w]
	}
	return missing == 0
}

// visits is a lower bound on the changes of one dial: each value still needed
// is entered at least as often as precedence alone demands, at its least cost.
func (m *setupModel) visits(l *label, d *dial, now int16, enough int64) int64 {
	var cost, saved int64
	for v := range d.values {
		x := &d.values[v]
		if int(now) == v || m.within(&x.users, &l.done) {
			continue
		}
		cost += x.enter
		if now == Any {
			saved = max(saved, x.enter-d.first[v])
		}
	}
	if cost -= saved; cost >= enough {
		return cost
	}
	for v := range d.values {
		x := &d.values[v]
		if !x.repeats || m.within(&x.users, &l.done) {
			continue
		}
		times := m.entries(l, x, int(now) == v)
		if int(now) != v {
			times--
		}
		cost += times * x.enter
	}
	return cost
}

// entries is the least number of times that a value must be entered, when
// only "this value" and "any other" are told apart.
func (m *setupModel) entries(l *label, x *value, inside bool) int64 {
	m.scratch = l.done
	var times int64
	for {
		barred := &x.users
		if inside {
			barred = &x.others
		}
		if m.absorb(barred) || !inside && m.within(&x.users, &m.scratch) {
			return times
		}
		if inside && m.within(&x.users, &m.scratch) {
			return times
		}
		if !inside {
			times++
		}
		inside = !inside
	}
}
