package andor_test

import (
	"context"
	"errors"
	"math"
	"slices"
	"testing"

	"lastbolt/plan/andor"
	"pgregory.net/rapid"
)

// draw makes small instances in which circles, dead ends, shared resources
// and impossible targets are all common.
func draw(t *rapid.T, most int) *andor.Instance {
	in := &andor.Instance{Parts: rapid.IntRange(1, most).Draw(t, "parts")}
	part := rapid.IntRange(0, in.Parts-1)
	cost := rapid.Map(rapid.IntRange(0, 12), func(i int) float64 { return float64(i) / 2 })
	in.Resources = rapid.SliceOfN(cost, 0, 3).Draw(t, "resources")
	for p := range in.Parts {
		for range rapid.SampledFrom([]int{0, 1, 1, 2, 2, 3}).Draw(t, "ways") {
			m := andor.Method{Part: p, Cost: cost.Draw(t, "cost"),
				Needs: rapid.SliceOfN(part, 0, 3).Draw(t, "needs")}
			if len(in.Resources) > 0 {
				m.Resources = rapid.SliceOfN(rapid.IntRange(0, len(in.Resources)-1), 0, 2).Draw(t, "uses")
			}
			in.Methods = append(in.Methods, m)
		}
	}
	in.Targets = rapid.SliceOfN(part, 0, 3).Draw(t, "targets")
	return in
}

func drawOptions(t *rapid.T, in *andor.Instance) andor.Options {
	var opt andor.Options
	if n := len(in.Methods); n > 0 {
		opt.Forbidden = rapid.SliceOfN(rapid.IntRange(0, n-1), 0, 2).Draw(t, "forbidden")
	}
	opt.Off = rapid.SliceOfN(rapid.IntRange(0, in.Parts-1), 0, 1).Draw(t, "off")
	if n := len(in.Resources); n > 0 {
		opt.Free = rapid.SliceOfN(rapid.IntRange(0, n-1), 0, 1).Draw(t, "free")
	}
	return opt
}

// every calls f with each choice of a method (or none) a part that opens only
// what it needs itself and can be put in order, and with its cost. It tries
// all choices.
func every(in *andor.Instance, opt andor.Options, f func(pick []int, cost float64)) {
	pick := make([]int, in.Parts)
	var try func(int)
	try = func(p int) {
		if p == in.Parts {
			if cost, ok := value(in, opt, pick); ok {
				f(pick, cost)
			}
			return
		}
		pick[p] = -1
		try(p + 1)
		if slices.Contains(opt.Off, p) {
			return
		}
		for m := range in.Methods {
			if in.Methods[m].Part == p && !slices.Contains(opt.Forbidden, m) {
				pick[p] = m
				try(p + 1)
			}
		}
		pick[p] = -1
	}
	try(0)
}

// value checks a choice from the definition and adds up its cost.
func value(in *andor.Instance, opt andor.Options, pick []int) (float64, bool) {
	off := make([]bool, in.Parts)
	for _, p := range opt.Off {
		off[p] = true
	}
	wanted := make([]bool, in.Parts)
	list := slices.Clone(in.Targets)
	for i := 0; i < len(list); i++ {
		p := list[i]
		if wanted[p] || off[p] {
			continue
		}
		wanted[p] = true
		if pick[p] < 0 {
			return 0, false
		}
		list = append(list, in.Methods[pick[p]].Needs...)
	}
	var cost float64
	used := map[int]bool{}
	opened := 0
	for p, m := range pick {
		if m < 0 {
			continue
		}
		if !wanted[p] {
			return 0, false // superfluous
		}
		opened++
		cost += in.Methods[m].Cost
		for _, r := range in.Methods[m].Resources {
			if !used[r] && !slices.Contains(opt.Free, r) {
				cost += in.Resources[r]
			}
			used[r] = true
		}
	}
	for again := true; again; {
		again = false
		for p, m := range pick {
			if m >= 0 && !off[p] && !slices.ContainsFunc(in.Methods[m].Needs, func(q int) bool { return !off[q] }) {
				off[p], again = true, true
				opened--
			}
		}
	}
	return cost, opened == 0
}

func least(in *andor.Instance, opt andor.Options) float64 {
	best := math.Inf(1)
	every(in, opt, func(_ []int, cost float64) { best = min(best, cost) })
	return best
}

// verify checks a selection: orderable, not superfluous, costed rightly, and
// its lists consistent.
func verify(t interface{ Fatalf(string, ...any) }, in *andor.Instance, opt andor.Options, s andor.Selection, cost float64) {
	got, ok := value(in, opt, s.Method)
	if !ok || math.Abs(got-cost) > 1e-9 {
		t.Fatalf("selection %+v: cost %v, sound %v; said %v", s, got, ok, cost)
	}
	off := slices.Clone(opt.Off)
	used := map[int]bool{}
	for _, m := range s.Order {
		if slices.Contains(opt.Forbidden, m) {
			t.Fatalf("selection uses method %d, which is forbidden", m)
		}
		for _, q := range in.Methods[m].Needs {
			if !slices.Contains(off, q) {
				t.Fatalf("order %v: method %d comes before part %d is off", s.Order, m, q)
			}
		}
		for _, r := range in.Methods[m].Resources {
			used[r] = true
		}
		off = append(off, in.Methods[m].Part)
	}
	if len(s.Resources) != len(used) || slices.ContainsFunc(s.Resources, func(r int) bool { return !used[r] }) {
		t.Fatalf("resources %v; the methods use %v", s.Resources, used)
	}
}

func TestSolveFindsWhatTryingEveryChoiceFinds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := draw(t, 7)
		opt := drawOptions(t, in)
		want := least(in, opt)
		r, err := andor.Solve(context.Background(), in, opt)
		var none *andor.Impossible
		if errors.As(err, &none) {
			if !math.IsInf(want, 1) {
				t.Fatalf("Solve: %v; there is a plan of %v", err, want)
			}
			return
		}
		if err != nil {
			t.Fatalf("Solve: %v", err)
		}
		if math.Abs(r.Cost-want) > 1e-9 || !r.Proven || r.Bound != r.Cost {
			t.Fatalf("Solve: %+v; want %v, proven", r, want)
		}
		verify(t, in, opt, r.Selection, r.Cost)
	})
}

func TestEnumerateYieldsEverySelectionOnceInOrderOfCost(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := draw(t, 6)
		opt := drawOptions(t, in)
		want := map[string]float64{}
		every(in, opt, func(pick []int, cost float64) { want[text(pick)] = cost })
		last, seen := 0.0, map[string]bool{}
		err := andor.Enumerate(context.Background(), in, opt, func(s andor.Selection, cost float64) bool {
			verify(t, in, opt, s, cost)
			if cost < last-1e-9 {
				t.Fatalf("cost %v after %v", cost, last)
			}
			if seen[text(s.Method)] {
				t.Fatalf("selection %v comes twice", s.Method)
			}
			last, seen[text(s.Method)] = cost, true
			return true
		})
		var none *andor.Impossible
		if err != nil && !errors.As(err, &none) {
			t.Fatalf("Enumerate: %v", err)
		}
		if len(seen) != len(want) || (err != nil) != (len(want) == 0) {
			t.Fatalf("Enumerate yielded %d selections (%v); there are %d", len(seen), err, len(want))
		}
	})
}

func text(pick []int) string {
	b := make([]byte, len(pick))
	for i, m := range pick {
		b[i] = byte(m + 1)
	}
	return string(b)
}

func TestOneMoreTargetNeverCostsLess(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := draw(t, 12)
		r, err := andor.Solve(context.Background(), in, andor.Options{})
		in.Targets = append(slices.Clone(in.Targets), rapid.IntRange(0, in.Parts-1).Draw(t, "one more"))
		more, moreErr := andor.Solve(context.Background(), in, andor.Options{})
		if err != nil && moreErr == nil {
			t.Fatalf("possible with one more target, impossible without: %v", err)
		}
		if err == nil && moreErr == nil && more.Cost < r.Cost-1e-9 {
			t.Fatalf("%v with one more target, %v without", more.Cost, r.Cost)
		}
	})
}

func TestOneMethodLessNeverCostsLess(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := draw(t, 12)
		r, err := andor.Solve(context.Background(), in, andor.Options{})
		if err != nil || len(in.Methods) == 0 {
			return
		}
		less := rapid.IntRange(0, len(in.Methods)-1).Draw(t, "without")
		without, err := andor.Solve(context.Background(), in, andor.Options{Forbidden: []int{less}})
		if err == nil && without.Cost < r.Cost-1e-9 {
			t.Fatalf("%v without method %d, %v with it", without.Cost, less, r.Cost)
		}
	})
}

func TestTwoJobsTogetherNeverCostMoreThanApart(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := draw(t, 12)
		a, errA := andor.Solve(context.Background(), in, andor.Options{})
		other := *in
		other.Targets = rapid.SliceOfN(rapid.IntRange(0, in.Parts-1), 1, 2).Draw(t, "other targets")
		b, errB := andor.Solve(context.Background(), &other, andor.Options{})
		if errA != nil || errB != nil {
			return
		}
		both := *in
		both.Targets = append(slices.Clone(in.Targets), other.Targets...)
		c, err := andor.Solve(context.Background(), &both, andor.Options{})
		if err != nil || c.Cost > a.Cost+b.Cost+1e-9 {
			t.Fatalf("together %v (%v), apart %v and %v", c.Cost, err, a.Cost, b.Cost)
		}
	})
}

func TestAStoppedSearchBracketsTheBest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := draw(t, 12)
		best, err := andor.Solve(context.Background(), in, andor.Options{})
		if err != nil {
			return
		}
		r, err := andor.Solve(context.Background(), in, andor.Options{Nodes: 1})
		if err != nil {
			t.Fatalf("Solve: %v", err)
		}
		verify(t, in, andor.Options{}, r.Selection, r.Cost)
		if r.Bound > best.Cost+1e-9 || r.Cost < best.Cost-1e-9 || r.Proven && r.Cost > best.Cost+1e-9 {
			t.Fatalf("stopped: %+v; best %v", r, best.Cost)
		}
	})
}

func TestReasonsOfTheImpossibleAreEnoughAndFewest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := draw(t, 6)
		opt := drawOptions(t, in)
		_, err := andor.Solve(context.Background(), in, opt)
		var none *andor.Impossible
		if !errors.As(err, &none) {
			return
		}
		release := func(methods, parts []int) bool {
			freed := andor.Options{Off: append(slices.Clone(opt.Off), parts...), Free: opt.Free}
			for _, m := range opt.Forbidden {
				if !slices.Contains(methods, m) {
					freed.Forbidden = append(freed.Forbidden, m)
				}
			}
			return !math.IsInf(least(in, freed), 1)
		}
		if !none.Proven || !release(none.Forbidden, none.Parts) {
			t.Fatalf("%v: releasing all that does not free the targets", none)
		}
		for i := range none.Forbidden {
			if release(slices.Delete(slices.Clone(none.Forbidden), i, i+1), none.Parts) {
				t.Fatalf("%v: method %d need not be allowed", none, none.Forbidden[i])
			}
		}
		for i := range none.Parts {
			if release(none.Forbidden, slices.Delete(slices.Clone(none.Parts), i, i+1)) {
				t.Fatalf("%v: part %d need not be off", none, none.Parts[i])
			}
		}
		for i, p := range none.Circle {
			next := none.Circle[(i+1)%len(none.Circle)]
			if !slices.ContainsFunc(in.Methods, func(m andor.Method) bool { return m.Part == p && slices.Contains(m.Needs, next) }) {
				t.Fatalf("%v: no method of part %d needs part %d", none, p, next)
			}
		}
	})
}
