package opening

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"lastbolt/plan/access"
)

func span(x float64) access.Span { return access.Span{Low: x, Likely: x, High: x} }

// smallMap makes a random map of n items in which everything the planner knows
// turns up: several ways, alternatives, repeating conditions, waits, what must
// still be fitted, and rules for the way back.
func smallMap(r *rand.Rand, n int) *access.Map {
	m := &access.Map{ID: "small", Name: "small"}
	for _, p := range []string{"a", "b", "c"} {
		m.Positions = append(m.Positions, access.Position{ID: p, Name: p})
	}
	m.SetUp = access.SetUp{Position: float64(1 + r.IntN(4)), Tool: float64(r.IntN(3)),
		Between: []access.Transfer{{From: "a", To: "b", Minutes: float64(r.IntN(6))}}}
	id := func(i int) string { return fmt.Sprint("i", i) }
	chance := func(p float64) bool { return r.Float64() < p }
	other := func(i int) string { // mostly earlier items, so that most maps can be opened
		if chance(0.12) {
			return id(r.IntN(n))
		}
		return id(r.IntN(max(i, 1)))
	}
	places := []string{"", "a", "b", "c"}
	for i := range n {
		it := access.Item{ID: id(i), Name: id(i)}
		if chance(0.2) {
			it.Kind, it.Repeats = access.Condition, true
		}
		for w := range 1 + r.IntN(2) {
			way := access.Way{ID: fmt.Sprint("w", w), Hands: places[r.IntN(4)]}
			if w == 1 {
				way.Kind = access.Aside
			}
			way.Minutes = access.BothWays{Off: span(float64(1 + r.IntN(9))), On: span(float64(r.IntN(9)))}
			if chance(0.7) {
				way.Tools = access.List[access.Tool]{Given: true, Items: []access.Tool{{Any: []string{fmt.Sprint("t", r.IntN(3))}}}}
			}
			for range r.IntN(3) {
				if i == 0 {
					break
				}
				switch {
				case chance(0.35):
					way.Needs = append(way.Needs, access.Need{Any: []access.Need{{Item: other(i)}, {Item: other(i)}}})
				case chance(0.15):
					way.Needs = append(way.Needs, access.Need{Item: other(i), Way: []string{"off", "w0"}[r.IntN(2)]})
				default:
					way.Needs = append(way.Needs, access.Need{Item: other(i)})
				}
			}
			if chance(0.15) {
				way.Still = append(way.Still, id(r.IntN(n)))
			}
			if chance(0.2) && !it.Repeats {
				way.Wait = &access.Wait{Kind: "drain", Minutes: span(float64(3 + r.IntN(20)))}
			}
			if chance(0.15) {
				way.Back.After = append(way.Back.After, id(r.IntN(n)))
			}
			if chance(0.1) {
				way.Back.Still = []string{other(i)}
			}
			if chance(0.1) && !it.Repeats {
				way.Back.Ground = true
			}
			if chance(0.15) && !it.Repeats {
				way.Fluids = access.List[access.Fluid]{Given: true, Items: []access.Fluid{{Name: []string{"coolant", "coolant", "fuel"}[r.IntN(3)], Minutes: span([]float64{0, 4, 9, 16}[r.IntN(4)])}}}
			}
			if chance(0.15) {
				way.Opens = []access.Joint{{Kind: []string{"coolant", "fuel"}[r.IntN(2)]}}
			}
			way.Back.BeforeFilling = chance(0.1)
			if chance(0.15) && !it.Repeats {
				way.Back.Wait = &access.Wait{Kind: "cure", Minutes: span(float64(3 + r.IntN(20)))}
				if chance(0.5) {
					way.Back.WaitFor = []string{id(r.IntN(n))}
				}
			}
			if chance(0.2) {
				way.Trouble = []access.Trouble{{What: "sticks", Odds: 0.5, Minutes: 4}}
			}
			it.Ways = append(it.Ways, way)
		}
		if chance(0.5) {
			w := access.Work{Action: access.Inspect, Minutes: span(float64(r.IntN(6))), Hands: places[r.IntN(4)]}
			if chance(0.3) {
				w.Needs = []access.Need{{Item: id(r.IntN(n))}}
			}
			if chance(0.3) {
				w.Wait = &access.Wait{Kind: "cure", Minutes: span(float64(3 + r.IntN(20)))}
			}
			it.Work = append(it.Work, w)
		}
		m.Items = append(m.Items, it)
	}
	return m
}

func smallRequest(r *rand.Rand, n int) Request {
	m := smallMap(r, n)
	req := Request{Map: m}
	actions := []access.Action{access.Replace, access.Inspect, access.AccessOnly}
	for range 1 + r.IntN(2) {
		t := Target{m.Items[n-1-r.IntN(min(n, 3))].ID, actions[r.IntN(3)]}
		if !slices.Contains(req.Targets, t) {
			req.Targets = append(req.Targets, t)
		}
	}
	if r.IntN(4) == 0 {
		req.Already = append(req.Already, m.Items[r.IntN(n)].ID)
	}
	return req
}

// twinCases is how many random maps are held against brute force. The
// environment variable LASTBOLT_TWIN asks for more: a number of maps, and behind
// a colon the seed to begin with.
const twinCases = 700

func TestPlanIsTheBestThatTryingEverythingFinds(t *testing.T) {
	cases, from, _ := strings.Cut(os.Getenv("LASTBOLT_TWIN"), ":")
	n, _ := strconv.Atoi(cases)
	first, _ := strconv.ParseUint(from, 10, 64)
	try := func(req Request) (*Plan, error) { return Make(context.Background(), req) }
	t.Run("ordinary maps", func(t *testing.T) {
		tryEverything(t, first, max(n, twinCases), ordinaryRequest, try)
	})
	t.Run("everything the format can say", func(t *testing.T) {
		tryEverything(t, first, max(n, twinCases), anyRequest, try)
	})
}

func ordinaryRequest(r *rand.Rand) Request { return smallRequest(r, 2+r.IntN(4)) }

// What large maps need is tried on small ones, where everything can be tried
// too.
func TestBoundsByGroupsKeepTheBestPlan(t *testing.T) {
	for name, p := range map[string]pace{"moves followed": {long: 60}, "moves not followed": {}, "groups of choices only": {order: 2000, short: 30, long: 60}} {
		t.Run(name, func(t *testing.T) {
			deep := 0
			tryEverything(t, 0, 400, ordinaryRequest, func(req Request) (*Plan, error) {
				m, err := compile(&req, false)
				if err != nil {
					return nil, err
				}
				m.pace = p
				plan, err := m.make(context.Background())
				if m.weights != nil || m.spare.grouped > 0 {
					deep++
				}
				return plan, err
			})
			if deep < 20 {
				t.Errorf("groups were asked for %d times; the test shows too little", deep)
			}
		})
	}
}

// tryEverything holds plans of random small maps against brute force.
func tryEverything(t *testing.T, first uint64, cases int, request func(*rand.Rand) Request, plan func(Request) (*Plan, error)) {
	t.Helper()
	if testing.Short() {
		cases /= 5
	}
	planned := 0
	for seed := first; seed < first+uint64(cases); seed++ {
		req := request(rand.New(rand.NewPCG(seed, 7)))
		want, order := bruteForce(req)
		p, err := plan(req)
		var no *Impossible
		if errors.As(err, &no) {
			if !math.IsInf(want, 1) {
				t.Fatalf("seed %d: no plan (%v), want one of %v minutes:\n%s", seed, err, want, order)
			}
			continue
		}
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		planned++
		if wrong := Check(req, p); len(wrong) > 0 {
			t.Fatalf("seed %d: the plan is not sound: %v", seed, wrong)
		}
		if !p.Proven || math.Abs(p.Minutes-want) > Tolerance {
			t.Fatalf("seed %d: got %v minutes (proven %v, bound %v), want %v:\n%s", seed, p.Minutes, p.Proven, p.Bound, want, order)
		}
	}
	if planned < cases/3 {
		t.Errorf("only %d of %d maps had a plan; the test shows too little", planned, cases)
	}
}
