package belt

import (
	"math"
	"math/bits"
	"slices"

	"lastbolt/quantity"
)

// A Search says which routings Find looks for, beyond what the drive says.
type Search struct {
	// Tolerance is how far a belt's true length may be from the drive's
	// Belt.Length; 0 is DefaultTolerance of it, and more where the travel of the
	// tensioner is not known.
	Tolerance quantity.Length
	// LeastWrap is the wrap below which a routing is not counted; 0 is 10°.
	LeastWrap quantity.Angle
	// Best is how many routings are worked out in full; 0 is 12.
	Best int
}

// DefaultTolerance is the share of its length that a belt may be off, with the
// measuring of the pulleys: common practice, no source.
const DefaultTolerance = 0.01

// unknownTravel is the share of a belt's length that a tensioner of unknown
// travel may well take up: common practice, no source.
const unknownTravel = 0.03

// mostTries stops a search that would not end in reasonable time.
const mostTries = 30_000_000

// A Way is a routing that was found.
type Way struct {
	*Solution
	// Penalty ranks the ways, 0 best; Reasons say what it is made of.
	Penalty float64
	Reasons []string
	// Fits tells whether the known belt length can be held; Off is how far it is
	// from fitting. Without a known length it always fits.
	Fits bool
	Off  quantity.Length
}

// A Found is the outcome of a search.
type Found struct {
	Ways []Way // best first
	// All counts every routing that can be laid and turns each pulley as
	// required; Fitting those that also hold the known belt.
	All, Fitting int
	// Complete is false when the search was stopped before its end.
	Complete bool
	Tried    int // steps of the search
}

// Find looks for every way a belt may run over the drive's pulleys: closed,
// without crossing itself, ribs inside, clear of the pulleys it misses, each
// pulley touched at most once by a side that suits its surface, its required
// turn and what is known of it. Pulleys marked Idle may be left out. With a
// known belt length and a tensioner the whole travel is looked at.
//
// It is a depth-first search over spans. Whether a span between two pulleys
// exists and is clear of all others, and which two spans exclude each other, is
// worked out beforehand; a partial run keeps the set of spans still allowed and
// is given up when a pulley that must be touched has none left.
func Find(d Drive, o Search) (*Found, error) {
	if err := d.Check(); err != nil {
		return nil, err
	}
	if d.Pulleys[d.Crank].Known == Untouched {
		return nil, cannot("%s drives the belt and is said not to be touched by it.", d.Pulleys[d.Crank].Name)
	}
	o.fill(&d)
	w := newWays(&d)
	f := &Found{Complete: true}
	for _, u := range d.places() {
		placed := &d
		if !math.IsNaN(u) {
			placed = d.placed(u)
			if placed.checkApart() != nil {
				continue
			}
		}
		h := newHunt(placed, o, w, u)
		h.run()
		f.Tried += h.tried
		f.Complete = f.Complete && h.tried < mostTries
	}
	w.rank(o, f)
	return f, nil
}

func (o *Search) fill(d *Drive) {
	if o.Tolerance == 0 {
		o.Tolerance = d.Belt.Length * DefaultTolerance
		if t := d.Tensioner; t != nil && t.Kind == "" {
			o.Tolerance = d.Belt.Length * unknownTravel
		}
	}
	if o.LeastWrap == 0 {
		o.LeastWrap = quantity.Degree.Of(10)
	}
	if o.Best == 0 {
		o.Best = 12
	}
}

// places are where along its travel the tensioner is put for the search; NaN is
// where it stands as given. With a known length both ends and the quarters are
// looked at, since the belt decides where it ends up.
func (d *Drive) places() []float64 {
	if !d.Tensioner.moves() || d.Belt.Length == 0 {
		return []float64{math.NaN()}
	}
	return []float64{math.NaN(), 0, 0.25, 0.5, 0.75, 1}
}

// set is a set of spans, numbered by the search.
type set []uint64

func (s set) has(i int) bool { return s[i>>6]>>(i&63)&1 != 0 }
func (s set) add(i int)      { s[i>>6] |= 1 << (i & 63) }

// hunt is one search with the tensioner in one place.
type hunt struct {
	d     *Drive
	ways  *ways
	u     float64
	least float64 // wrap
	nodes []Touch
	discs []disc
	spans []span // those that exist and are clear
	from  [][]int
	// goes[i] is the spans that may be in one run with span i, and leaves and
	// reaches the spans of each pulley.
	goes            []set
	leaves, reaches []set
	must            uint // pulleys that must be touched, a bit each
	tried           int
	path            []int // spans
	left            []set // spans still allowed, by the length of the path
	crank           int   // node
}

// span is a leg between two nodes.
type span struct {
	leg
	from, to int
}

func newHunt(d *Drive, o Search, w *ways, u float64) *hunt {
	h := &hunt{d: d, ways: w, u: u, least: float64(o.LeastWrap)}
	crankSide := d.sideFor(&d.Pulleys[d.Crank])
	for i := range d.Pulleys {
		p := &d.Pulleys[i]
		sides := d.sides(i, crankSide)
		if i == d.Crank {
			h.crank = len(h.nodes)
			sides = []Side{crankSide}
		}
		if p.Known != Untouched && !(p.Idle && p.Known == "") {
			h.must |= 1 << i
		}
		for _, side := range sides {
			h.nodes = append(h.nodes, Touch{i, side})
			h.discs = append(h.discs, disc{p.Centre.vec(), d.pitchRadius(p, side), d.sign(side, crankSide)})
		}
	}
	h.lay()
	h.exclude()
	return h
}

// sides are the sides of the belt that may be on a pulley.
func (d *Drive) sides(i int, crankSide Side) []Side {
	p := &d.Pulleys[i]
	var out []Side
	for _, side := range []Side{Ribs, Back} {
		suits := side == Ribs && p.Surface != Plain ||
			side == Back && (p.Surface.surface() != Grooved || d.Belt.Profile.Double)
		known := p.Known == "" || p.Known == side
		turns := p.Turns == AnyTurn || (p.Turns == WithIt) == (side == crankSide)
		if suits && known && turns {
			out = append(out, side)
		}
	}
	return out
}

// lay lists the spans that exist and pass no pulley too near.
func (h *hunt) lay() {
	h.from = make([][]int, len(h.nodes))
	for a := range h.nodes {
		for b := range h.nodes {
			if h.nodes[a].Pulley == h.nodes[b].Pulley {
				continue
			}
			l, ok := tangent(h.discs[a], h.discs[b])
			if !ok || !h.clear(l, h.nodes[a].Pulley, h.nodes[b].Pulley) {
				continue
			}
			h.from[a] = append(h.from[a], len(h.spans))
			h.spans = append(h.spans, span{l, a, b})
		}
	}
}

func (h *hunt) clear(l leg, a, b int) bool {
	for k := range h.d.Pulleys {
		p := &h.d.Pulleys[k]
		if k != a && k != b && l.away(p.Centre.vec())-h.d.rimRadius(p) < h.d.clearance() {
			return false
		}
	}
	return true
}

// exclude works out which spans may be in one run.
func (h *hunt) exclude() {
	words := (len(h.spans) + 63) / 64
	sets := func(n int) []set {
		out := make([]set, n)
		for i := range out {
			out[i] = make(set, words)
		}
		return out
	}
	h.goes, h.leaves, h.reaches = sets(len(h.spans)), sets(len(h.d.Pulleys)), sets(len(h.d.Pulleys))
	for i := range h.spans {
		h.leaves[h.nodes[h.spans[i].from].Pulley].add(i)
		h.reaches[h.nodes[h.spans[i].to].Pulley].add(i)
		for j := range i {
			if h.together(&h.spans[i], &h.spans[j]) {
				h.goes[i].add(j)
				h.goes[j].add(i)
			}
		}
	}
}

// together reports whether two spans may be in one run: no pulley left or
// reached twice, none touched by both sides, no return to where it came from,
// no crossing, and enough wrap where one follows the other.
func (h *hunt) together(a, b *span) bool {
	pulley := func(node int) int { return h.nodes[node].Pulley }
	if pulley(a.from) == pulley(b.from) || pulley(a.to) == pulley(b.to) {
		return false
	}
	ab, ba := pulley(a.to) == pulley(b.from), pulley(b.to) == pulley(a.from)
	switch {
	case ab && a.to != b.from || ba && b.to != a.from:
		return false
	case ab && h.wrapAt(a, b) < h.least || ba && h.wrapAt(b, a) < h.least:
		return false
	case ab && ba:
		return !a.crosses(b.leg)
	}
	return !clash(a.leg, b.leg, ab || ba, h.d.clearance())
}

func (h *hunt) wrapAt(in, out *span) float64 {
	return wrap(h.discs[out.from].s, in.heading, out.heading)
}

func (h *hunt) run() {
	for range len(h.d.Pulleys) + 1 {
		h.left = append(h.left, make(set, (len(h.spans)+63)/64))
	}
	for i := range h.spans {
		h.left[0].add(i)
	}
	h.step(h.crank, 1<<h.d.Crank)
}

// step goes on from a node; seen is the pulleys touched so far.
func (h *hunt) step(at int, seen uint) {
	allowed, next := h.left[len(h.path)], h.left[len(h.path)+1]
	for _, i := range h.from[at] {
		if h.tried >= mostTries {
			return
		}
		if !allowed.has(i) {
			continue
		}
		h.tried++
		to := h.spans[i].to
		pulley := h.nodes[to].Pulley
		if pulley == h.d.Crank {
			if h.must&^seen == 0 && to == h.crank {
				h.path = append(h.path, i)
				h.close()
				h.path = h.path[:len(h.path)-1]
			}
			continue
		}
		if seen>>pulley&1 != 0 {
			continue
		}
		for w := range next {
			next[w] = allowed[w] & h.goes[i][w]
		}
		after := seen | 1<<pulley
		if !h.alive(next, after, pulley) {
			continue
		}
		h.path = append(h.path, i)
		h.step(to, after)
		h.path = h.path[:len(h.path)-1]
	}
}

// alive reports whether every pulley still to be touched can be reached and
// left, the one just reached left, and the crank reached.
func (h *hunt) alive(allowed set, seen uint, last int) bool {
	if !meets(allowed, h.leaves[last]) || !meets(allowed, h.reaches[h.d.Crank]) {
		return false
	}
	for rest := h.must &^ seen; rest != 0; rest &= rest - 1 {
		p := bits.TrailingZeros(rest)
		if !meets(allowed, h.leaves[p]) || !meets(allowed, h.reaches[p]) {
			return false
		}
	}
	return true
}

func meets(a, b set) bool {
	for w := range a {
		if a[w]&b[w] != 0 {
			return true
		}
	}
	return false
}

// close takes a closed run down if its ribs are inside.
func (h *hunt) close() {
	n := len(h.path)
	turning := 0.0
	run := lap{u: h.u, wraps: make([]float64, n)}
	var r Routing
	for i, k := range h.path {
		out, in := &h.spans[k], &h.spans[h.path[(i+n-1)%n]]
		disc := &h.discs[out.from]
		w := h.wrapAt(in, out)
		if w < h.least {
			return
		}
		run.wraps[i] = w
		turning += disc.s * w
		run.length += out.length + disc.r*w
		r = append(r, h.nodes[out.from])
	}
	inside := h.d.sign(Ribs, r[0].Side)
	if math.Abs(turning*inside-2*math.Pi) > 1e-6 {
		return
	}
	run.length -= 2 * math.Pi * float64(h.d.Belt.Profile.Differential)
	h.ways.add(r, run)
}

// same reports whether two routings are one.
func same(a, b Routing) bool { return slices.Equal(a, b) }
