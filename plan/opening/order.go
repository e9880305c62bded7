package opening

import (
	"slices"

	"lastbolt/plan/access"
)

// The phases of an order, as numbers.
const (
	down = iota
	bottom
	up
	phases
)

// An order is the sequencing problem of one choice of ways: jobs in three
// phases, conditions that can be switched between them, and waits. Within it
// items that are not conditions that repeat have numbers of their own (bits),
// and so have the repeating conditions (bits of a uint32).
type order struct {
	m     *model
	items []int    // model items, by bit
	conds []int    // model items, by condition bit
	at    []int    // model item to bit, nothing if not in the order
	cond  []int    // model item to condition bit, nothing if none
	words int      // of a bitset over the jobs of a phase
	room  []uint64 // for bitsets to come
	jobs  [phases][]job
	flips []flip  // 2·condition brings it about, 2·condition+1 ends it
	slots int     // waits that jobs start
	last  []int32 // waits that must be over at the end
	hard  []bool  // by wait: something with hand work waits for it

	first  []uint64 // items out of the way at the start
	on     uint32   // conditions that hold at the start
	guards [][]int  // by bit: up jobs whose any the item may be the last to hold up
	hand   [phases]float64
	limits limits
	groups *ordered // groups that share set-ups, nil for none
	loose  bool     // needs of items that are not in the order are left out
}

// anyTool in hand makes the first tool wanted free.
const anyTool = -2

// A job is one step of a phase.
type job struct {
	ref     int // model item, model work, or fluid
	fill    bool
	hand    float64
	trouble float64
	place   int
	tool    int
	pair    bool
	pre     []uint64 // jobs of the phase that come before
	on, off uint32   // conditions that must, must not hold
	gates   []gate   // what more must be out of the way: one of the alternatives
	wait    float64
	slot    int     // the wait it starts, nothing if none
	slots   []int32 // waits that must be over
	frail   bool    // doing it early may shut something off
}

// A flip switches a condition that repeats.
type flip struct {
	job
	never bool     // it held at the start, and what it needs is not in the plan, or it may not be brought about
	out   []uint64 // items that must be out of the way
	in    []uint64 // items that must be fitted
}

// A gate is a need over the order's bits.
type gate struct {
	all  bool
	out  []uint64
	on   uint32
	kids []gate
	// waits are the waits behind its own leaves, nothing for none, beside bits:
	// the items, and conditions as ^condition. Both are nil where nothing waits.
	bits  []int32
	waits []int32
}

func covers(have, want []uint64) bool {
	for i, w := range want {
		if w&^have[i] != 0 {
			return false
		}
	}
	return true
}

func meets(a, b []uint64) bool {
	for i, w := range a {
		if w&b[i] != 0 {
			return true
		}
	}
	return false
}

func set(b []uint64, i int)      { b[i>>6] |= 1 << (i & 63) }
func has(b []uint64, i int) bool { return b[i>>6]&(1<<(i&63)) != 0 }

// open reports whether the gate is passed when the items out are out of the
// way and the conditions on hold.
func (g *gate) open(out []uint64, on uint32) bool {
	if g.all {
		if !covers(out, g.out) || g.on&^on != 0 {
			return false
		}
	} else if meets(g.out, out) || g.on&on != 0 {
		return true
	}
	for i := range g.kids {
		if g.kids[i].open(out, on) != g.all {
			return !g.all
		}
	}
	return g.all
}

// newOrder builds the sequencing problem of a choice in which nothing is open.
func newOrder(m *model, c *choice) *order {
	return layOrder(m, c, false)
}

// layOrder builds it; loosely, if some of the choice is still open.
func layOrder(m *model, c *choice, loose bool) *order {
	n := len(m.items)
	numbers := make([]int, 3*n)
	o := &order{m: m, loose: loose, at: numbers[:n], cond: numbers[n : 2*n], items: numbers[2*n : 2*n : 3*n]}
	for i, w := range c.way {
		o.at[i], o.cond[i] = nothing, nothing
		switch {
		case w < 0:
		case m.items[i].src.Repeats:
			o.cond[i] = len(o.conds)
			o.conds = append(o.conds, i)
		default:
			o.at[i] = len(o.items)
			o.items = append(o.items, i)
		}
	}
	var fills []int
	if !loose {
		fills = o.fluids(c)
	}
	o.words = (max(len(o.items)+len(fills), len(m.works)) + 63) / 64
	o.first = o.bits()
	o.guards = make([][]int, len(o.items))
	o.layDown(c)
	o.layBottom(c)
	o.layUp(c, fills)
	if loose { // nobody will put its steps in order
		o.roughFlips(c)
		o.link(c)
		o.limits.init(o)
		return o
	}
	o.layFlips(c)
	o.link(c)
	o.markFrail()
	o.layWaits(c)
	o.dropWaits()
	o.limits.init(o)
	return o
}

// bits gives an empty bitset over the jobs of a phase.
func (o *order) bits() []uint64 {
	if len(o.room) < o.words {
		o.room = make([]uint64, o.words*max(64, 4*len(o.items)))
	}
	b := o.room[:o.words:o.words]
	o.room = o.room[o.words:]
	return b
}

// way is the model's way of an item in the choice.
func (o *order) way(c *choice, item int) *mWay { return &o.m.ways[c.way[item]] }

// fluids lists the fluids that the choice lets out.
func (o *order) fluids(c *choice) []int {
	var out []int
	for _, i := range o.items {
		for _, f := range o.way(c, i).fluids {
			if !slices.Contains(out, f) {
				out = append(out, f)
			}
		}
	}
	return out
}

// filling is the hand minutes of filling a fluid: it goes in once, so the
// longest of what the ways say that let it out.
func (o *order) filling(c *choice, fluid int) access.Span {
	var longest access.Span
	for _, i := range o.items {
		longest = longer(longest, o.way(c, i).fillingOf(fluid))
	}
	return longest
}

func (w *mWay) fillingOf(fluid int) access.Span {
	var longest access.Span
	for k, f := range w.fluids {
		if f == fluid {
			longest = longer(longest, w.filling[k])
		}
	}
	return longest
}

func longer(a, b access.Span) access.Span {
	if b.Mean() > a.Mean() {
		return b
	}
	return a
}

func (o *order) layDown(c *choice) {
	o.jobs[down] = make([]job, len(o.items))
	for b, i := range o.items {
		w := o.way(c, i)
		j := job{ref: i, hand: w.down, trouble: w.trouble, place: w.place, tool: w.tool, pair: w.pair, wait: w.wait, slot: nothing}
		if o.m.items[i].already != nothing {
			set(o.first, b)
			j = job{ref: i, place: nothing, tool: nothing, slot: nothing, pre: o.bits()}
		} else {
			o.require(c, w.need, &j)
			for _, s := range w.still {
				if k := o.cond[s]; k != nothing {
					j.off |= 1 << k
				}
			}
			o.hand[down] += j.hand + j.trouble
		}
		o.jobs[down][b] = j
	}
}

func (o *order) layBottom(c *choice) {
	o.jobs[bottom] = make([]job, 0, len(o.m.works))
	for i := range o.m.works {
		w := &o.m.works[i]
		j := job{ref: i, hand: w.minutes, place: w.place, tool: w.tool, wait: w.wait, slot: nothing}
		o.require(c, w.need, &j)
		for k := range j.pre {
			j.pre[k] = 0 // everything is out of the way by now
		}
		o.jobs[bottom] = append(o.jobs[bottom], j)
		o.hand[bottom] += j.hand
	}
}

func (o *order) layUp(c *choice, fills []int) {
	every := uint32(1)<<len(o.conds) - 1
	o.jobs[up] = make([]job, 0, len(o.items)+len(fills))
	for _, i := range o.items {
		w := o.way(c, i)
		j := job{ref: i, hand: w.up, place: w.backPlace, tool: w.tool, pair: w.pair, wait: w.backWait, slot: nothing}
		o.require(c, w.mirror, &j)
		if w.src.Back.Ground {
			j.off = every
		}
		o.jobs[up] = append(o.jobs[up], j)
		o.hand[up] += j.hand
	}
	for _, f := range fills {
		j := job{ref: f, fill: true, hand: o.filling(c, f).Mean(), place: nothing, tool: nothing, slot: nothing, pre: o.bits()}
		o.jobs[up] = append(o.jobs[up], j)
		o.hand[up] += j.hand
	}
}

func (o *order) layFlips(c *choice) {
	for k, i := range o.conds {
		w := o.way(c, i)
		on := flip{job: job{ref: i, hand: w.down, trouble: w.trouble, place: w.place, tool: w.tool, pair: w.pair, wait: w.wait, slot: nothing}, in: o.bits()}
		on.never = !o.require(c, w.need, &on.job) || w.banned > 0
		on.out = on.pre
		for _, s := range w.still {
			o.keepIn(&on, s)
		}
		off := flip{job: job{ref: i, hand: w.up, place: w.backPlace, tool: w.tool, pair: w.pair, slot: nothing}, in: o.bits()}
		o.require(c, w.mirror, &off.job)
		off.out = off.pre
		for _, a := range w.after {
			o.keepIn(&off, a)
		}
		if o.m.items[i].already != nothing {
			o.on |= 1 << k
		}
		o.flips = append(o.flips, on, off)
	}
}

// roughFlips lays the switches with nothing but their minutes.
func (o *order) roughFlips(c *choice) {
	for k, i := range o.conds {
		w := o.way(c, i)
		if o.m.items[i].already != nothing {
			o.on |= 1 << k
		}
		o.flips = append(o.flips, flip{job: job{hand: w.down, trouble: w.trouble, place: nothing}}, flip{job: job{hand: w.up, place: nothing}})
	}
}

// keepIn demands that an item is fitted, a condition ended, at a flip.
func (o *order) keepIn(f *flip, item int) {
	if b := o.at[item]; b != nothing {
		set(f.in, b)
	}
	if k := o.cond[item]; k != nothing {
		f.off |= 1 << k
	}
}

// require turns a need into what must be out (pre) and hold (on), and gates
// for its alternatives. It reports false when the choice cannot meet the need.
func (o *order) require(c *choice, t *tree, j *job) (ok bool) {
	j.pre = o.bits()
	return o.demand(c, t, j)
}

func (o *order) demand(c *choice, t *tree, j *job) bool {
	switch {
	case t.item != nothing:
		ok := o.meets(c, t)
		if b := o.at[t.item]; ok && b != nothing {
			set(j.pre, b)
		} else if k := o.cond[t.item]; ok && k != nothing {
			j.on |= 1 << k
		}
		return ok
	case t.all:
		ok := true
		for _, k := range t.kids {
			ok = o.demand(c, k, j) && ok
		}
		return ok
	}
	g, ok := o.gate(c, t)
	switch {
	case !ok:
	case !g.all && g.on == 0 && g.single():
		for i, w := range g.out { // no alternative is left
			j.pre[i] |= w
		}
	case !g.free():
		j.gates = append(j.gates, g)
	}
	return ok
}

// meets reports whether a leaf will come true in the order, or if it is loose,
// may.
func (o *order) meets(c *choice, t *tree) bool {
	w := c.way[t.item]
	if o.loose && w < 0 {
		return o.m.usable(c, t)
	}
	return w >= 0 && (t.ways == nil || slices.Contains(t.ways, int(w)))
}

// gate compiles a need; the second value is false when it cannot be passed.
// A gate that is always open is an all of nothing.
func (o *order) gate(c *choice, t *tree) (gate, bool) {
	if t.item != nothing {
		g := gate{all: true, out: o.bits()}
		ok := o.meets(c, t)
		if b := o.at[t.item]; ok && b != nothing {
			set(g.out, b)
		} else if k := o.cond[t.item]; ok && k != nothing {
			g.on = 1 << k
		}
		return g, ok
	}
	g := gate{all: t.all, out: o.bits()}
	for _, kid := range t.kids {
		k, ok := o.gate(c, kid)
		switch {
		case !ok && t.all:
			return g, false
		case !ok:
		case !t.all && k.single():
			for i := range k.out {
				g.out[i] |= k.out[i]
			}
			g.on |= k.on
		case !t.all && k.free():
			return gate{all: true, out: o.bits()}, true
		default:
			g.kids = append(g.kids, k)
		}
	}
	empty := !g.all && g.free()
	return g, !empty
}

func (g *gate) free() bool {
	return g.on == 0 && len(g.kids) == 0 && !slices.ContainsFunc(g.out, func(w uint64) bool { return w != 0 })
}

// single reports a gate of exactly one leaf.
func (g *gate) single() bool {
	n := 0
	for _, w := range g.out {
		for ; w != 0; w &= w - 1 {
			n++
		}
	}
	for on := g.on; on != 0; on &= on - 1 {
		n++
	}
	return n == 1 && len(g.kids) == 0
}

// link turns what ways say of other items into precedence: items that must
// still be fitted, mirrored needs, what comes after what, and fillings.
func (o *order) link(c *choice) {
	for b, i := range o.items {
		w := o.way(c, i)
		if o.m.items[i].already == nothing {
			for _, s := range w.still {
				if k := o.at[s]; k != nothing && k != b {
					set(o.jobs[down][k].pre, b)
				}
			}
		}
	}
	o.mirror()
	for b, i := range o.items {
		j := &o.jobs[up][b]
		w := o.way(c, i)
		for _, a := range w.after {
			if k := o.at[a]; k != nothing {
				set(j.pre, k)
			}
			if k := o.cond[a]; k != nothing {
				j.off |= 1 << k
			}
		}
		for f := len(o.items); f < len(o.jobs[up]); f++ {
			if w.src.Back.BeforeFilling || o.m.closes(w, o.jobs[up][f].ref) {
				set(o.jobs[up][f].pre, b)
			}
		}
	}
}

// mirror turns round what each up job wants out of the way: those items wait
// for it. Alternatives become guards.
func (o *order) mirror() {
	wants := make([][]uint64, len(o.items))
	for b := range o.items {
		wants[b] = o.jobs[up][b].pre
		o.jobs[up][b].pre = o.bits()
	}
	for b := range o.items {
		for k := range o.items {
			if k != b && has(wants[b], k) {
				set(o.jobs[up][k].pre, b)
			}
		}
		for i := range o.jobs[up][b].gates {
			o.guard(b, &o.jobs[up][b].gates[i])
		}
	}
}

func (o *order) guard(owner int, g *gate) {
	for k := range o.items {
		if has(g.out, k) && !slices.Contains(o.guards[k], owner) {
			o.guards[k] = append(o.guards[k], owner)
		}
	}
	for i := range g.kids {
		o.guard(owner, &g.kids[i])
	}
}

// markFrail marks the jobs that it may be wrong to do at the first chance.
func (o *order) markFrail() {
	for k := range o.items {
		if len(o.guards[k]) > 0 {
			o.jobs[up][k].frail = true
		}
		for i := range o.flips {
			if has(o.flips[i].in, k) {
				o.jobs[down][k].frail = true
			}
			if has(o.flips[i].out, k) || slices.ContainsFunc(o.flips[i].gates, func(g gate) bool { return g.names(k) }) {
				o.jobs[up][k].frail = true
			}
		}
	}
}

func (g *gate) names(bit int) bool {
	return has(g.out, bit) || slices.ContainsFunc(g.kids, func(k gate) bool { return k.names(bit) })
}

// layWaits numbers the waits and says which jobs must see which of them out.
func (o *order) layWaits(c *choice) {
	start := func(j *job) {
		if j.wait > 0 {
			j.slot = o.slots
			o.slots++
		}
	}
	for b, i := range o.items {
		if o.m.items[i].already == nothing {
			start(&o.jobs[down][b])
		}
	}
	for k := range o.conds {
		start(&o.flips[2*k].job)
	}
	for i := range o.jobs[bottom] {
		start(&o.jobs[bottom][i])
	}
	for b := range o.items {
		start(&o.jobs[up][b])
	}
	if o.slots == 0 {
		return
	}
	defer o.markHard()
	o.waitForNeeds(c)
	for i := range o.jobs[bottom] {
		if j := &o.jobs[bottom][i]; j.slot != nothing {
			o.waitForWork(j)
		}
	}
	for b, i := range o.items {
		j := &o.jobs[up][b]
		if d := o.jobs[down][b].slot; d != nothing {
			j.slots = append(j.slots, int32(d))
		}
		if j.slot == nothing {
			continue
		}
		w := o.way(c, i)
		if len(w.waitFor) == 0 {
			o.waitForFilling(j.slot)
		}
		j.frail = j.frail || len(w.waitFor) > 0 // what need not wait may come first
		for _, f := range w.waitFor {
			if k := o.at[f]; k != nothing {
				o.jobs[up][k].slots = append(o.jobs[up][k].slots, int32(j.slot))
			}
			if k := o.cond[f]; k != nothing {
				o.flips[2*k+1].slots = append(o.flips[2*k+1].slots, int32(j.slot))
			}
		}
	}
}

// markHard finds the waits that can keep the hands idle before the end.
func (o *order) markHard() {
	o.hard = make([]bool, o.slots)
	mark := func(j *job) {
		for _, s := range j.slots {
			o.hard[s] = true
		}
		for g := range j.gates {
			for _, s := range j.gates[g].everyWait(nil) {
				o.hard[s] = true
			}
		}
	}
	for p := range o.jobs {
		for i := range o.jobs[p] {
			if !o.jobs[p][i].fill || o.jobs[p][i].hand > 0 {
				mark(&o.jobs[p][i])
			}
		}
	}
	for i := range o.flips {
		mark(&o.flips[i].job)
	}
}

// everyWait lists the waits behind a gate.
func (g *gate) everyWait(into []int32) []int32 {
	for _, s := range g.waits {
		if s != nothing {
			into = append(into, s)
		}
	}
	for i := range g.kids {
		into = g.kids[i].everyWait(into)
	}
	return into
}

// waitForNeeds makes every job that needs an item wait for what runs after
// taking it off.
func (o *order) waitForNeeds(c *choice) {
	add := func(j *job, out []uint64, on uint32) {
		for b := range o.items {
			if s := o.jobs[down][b].slot; s != nothing && has(out, b) {
				j.slots = append(j.slots, int32(s))
			}
		}
		for k := range o.conds {
			if s := o.flips[2*k].slot; s != nothing && on&(1<<k) != 0 {
				j.slots = append(j.slots, int32(s))
			}
		}
		for i := range j.gates {
			o.gateSlots(&j.gates[i])
		}
	}
	for b, i := range o.items {
		if o.m.items[i].already == nothing {
			j := job{}
			o.require(c, o.way(c, i).need, &j)
			d := &o.jobs[down][b]
			add(d, j.pre, j.on)
		}
	}
	for i := range o.jobs[bottom] {
		j := job{}
		o.require(c, o.m.works[i].need, &j)
		add(&o.jobs[bottom][i], j.pre, j.on)
	}
	for i := range o.flips {
		if i%2 == 0 {
			add(&o.flips[i].job, o.flips[i].out, o.flips[i].on)
		}
	}
	for b := range o.items {
		for k := range o.conds {
			if s := o.flips[2*k].slot; s != nothing && o.jobs[up][b].on&(1<<k) != 0 {
				o.jobs[up][b].slots = append(o.jobs[up][b].slots, int32(s))
			}
		}
	}
}

// gateSlots notes the waits behind the leaves of a gate.
func (o *order) gateSlots(g *gate) {
	if g.bits != nil {
		return
	}
	g.bits = []int32{}
	for b := range o.items {
		if has(g.out, b) {
			g.bits = append(g.bits, int32(b))
			g.waits = append(g.waits, int32(o.jobs[down][b].slot))
		}
	}
	for k := range o.conds {
		if g.on&(1<<k) != 0 {
			g.bits = append(g.bits, ^int32(k))
			g.waits = append(g.waits, int32(o.flips[2*k].slot))
		}
	}
	for i := range g.kids {
		o.gateSlots(&g.kids[i])
	}
}

// waitForWork makes the item worked on, or if that stays fitted every filling
// and the end, wait for what runs after the work.
func (o *order) waitForWork(j *job) {
	if b := o.at[o.m.works[j.ref].item]; b != nothing {
		o.jobs[up][b].slots = append(o.jobs[up][b].slots, int32(j.slot))
		return
	}
	o.waitForFilling(j.slot)
}

func (o *order) waitForFilling(slot int) {
	for f := len(o.items); f < len(o.jobs[up]); f++ {
		o.jobs[up][f].slots = append(o.jobs[up][f].slots, int32(slot))
	}
	o.last = append(o.last, int32(slot))
}
