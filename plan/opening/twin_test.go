package opening

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"lastbolt/plan/access"
)

// A twin finds the least minutes of a request the slow and obvious way: every
// choice of ways, every order. It reads the map itself and shares no code with
// the planner.
type twin struct {
	req     Request
	items   map[string]*access.Item
	pick    map[string]*access.Way // the choice being ordered
	was     map[string]bool        // out of the way at the start
	best    float64
	seen    map[string]float64
	lenient bool   // items that are not out of the way at the start count as out
	trace   string // of the best order, for failures
}

type twinState struct {
	phase       int // 0 down, 1 work, 2 up
	out         []string
	worked      []int
	filled      []string
	on          []string
	place, tool string
	idle        []string // conditions whose state nothing has asked for since they were switched
	time        float64
	ready       map[string]float64
	trace       []string
}

func (s *twinState) clone() *twinState {
	c := *s
	c.out, c.worked, c.filled, c.on = slices.Clone(s.out), slices.Clone(s.worked), slices.Clone(s.filled), slices.Clone(s.on)
	c.idle = slices.Clone(s.idle)
	c.ready = map[string]float64{}
	for k, v := range s.ready {
		c.ready[k] = v
	}
	return &c
}

// bruteForce gives the least minutes, +Inf if there is no plan, and an order.
func bruteForce(req Request) (float64, string) {
	t := &twin{req: req, items: map[string]*access.Item{}, best: math.Inf(1), was: map[string]bool{}}
	var ids []string
	for i := range req.Map.Items {
		it := &req.Map.Items[i]
		t.items[it.ID] = it
		ids = append(ids, it.ID)
	}
	t.pick = map[string]*access.Way{}
	for _, a := range req.Already {
		id, way, _ := strings.Cut(a, "/")
		t.was[id] = true
		t.pick[id] = &t.items[id].Ways[0]
		for k := range t.items[id].Ways {
			if t.items[id].Ways[k].ID == way {
				t.pick[id] = &t.items[id].Ways[k]
			}
		}
	}
	t.choose(ids)
	return t.best, t.trace
}

func (t *twin) choose(ids []string) {
	if len(ids) == 0 {
		t.orderChoice()
		return
	}
	id := ids[0]
	if t.was[id] {
		t.choose(ids[1:])
		return
	}
	t.choose(ids[1:])
	if slices.Contains(t.req.KeepClosed, id) {
		return
	}
	for k := range t.items[id].Ways {
		w := &t.items[id].Ways[k]
		if slices.ContainsFunc(w.Opens, func(j access.Joint) bool { return slices.Contains(t.req.KeepClosed, j.Kind) }) {
			continue
		}
		t.pick[id] = w
		t.choose(ids[1:])
		delete(t.pick, id)
	}
}

func (t *twin) hands() float64 {
	sum := 0.0
	for id, w := range t.pick {
		sum += w.Minutes.On.Mean()
		if !t.was[id] {
			sum += w.Minutes.Off.Mean()
		}
	}
	return sum
}

func (t *twin) orderChoice() {
	if t.hands() >= t.best || !t.asked() {
		return
	}
	everything := func(string) bool { return true }
	for id, w := range t.pick {
		if !t.was[id] && !t.holds(all(w.Needs), everything, everything) {
			return
		}
		if !t.mirrorHolds(id, everything, everything) {
			return
		}
	}
	for i := range t.req.Targets {
		if !t.holds(t.workNeed(i), everything, everything) {
			return
		}
	}
	t.seen = map[string]float64{}
	s := &twinState{ready: map[string]float64{}}
	for id := range t.pick {
		if t.was[id] {
			if t.items[id].Repeats {
				s.on = append(s.on, id)
			} else {
				s.out = append(s.out, id)
			}
		}
	}
	slices.Sort(s.out)
	slices.Sort(s.on)
	t.walk(s)
}

// asked reports that every chosen item is named by a need of something that is
// in the plan for a reason: nothing is opened for no reason at all.
func (t *twin) asked() bool {
	named := map[string]bool{}
	var name func(n access.Need)
	name = func(n access.Need) {
		if n.Item != "" && !named[n.Item] && t.pick[n.Item] != nil {
			named[n.Item] = true
			w := t.pick[n.Item]
			if !t.was[n.Item] || w.Back.Still == nil {
				name(all(w.Needs))
			}
			for _, id := range w.Back.Still {
				name(access.Need{Item: id})
			}
		}
		for _, k := range append(slices.Clone(n.All), n.Any...) {
			name(k)
		}
	}
	for i := range t.req.Targets {
		name(t.workNeed(i))
	}
	for id := range t.was {
		name(access.Need{Item: id})
	}
	return len(named) == len(t.pick)
}

func all(n []access.Need) access.Need { return access.Need{All: append([]access.Need{}, n...)} }

// holds evaluates a need; out and on say what is out of the way and holds,
// among the chosen items.
func (t *twin) holds(n access.Need, out, on func(string) bool) bool {
	switch {
	case n.Item != "":
		w := t.pick[n.Item]
		if t.lenient && !t.items[n.Item].Repeats && (!t.was[n.Item] || n.Way != "" && w.ID != n.Way && string(kindOf(w)) != n.Way) {
			return true
		}
		if w == nil || n.Way != "" && w.ID != n.Way && string(w.Kind) != n.Way && !(w.Kind == "" && n.Way == "off") {
			return false
		}
		if t.items[n.Item].Repeats {
			return on(n.Item)
		}
		return out(n.Item)
	case n.Any != nil:
		return slices.ContainsFunc(n.Any, func(k access.Need) bool { return t.holds(k, out, on) })
	}
	return !slices.ContainsFunc(n.All, func(k access.Need) bool { return !t.holds(k, out, on) })
}

func (t *twin) mirrorHolds(id string, out, on func(string) bool) bool {
	w := t.pick[id]
	if t.was[id] { // it came off so, and will go back so
		really := out
		out = func(o string) bool { return !t.was[o] || really(o) }
		t.lenient = true
		defer func() { t.lenient = false }()
	}
	if w.Back.Ground {
		on = func(string) bool { return true }
	}
	if w.Back.Still == nil {
		if w.Back.Ground {
			return t.holdsGrounded(all(w.Needs), out)
		}
		return t.holds(all(w.Needs), out, on)
	}
	for _, id := range w.Back.Still {
		if w.Back.Ground && t.items[id].Repeats {
			continue
		}
		if !t.holds(access.Need{Item: id}, out, on) {
			return false
		}
	}
	return true
}

// holdsGrounded takes every repeating condition for granted, chosen or not.
func (t *twin) holdsGrounded(n access.Need, out func(string) bool) bool {
	switch {
	case n.Item != "":
		return t.items[n.Item].Repeats || t.holds(n, out, nil)
	case n.Any != nil:
		return slices.ContainsFunc(n.Any, func(k access.Need) bool { return t.holdsGrounded(k, out) })
	}
	return !slices.ContainsFunc(n.All, func(k access.Need) bool { return !t.holdsGrounded(k, out) })
}

func (t *twin) work(i int) *access.Work {
	it := t.items[t.req.Targets[i].Item]
	for k := range it.Work {
		if it.Work[k].Action == t.req.Targets[i].Action {
			return &it.Work[k]
		}
	}
	return &access.Work{}
}

func (t *twin) workNeed(i int) access.Need {
	if w := t.work(i); w.Needs != nil {
		return all(w.Needs)
	}
	n := access.Need{Item: t.req.Targets[i].Item}
	if a := t.req.Targets[i].Action; a == access.Replace || a == access.Reseal {
		n.Way = "off"
	}
	return n
}

// steady is the number of chosen items that are no repeating conditions.
func (t *twin) steady() int {
	n := 0
	for id := range t.pick {
		if !t.items[id].Repeats {
			n++
		}
	}
	return n
}

func (t *twin) fluids() []string {
	var f []string
	for _, w := range t.pick {
		for _, x := range w.Fluids.Items {
			if !slices.Contains(f, x.Name) {
				f = append(f, x.Name)
			}
		}
	}
	slices.Sort(f)
	return f
}

func (t *twin) walk(s *twinState) {
	if s.phase == 0 && len(s.out) == t.steady() {
		s = s.clone()
		s.phase = 1
	}
	if s.phase == 1 && len(s.worked) == len(t.req.Targets) {
		s = s.clone()
		s.phase = 2
	}
	if s.phase == 2 && len(s.out) == 0 && len(s.on) == 0 && len(s.filled) == len(t.fluids()) {
		end := s.time
		for k, r := range s.ready {
			if strings.HasPrefix(k, "end") {
				end = max(end, r)
			}
		}
		if end < t.best {
			t.best, t.trace = end, strings.Join(s.trace, "\n")
		}
		return
	}
	if s.time >= t.best {
		return
	}
	key := fmt.Sprint(s.phase, s.out, s.worked, s.filled, s.on, s.place, s.tool, s.idle, s.ready)
	if old, ok := t.seen[key]; ok && old <= s.time+1e-12 {
		return
	}
	t.seen[key] = s.time
	t.flips(s)
	switch s.phase {
	case 0:
		t.downs(s)
	case 1:
		t.works(s)
	case 2:
		t.ups(s)
	}
}

func in(l []string) func(string) bool {
	return func(id string) bool { return slices.Contains(l, id) }
}

// with is the state with one condition the other way round.
func (s *twinState) with(id string) *twinState {
	c := s.clone()
	if slices.Contains(c.on, id) {
		c.on = slices.DeleteFunc(c.on, func(o string) bool { return o == id })
	} else {
		c.on = append(c.on, id)
	}
	return c
}

// do performs one step that can begin at ready, if it is allowed, and goes on
// from there.
func (t *twin) do(s *twinState, allowed func(*twinState) bool, place string, tools access.List[access.Tool], minutes, ready float64, then func(*twinState)) {
	t.act(s, allowed, func(*twinState) float64 { return ready }, place, tools, minutes, then)
}

// act is do where what holds decides when the step can begin.
func (t *twin) act(s *twinState, allowed func(*twinState) bool, ready func(*twinState) float64, place string, tools access.List[access.Tool], minutes float64, then func(*twinState)) {
	n := s.clone()
	if !allowed(s) {
		return
	}
	cost := 0.0
	if place != "" && place != s.place {
		cost += t.move(s.place, place)
		n.place = place
	}
	if len(tools.Items) > 0 && tools.Items[0].Any[0] != s.tool {
		cost += t.req.Map.SetUp.Tool
		n.tool = tools.Items[0].Any[0]
	}
	start := max(s.time+cost, ready(s))
	n.idle = slices.DeleteFunc(n.idle, func(id string) bool { return !allowed(s.with(id)) || ready(s.with(id)) > start })
	n.time = start + minutes
	then(n)
	n.trace = append(slices.Clone(s.trace), fmt.Sprintf("at %v: %v filled %v worked %v on %v by %v", n.time, n.out, n.filled, n.worked, n.on, t.names()))
	t.walk(n)
}

func (t *twin) names() []string {
	var s []string
	for id, w := range t.pick {
		s = append(s, id+"/"+w.ID)
	}
	slices.Sort(s)
	return s
}

// move is the cheapest way from a place to another, by Bellman and Ford.
func (t *twin) move(from, to string) float64 {
	cost := map[string]float64{from: 0}
	for range t.req.Map.Positions {
		for a, c := range cost {
			for _, p := range t.req.Map.Positions {
				step := t.req.Map.SetUp.Position
				for _, b := range t.req.Map.SetUp.Between {
					if b.From == a && b.To == p.ID {
						step = b.Minutes
					}
				}
				if old, ok := cost[p.ID]; !ok || c+step < old {
					cost[p.ID] = c + step
				}
			}
		}
	}
	return cost[to]
}

// ready is when the waits behind a need are over: of an any, the first that
// will do.
func (t *twin) ready(s *twinState, n access.Need, out, on func(string) bool) float64 {
	switch {
	case n.Item != "":
		if !t.holds(n, out, on) {
			return math.Inf(1)
		}
		return s.ready["item "+n.Item]
	case n.Any != nil:
		best := math.Inf(1)
		for _, k := range n.Any {
			best = min(best, t.ready(s, k, out, on))
		}
		return best
	}
	worst := 0.0
	for _, k := range n.All {
		worst = max(worst, t.ready(s, k, out, on))
	}
	return worst
}

func (t *twin) stillOK(s *twinState, still []string) bool {
	return !slices.ContainsFunc(still, func(id string) bool { return slices.Contains(s.out, id) || slices.Contains(s.on, id) })
}

func trouble(w *access.Way) float64 {
	sum := 0.0
	for _, x := range w.Trouble {
		sum += x.Odds * x.Minutes
	}
	return sum
}

func waitOf(w *access.Wait) float64 {
	if w == nil {
		return 0
	}
	return w.Minutes.Mean()
}

func (t *twin) downs(s *twinState) {
	for id, w := range t.pick {
		if t.items[id].Repeats || slices.Contains(s.out, id) {
			continue
		}
		need := all(w.Needs)
		allowed := func(s *twinState) bool { return t.stillOK(s, w.Still) && t.holds(need, in(s.out), in(s.on)) }
		t.act(s, allowed, func(s *twinState) float64 { return t.ready(s, need, in(s.out), in(s.on)) }, w.Hands, w.Tools, w.Minutes.Off.Mean()+trouble(w), func(n *twinState) {
			n.out = append(n.out, id)
			slices.Sort(n.out)
			if waitOf(w.Wait) > 0 {
				n.ready["item "+id] = n.time + waitOf(w.Wait)
			}
		})
	}
}

func (t *twin) works(s *twinState) {
	for i := range t.req.Targets {
		if slices.Contains(s.worked, i) {
			continue
		}
		need, w := t.workNeed(i), t.work(i)
		allowed := func(s *twinState) bool { return t.holds(need, in(s.out), in(s.on)) }
		t.act(s, allowed, func(s *twinState) float64 { return t.ready(s, need, in(s.out), in(s.on)) }, w.Hands, w.Tools, w.Minutes.Mean(), func(n *twinState) {
			n.worked = append(n.worked, i)
			slices.Sort(n.worked)
			if waitOf(w.Wait) == 0 {
				return
			}
			item := t.req.Targets[i].Item
			if t.pick[item] != nil && !t.items[item].Repeats {
				k := "back " + item
				n.ready[k] = max(n.ready[k], n.time+waitOf(w.Wait))
				return
			}
			n.ready[fmt.Sprint("end ", i)] = n.time + waitOf(w.Wait)
		})
	}
}

func (t *twin) ups(s *twinState) {
	for _, id := range s.out {
		w := t.pick[id]
		allowed := func(s *twinState) bool {
			return t.stillOK(s, w.Back.After) && !(w.Back.Ground && len(s.on) > 0) && t.mirrorHolds(id, in(s.out), in(s.on))
		}
		rest := slices.DeleteFunc(slices.Clone(s.out), func(o string) bool { return o == id })
		hands := w.Hands
		if w.Back.Hands != "" {
			hands = w.Back.Hands
		}
		t.do(s, allowed, hands, w.Tools, w.Minutes.On.Mean(), max(s.ready["item "+id], s.ready["back "+id]), func(n *twinState) {
			n.out = rest
			wait := waitOf(w.Back.Wait)
			if wait == 0 {
				return
			}
			if len(w.Back.WaitFor) == 0 {
				n.ready["end of "+id] = n.time + wait
			}
			for _, f := range w.Back.WaitFor {
				n.ready["back "+f] = max(n.ready["back "+f], n.time+wait)
			}
		})
	}
	for _, f := range t.fluids() {
		if slices.Contains(s.filled, f) || !t.mayFill(s, f) {
			continue
		}
		ready := 0.0
		for k, r := range s.ready {
			if strings.HasPrefix(k, "end") {
				ready = max(ready, r)
			}
		}
		t.do(s, func(*twinState) bool { return true }, "", access.List[access.Tool]{}, t.filling(f), ready, func(n *twinState) {
			n.filled = append(n.filled, f)
			slices.Sort(n.filled)
		})
	}
}

func (t *twin) filling(fluid string) float64 {
	longest := 0.0
	for _, w := range t.pick {
		for _, x := range w.Fluids.Items {
			if x.Name == fluid {
				longest = max(longest, x.Minutes.Mean())
			}
		}
	}
	return longest
}

func (t *twin) mayFill(s *twinState, fluid string) bool {
	for _, id := range s.out {
		w := t.pick[id]
		if w.Back.BeforeFilling || slices.ContainsFunc(w.Fluids.Items, func(x access.Fluid) bool { return x.Name == fluid }) ||
			slices.ContainsFunc(w.Opens, func(j access.Joint) bool { return j.Kind == fluid }) {
			return false
		}
	}
	return true
}

func (t *twin) flips(s *twinState) {
	for id, w := range t.pick {
		if !t.items[id].Repeats || slices.Contains(s.idle, id) {
			continue
		}
		if !slices.Contains(s.on, id) {
			need := all(w.Needs)
			allowed := func(s *twinState) bool { return t.stillOK(s, w.Still) && t.holds(need, in(s.out), in(s.on)) }
			t.act(s, allowed, func(s *twinState) float64 { return t.ready(s, need, in(s.out), in(s.on)) }, w.Hands, w.Tools, w.Minutes.Off.Mean()+trouble(w), func(n *twinState) {
				n.on, n.idle = append(n.on, id), append(n.idle, id)
				slices.Sort(n.on)
				slices.Sort(n.idle)
			})
			continue
		}
		rest := slices.DeleteFunc(slices.Clone(s.on), func(o string) bool { return o == id })
		allowed := func(s *twinState) bool { return t.stillOK(s, w.Back.After) && t.mirrorHolds(id, in(s.out), in(s.on)) }
		hands := w.Hands
		if w.Back.Hands != "" {
			hands = w.Back.Hands
		}
		t.do(s, allowed, hands, w.Tools, w.Minutes.On.Mean(), s.ready["back "+id], func(n *twinState) {
			n.on, n.idle = rest, append(n.idle, id)
			slices.Sort(n.idle)
		})
	}
}
