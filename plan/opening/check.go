package opening

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"lastbolt/plan/access"
)

// slack is the rounding that Check forgives, in minutes.
const slack = 1e-6

// Check follows a plan step by step on its map and lists, in sentences, where
// it breaks a rule: a need that does not hold, something not put back, a time
// that does not add up. An empty list means that the plan is sound; it does
// not say that it is the best. Check shares no code with the planner.
func Check(req Request, p *Plan) []string {
	c := checker{req: req, items: map[string]*access.Item{}, out: map[string]*access.Way{}, ready: map[string]float64{}}
	for i := range req.Map.Items {
		c.items[req.Map.Items[i].ID] = &req.Map.Items[i]
	}
	c.begin()
	for i := range p.Steps {
		c.step(&p.Steps[i])
	}
	c.end(p)
	return c.wrong
}

type checker struct {
	req    Request
	items  map[string]*access.Item
	out    map[string]*access.Way // what is out of the way, or holds, and how
	was    map[string]bool        // out of the way at the start
	begun  map[string]*access.Way // everything that was ever out of the way
	ready  map[string]float64     // when the wait behind an item, or before one goes back, is over
	full   float64                // when filling may begin, and the vehicle be released
	worked []Target
	filled []string
	phase  Phase
	now    float64
	place  string
	tool   string
	wrong  []string
}

func (c *checker) fault(s *Step, format string, args ...any) {
	c.wrong = append(c.wrong, s.ID+": "+fmt.Sprintf(format, args...)+".")
}

func (c *checker) begin() {
	c.was, c.begun, c.phase = map[string]bool{}, map[string]*access.Way{}, Down
	for _, a := range c.req.Already {
		id, way, _ := strings.Cut(a, "/")
		if it := c.items[id]; it != nil && !c.was[id] {
			c.was[id] = true
			c.out[id] = c.wayOf(it, way)
			c.begun[id] = c.out[id]
		}
	}
}

// wayOf finds a way by its id; no id means the first.
func (c *checker) wayOf(it *access.Item, id string) *access.Way {
	for k := range it.Ways {
		if it.Ways[k].ID == id || id == "" {
			return &it.Ways[k]
		}
	}
	return nil
}

func (c *checker) step(s *Step) {
	if rank(s.Phase) < rank(c.phase) {
		c.fault(s, "it is %s, but the plan had come to %s", s.Phase, c.phase)
	}
	c.phase = s.Phase
	if math.Abs(s.Start-c.now) > slack {
		c.fault(s, "it starts at %.3f, but the step before ends at %.3f", s.Start, c.now)
	}
	if math.Abs(s.Start+s.SetUp+s.Idle+s.Hand+s.Trouble-s.End) > slack {
		c.fault(s, "its minutes do not add up to its end")
	}
	switch it := c.items[s.Item]; {
	case s.Fluid != "":
		c.fill(s)
	case it == nil:
		c.fault(s, "there is no item %q", s.Item)
	case s.Action != "":
		c.work(s, it)
	case s.Back:
		c.back(s, it)
	default:
		c.open(s, it)
	}
	c.now = s.End
}

func rank(p Phase) int { return slices.Index([]Phase{Down, Bottom, Up}, p) }

// times checks what a step costs and how long it must wait.
func (c *checker) times(s *Step, span access.Span, trouble float64, hands string, tools access.List[access.Tool], ready float64) {
	if math.Abs(s.Hand-(span.Low+4*span.Likely+span.High)/6) > slack || math.Abs(s.Trouble-trouble) > slack {
		c.fault(s, "its hand minutes are not those of the map")
	}
	setUp := 0.0
	if hands != "" && hands != c.place {
		setUp += c.distance(c.place, hands)
		c.place = hands
	}
	if t := c.mainTool(tools); t != "" && t != c.tool {
		setUp += c.req.Map.SetUp.Tool
		c.tool = t
	}
	idle := max(0, ready-s.Start-setUp)
	if s.AheadHands != "" {
		setUp += c.distance(c.place, s.AheadHands)
		c.place = s.AheadHands
	}
	if s.AheadTool != "" {
		setUp += c.req.Map.SetUp.Tool
		c.tool = s.AheadTool
	}
	if idle == 0 && s.AheadHands+s.AheadTool != "" || hands != "" && s.AheadHands != "" || c.mainTool(tools) != "" && s.AheadTool != "" {
		c.fault(s, "there is no wait to change over in for a later step")
	}
	if math.Abs(setUp-s.SetUp) > slack {
		c.fault(s, "changing over takes %.3f minutes, not %.3f", setUp, s.SetUp)
	}
	if idle = max(0, ready-s.Start-s.SetUp); math.Abs(idle-s.Idle) > slack {
		c.fault(s, "it has to wait %.3f minutes, not %.3f", idle, s.Idle)
	}
}

func (c *checker) mainTool(l access.List[access.Tool]) string {
	if len(l.Items) == 0 {
		return ""
	}
	for _, n := range l.Items[0].Any {
		if slices.Contains(c.req.Tools, n) {
			return n
		}
	}
	return l.Items[0].Any[0]
}

// distance is the cheapest change of position, over others if need be.
func (c *checker) distance(from, to string) float64 {
	cost := map[string]float64{from: 0}
	for range c.req.Map.Positions {
		for a, so := range cost {
			for _, p := range c.req.Map.Positions {
				leg := c.req.Map.SetUp.Position
				for _, b := range c.req.Map.SetUp.Between {
					if b.From == a && b.To == p.ID {
						leg = b.Minutes
					}
				}
				if old, ok := cost[p.ID]; !ok || so+leg < old {
					cost[p.ID] = so + leg
				}
			}
		}
	}
	return cost[to]
}

func (c *checker) open(s *Step, it *access.Item) {
	w := c.wayOf(it, s.Way)
	if w == nil || s.Way == "" {
		c.fault(s, "there is no way %q", s.Way)
		return
	}
	if s.Phase != Down && !it.Repeats {
		c.fault(s, "it takes something off after the way down")
	}
	if c.out[it.ID] != nil {
		c.fault(s, "it is out of the way already")
	}
	if slices.Contains(c.req.KeepClosed, it.ID) {
		c.fault(s, "it was to be kept closed")
	}
	for _, j := range w.Opens {
		if slices.Contains(c.req.KeepClosed, j.Kind) {
			c.fault(s, "it opens %s, which was to be kept closed", j.Kind)
		}
	}
	ready := c.demand(s, access.Need{All: w.Needs})
	for _, f := range w.Still {
		if f != it.ID && c.out[f] != nil {
			c.fault(s, "%s should still be fitted", f)
		}
	}
	trouble := 0.0
	for _, t := range w.Trouble {
		trouble += t.Odds * t.Minutes
	}
	c.times(s, w.Minutes.Off, trouble, w.Hands, w.Tools, ready)
	c.out[it.ID], c.begun[it.ID] = w, w
	if w.Wait != nil {
		c.ready["open "+it.ID] = s.End + minutesOf(w.Wait)
	}
}

func minutesOf(w *access.Wait) float64 {
	return (w.Minutes.Low + 4*w.Minutes.Likely + w.Minutes.High) / 6
}

// demand checks that a need holds and gives the minute from which it does.
func (c *checker) demand(s *Step, n access.Need) float64 {
	at := c.since(n)
	if math.IsInf(at, 1) {
		c.fault(s, "what it needs is not out of the way")
		return 0
	}
	return at
}

// since is the minute from which a need holds, +Inf if it does not.
func (c *checker) since(n access.Need) float64 {
	if n.Item != "" {
		w := c.out[n.Item]
		if w == nil || n.Way != "" && w.ID != n.Way && string(w.Kind) != n.Way && !(w.Kind == "" && n.Way == string(access.Off)) {
			return math.Inf(1)
		}
		return c.ready["open "+n.Item]
	}
	if n.Any != nil {
		at := math.Inf(1)
		for _, k := range n.Any {
			at = min(at, c.since(k))
		}
		return at
	}
	at := 0.0
	for _, k := range n.All {
		at = max(at, c.since(k))
	}
	return at
}

func (c *checker) work(s *Step, it *access.Item) {
	t := Target{s.Item, s.Action}
	if !slices.Contains(c.req.Targets, t) || slices.Contains(c.worked, t) {
		c.fault(s, "it was not asked for, or is done twice")
	}
	c.worked = append(c.worked, t)
	need := access.Need{Item: it.ID}
	if t.Action == access.Replace || t.Action == access.Reseal {
		need.Way = string(access.Off)
	}
	var w access.Work
	for _, x := range it.Work {
		if x.Action == t.Action {
			w = x
			if w.Needs != nil {
				need = access.Need{All: w.Needs}
			}
			break
		}
	}
	c.times(s, w.Minutes, 0, w.Hands, w.Tools, c.demand(s, need))
	if w.Wait == nil {
		return
	}
	if c.out[it.ID] != nil && !it.Repeats {
		c.delay("back "+it.ID, s.End+minutesOf(w.Wait))
	} else {
		c.full = max(c.full, s.End+minutesOf(w.Wait))
	}
}

func (c *checker) delay(key string, to float64) { c.ready[key] = max(c.ready[key], to) }

func (c *checker) back(s *Step, it *access.Item) {
	w := c.out[it.ID]
	if w == nil {
		c.fault(s, "it is not out of the way")
		return
	}
	if s.Phase != Up && !it.Repeats {
		c.fault(s, "it puts something back before the way up")
	}
	c.backRules(s, it, w)
	hands := w.Hands
	if w.Back.Hands != "" {
		hands = w.Back.Hands
	}
	ready := c.ready["back "+it.ID]
	if !it.Repeats {
		ready = max(ready, c.ready["open "+it.ID])
	}
	for id, x := range c.out { // a condition that has to hold for this has to be reached
		if c.items[id].Repeats && !w.Back.Ground && !it.Repeats && c.wants(w, id) && x.Wait != nil {
			ready = max(ready, c.ready["open "+id])
		}
	}
	c.times(s, w.Minutes.On, 0, hands, w.Tools, ready)
	delete(c.out, it.ID)
	if w.Back.Wait == nil || it.Repeats {
		return
	}
	over := s.End + minutesOf(w.Back.Wait)
	if len(w.Back.WaitFor) == 0 {
		c.full = max(c.full, over)
	}
	for _, id := range w.Back.WaitFor {
		c.delay("back "+id, over)
	}
}

// wants reports that a way's need on the way back names a condition outright.
func (c *checker) wants(w *access.Way, id string) bool {
	if w.Back.Still != nil {
		return slices.Contains(w.Back.Still, id)
	}
	var in func(access.Need) bool
	in = func(n access.Need) bool {
		return n.Item == id || n.Any == nil && slices.ContainsFunc(n.All, in) || len(n.Any) == 1 && in(n.Any[0])
	}
	return slices.ContainsFunc(w.Needs, in)
}

// backRules checks what must hold while something is put back, or ended.
func (c *checker) backRules(s *Step, it *access.Item, w *access.Way) {
	need := access.Need{All: append([]access.Need{}, w.Needs...)}
	if w.Back.Still != nil {
		need = access.Need{All: []access.Need{}}
		for _, id := range w.Back.Still {
			need.All = append(need.All, access.Need{Item: id})
		}
	}
	if !c.stands(need, w.Back.Ground, c.was[it.ID]) {
		c.fault(s, "what should still be out of the way is not")
	}
	for _, id := range w.Back.After {
		if c.out[id] != nil {
			c.fault(s, "%s goes back first", id)
		}
	}
	if w.Back.Ground {
		for id := range c.out {
			if c.items[id].Repeats {
				c.fault(s, "the vehicle is not at ride height: %s", id)
			}
		}
	}
}

// stands is whether a need holds on the way back. At ride height conditions
// that repeat do not count; of something that was open at the start, neither
// do items that were not.
func (c *checker) stands(n access.Need, ground, lenient bool) bool {
	switch {
	case n.Item != "":
		if it := c.items[n.Item]; it != nil && (ground && it.Repeats || lenient && !it.Repeats && !c.wasBy(n)) {
			return true
		}
		return !math.IsInf(c.since(n), 1)
	case n.Any != nil:
		return slices.ContainsFunc(n.Any, func(k access.Need) bool { return c.stands(k, ground, lenient) })
	}
	return !slices.ContainsFunc(n.All, func(k access.Need) bool { return !c.stands(k, ground, lenient) })
}

// wasBy reports that a need's item was out of the way at the start, by a way
// that will do.
func (c *checker) wasBy(n access.Need) bool {
	w := c.begun[n.Item]
	return c.was[n.Item] && (n.Way == "" || w.ID == n.Way || string(w.Kind) == n.Way || w.Kind == "" && n.Way == string(access.Off))
}

func (c *checker) fill(s *Step) {
	if slices.Contains(c.filled, s.Fluid) || !slices.Contains(c.drained(), s.Fluid) {
		c.fault(s, "nothing has to be filled")
	}
	if s.Phase != Up {
		c.fault(s, "it fills before the way up")
	}
	c.filled = append(c.filled, s.Fluid)
	for id, w := range c.out {
		closes := slices.ContainsFunc(w.Fluids.Items, func(f access.Fluid) bool { return f.Name == s.Fluid }) ||
			slices.ContainsFunc(w.Opens, func(j access.Joint) bool { return j.Kind == jointOf(s.Fluid) })
		if !c.items[id].Repeats && (w.Back.BeforeFilling || closes) {
			c.fault(s, "%s is not back yet", id)
		}
	}
	longest := access.Span{}
	for id, w := range c.begun {
		for _, f := range w.Fluids.Items {
			if t := f.Minutes; f.Name == s.Fluid && !c.items[id].Repeats && t.Low+4*t.Likely+t.High > longest.Low+4*longest.Likely+longest.High {
				longest = t
			}
		}
	}
	c.times(s, longest, 0, "", access.List[access.Tool]{}, c.full)
}

// drained lists the fluids that have come out.
func (c *checker) drained() []string {
	var all []string
	for id, w := range c.begun {
		for _, f := range w.Fluids.Items {
			if !c.items[id].Repeats && !slices.Contains(all, f.Name) {
				all = append(all, f.Name)
			}
		}
	}
	return all
}

func (c *checker) end(p *Plan) {
	last := &Step{ID: "at the end"}
	for id := range c.out {
		c.fault(last, "%s is not back", id)
	}
	for _, f := range c.drained() {
		if !slices.Contains(c.filled, f) {
			c.fault(last, "%s is not filled", f)
		}
	}
	for _, t := range c.req.Targets {
		if !slices.Contains(c.worked, t) {
			c.fault(last, "%s of %s is not done", t.Action, t.Item)
		}
	}
	if tail := max(0, c.full-c.now); math.Abs(tail-p.Tail) > slack {
		c.fault(last, "the vehicle has to stand %.3f minutes, not %.3f", tail, p.Tail)
	}
	if math.Abs(c.now+p.Tail-p.Minutes) > slack {
		c.fault(last, "the steps take %.3f minutes, not %.3f", c.now+p.Tail, p.Minutes)
	}
	slices.Sort(c.wrong)
}
