package opening

import (
	"context"
	"encoding/json"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"lastbolt/plan/access"
)

// minutes is the least minutes of a request, +Inf if there is no plan.
func minutes(t *testing.T, req Request) float64 {
	t.Helper()
	p, err := Make(context.Background(), req)
	if err != nil {
		return math.Inf(1)
	}
	if !p.Proven {
		t.Fatalf("not proven: %v to %v", p.Bound, p.Minutes)
	}
	return p.Minutes
}

const lawCases = 400

func TestAddingATargetNeverLowersTheMinutes(t *testing.T) {
	for seed := range uint64(lawCases) {
		r := rand.New(rand.NewPCG(seed, 21))
		req := smallRequest(r, 3+r.IntN(4))
		before := minutes(t, req)
		more := req
		it := req.Map.Items[r.IntN(len(req.Map.Items))]
		more.Targets = append(slices.Clone(req.Targets), Target{it.ID, access.AccessOnly})
		if after := minutes(t, more); after < before-Tolerance {
			t.Fatalf("seed %d: %v minutes before, %v with another target", seed, before, after)
		}
	}
}

func TestRemovingAWayNeverLowersTheMinutes(t *testing.T) {
	for seed := range uint64(lawCases) {
		r := rand.New(rand.NewPCG(seed, 22))
		req := smallRequest(r, 3+r.IntN(4))
		req.Already = nil // the first way is what Already means
		before := minutes(t, req)
		m := *req.Map
		m.Items = slices.Clone(m.Items)
		it := &m.Items[r.IntN(len(m.Items))]
		if len(it.Ways) < 2 {
			continue
		}
		closed := req
		closed.Map = &m
		name := "closed"
		it.Ways = slices.Clone(it.Ways)
		it.Ways[1].Opens = append(slices.Clone(it.Ways[1].Opens), access.Joint{Kind: "airbag", Name: name})
		closed.KeepClosed = []string{"airbag"}
		if after := minutes(t, closed); after < before-Tolerance {
			t.Fatalf("seed %d: %v minutes before, %v with a way less", seed, before, after)
		}
	}
}

// Two jobs in one never take longer than both one after the other, as far as
// set-ups go that are shared and paid once. Changes of place and tool are left
// out: one opening with two depths can take more of them than two openings,
// since nothing goes back before all the work is done. Ways asked for by name
// and items that must still be fitted are left out, because two jobs can ask
// for what excludes one another.
func TestTwoJobsInOneNeverTakeLongerThanBoth(t *testing.T) {
	shared := 0
	for seed := range uint64(lawCases) {
		r := rand.New(rand.NewPCG(seed, 23))
		m := smallMap(r, 4+r.IntN(3))
		plain(m)
		one := Request{Map: m, Targets: []Target{{m.Items[len(m.Items)-1].ID, access.AccessOnly}}}
		two := Request{Map: m, Targets: []Target{{m.Items[len(m.Items)-2].ID, access.AccessOnly}}}
		both := Request{Map: m, Targets: append(slices.Clone(one.Targets), two.Targets...)}
		a, b, ab := minutes(t, one), minutes(t, two), minutes(t, both)
		if ab > a+b+Tolerance {
			t.Fatalf("seed %d: %v and %v minutes alone, %v together", seed, a, b, ab)
		}
		if ab < a+b-Tolerance {
			shared++
		}
	}
	if shared == 0 {
		t.Error("no two jobs shared anything; the test shows nothing")
	}
}

// plain takes out of a map what the law about two jobs does not cover.
func plain(m *access.Map) {
	m.SetUp = access.SetUp{}
	var drop func(n []access.Need)
	drop = func(n []access.Need) {
		for i := range n {
			n[i].Way = ""
			drop(n[i].Any)
		}
	}
	for i := range m.Items {
		m.Items[i].Repeats = false
		for k := range m.Items[i].Ways {
			w := &m.Items[i].Ways[k]
			w.Still, w.Wait, w.Back, w.Fluids = nil, nil, access.Back{}, access.List[access.Fluid]{}
			drop(w.Needs)
		}
		m.Items[i].Work = nil
	}
}

func TestTheSameRequestGivesTheSamePlan(t *testing.T) {
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 24))
		req := smallRequest(r, 6)
		first, err := Make(context.Background(), req)
		if err != nil {
			continue
		}
		again, _ := Make(context.Background(), req)
		a, _ := json.Marshal(first)
		b, _ := json.Marshal(again)
		if string(a) != string(b) {
			t.Fatalf("seed %d: two plans for one request:\n%s\n%s", seed, a, b)
		}
	}
}

func TestARecordCanBePlannedOnFromAnywhere(t *testing.T) {
	planned := 0
	for seed := range uint64(lawCases) {
		r := rand.New(rand.NewPCG(seed, 25))
		req := smallRequest(r, 3+r.IntN(4))
		req.Already = nil
		p, err := Make(context.Background(), req)
		if err != nil {
			continue
		}
		var opened []Opened
		for _, s := range p.Steps[:r.IntN(len(p.Steps)+1)] {
			switch {
			case s.Phase != Down:
			case s.Back:
				opened = slices.DeleteFunc(opened, func(o Opened) bool { return o.Item == s.Item })
			default:
				opened = append(opened, Opened{Item: s.Item, Way: s.Way})
			}
		}
		rest, err := Remake(context.Background(), req, opened)
		if err != nil {
			t.Fatalf("seed %d: no way on from %v: %v", seed, opened, err)
		}
		planned++
		now := req
		for _, o := range opened {
			now.Already = append(now.Already, o.Item+"/"+o.Way)
		}
		if wrong := Check(now, rest); len(wrong) > 0 {
			t.Fatalf("seed %d: %v", seed, wrong)
		}
		if want, order := bruteForce(now); math.Abs(rest.Minutes-want) > Tolerance {
			t.Fatalf("seed %d: %v minutes left, want %v:\n%s", seed, rest.Minutes, want, order)
		}
	}
	if planned < lawCases/3 {
		t.Errorf("only %d records were planned on", planned)
	}
}
