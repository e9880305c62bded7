// Package openingtest makes access maps of any size for tests and timings.
// Start with [Vehicle]. The maps are invented and mean nothing; their shape is
// that of a real one: covers over parts over deeper parts, zone by zone, with
// several ways, shared conditions, waits, and what goes wrong.
package openingtest

import (
	"fmt"
	"math"
	"math/rand/v2"

	"lastbolt/plan/access"
	"lastbolt/plan/opening"
)

// zoneItems is how many items lie on and under one another in a zone.
const zoneItems = 20

var positions = []string{"above", "front", "below", "arch-left", "arch-right", "cabin"}

var toolNames = []string{
	"8 mm socket", "10 mm socket", "13 mm socket", "16 mm socket", "T20 bit", "T30 bit",
	"clip lever", "hose clip pliers", "flat screwdriver", "10 mm spanner", "13 mm spanner", "plastic wedge",
}

// Vehicle makes a map of n items, at least 8, always the same for a seed. Its
// last items lie deepest.
func Vehicle(seed uint64, n int) *access.Map {
	g := &generator{rand: rand.New(rand.NewPCG(seed, uint64(n)))}
	g.m = &access.Map{Format: access.Format, ID: fmt.Sprintf("generated-%d-%d", n, seed), Name: fmt.Sprintf("Generated, %d items", n), Invented: true}
	for _, p := range positions {
		g.m.Positions = append(g.m.Positions, access.Position{ID: p, Name: p})
	}
	g.m.SetUp = access.SetUp{Position: 2, Tool: 0.5, Between: []access.Transfer{
		{From: "above", To: "front", Minutes: 0.5}, {From: "front", To: "above", Minutes: 0.5},
		{From: "above", To: "below", Minutes: 3}, {From: "below", To: "above", Minutes: 3},
	}}
	g.conditions()
	for z := 0; len(g.m.Items) < n; z++ {
		g.zone(z, min(zoneItems, n-len(g.m.Items)))
	}
	return g.m
}

// Targets picks k of the deeper items of a generated map and something to do
// on each.
func Targets(m *access.Map, seed uint64, k int) []opening.Target {
	r := rand.New(rand.NewPCG(seed, 99))
	var out []opening.Target
	seen := map[string]bool{}
	for len(out) < k {
		it := &m.Items[r.IntN(len(m.Items))]
		if len(it.Work) == 0 || seen[it.ID] {
			continue
		}
		seen[it.ID] = true
		out = append(out, opening.Target{Item: it.ID, Action: it.Work[0].Action})
	}
	return out
}

type generator struct {
	rand *rand.Rand
	m    *access.Map
}

func (g *generator) chance(p float64) bool { return g.rand.Float64() < p }

// span is minutes of about so many, rounded to halves.
func (g *generator) span(about float64) access.Span {
	likely := math.Round(2*about*(0.7+0.6*g.rand.Float64())) / 2
	return access.Span{Low: math.Round(2*likely*0.7) / 2, Likely: likely, High: math.Round(2*likely*1.6) / 2}
}

func (g *generator) add(it access.Item) { g.m.Items = append(g.m.Items, it) }

func (g *generator) conditions() {
	span := func(a, b, c float64) access.Span { return access.Span{Low: a, Likely: b, High: c} }
	tools := func(names ...string) access.List[access.Tool] { return toolList(names) }
	g.add(access.Item{ID: "cold", Name: "Engine cold", Kind: access.Condition, Ways: []access.Way{{
		ID: "wait", Minutes: access.BothWays{Off: span(1, 1, 1)}, Wait: &access.Wait{Kind: "cool", Minutes: span(20, 30, 60)}}}})
	g.add(access.Item{ID: "raised", Name: "Raised", Kind: access.Condition, Repeats: true, Immobile: true, Ways: []access.Way{{
		ID: "stands", Minutes: access.BothWays{Off: span(5, 6, 10), On: span(3, 4, 6)}, Tools: tools("trolley jack")}}})
	g.add(access.Item{ID: "battery", Name: "Battery off", Kind: access.Condition, Immobile: true, Ways: []access.Way{{
		ID: "earth", Hands: "above", Minutes: access.BothWays{Off: span(1, 2, 4), On: span(1, 2, 5)}, Tools: tools("10 mm spanner")}}})
	g.add(access.Item{ID: "drained", Name: "Coolant drained", Kind: access.Condition, Immobile: true, Ways: []access.Way{
		{ID: "tap", Hands: "below", Needs: []access.Need{{Item: "cold"}, {Item: "raised"}}, Minutes: access.BothWays{Off: span(3, 4, 8), On: span(1, 1, 2)},
			Wait: &access.Wait{Kind: "drain", Minutes: span(8, 10, 15)}, Tools: tools("flat screwdriver"), Opens: []access.Joint{{Kind: "coolant"}},
			Fluids: access.List[access.Fluid]{Given: true, Items: []access.Fluid{{Name: "coolant"}}}},
		{ID: "hose", Hands: "front", Needs: []access.Need{{Item: "cold"}}, Minutes: access.BothWays{Off: span(4, 7, 12), On: span(3, 5, 9)},
			Wait: &access.Wait{Kind: "drain", Minutes: span(5, 6, 9)}, Tools: tools("hose clip pliers"), Opens: []access.Joint{{Kind: "coolant"}},
			Fluids: access.List[access.Fluid]{Given: true, Items: []access.Fluid{{Name: "coolant"}}}}}})
}

func toolList(names []string) access.List[access.Tool] {
	l := access.List[access.Tool]{Given: true}
	for _, n := range names {
		l.Items = append(l.Items, access.Tool{Any: []string{n}})
	}
	return l
}

// zone adds items that lie one over another, mostly at one or two positions
// and with a few tools.
func (g *generator) zone(z, size int) {
	home := positions[g.rand.IntN(len(positions))]
	second := positions[g.rand.IntN(len(positions))]
	kit := []string{}
	for range 4 {
		kit = append(kit, toolNames[g.rand.IntN(len(toolNames))])
	}
	first := len(g.m.Items)
	for k := range size {
		id := fmt.Sprintf("z%d-%d", z, k)
		it := access.Item{ID: id, Name: fmt.Sprintf("Part %d of zone %d", k, z), Area: fmt.Sprintf("zone %d", z), Immobile: g.chance(0.2)}
		place := home
		if g.chance(0.25) {
			place = second
		}
		it.Ways = append(it.Ways, g.way("off", access.Off, place, kit, first, k))
		if g.chance(0.3) {
			kind := access.Off
			if g.chance(0.5) {
				kind = access.Aside
			}
			other := second
			if place == second {
				other = home
			}
			it.Ways = append(it.Ways, g.way("other", kind, other, kit, first, k))
		}
		if k > size/2 && g.chance(0.5) {
			it.Work = []access.Work{{Action: access.Replace, Minutes: g.span(4)}}
		}
		g.add(it)
	}
}

// way makes one way of the k-th item of a zone; its needs lie above it.
func (g *generator) way(id string, kind access.WayKind, place string, kit []string, first, k int) access.Way {
	about := 1 + 9*g.rand.Float64()
	w := access.Way{ID: id, Kind: kind, Hands: place, Minutes: access.BothWays{Off: g.span(about), On: g.span(about * 1.2)}}
	if g.chance(0.8) {
		w.Tools = toolList([]string{kit[g.rand.IntN(len(kit))]})
	}
	if place == "below" || place == "arch-left" || place == "arch-right" {
		w.Needs = append(w.Needs, access.Need{Item: "raised"})
	}
	if g.chance(0.08) {
		w.Needs = append(w.Needs, access.Need{Item: "battery"})
	}
	if g.chance(0.04) {
		w.Needs = append(w.Needs, access.Need{Item: "drained"})
	}
	above := func() string { return g.m.Items[first+g.rand.IntN(k)].ID }
	if k > 0 {
		w.Needs = append(w.Needs, access.Need{Item: above()})
	}
	if k > 2 && g.chance(0.4) {
		w.Needs = append(w.Needs, access.Need{Item: above()})
	}
	if k > 3 && g.chance(0.15) {
		w.Needs = append(w.Needs, access.Need{Any: []access.Need{{Item: above()}, {Item: above()}}})
	}
	if k == 0 && first > 4 && g.chance(0.4) { // under something of another zone
		w.Needs = append(w.Needs, access.Need{Item: g.m.Items[4+g.rand.IntN(first-4)].ID})
	}
	if g.chance(0.15) {
		w.Trouble = []access.Trouble{{What: "stuck", Odds: 0.2, Minutes: 10}}
	}
	if g.chance(0.04) {
		w.Back.Wait = &access.Wait{Kind: "cure", Minutes: access.Span{Low: 20, Likely: 30, High: 40}}
	}
	if g.chance(0.04) {
		w.People = 2
	}
	return w
}
