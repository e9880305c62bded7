package setups

import (
	"context"
	"math"
	"math/bits"
	"slices"

	"lastbolt/plan/heap"
)

// A RouteJob is a job of which only places count, done once, in one of its
// modes.
type RouteJob struct {
	Modes []RouteMode
	// Group and Number say which job of a guide this is; Group is negative for
	// one that the guide leaves out.
	Group, Number int
}

// A RouteMode is one way of doing a job.
type RouteMode struct {
	Place int      // or Any
	Extra float64  // minutes more than the job's other modes
	Pre   []uint64 // jobs that come first, by bit
}

// Route bounds from below the minutes of moves, and extras, of doing all jobs,
// with the hands at place 0 to begin with. The bound is exact if the search for
// it ends before it has looked at so many states; otherwise it is what the A*
// search has proven by then. It gives the number of states looked at too. The
// guide is groups of the same jobs, which share the same moves: the better it
// is, the fewer states.
//
// Whatever can be done where the hands are, and nowhere cheaper, is done at
// once; by the triangle inequality of the moves that is never wrong. A state is
// left out when another has done as much at no more cost, the move from there
// included.
func Route(ctx context.Context, move [][]float64, jobs []RouteJob, guide *Shares, budget int) (bound float64, looked int) {
	r := newRoute(move, jobs, guide)
	return r.search(ctx, budget)
}

type route struct {
	move  [][]float64
	words int
	jobs  []routeJob
	all   []uint64
	guide *Shares
	base  float64 // the least extras of all jobs
	nodes []routeNode
	sets  []uint64  // words a node: the jobs done
	parts []State   // groups a node
	past  [][]int32 // by place: the nodes looked at
	open  []int32   // heap
	index map[uint64][]int32
	next  []uint64 // the node to be entered
	now   []State
}

type routeJob struct {
	RouteJob
	least float64 // of its extras
}

type routeNode struct {
	place int32
	g, f  float64
}

func newRoute(move [][]float64, jobs []RouteJob, guide *Shares) *route {
	words := (len(jobs) + 63) / 64
	r := &route{move: move, words: words, guide: guide, past: make([][]int32, len(move)), index: map[uint64][]int32{},
		all: make([]uint64, words), next: make([]uint64, words), now: make([]State, guide.Groups())}
	detour := detours(move)
	for i := range jobs {
		r.all[i>>6] |= 1 << (i & 63)
		j := routeJob{RouteJob: jobs[i], least: math.Inf(1)}
		for _, m := range j.Modes {
			j.least = min(j.least, m.Extra)
		}
		j.Modes = worthwhile(j.Modes, detour)
		r.base += j.least
		r.jobs = append(r.jobs, j)
	}
	return r
}

// detours is, by place, how much longer at most a way gets by going there too.
func detours(move [][]float64) []float64 {
	most := make([]float64, len(move))
	for q := range move {
		for p := range move {
			for s := range move {
				most[q] = max(most[q], move[p][q]+move[q][s]-move[p][s])
			}
			most[q] = max(most[q], move[p][q]) // the way may end there
		}
	}
	return most
}

// worthwhile leaves out the modes that another can always do instead, for no
// more than the detour there.
func worthwhile(modes []RouteMode, detour []float64) []RouteMode {
	var out []RouteMode
	for _, m := range modes {
		if !slices.ContainsFunc(modes, func(o RouteMode) bool {
			if o.Extra >= m.Extra || !contains(m.Pre, o.Pre) {
				return false
			}
			return o.Place == Any || o.Place == m.Place || m.Extra-o.Extra >= detour[o.Place]
		}) {
			out = append(out, m)
		}
	}
	return out
}

func contains(a, b []uint64) bool {
	for w := range a {
		if b[w]&^a[w] != 0 {
			return false
		}
	}
	return true
}

func (r *route) set(k int32) []uint64 {
	n := int(k) * r.words
	return r.sets[n : n+r.words : n+r.words]
}

func (r *route) partsOf(k int32) []State {
	n := len(r.now)
	return r.parts[int(k)*n : (int(k)+1)*n]
}

func (r *route) search(ctx context.Context, budget int) (float64, int) {
	for g := range r.now {
		r.now[g] = r.guide.Start(g, 0)
	}
	r.enter(0, r.base, 0)
	looked := 0
	for len(r.open) > 0 {
		k := r.pop()
		n := r.nodes[k]
		if same(r.set(k), r.all) {
			return n.g, looked
		}
		if r.covered(k) {
			continue
		}
		if looked++; looked > budget || looked&63 == 0 && ctx.Err() != nil {
			return n.f, looked
		}
		r.past[n.place] = append(r.past[n.place], k)
		r.expand(k)
	}
	return 0, looked // a circle, which has no order
}

// covered reports that a node looked at has done as much for no more.
func (r *route) covered(k int32) bool {
	n := r.nodes[k]
	s := r.set(k)
	for p := range r.past {
		for _, o := range r.past[p] {
			if r.nodes[o].g+r.move[p][n.place] <= n.g+1e-9 && contains(r.set(o), s) {
				return true
			}
		}
	}
	return false
}

// expand enters what can follow a node: going where something can be done, or
// doing something that would be cheaper elsewhere.
func (r *route) expand(k int32) {
	n := r.nodes[k]
	s := slices.Clone(r.set(k))
	var useful uint64
	for i := range r.jobs {
		if s[i>>6]>>(i&63)&1 != 0 {
			continue
		}
		for _, m := range r.jobs[i].Modes {
			if !contains(s, m.Pre) {
				continue
			}
			if m.Extra <= r.jobs[i].least {
				useful |= 1 << m.Place
				continue
			}
			to := n.place
			if m.Place != Any {
				to = int32(m.Place)
			}
			r.begin(k)
			r.do(i)
			r.enter(to, n.g+r.move[n.place][to]+m.Extra-r.jobs[i].least, n.f)
		}
	}
	for ; useful != 0; useful &= useful - 1 {
		to := int32(bits.TrailingZeros64(useful))
		r.begin(k)
		r.enter(to, n.g+r.move[n.place][to], n.f)
	}
}

// begin makes the node to be entered a copy of another.
func (r *route) begin(k int32) {
	copy(r.next, r.set(k))
	copy(r.now, r.partsOf(k))
}

// do does a job at the node to be entered.
func (r *route) do(i int) {
	r.next[i>>6] |= 1 << (i & 63)
	if j := &r.jobs[i]; j.Group >= 0 {
		r.now[j.Group] = r.guide.Next(j.Group, r.now[j.Group], j.Number)
	}
}

// enter enters the node, unless the same is known at no more cost.
func (r *route) enter(place int32, g, least float64) {
	r.close(place)
	h := placeHash(0, r.next, int(place))
	for _, o := range r.index[h] {
		if r.nodes[o].g <= g && r.nodes[o].place == place && same(r.set(o), r.next) {
			return
		}
	}
	k := int32(len(r.nodes))
	r.index[h] = append(r.index[h], k)
	r.nodes = append(r.nodes, routeNode{place, g, max(least, g+r.ahead(int(place)))})
	r.sets = append(r.sets, r.next...)
	r.parts = append(r.parts, r.now...)
	r.push(k)
}

// ahead bounds what is left. The guide counts the extras in full, and g has
// the least of each.
func (r *route) ahead(place int) float64 {
	sum := 0.0
	for g, s := range r.now {
		sum += r.guide.Left(g, s, place, Any)
	}
	for w := range r.next {
		for rest := r.all[w] &^ r.next[w]; rest != 0; rest &= rest - 1 {
			if j := &r.jobs[w<<6+bits.TrailingZeros64(rest)]; j.Group >= 0 {
				sum -= j.least
			}
		}
	}
	return sum
}

// close does everything that can be done at a place, and nowhere cheaper.
func (r *route) close(place int32) {
	for changed := true; changed; {
		changed = false
		for w := range r.next {
			for rest := r.all[w] &^ r.next[w]; rest != 0; rest &= rest - 1 {
				i := w<<6 + bits.TrailingZeros64(rest)
				for _, m := range r.jobs[i].Modes {
					if (m.Place == Any || m.Place == int(place)) && m.Extra <= r.jobs[i].least && contains(r.next, m.Pre) {
						r.do(i)
						changed = true
						break
					}
				}
			}
		}
	}
}

func (r *route) less(a, b int32) bool {
	x, y := &r.nodes[a], &r.nodes[b]
	return x.f < y.f || x.f == y.f && x.g > y.g
}

func (r *route) push(k int32) { r.open = heap.Push(r.open, k, r.less) }

func (r *route) pop() (k int32) {
	k, r.open = heap.Pop(r.open, r.less)
	return k
}
