package opening_test

import (
	"context"
	"reflect"
	"runtime"
	"testing"
	"time"

	"lastbolt/plan/opening"
	"lastbolt/plan/opening/openingtest"
)

func TestPlansOfGeneratedVehiclesAreSound(t *testing.T) {
	for _, c := range []struct {
		items, targets, maps int
		proven               bool
	}{{60, 3, 20, true}, {120, 3, 4, true}, {600, 6, 1, false}} {
		for seed := range uint64(c.maps) {
			m := openingtest.Vehicle(seed, c.items)
			req := opening.Request{Map: m, Targets: openingtest.Targets(m, seed, c.targets)}
			p, err := opening.Make(context.Background(), req)
			if err != nil {
				t.Fatalf("%s: %v", m.Name, err)
			}
			if wrong := opening.Check(req, p); len(wrong) > 0 {
				t.Errorf("%s: %v", m.Name, wrong)
			}
			if p.Bound > p.Minutes || c.proven && !p.Proven {
				t.Errorf("%s: %v minutes, bound %v, proven %v", m.Name, p.Minutes, p.Bound, p.Proven)
			}
		}
	}
}

func TestASearchEndsSoonAfterItsContext(t *testing.T) {
	m := openingtest.Vehicle(1, 1000)
	req := opening.Request{Map: m, Targets: openingtest.Targets(m, 1, 8), Steps: 1 << 40}
	ctx, cancel := context.WithTimeout(context.Background(), 200*time.Millisecond)
	defer cancel()
	start := time.Now()
	p, err := opening.Make(ctx, req)
	if err != nil {
		t.Fatal(err)
	}
	if wrong := opening.Check(req, p); len(wrong) > 0 {
		t.Errorf("the plan is not sound: %v", wrong)
	}
	if p.Bound >= p.Minutes || p.Proven {
		t.Errorf("a search cut short claims proof: %v minutes, bound %v", p.Minutes, p.Bound)
	}
	if took := time.Since(start); took > 5*time.Second {
		t.Errorf("the search went on for %v after 200 ms", took)
	}
}

func TestAPlanIsTheSameOnOneCoreAndOnSeveral(t *testing.T) {
	m := openingtest.Vehicle(1, 3000)
	req := opening.Request{Map: m, Targets: openingtest.Targets(m, 1, 12)} // long enough to be bounded by sides
	plan := func(cores int) *opening.Plan {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(cores))
		p, err := opening.Make(context.Background(), req)
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	one, several := plan(1), plan(4)
	if wrong := opening.Check(req, one); len(wrong) > 0 {
		t.Errorf("the plan is not sound: %v", wrong)
	}
	if !reflect.DeepEqual(one, several) {
		t.Errorf("%v minutes, bound %v on one core; %v, bound %v on several", one.Minutes, one.Bound, several.Minutes, several.Bound)
	}
}

func BenchmarkMakeTypical(b *testing.B) {
	m := openingtest.Vehicle(3, 60)
	req := opening.Request{Map: m, Targets: openingtest.Targets(m, 3, 3)}
	for b.Loop() {
		if _, err := opening.Make(context.Background(), req); err != nil {
			b.Fatal(err)
		}
	}
}
