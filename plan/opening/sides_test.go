package opening

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"
)

// What the sides bound is held against brute force before any search: of all
// plans, and of those with one way ruled out.
func TestBoundsBySidesNeverExceedTheBestPlan(t *testing.T) {
	cases, set := 400, 0.0
	if testing.Short() {
		cases /= 5
	}
	for seed := range uint64(cases) {
		r := rand.New(rand.NewPCG(seed, 41))
		req := smallRequest(r, 3+r.IntN(3))
		want, order := bruteForce(req)
		if math.IsInf(want, 1) {
			continue
		}
		m, err := compile(&req, false)
		if err != nil {
			t.Fatal(err)
		}
		c, ok := m.root()
		if !ok {
			t.Fatalf("seed %d: no plan, want one of %v minutes:\n%s", seed, want, order)
		}
		for _, w := range m.someWeights(c, want, r) {
			hands, _ := m.selection(context.Background(), c, w, 1000)
			b := m.sideSetUps(context.Background(), c, w, 30)
			set += b.value
			if hands+b.value > want+1e-6 {
				t.Fatalf("seed %d: %v minutes by hand and %v of set-ups exceed %v:\n%s", seed, hands, b.value, want, order)
			}
		}
	}
	if set < float64(cases) {
		t.Errorf("the set-ups come to %v in all; the test shows too little", set)
	}
}

// someWeights is no weights, those of the search, and any.
func (m *model) someWeights(c *choice, most float64, r *rand.Rand) []weights {
	out := []weights{m.noWeights()}
	if w, _, ok := m.weigh(context.Background(), c, most, 1000); ok {
		out = append(out, w)
	}
	any := m.noWeights()
	for k := range any.extra {
		if m.items[m.ways[k].item].already == nothing {
			any.extra[k] = float64(r.IntN(5))
		}
	}
	for i, w := range c.way {
		if w == fitted && !m.items[i].src.Repeats && r.IntN(2) == 0 {
			any.soft, any.skip[i] = append(any.soft, i), float64(r.IntN(5))
		}
	}
	return append(out, any)
}

// A mended plan is sound, and no longer than it was.
func TestMendingKeepsPlansSound(t *testing.T) {
	mended := 0
	for seed := range uint64(300) {
		r := rand.New(rand.NewPCG(seed, 42))
		req := smallRequest(r, 4+r.IntN(5))
		m, err := compile(&req, false)
		if err != nil {
			t.Fatal(err)
		}
		root, ok := m.root()
		if !ok {
			continue
		}
		h := hunt{m: m, ctx: context.Background(), left: 1000}
		h.best.end = math.Inf(1)
		h.dive(root)
		if h.best.labels == nil {
			continue
		}
		before := h.best.end
		if wrong := Check(req, m.write(&h, 0)); len(wrong) > 0 {
			t.Fatalf("seed %d before: %v", seed, wrong)
		}
		h.mend(root, 2000)
		p := m.write(&h, 0)
		if wrong := Check(req, p); len(wrong) > 0 {
			t.Fatalf("seed %d: %v", seed, wrong)
		}
		if p.Minutes > before+Tolerance {
			t.Fatalf("seed %d: %v minutes before, %v after", seed, before, p.Minutes)
		}
		if p.Minutes < before-Tolerance {
			mended++
		}
	}
	if mended < 10 {
		t.Errorf("only %d plans became better; the test shows too little", mended)
	}
}
