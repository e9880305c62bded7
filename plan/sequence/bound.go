package sequence

// rest bounds the remaining time of l from below: the larger of the hand work
// left plus the set-ups it cannot do without, and the longest chain of work
// and waits.
func (m *setupModel) rest(l *label, enough int64) int64 {
	var hands, chain int64
	for j := range m.steps {
		if !l.done.has(j) {
			hands += m.steps[j].minutes
			chain = max(chain, m.steps[j].tail)
		}
	}
	for _, w := range l.waits {
		chain = max(chain, w.ready-l.cost+m.steps[w.step].tail)
	}
	if chain >= enough {
		return chain
	}
	for i := range m.toggles {
		hands += m.flips(l, i)
	}
	hands += m.visits(l, &m.position, l.at)
	if hands < enough {
		hands += m.visits(l, &m.tool, l.tool)
	}
	return max(hands, chain)
}

// flips is the least cost of the flips of one switch, the others and
// everything else forgotten: do all that can be done in the present position,
// flip, and so on.
func (m *setupModel) flips(l *label, i int) int64 {
	t := &m.toggles[i]
	on := l.on>>i&1 != 0
	wantOn, wantOff := !l.done.holds(&t.on), !l.done.holds(&t.off)
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
	all := true
	for j := range m.steps {
		if m.scratch.has(j) {
			continue
		}
		if barred.has(j) || !m.scratch.holds(&m.steps[j].before) {
			all = false
			continue
		}
		m.scratch.add(j)
	}
	return all
}

// visits is a lower bound on the changes of one dial: each value still needed
// is entered at least as often as precedence alone demands, at its least cost.
func (m *setupModel) visits(l *label, d *dial, now int16) int64 {
	var cost, saved int64
	for v := range d.values {
		x := &d.values[v]
		if l.done.holds(&x.users) {
			continue
		}
		var times int64
		switch {
		case x.repeats:
			times = m.entries(l, x, int(now) == v)
		case int(now) != v:
			times = 1
		}
		cost += times * x.enter
		if times > 0 && now == Any {
			saved = max(saved, x.enter-d.first[v])
		}
	}
	return cost - saved
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
		if m.absorb(barred) || !inside && m.scratch.holds(&x.users) {
			return times
		}
		if inside && m.scratch.holds(&x.users) {
			return times
		}
		if !inside {
			times++
		}
		inside = !inside
	}
}
