package tighten

import "math"

// contact is the set of springs that do not act: seal places the cover has
// lifted from and bolts that are slack, numbered as in model.spring.
type contact [5]uint64

func (c *contact) has(i int) bool { return c[i>>6]>>(i&63)&1 != 0 }
func (c *contact) flip(i int)     { c[i>>6] ^= 1 << (i & 63) }

// response is how the joint answers to the nuts while a contact set holds. The
// springs of the set are taken away from the cover on all its springs by forces
// that undo them.
type response struct {
	gone []int       // the set as a list
	undo *skyline    // factor of what gives these forces from the movement at the set
	move [][]float64 // move[j]: closing at every place per mm that nut j is turned down; nil: not yet needed
	gain []float64   // what that adds to the bolt's own force, N/mm
}

// state is a moment of the work: how far each nut is turned down from where its
// bolt would be slack on the uncompressed seal, and how far the cover has come
// down at each place (seal, then bolts), mm.
type state struct {
	nut, down []float64
	off       contact
	at        *response
}

// loose is a nut turned so far back that its bolt is slack whatever happens.
const loose = -1e12

func (m *model) newState() state {
	return state{nut: make([]float64, m.n), down: make([]float64, m.m+m.n)}
}

func (s *state) copyFrom(o *state) {
	copy(s.nut, o.nut)
	copy(s.down, o.down)
	s.off, s.at = o.off, o.at
}

// force is the preload of a bolt, N.
func (m *model) force(s *state, bolt int) float64 {
	return max(0, m.spring[m.m+bolt]*(s.nut[bolt]-s.down[m.m+bolt]))
}

// remembered is how many numbers of responses are kept, 64 MB.
const remembered = 8 << 20

// clinging is the part of the seal's stiffness that is left where the cover has
// lifted: it keeps a cover in place that hardly anything holds, as its weight and
// the seal's sticking do, and is too little to be seen otherwise.
const clinging = 1e-4

// response gives how the joint answers while a contact set holds, nil when
// nothing would hold the cover.
func (m *model) response(off contact) *response {
	if r := m.contacts[off]; r != nil {
		return r
	}
	r := &response{move: make([][]float64, m.n), gain: make([]float64, m.n)}
	for i := range m.m + m.n {
		if off.has(i) {
			r.gone = append(r.gone, i)
		}
	}
	size := len(r.gone)
	r.undo = full(size)
	for a, i := range r.gone {
		for b, k := range r.gone[:a+1] {
			v := -m.flex[k][i]
			if a == b {
				k := m.spring[i]
				if i < m.m {
					k *= 1 - clinging
				}
				v += 1 / k
			}
			r.undo.add(a, b, v)
		}
	}
	m.spent += size * size * (size + 12) / 6
	if !r.undo.factor() {
		return nil
	}
	m.keep(size*size/2 + 2*m.n + 64)
	m.contacts[off] = r
	return r
}

// keep counts numbers of responses kept and forgets all when they are too many.
func (m *model) keep(numbers int) {
	if m.kept += numbers; m.kept > remembered {
		clear(m.contacts)
		m.kept = 0
	}
}

// takeAway turns a movement on all springs into that without those of the set.
func (m *model) takeAway(r *response, move []float64) {
	size := len(r.gone)
	if size == 0 {
		return
	}
	m.spent += size * (size + len(move))
	forces := m.room[:size]
	for a, i := range r.gone {
		forces[a] = move[i]
	}
	r.undo.solve(forces)
	for a, i := range r.gone {
		f := forces[a]
		for p, v := range m.flex[i] {
			move[p] += f * v
		}
	}
}

// nut gives how the joint answers to the nut of a bolt that is not slack.
func (m *model) nut(r *response, bolt int) (move []float64, gain float64) {
	if r.move[bolt] == nil {
		move := make([]float64, m.m+m.n)
		k := m.spring[m.m+bolt]
		for i, v := range m.flex[m.m+bolt] {
			move[i] = k * v
		}
		m.takeAway(r, move)
		m.keep(len(move))
		r.move[bolt], r.gain[bolt] = move, k*(1-move[m.m+bolt])
	}
	return r.move[bolt], r.gain[bolt]
}

// patience is after how many tries all violations are no longer mended at once,
// but one by one, which ends for certain (Murty's rule).
const patience = 10

// settle finds the contact set under which the joint is in balance, solve
// putting the state in balance under the set it has. It reports false when there
// is none.
func (m *model) settle(s *state, solve func(*state) bool) bool {
	for try := range 40 * (m.n + m.m) {
		if !solve(s) {
			return false
		}
		m.spent += 4 * (m.m + m.n)
		wrong, first := m.violations(s)
		if first < 0 {
			return true
		}
		if try < patience {
			for i := range s.off {
				s.off[i] ^= wrong[i]
			}
		} else {
			s.off.flip(first)
		}
		if s.at = m.response(s.off); s.at == nil {
			return false
		}
	}
	return false
}

// violations gives the springs that act though they pull, or do not though they
// would push.
func (m *model) violations(s *state) (wrong contact, first int) {
	first = -1
	for i, w := range s.down[:m.m] {
		if s.off.has(i) != (w < 0) && math.Abs(w) > m.small {
			wrong.flip(i)
			if first < 0 {
				first = i
			}
		}
	}
	for b, nut := range s.nut {
		i := m.m + b
		if stretch := nut - s.down[i]; s.off.has(i) != (stretch < 0) && math.Abs(stretch) > m.small {
			wrong.flip(i)
			if first < 0 {
				first = i
			}
		}
	}
	return wrong, first
}

// place puts the cover where the nuts hold it under the state's contact set.
func (m *model) place(s *state) {
	m.spent += m.n * (m.m + m.n)
	clear(s.down)
	for j, nut := range s.nut {
		if s.off.has(m.m + j) {
			continue
		}
		f := nut * m.spring[m.m+j]
		for i, v := range m.flex[m.m+j] {
			s.down[i] += v * f
		}
	}
	m.takeAway(s.at, s.down)
}

// tighten turns a bolt to a force; one that is tighter already is left alone,
// as a torque wrench does.
func (m *model) tighten(s *state, bolt int, to float64) bool {
	m.spent += 8 * (m.m + m.n)
	if m.force(s, bolt) >= to {
		return true
	}
	if i := m.m + bolt; s.off.has(i) {
		s.off.flip(i)
		s.nut[bolt] = s.down[i]
		if s.at = m.response(s.off); s.at == nil {
			return false
		}
	}
	k, at := m.spring[m.m+bolt], s.at
	return m.settle(s, func(s *state) bool {
		if s.at != at {
			m.place(s)
			at = s.at
		}
		move, gain := m.nut(s.at, bolt)
		if !(gain > 0) {
			return false
		}
		turn := (to - k*(s.nut[bolt]-s.down[m.m+bolt])) / gain
		s.nut[bolt] += turn
		for i, v := range move {
			s.down[i] += v * turn
		}
		return true
	})
}

// loosen turns a bolt back until it carries nothing.
func (m *model) loosen(s *state, bolt int) bool {
	s.nut[bolt] = loose
	if i := m.m + bolt; !s.off.has(i) {
		s.off.flip(i)
	}
	s.at = m.response(s.off)
	if s.at == nil {
		return false
	}
	return m.settle(s, func(s *state) bool { m.place(s); return true })
}

// pull puts every bolt at a share of its target at once.
func (m *model) pull(share float64) (state, bool) {
	s := m.newState()
	s.at = m.response(s.off)
	if s.at == nil {
		return s, false
	}
	ok := m.settle(&s, func(s *state) bool {
		// The nuts that give the forces under this contact set: k·(1−M)·nut = F.
		a, b := make([][]float64, m.n), make([]float64, m.n)
		for i := range m.n {
			s.off[(m.m+i)>>6] &^= 1 << ((m.m + i) & 63)
		}
		if s.at = m.response(s.off); s.at == nil {
			return false
		}
		for i := range m.n {
			a[i] = make([]float64, m.n)
			for j := range m.n {
				move, _ := m.nut(s.at, j)
				a[i][j] = -move[m.m+i]
			}
			a[i][i]++
			b[i] = share * m.target[i] / m.spring[m.m+i]
		}
		if !eliminate(a, b) {
			return false
		}
		copy(s.nut, b)
		m.place(s)
		return true
	})
	return s, ok
}

// begin computes the ideal, all bolts at target at once, and the start, all snug.
func (m *model) begin() bool {
	force, stiffness := 0.0, 0.0
	for _, t := range m.target {
		force += t
	}
	for _, k := range m.spring[:m.m] {
		stiffness += k
	}
	m.closing = force / stiffness
	m.small = 1e-9 * m.closing
	ideal, ok := m.pull(1)
	if !ok {
		return false
	}
	for _, w := range ideal.down[:m.m] {
		m.ideal = append(m.ideal, max(0, w)/m.closing)
	}
	m.start, ok = m.pull(Snug)
	return ok
}

// eliminate solves a·x = b into b by Gauss's elimination with pivoting.
func eliminate(a [][]float64, b []float64) bool {
	n := len(b)
	for c := range n {
		p := c
		for r := c + 1; r < n; r++ {
			if math.Abs(a[r][c]) > math.Abs(a[p][c]) {
				p = r
			}
		}
		if math.Abs(a[p][c]) < 1e-14 {
			return false
		}
		a[c], a[p], b[c], b[p] = a[p], a[c], b[p], b[c]
		for r := c + 1; r < n; r++ {
			f := a[r][c] / a[c][c]
			for k := c; k < n; k++ {
				a[r][k] -= f * a[c][k]
			}
			b[r] -= f * b[c]
		}
	}
	for c := n - 1; c >= 0; c-- {
		for k := c + 1; k < n; k++ {
			b[c] -= a[c][k] * b[k]
		}
		b[c] /= a[c][c]
	}
	return true
}
