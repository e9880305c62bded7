package sequence

import "math/bits"

// rest bounds what the remaining nodes cost. The potentials of what is left
// hold exactly; on top of them come reduced costs that cannot be avoided.
func (m *matrixModel) rest(l *label, enough int64) int64 {
	last := len(m.cost) - 1
	if l.done == m.all {
		return 0
	}
	sum := m.out[l.at]
	m.nodes = append(m.nodes[:0], int(l.at))
	for w := range m.words {
		for left := m.all[w] &^ l.done[w]; left != 0; left &= left - 1 {
			j := w<<6 + bits.TrailingZeros64(left) + 1
			m.nodes = append(m.nodes, j)
			if sum += m.in[j]; j != last {
				sum += m.out[j]
			}
		}
	}
	if sum >= enough {
		return sum
	}
	quick := max(m.entering(l), m.leaving(l))
	if sum+quick >= enough || !m.care.worth() {
		return min(infinite, sum+quick)
	}
	full := max(quick, m.both(l, enough-sum))
	m.care.learn(sum+full >= enough)
	return min(infinite, sum+full)
}

// left reports that node i is still to be entered.
func (m *matrixModel) left(l *label, i int) bool { return i > 0 && !l.done.has(i-1) }

// next reports that node j may follow at once.
func (m *matrixModel) next(l *label, j int) bool { return within(&m.before[j-1], &l.done, m.words) }

// entering sums the cheapest way into each node that is left.
func (m *matrixModel) entering(l *label) int64 {
	var sum int64
	for _, j := range m.nodes[1:] {
		least := infinite
		for _, a := range m.sources[j] {
			if i := int(a.node); m.left(l, i) || i == int(l.at) && m.next(l, j) {
				least = a.reduced
				break
			}
		}
		sum = min(infinite, sum+least)
	}
	return sum
}

// leaving sums the cheapest way out of each node that must be left.
func (m *matrixModel) leaving(l *label) int64 {
	var sum int64
	for k, i := range m.nodes {
		if i == len(m.cost)-1 {
			continue
		}
		least := infinite
		for _, a := range m.sinks[i] {
			if j := int(a.node); m.left(l, j) && (k > 0 || m.next(l, j)) {
				least = a.reduced
				break
			}
		}
		sum = min(infinite, sum+least)
	}
	return sum
}

// both sums the cheapest way into each node and then, of the costs that
// remain, the cheapest way out.
func (m *matrixModel) both(l *label, enough int64) int64 {
	var sum int64
	for _, j := range m.nodes[1:] {
		m.best[j] = infinite
		for _, a := range m.sources[j] {
			if i := int(a.node); m.left(l, i) || i == int(l.at) && m.next(l, j) {
				m.best[j] = a.reduced
				break
			}
		}
		if sum += m.best[j]; sum >= enough {
			return sum
		}
	}
	for k, i := range m.nodes {
		if i == len(m.cost)-1 {
			continue
		}
		least := infinite
		for _, a := range m.sinks[i] {
			if j := int(a.node); m.left(l, j) && (k > 0 || m.next(l, j)) {
				if least = min(least, a.reduced-m.best[j]); least <= 0 {
					break
				}
			}
		}
		if sum += least; sum >= enough {
			return sum
		}
	}
	return sum
}

// thrift decides whether a dear bound is worth its time: always while it has
// ruled out one state in eight of those it was asked for lately, else only now
// and then. It goes by counts alone, so that runs repeat exactly.
type thrift struct {
	calls, tried, hits int
}

func (t *thrift) worth() bool {
	t.calls++
	return 8*t.hits >= t.tried || t.calls&15 == 0
}

func (t *thrift) learn(hit bool) {
	if t.tried++; hit {
		t.hits++
	}
	if t.tried == 1024 {
		t.tried, t.hits = t.tried/2, t.hits/2
	}
}
