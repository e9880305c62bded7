package sequence

import (
	"math/bits"
	"slices"
)

// setupModel is the model of a [Problem]. Its steps are numbered so that what
// must precede comes first; a set-up to end in is one more step, after all.
type setupModel struct {
	steps    []step
	input    []int // the caller's number of a step
	position dial
	tool     dial
	switches []Switch
	onCost   []int64
	offCost  []int64
	toggles  []toggle
	start    State
	lagged   set  // steps that wait for others
	metric   bool // set-up detours never pay
	words    int  // of a set that are in use
	all      set
	work     int64 // hand work of all steps
	scratch  set
	counts   counts
}

type step struct {
	minutes int64
	need    Need
	before  set // all that must precede, directly or not
	lags    []lag
	tail    int64 // least time from its start to the end of everything
}

// lag holds what a finished step makes wait.
type lag struct {
	after   int16
	minutes int64
}

// dial is a many-valued set-up.
type dial struct {
	between [][]int64
	first   []int64
	values  []value
}

// value is what bounds need to know of one value of a dial.
type value struct {
	users   set   // steps that need it
	others  set   // steps that need another value
	enter   int64 // least cost of changing to it from any other
	repeats bool  // precedence can force more than one visit
}

// toggle is the same of a switch.
type toggle struct{ on, off set }

func newSetupModel(p *Problem) (*setupModel, error) {
	m := &setupModel{switches: p.Switches, start: p.Start}
	n := len(p.Steps)
	steps := slices.Clone(p.Steps)
	pairs := slices.Clone(p.Before)
	for _, l := range p.Lags {
		pairs = append(pairs, [2]int{l.Before, l.After})
	}
	if p.End != nil {
		steps = append(steps, Step{Need: *p.End})
		for i := range n {
			pairs = append(pairs, [2]int{i, n})
		}
	}
	order, err := topological(len(steps), pairs)
	if err != nil {
		return nil, err
	}
	number := make([]int, len(steps))
	for i, s := range order {
		number[s] = i
		m.steps = append(m.steps, step{minutes: units(steps[s].Minutes), need: steps[s].Need})
		if s < n {
			m.input = append(m.input, s)
		}
	}
	for i := range pairs {
		pairs[i] = [2]int{number[pairs[i][0]], number[pairs[i][1]]}
	}
	m.precede(pairs)
	m.words = (len(steps) + 63) / 64
	for i := range m.steps {
		m.all.add(i)
		m.work += m.steps[i].minutes
	}
	for _, l := range p.Lags {
		b := &m.steps[number[l.Before]]
		b.lags = append(b.lags, lag{int16(number[l.After]), units(l.Minutes)})
		m.lagged.add(number[l.After])
	}
	m.position = newDial(p.Position, m.steps, func(n Need) int { return n.Position })
	m.tool = newDial(p.Tool, m.steps, func(n Need) int { return n.Tool })
	m.metric = m.position.metric() && m.tool.metric()
	m.addSwitches()
	m.counts.width = 2 * (len(m.toggles) + len(m.position.values) + len(m.tool.values))
	m.addTails()
	return m, nil
}

// precede closes the precedence pairs transitively; pairs lead from lower to
// higher numbers.
func (m *setupModel) precede(pairs [][2]int) {
	slices.SortFunc(pairs, func(a, b [2]int) int { return a[1] - b[1] })
	for _, b := range pairs {
		to := &m.steps[b[1]].before
		for w, bits := range m.steps[b[0]].before {
			to[w] |= bits
		}
		to.add(b[0])
	}
}

func (m *setupModel) addSwitches() {
	for i, s := range m.switches {
		m.onCost, m.offCost = append(m.onCost, units(s.On)), append(m.offCost, units(s.Off))
		var t toggle
		for j := range m.steps {
			if m.steps[j].need.On>>i&1 != 0 {
				t.on.add(j)
			}
			if m.steps[j].need.Off>>i&1 != 0 {
				t.off.add(j)
			}
		}
		m.toggles = append(m.toggles, t)
	}
}

// addTails computes, last step first, the longest chain of work and waits
// behind each step.
func (m *setupModel) addTails() {
	for i := len(m.steps) - 1; i >= 0; i-- {
		s := &m.steps[i]
		var after int64
		for j := i + 1; j < len(m.steps); j++ {
			if m.steps[j].before.has(i) {
				after = max(after, m.steps[j].tail)
			}
		}
		for _, l := range s.lags {
			after = max(after, l.minutes+m.steps[l.after].tail)
		}
		s.tail = s.minutes + after
	}
}

func newDial(s Setup, steps []step, need func(Need) int) dial {
	n := len(s.Between)
	d := dial{first: make([]int64, n), values: make([]value, n)}
	for from, row := range s.Between {
		costs := make([]int64, n)
		for to, c := range row {
			if to != from {
				costs[to] = units(c)
			}
		}
		d.between = append(d.between, costs)
	}
	for v := range s.First {
		d.first[v] = units(s.First[v])
	}
	for v := range d.values {
		x := &d.values[v]
		x.enter = infinite
		for from := range n {
			if from != v {
				x.enter = min(x.enter, d.between[from][v])
			}
		}
		if n == 1 {
			x.enter = d.first[v]
		}
		for i := range steps {
			switch q := need(steps[i].need); {
			case q == v:
				x.users.add(i)
			case q != Any:
				x.others.add(i)
			}
		}
		x.repeats = canRepeat(x, steps)
	}
	return d
}

// canRepeat reports whether a step that needs another value must precede one
// that needs this value.
func canRepeat(x *value, steps []step) bool {
	for i := range steps {
		if x.users.has(i) && steps[i].before.meets(&x.others) {
			return true
		}
	}
	return false
}

func (d *dial) change(from int16, to int) int64 {
	switch {
	case to == Any || to == int(from):
		return 0
	case from == Any:
		return d.first[to]
	}
	return d.between[from][to]
}

// metric reports that no change is dearer than the same change by a detour.
func (d *dial) metric() bool {
	for via := range d.between {
		for to := range d.between {
			if d.first[to] > d.first[via]+d.between[via][to] {
				return false
			}
			for from := range d.between {
				if d.between[from][to] > d.between[from][via]+d.between[via][to] && from != to {
					return false
				}
			}
		}
	}
	return true
}

func (m *setupModel) size() int { return len(m.steps) }

func (m *setupModel) origin() label {
	return label{work: m.work, at: int16(m.start.Position), tool: int16(m.start.Tool), on: m.start.On}
}

// setUp is the cost of changing the set-up of l to a need.
func (m *setupModel) setUp(l *label, n *Need) int64 {
	c := m.position.change(l.at, n.Position) + m.tool.change(l.tool, n.Tool)
	for i := range m.switches {
		bit := uint16(1) << i
		switch {
		case n.On&bit&^l.on != 0:
			c += m.onCost[i]
		case n.Off&bit&l.on != 0:
			c += m.offCost[i]
		}
	}
	return c
}

// holds reports that the set-up of l meets the need as it is.
func (n *Need) holds(l *label) bool {
	return (n.Position == Any || n.Position == int(l.at)) && (n.Tool == Any || n.Tool == int(l.tool)) &&
		n.On&^l.on == 0 && n.Off&l.on == 0
}

// expand emits every step that may come next. Where set-up detours never pay
// and no wait is left, a step that needs no change of set-up is done at once:
// moving it to the front of any completion costs nothing and saves its own
// set-up there.
func (m *setupModel) expand(l, next *label, emit func()) {
	free := m.metric && m.within(&m.lagged, &l.done)
	type option struct {
		step int
		cost int64
	}
	var room [32]option
	options := room[:0]
	for w := range m.words {
		for open := m.all[w] &^ l.done[w]; open != 0; open &= open - 1 {
			j := w<<6 + bits.TrailingZeros64(open)
			if !m.within(&m.steps[j].before, &l.done) {
				continue
			}
			c := m.setUp(l, &m.steps[j].need)
			if free && c == 0 && m.steps[j].need.holds(l) {
				m.after(l, j, 0, next)
				emit()
				return
			}
			options = append(options, option{j, c})
		}
	}
	for _, o := range options {
		m.after(l, o.step, o.cost, next)
		emit()
	}
}

// after makes c of l with step j done, after a set-up of the given cost.
func (m *setupModel) after(l *label, j int, setUp int64, c *label) {
	s := &m.steps[j]
	*c = label{done: l.done, at: l.at, tool: l.tool, on: l.on&^s.need.Off | s.need.On, step: int16(j), work: l.work - s.minutes}
	c.done.add(j)
	if s.need.Position != Any {
		c.at = int16(s.need.Position)
	}
	if s.need.Tool != Any {
		c.tool = int16(s.need.Tool)
	}
	start := l.cost + setUp
	for _, w := range l.waits {
		if int(w.step) == j {
			start = max(start, w.ready)
		}
	}
	c.cost = start + s.minutes
	c.waits = m.waits(l, j, c.cost)
}

// waits are the waits still running when step j has ended.
func (m *setupModel) waits(l *label, j int, now int64) []wait {
	lags := m.steps[j].lags
	if len(l.waits) == 0 && len(lags) == 0 {
		return nil
	}
	var waits []wait
	for _, w := range l.waits {
		if int(w.step) != j && w.ready > now {
			waits = append(waits, w)
		}
	}
	for _, g := range lags {
		ready := now + g.minutes
		i := slices.IndexFunc(waits, func(w wait) bool { return w.step == g.after })
		switch {
		case g.minutes == 0:
		case i < 0:
			waits = append(waits, wait{g.after, ready})
		default:
			waits[i].ready = max(waits[i].ready, ready)
		}
	}
	return waits
}
