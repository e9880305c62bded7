package opening

import (
	"container/heap"
	"fmt"
	"math"
	"slices"
	"strings"

	"lastbolt/plan/access"
)

// A twin finds the least minutes of a request the slow and obvious way: it walks
// through every state that the vehicle can be brought into, cheapest first. It
// may open whatever the map names, for no reason too, switch conditions for
// nothing, and change place and tool whenever it likes. It reads the map itself
// and shares no code with the planner.
type twin struct {
	req    Request
	items  []access.Item
	at     map[string]int
	was    []int // by item: 1 + the way by which it was out of the way at the start, 0 if fitted
	places []string
	tools  []string
	fluids []string
	move   [][]ticks // by place and place; 0 is nowhere yet
	timed  bool      // waits, places and tools count; otherwise only what is possible
	queue  twinQueue
	buffer []byte
	seen   map[string]ticks // by state: the least time it was reached in
}

// ticks are half minutes, so that states can be compared.
type ticks int

func ticksOf(minutes float64) ticks {
	t := math.Round(2 * minutes)
	if math.Abs(t-2*minutes) > 1e-9 {
		panic(fmt.Sprint("the twin counts in half minutes, not ", minutes))
	}
	return ticks(t)
}

// A twinState is all that matters of the past. Waits are what is left of them.
type twinState struct {
	phase       int   // 0 down, 1 work, 2 up
	out         []int // by item: 1 + the way by which it is out of the way, or holds
	ever        []int // by item: 1 + the way by which it ever was
	worked      int   // bits
	filled      int
	place, tool int
	open, back  []ticks // by item: until it counts as out of the way, and until it may go back
	end         ticks   // until filling and release
	now, f      ticks
	before      *twinState
	what, which string // the step that led here
}

func (s *twinState) clone() *twinState {
	c := *s
	c.out, c.ever = slices.Clone(s.out), slices.Clone(s.ever)
	c.open, c.back = slices.Clone(s.open), slices.Clone(s.back)
	c.before = s
	return &c
}

type twinQueue []*twinState

func (q twinQueue) Len() int { return len(q) }
func (q twinQueue) Less(i, j int) bool {
	return q[i].f < q[j].f || q[i].f == q[j].f && q[i].now > q[j].now
}
func (q twinQueue) Swap(i, j int) { q[i], q[j] = q[j], q[i] }
func (q *twinQueue) Push(x any)   { *q = append(*q, x.(*twinState)) }
func (q *twinQueue) Pop() any {
	old := *q
	x := old[len(old)-1]
	*q = old[:len(old)-1]
	return x
}

// bruteForce gives the least minutes, +Inf if there is no plan, and an order.
func bruteForce(req Request) (float64, string) {
	t := newTwin(req)
	if s := t.search(); s == nil {
		return math.Inf(1), ""
	}
	t.timed = true
	s := t.search()
	var steps []string
	for x := s; x != nil; x = x.before {
		if x.what != "" {
			steps = append(steps, fmt.Sprintf("%s %s, done at %.1f", x.what, x.which, float64(x.now)/2))
		}
	}
	slices.Reverse(steps)
	return float64(s.now) / 2, strings.Join(steps, "\n")
}

func newTwin(req Request) *twin {
	t := &twin{req: req, items: req.Map.Items, at: map[string]int{}, places: []string{""}, tools: []string{""}}
	for i := range t.items {
		t.at[t.items[i].ID] = i
	}
	t.was = make([]int, len(t.items))
	for _, a := range req.Already {
		id, way, _ := strings.Cut(a, "/")
		i := t.at[id]
		for k := range t.items[i].Ways {
			if t.was[i] == 0 && (way == "" || t.items[i].Ways[k].ID == way) {
				t.was[i] = k + 1
			}
		}
	}
	for _, p := range req.Map.Positions {
		t.places = append(t.places, p.ID)
	}
	t.layMoves()
	for i := range t.items {
		for k := range t.items[i].Ways {
			w := &t.items[i].Ways[k]
			t.tool(w.Tools)
			for _, f := range w.Fluids.Items {
				if !t.items[i].Repeats && !slices.Contains(t.fluids, f.Name) {
					t.fluids = append(t.fluids, f.Name)
				}
			}
		}
		for _, w := range t.items[i].Work {
			t.tool(w.Tools)
		}
	}
	return t
}

// layMoves is what each change of place costs in one go; over a third place it
// is two changes.
func (t *twin) layMoves() {
	for _, from := range t.places {
		var row []ticks
		for _, to := range t.places {
			cost := ticksOf(t.req.Map.SetUp.Position)
			for _, b := range t.req.Map.SetUp.Between {
				if b.From == from && b.To == to {
					cost = ticksOf(b.Minutes)
				}
			}
			row = append(row, cost)
		}
		t.move = append(t.move, row)
	}
}

// tool is the number of the main tool of a list, 0 for none.
func (t *twin) tool(l access.List[access.Tool]) int {
	if len(l.Items) == 0 {
		return 0
	}
	name := l.Items[0].Any[0]
	for k := len(l.Items[0].Any) - 1; k >= 0; k-- {
		if n := l.Items[0].Any[k]; slices.Contains(t.req.Tools, n) {
			name = n
		}
	}
	if !slices.Contains(t.tools, name) {
		t.tools = append(t.tools, name)
	}
	return slices.Index(t.tools, name)
}

func (t *twin) lacks(l access.List[access.Tool]) bool {
	return t.req.OnlyOwned && slices.ContainsFunc(l.Items, func(x access.Tool) bool {
		return !slices.ContainsFunc(x.Any, func(n string) bool { return slices.Contains(t.req.Tools, n) })
	})
}

// search gives the end of the cheapest plan, nil if there is none.
func (t *twin) search() *twinState {
	n := len(t.items)
	s := &twinState{out: slices.Clone(t.was), ever: slices.Clone(t.was), open: make([]ticks, n), back: make([]ticks, n)}
	t.queue, t.seen = nil, map[string]ticks{}
	t.reach(s)
	for len(t.queue) > 0 {
		s := heap.Pop(&t.queue).(*twinState)
		if s.phase == 3 {
			return s
		}
		if s.now == t.seen[string(t.key(s))] {
			t.acts(s)
		}
	}
	return nil
}

func (t *twin) key(s *twinState) []byte {
	b := append(t.buffer[:0], byte(s.phase), byte(s.worked), byte(s.filled))
	for i := range s.out {
		b = append(b, byte(s.out[i]), byte(s.ever[i]))
	}
	if t.timed {
		b = append(b, byte(s.place), byte(s.tool), byte(s.end), byte(s.end>>8))
		for i := range s.open {
			b = append(b, byte(s.open[i]), byte(s.open[i]>>8), byte(s.back[i]), byte(s.back[i]>>8))
		}
	}
	t.buffer = b
	return b
}

// reach enters a state, with the least minutes that it will still take.
func (t *twin) reach(s *twinState) {
	key := t.key(s)
	if old, ok := t.seen[string(key)]; ok && (old <= s.now || !t.timed) {
		return
	}
	t.seen[string(key)] = s.now
	s.f = s.now
	for i, w := range s.out {
		if w > 0 {
			s.f += ticksOf(t.items[i].Ways[w-1].Minutes.On.Mean())
		}
	}
	for k := range t.req.Targets {
		if s.worked&(1<<k) == 0 {
			s.f += ticksOf(t.work(k).Minutes.Mean())
		}
	}
	for k := range t.fluids {
		if s.filled&(1<<k) == 0 {
			s.f += t.filling(s, k)
		}
	}
	heap.Push(&t.queue, s)
}

// do performs hand work that can begin once a wait is over, if the hands are
// where they should be.
func (t *twin) do(s *twinState, what, which, place string, tool int, wait ticks, minutes float64, then func(*twinState)) {
	if t.timed && (place != "" && t.places[s.place] != place || tool > 0 && s.tool != tool) {
		return
	}
	n := s.clone()
	n.pass(wait + ticksOf(minutes))
	n.what, n.which = what, which
	then(n)
	t.reach(n)
}

func (s *twinState) pass(d ticks) {
	s.now += d
	s.end = max(0, s.end-d)
	for i := range s.open {
		s.open[i], s.back[i] = max(0, s.open[i]-d), max(0, s.back[i]-d)
	}
}

func (t *twin) acts(s *twinState) {
	if t.timed {
		t.changeOver(s)
	}
	for i := range t.items {
		switch {
		case t.items[i].Repeats && s.out[i] == 0 || s.phase == 0 && s.out[i] == 0:
			t.opens(s, i)
		case s.out[i] > 0 && (t.items[i].Repeats || s.phase == 2):
			t.closes(s, i)
		}
	}
	switch s.phase {
	case 0:
		t.phase(s, 1)
	case 1:
		t.works(s)
		if s.worked == 1<<len(t.req.Targets)-1 {
			t.phase(s, 2)
		}
	case 2:
		t.fills(s)
		if !slices.ContainsFunc(s.out, func(w int) bool { return w > 0 }) && t.unfilled(s) == 0 {
			n := s.clone()
			n.pass(s.end)
			n.phase, n.what = 3, ""
			t.reach(n)
		}
	}
}

func (t *twin) phase(s *twinState, p int) {
	n := s.clone()
	n.phase, n.what = p, ""
	t.reach(n)
}

// changeOver goes to another place, or takes another tool.
func (t *twin) changeOver(s *twinState) {
	for p := 1; p < len(t.places); p++ {
		if p != s.place {
			n := s.clone()
			n.pass(t.move[s.place][p])
			n.place, n.what, n.which = p, "go to", t.places[p]
			t.reach(n)
		}
	}
	for k := 1; k < len(t.tools); k++ {
		if k != s.tool {
			n := s.clone()
			n.pass(ticksOf(t.req.Map.SetUp.Tool))
			n.tool, n.what, n.which = k, "take", t.tools[k]
			t.reach(n)
		}
	}
}

func (t *twin) opens(s *twinState, i int) {
	it := &t.items[i]
	for k := range it.Ways {
		w := &it.Ways[k]
		if s.ever[i] > 0 && s.ever[i] != k+1 || t.closed(it, w) || t.lacks(w.Tools) || t.anyOut(s, w.Still) {
			continue
		}
		wait, ok := t.since(s, access.Need{All: w.Needs})
		if !ok {
			continue
		}
		minutes := w.Minutes.Off.Mean()
		for _, x := range w.Trouble {
			minutes += x.Odds * x.Minutes
		}
		t.do(s, "open", it.ID, w.Hands, t.tool(w.Tools), wait, minutes, func(n *twinState) {
			n.out[i], n.ever[i] = k+1, k+1
			n.open[i] = waitOf(w.Wait)
		})
	}
}

func (t *twin) closed(it *access.Item, w *access.Way) bool {
	return slices.Contains(t.req.KeepClosed, it.ID) ||
		slices.ContainsFunc(w.Opens, func(j access.Joint) bool { return slices.Contains(t.req.KeepClosed, j.Kind) })
}

func (t *twin) anyOut(s *twinState, ids []string) bool {
	return slices.ContainsFunc(ids, func(id string) bool { return s.out[t.at[id]] > 0 })
}

func waitOf(w *access.Wait) ticks {
	if w == nil {
		return 0
	}
	return ticksOf(w.Minutes.Mean())
}

// fits reports that an item out of the way by a way (counted from 1) is so as a
// need wants it.
func (t *twin) fits(n access.Need, way int) bool {
	if way == 0 {
		return false
	}
	w := &t.items[t.at[n.Item]].Ways[way-1]
	return n.Way == "" || w.ID == n.Way || string(w.Kind) == n.Way || w.Kind == "" && n.Way == "off"
}

// since is how long it takes until a need holds, and whether it will by itself.
func (t *twin) since(s *twinState, n access.Need) (ticks, bool) {
	switch {
	case n.Item != "":
		i := t.at[n.Item]
		return s.open[i], t.fits(n, s.out[i])
	case n.Any != nil:
		least, ok := ticks(math.MaxInt32), false
		for _, k := range n.Any {
			if w, holds := t.since(s, k); holds {
				least, ok = min(least, w), true
			}
		}
		return least, ok
	}
	most := ticks(0)
	for _, k := range n.All {
		w, holds := t.since(s, k)
		if !holds {
			return 0, false
		}
		most = max(most, w)
	}
	return most, true
}

// closes puts an item back, or ends a condition.
func (t *twin) closes(s *twinState, i int) {
	it := &t.items[i]
	w := &it.Ways[s.out[i]-1]
	need := access.Need{All: w.Needs}
	if w.Back.Still != nil {
		need = access.Need{}
		for _, id := range w.Back.Still {
			need.All = append(need.All, access.Need{Item: id})
		}
	}
	if !t.stands(s, need, w.Back.Ground, t.was[i] > 0) || t.anyOut(s, w.Back.After) {
		return
	}
	wait := s.back[i]
	for c := range t.items {
		if !t.items[c].Repeats {
			continue
		}
		if w.Back.Ground && s.out[c] > 0 {
			return
		}
		if !it.Repeats && names(need, t.items[c].ID) && s.out[c] > 0 {
			wait = max(wait, s.open[c])
		}
	}
	if !it.Repeats {
		wait = max(wait, s.open[i])
	}
	hands := w.Hands
	if w.Back.Hands != "" {
		hands = w.Back.Hands
	}
	t.do(s, "close", it.ID, hands, t.tool(w.Tools), wait, w.Minutes.On.Mean(), func(n *twinState) {
		n.out[i], n.open[i], n.back[i] = 0, 0, 0
		if w.Back.Wait == nil || it.Repeats {
			return
		}
		if len(w.Back.WaitFor) == 0 {
			n.end = max(n.end, waitOf(w.Back.Wait))
		}
		for _, id := range w.Back.WaitFor {
			n.back[t.at[id]] = max(n.back[t.at[id]], waitOf(w.Back.Wait))
		}
	})
}

// names reports that a need asks for an item outright.
func names(n access.Need, id string) bool {
	if n.Any != nil {
		return len(n.Any) == 1 && names(n.Any[0], id)
	}
	return n.Item == id || slices.ContainsFunc(n.All, func(k access.Need) bool { return names(k, id) })
}

// stands reports that a need holds on the way back: at ride height without its
// conditions, and for what was out of the way at the start without what was
// not.
func (t *twin) stands(s *twinState, n access.Need, ground, was bool) bool {
	switch {
	case n.Item != "":
		i := t.at[n.Item]
		if t.items[i].Repeats && ground || !t.items[i].Repeats && was && !t.fits(n, t.was[i]) {
			return true
		}
		return t.fits(n, s.out[i])
	case n.Any != nil:
		return slices.ContainsFunc(n.Any, func(k access.Need) bool { return t.stands(s, k, ground, was) })
	}
	return !slices.ContainsFunc(n.All, func(k access.Need) bool { return !t.stands(s, k, ground, was) })
}

func (t *twin) work(k int) *access.Work {
	it := &t.items[t.at[t.req.Targets[k].Item]]
	for i := range it.Work {
		if it.Work[i].Action == t.req.Targets[k].Action {
			return &it.Work[i]
		}
	}
	return &access.Work{}
}

func (t *twin) works(s *twinState) {
	for k, target := range t.req.Targets {
		w := t.work(k)
		if s.worked&(1<<k) != 0 || t.lacks(w.Tools) {
			continue
		}
		need := access.Need{Item: target.Item}
		if target.Action == access.Replace || target.Action == access.Reseal {
			need.Way = "off"
		}
		if w.Needs != nil {
			need = access.Need{All: w.Needs}
		}
		wait, ok := t.since(s, need)
		if !ok {
			continue
		}
		t.do(s, "work", target.Item, w.Hands, t.tool(w.Tools), wait, w.Minutes.Mean(), func(n *twinState) {
			n.worked |= 1 << k
			if i := t.at[target.Item]; n.out[i] > 0 && !t.items[i].Repeats {
				n.back[i] = max(n.back[i], waitOf(w.Wait))
			} else {
				n.end = max(n.end, waitOf(w.Wait))
			}
		})
	}
}

// filling is the minutes of filling a fluid, 0 if none came out.
func (t *twin) filling(s *twinState, fluid int) ticks {
	longest := ticks(0)
	for i, w := range s.ever {
		if w == 0 || t.items[i].Repeats {
			continue
		}
		for _, f := range t.items[i].Ways[w-1].Fluids.Items {
			if f.Name == t.fluids[fluid] {
				longest = max(longest, ticksOf(f.Minutes.Mean()))
			}
		}
	}
	return longest
}

// unfilled is the set of fluids that came out and are not filled.
func (t *twin) unfilled(s *twinState) int {
	set := 0
	for i, w := range s.ever {
		if w > 0 && !t.items[i].Repeats {
			for _, f := range t.items[i].Ways[w-1].Fluids.Items {
				set |= 1 << slices.Index(t.fluids, f.Name)
			}
		}
	}
	return set &^ s.filled
}

func (t *twin) fills(s *twinState) {
	for k, f := range t.fluids {
		if t.unfilled(s)&(1<<k) == 0 {
			continue
		}
		open := false
		for i, w := range s.out {
			if w == 0 || t.items[i].Repeats {
				continue
			}
			way := &t.items[i].Ways[w-1]
			open = open || way.Back.BeforeFilling ||
				slices.ContainsFunc(way.Fluids.Items, func(x access.Fluid) bool { return x.Name == f }) ||
				slices.ContainsFunc(way.Opens, func(j access.Joint) bool { return j.Kind == f })
		}
		if !open {
			t.do(s, "fill", f, "", 0, s.end, float64(t.filling(s, k))/2, func(n *twinState) { n.filled |= 1 << k })
		}
	}
}
