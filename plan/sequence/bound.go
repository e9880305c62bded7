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
	known := m.counts.of(&l.done)
	for i := range m.toggles {
		hands += m.flips(l, i, known)
	}
	known = known[2*len(m.toggles):]
	hands += m.visits(l, &m.position, l.at, known, enough-hands)
	hands += m.visits(l, &m.tool, l.tool, known[2*len(m.position.values):], enough-hands)
	return max(hands, chain)
}

// flips is the least cost of the flips of one switch, the others and
// everything else forgotten.
func (m *setupModel) flips(l *label, i int, known []int8) int64 {
	t := &m.toggles[i]
	on := int64(l.on >> i & 1)
	k := &known[2*i+int(on)]
	if *k < 0 {
		right, wrong := &t.off, &t.on // while off, those that want on must wait
		if on == 1 {
			right, wrong = wrong, right
		}
		*k = m.turns(&l.done, right, wrong)
	}
	n := int64(*k)
	return (n+on)/2*m.offCost[i] + (n+1-on)/2*m.onCost[i]
}

// turns is how often a two-valued set-up must be changed to do everything
// left: do all that its present value allows, change, and so on. Now lists
// the steps that need the present value, other those that need the other one.
// The count stops at 126, which is a lower bound too.
func (m *setupModel) turns(done, now, other *set) int8 {
	m.scratch = *done
	var n int8
	for n < 126 && !m.within(other, &m.scratch) {
		m.absorb(other)
		if m.within(other, &m.scratch) {
			break
		}
		now, other = other, now
		n++
	}
	return n
}

// absorb adds to scratch every step that can be done without those barred.
// One pass does, for steps are numbered with those that precede first.
func (m *setupModel) absorb(barred *set) {
	for w := range m.words {
		for open := m.all[w] &^ m.scratch[w] &^ barred[w]; open != 0; open &= open - 1 {
			if m.within(&m.steps[w<<6+bits.TrailingZeros64(open)].before, &m.scratch) {
				m.scratch[w] |= open & -open
			}
		}
	}
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
func (m *setupModel) visits(l *label, d *dial, now int16, known []int8, enough int64) int64 {
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
		k := &known[2*v]
		inside := int(now) == v
		if inside {
			k = &known[2*v+1]
		}
		if *k < 0 {
			*k = m.entries(l, x, inside)
		}
		times := int64(*k)
		if !inside {
			times-- // counted above
		}
		cost += times * x.enter
	}
	return cost
}

// entries is the least number of times that a value must be entered, when
// only "this value" and "any other" are told apart.
func (m *setupModel) entries(l *label, x *value, inside bool) int8 {
	m.scratch = l.done
	var times int8
	for times < 126 {
		if inside {
			m.absorb(&x.others)
		} else {
			m.absorb(&x.users)
		}
		if m.within(&x.users, &m.scratch) {
			break
		}
		if !inside {
			times++
		}
		inside = !inside
	}
	return times
}

// counts remembers what turns and entries found for a set of steps done: for
// each switch the turns from off and from on, then for each value of the
// position and of the tool the entries from outside and from inside. -1 is
// not computed yet.
type counts struct {
	index map[set]int32
	flat  []int8
	width int
}

// countsLimit bounds the memory of the table to some tens of megabytes.
const countsLimit = 1 << 18

func (c *counts) of(done *set) []int8 {
	i, ok := c.index[*done]
	if !ok {
		if c.index == nil || len(c.index) >= countsLimit {
			c.index, c.flat = map[set]int32{}, c.flat[:0]
		}
		i = int32(len(c.flat) / max(1, c.width))
		c.index[*done] = i
		for range c.width {
			c.flat = append(c.flat, -1)
		}
	}
	return c.flat[int(i)*c.width : (int(i)+1)*c.width]
}
