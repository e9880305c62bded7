package opening

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"lastbolt/plan/access"
)

// An anyMap makes small random maps in which everything turns up that the
// format can say and a plan depends on. One map is full of waits, another of
// conditions, a third of rules: the odds differ from map to map.
type anyMap struct {
	rand                                *rand.Rand
	n                                   int
	waits, conds, rules, alts, lazyness float64 // odds
	tools                               int
}

var anyPlaces = []string{"", "a", "b", "c"}

func (g *anyMap) chance(p float64) bool { return g.rand.Float64() < p }
func (g *anyMap) id(i int) string       { return fmt.Sprint("i", i) }

// minutes are whole or half, often none.
func (g *anyMap) minutes(most int) access.Span {
	if g.chance(0.15) {
		return span(0)
	}
	return span(float64(g.rand.IntN(2*most+1)) / 2)
}

func (g *anyMap) wait() *access.Wait {
	return &access.Wait{Kind: "soak", Minutes: g.minutes(20)}
}

func (g *anyMap) other(i int) string { // mostly earlier items, so that most maps can be opened
	if g.chance(0.1) {
		return g.id(g.rand.IntN(g.n))
	}
	return g.id(g.rand.IntN(max(i, 1)))
}

func (g *anyMap) place() string {
	if g.chance(g.lazyness) {
		return ""
	}
	return anyPlaces[1+g.rand.IntN(3)]
}

func (g *anyMap) kit() access.List[access.Tool] {
	if g.chance(g.lazyness) {
		return access.List[access.Tool]{Given: g.chance(0.5)}
	}
	l := access.List[access.Tool]{Given: true}
	for range 1 + g.rand.IntN(5)/4 {
		t := access.Tool{Any: []string{fmt.Sprint("t", g.rand.IntN(g.tools))}}
		if g.chance(0.2) {
			t.Any = append(t.Any, fmt.Sprint("t", g.rand.IntN(g.tools)))
		}
		l.Items = append(l.Items, t)
	}
	return l
}

// need is a need of the i-th item, with alternatives in alternatives up to a
// depth.
func (g *anyMap) need(i, depth int) access.Need {
	if depth > 0 && g.chance(g.alts) {
		var kids []access.Need
		for range 1 + g.rand.IntN(3) {
			kids = append(kids, g.need(i, depth-1))
		}
		if g.chance(0.3) {
			return access.Need{All: kids}
		}
		return access.Need{Any: kids}
	}
	n := access.Need{Item: g.other(i)}
	if g.chance(0.15) {
		n.Way = []string{"off", "aside", "w0", "w1"}[g.rand.IntN(4)]
	}
	return n
}

func (g *anyMap) way(i, w int, repeats bool) access.Way {
	way := access.Way{ID: fmt.Sprint("w", w), Hands: g.place(), Tools: g.kit()}
	if w > 0 && g.chance(0.6) {
		way.Kind = access.Aside
	}
	way.Minutes = access.BothWays{Off: g.minutes(8), On: g.minutes(8)}
	if i > 0 {
		for range g.rand.IntN(3) {
			way.Needs = append(way.Needs, g.need(i, 2))
		}
	}
	if g.chance(g.rules) {
		way.Still = append(way.Still, g.id(g.rand.IntN(g.n)))
	}
	if g.chance(g.waits) {
		way.Wait = g.wait()
	}
	if g.chance(0.15) {
		way.People = 2
	}
	if g.chance(0.15) {
		way.Trouble = []access.Trouble{{What: "sticks", Odds: 0.5, Minutes: float64(1 + g.rand.IntN(4))}}
	}
	if g.chance(0.15) {
		way.Opens = []access.Joint{{Kind: []string{"coolant", "fuel", "airbag"}[g.rand.IntN(3)]}}
	}
	if g.chance(0.15) {
		way.Fluids.Given = true
		for range 1 + g.rand.IntN(2) {
			way.Fluids.Items = append(way.Fluids.Items, access.Fluid{Name: []string{"coolant", "coolant", "fuel"}[g.rand.IntN(3)], Minutes: g.minutes(10)})
		}
	}
	g.back(&way, i, repeats)
	return way
}

func (g *anyMap) back(way *access.Way, i int, repeats bool) {
	if g.chance(g.rules) {
		way.Back.After = append(way.Back.After, g.id(g.rand.IntN(g.n)))
	}
	if g.chance(g.rules / 2) {
		way.Back.Still = []string{}
		for range g.rand.IntN(3) {
			way.Back.Still = append(way.Back.Still, g.other(i))
		}
	}
	way.Back.Ground = !repeats && g.chance(g.rules/2)
	way.Back.BeforeFilling = g.chance(0.1)
	if g.chance(0.15) {
		way.Back.Hands = g.place()
	}
	if !repeats && g.chance(g.waits) {
		way.Back.Wait = g.wait()
		for range g.rand.IntN(3) {
			way.Back.WaitFor = append(way.Back.WaitFor, g.id(g.rand.IntN(g.n)))
		}
	}
}

func (g *anyMap) work(i int) access.Work {
	w := access.Work{Action: []access.Action{access.Inspect, access.Replace, access.AccessOnly}[g.rand.IntN(3)], Minutes: g.minutes(6), Hands: g.place(), Tools: g.kit()}
	if g.chance(0.4) {
		w.Needs = []access.Need{}
		for range g.rand.IntN(3) {
			w.Needs = append(w.Needs, g.need(g.n-1, 2))
		}
	}
	if g.chance(g.waits) {
		w.Wait = g.wait()
	}
	return w
}

func (g *anyMap) make() *access.Map {
	m := &access.Map{ID: "any", Name: "any"}
	for _, p := range anyPlaces[1:] {
		m.Positions = append(m.Positions, access.Position{ID: p, Name: p})
	}
	m.SetUp = access.SetUp{Position: float64(g.rand.IntN(5)), Tool: float64(g.rand.IntN(4)) / 2}
	for range g.rand.IntN(3) {
		m.SetUp.Between = append(m.SetUp.Between, access.Transfer{From: anyPlaces[1+g.rand.IntN(3)], To: anyPlaces[1+g.rand.IntN(3)], Minutes: float64(g.rand.IntN(8))})
	}
	seen := map[[2]string]bool{}
	m.SetUp.Between = slices.DeleteFunc(m.SetUp.Between, func(b access.Transfer) bool {
		twice := seen[[2]string{b.From, b.To}] || b.From == b.To
		seen[[2]string{b.From, b.To}] = true
		return twice
	})
	for i := range g.n {
		it := access.Item{ID: g.id(i), Name: g.id(i)}
		if g.chance(g.conds) {
			it.Kind, it.Repeats = access.Condition, g.chance(0.8)
		}
		for w := range 1 + g.rand.IntN(2) {
			it.Ways = append(it.Ways, g.way(i, w, it.Repeats))
		}
		if g.chance(0.5) {
			it.Work = append(it.Work, g.work(i))
		}
		m.Items = append(m.Items, it)
	}
	for i := range m.Items {
		for k := range m.Items[i].Ways {
			g.mend(m, m.Items[i].Ways[k].Needs)
		}
		for k := range m.Items[i].Work {
			g.mend(m, m.Items[i].Work[k].Needs)
		}
	}
	return m
}

// mend asks for any way where an item has none such.
func (g *anyMap) mend(m *access.Map, needs []access.Need) {
	for i := range needs {
		n := &needs[i]
		g.mend(m, n.All)
		g.mend(m, n.Any)
		for k := range m.Items {
			if m.Items[k].ID == n.Item && !slices.ContainsFunc(m.Items[k].Ways, func(w access.Way) bool { return w.ID == n.Way || string(kindOf(&w)) == n.Way }) {
				n.Way = ""
			}
		}
	}
}

// anyRequest asks for something on a random map: one or two targets, sometimes
// with things open already, closed for good, or tools missing.
func anyRequest(r *rand.Rand) Request {
	g := &anyMap{rand: r, n: 3 + r.IntN(3), tools: 2 + r.IntN(2)}
	for _, odds := range []*float64{&g.waits, &g.conds, &g.rules, &g.alts, &g.lazyness} {
		*odds = []float64{0.05, 0.2, 0.5}[r.IntN(3)]
	}
	req := Request{Map: g.make()}
	actions := []access.Action{access.Replace, access.Inspect, access.AccessOnly}
	for range 1 + r.IntN(2) {
		it := &req.Map.Items[g.n-1-r.IntN(min(g.n, 3))]
		t := Target{it.ID, actions[r.IntN(3)]}
		if len(it.Work) > 0 && g.chance(0.7) {
			t.Action = it.Work[0].Action
		}
		if !slices.Contains(req.Targets, t) {
			req.Targets = append(req.Targets, t)
		}
	}
	for range r.IntN(6) / 3 {
		it := &req.Map.Items[r.IntN(g.n)]
		a := it.ID
		if g.chance(0.5) {
			a += "/" + it.Ways[r.IntN(len(it.Ways))].ID
		}
		req.Already = append(req.Already, a)
	}
	if g.chance(0.1) {
		req.KeepClosed = []string{[]string{"i0", "i1", "coolant", "fuel", "airbag"}[r.IntN(5)]}
	}
	if g.chance(0.3) {
		req.Tools = []string{"t0"}
		if g.chance(0.7) {
			req.Tools = append(req.Tools, "t1")
		}
		req.OnlyOwned = g.chance(0.4)
	}
	return req
}
