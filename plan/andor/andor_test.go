package andor_test

import (
	"context"
	"errors"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"lastbolt/plan/andor"
	"lastbolt/plan/andor/andortest"
)

func solve(t *testing.T, in *andor.Instance, opt andor.Options) andor.Result {
	t.Helper()
	r, err := andor.Solve(context.Background(), in, opt)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestInstanceFilesReachTheirProvenOptima(t *testing.T) {
	// Optima: testdata/README.md (two independent solvers).
	for _, name := range []string{"ao-08", "ao-12", "ao-16", "ao-20", "ao-40", "ao-80"} {
		t.Run(name, func(t *testing.T) {
			in, known, err := andortest.Load(filepath.Join("testdata", name+".json"))
			if err != nil {
				t.Fatal(err)
			}
			got := solve(t, in, andor.Options{})
			if got.Cost != known.Set || !got.Proven {
				t.Errorf("Solve: cost %v, proven %v; want %v, proven", got.Cost, got.Proven, known.Set)
			}
			verify(t, in, andor.Options{}, got.Selection, got.Cost)
		})
	}
}

func TestALargeMapIsSolvedToProof(t *testing.T) {
	for seed := uint64(1); seed <= 3; seed++ {
		in := andortest.Vehicle(3000, 12, seed)
		got := solve(t, in, andor.Options{})
		if !got.Proven {
			t.Errorf("seed %d: cost %v, bound %v, not proven", seed, got.Cost, got.Bound)
		}
		verify(t, in, andor.Options{}, got.Selection, got.Cost)
	}
}

// ring is two parts of which each can come off behind the other, and one of
// them also, dearly, by itself.
var ring = andor.Instance{
	Parts: 3,
	Methods: []andor.Method{
		{Part: 0, Needs: []int{1}, Cost: 1},
		{Part: 1, Needs: []int{0}, Cost: 1},
		{Part: 1, Cost: 50},
		{Part: 2, Needs: []int{0}, Cost: 1},
	},
	Targets: []int{2},
}

func TestPartsDoNotSupportEachOtherInACircle(t *testing.T) {
	got := solve(t, &ring, andor.Options{})
	if want := []int{2, 0, 3}; got.Cost != 52 || !slices.Equal(got.Order, want) {
		t.Errorf("Solve: cost %v, order %v; want 52, %v", got.Cost, got.Order, want)
	}
}

func TestASharedPartAndASharedToolArePaidOnce(t *testing.T) {
	in := &andor.Instance{
		Parts: 4,
		Methods: []andor.Method{
			{Part: 0, Cost: 10},
			{Part: 1, Needs: []int{0}, Cost: 1, Resources: []int{0}},
			{Part: 2, Needs: []int{0}, Cost: 1, Resources: []int{0}},
			{Part: 3, Cost: 4},
			{Part: 2, Needs: []int{3}, Cost: 1}, // 5 alone, dearer beside part 1
		},
		Resources: []float64{2},
		Targets:   []int{1, 2},
	}
	if got := solve(t, in, andor.Options{}); got.Cost != 14 || !slices.Equal(got.Resources, []int{0}) {
		t.Errorf("Solve: %+v; want cost 14 with resource 0", got)
	}
	if got := solve(t, in, andor.Options{Off: []int{0}, Free: []int{0}}); got.Cost != 2 {
		t.Errorf("with part 0 off and the tool in hand: cost %v; want 2", got.Cost)
	}
}

func TestAnImpossibleTargetIsExplained(t *testing.T) {
	for _, c := range []struct {
		name    string
		opt     andor.Options
		targets []int
		want    andor.Impossible
	}{
		{"a forbidden way out of the circle", andor.Options{Forbidden: []int{2}}, []int{2},
			andor.Impossible{Targets: []int{2}, Forbidden: []int{2}, Proven: true}},
		{"no method at all", andor.Options{}, []int{3},
			andor.Impossible{Targets: []int{3}, Parts: []int{3}, Proven: true}},
	} {
		t.Run(c.name, func(t *testing.T) {
			in := ring
			in.Parts, in.Targets = 4, c.targets
			_, err := andor.Solve(context.Background(), &in, c.opt)
			var got *andor.Impossible
			if !errors.As(err, &got) || !reflect.DeepEqual(*got, c.want) {
				t.Errorf("Solve: %#v; want %#v", err, c.want)
			}
		})
	}
	t.Run("a circle with no way out", func(t *testing.T) {
		in := ring
		in.Methods = slices.Delete(slices.Clone(ring.Methods), 2, 3)
		_, err := andor.Solve(context.Background(), &in, andor.Options{})
		var got *andor.Impossible
		if !errors.As(err, &got) || len(got.Parts) != 1 || len(got.Circle) != 2 {
			t.Fatalf("Solve: %v; want one part of a circle of two", err)
		}
		if s := got.Error(); !strings.Contains(s, "circle") {
			t.Errorf("the sentence %q does not speak of the circle", s)
		}
	})
}

func TestEqualInputsGiveEqualSelections(t *testing.T) {
	in := andortest.Layered(80, 3)
	first := solve(t, in, andor.Options{})
	for range 3 {
		if again := solve(t, in, andor.Options{}); !reflect.DeepEqual(again, first) {
			t.Fatalf("results differ: %+v and %+v", first, again)
		}
	}
}

func TestACancelledSearchReturnsItsBestWithItsBound(t *testing.T) {
	in := andortest.Layered(320, 2)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	r, err := andor.Solve(ctx, in, andor.Options{})
	if err != nil {
		t.Fatal(err)
	}
	verify(t, in, andor.Options{}, r.Selection, r.Cost)
	if r.Proven || r.Bound <= 0 || r.Bound > r.Cost || r.Gap() <= 0 {
		t.Errorf("cost %v, bound %v, proven %v; want a bound below the cost", r.Cost, r.Bound, r.Proven)
	}
}

func TestEnumerateStops(t *testing.T) {
	in := andortest.Layered(40, 1)
	count := 0
	err := andor.Enumerate(context.Background(), in, andor.Options{}, func(andor.Selection, float64) bool {
		count++
		return count < 5
	})
	if err != nil || count != 5 {
		t.Errorf("Enumerate: %v after %d selections; want 5", err, count)
	}
	ctx, cancel := context.WithCancel(context.Background())
	err = andor.Enumerate(ctx, in, andor.Options{Nodes: 1}, func(andor.Selection, float64) bool { cancel(); return true })
	if !errors.Is(err, andor.ErrStopped) {
		t.Errorf("Enumerate with one node: %v; want ErrStopped", err)
	}
}

func TestMalformedInstancesAreExplained(t *testing.T) {
	for _, c := range []struct {
		name, want string
		spoil      func(*andor.Instance, *andor.Options)
	}{
		{"a part out of range", "method 0 removes part 9", func(in *andor.Instance, _ *andor.Options) { in.Methods[0].Part = 9 }},
		{"a need out of range", "method 1 needs part -1", func(in *andor.Instance, _ *andor.Options) { in.Methods[1].Needs = []int{-1} }},
		{"a resource out of range", "method 2 uses resource 0, but", func(in *andor.Instance, _ *andor.Options) { in.Methods[2].Resources = []int{0} }},
		{"a cost below nothing", "method 3 costs -1", func(in *andor.Instance, _ *andor.Options) { in.Methods[3].Cost = -1 }},
		{"a resource cost too large", "resource 0 costs 2e+06", func(in *andor.Instance, _ *andor.Options) { in.Resources = []float64{2e6} }},
		{"a target out of range", "target 3", func(in *andor.Instance, _ *andor.Options) { in.Targets = []int{3} }},
		{"an unknown part off", "part 7 is said to be off", func(_ *andor.Instance, o *andor.Options) { o.Off = []int{7} }},
		{"an unknown method forbidden", "method 8 is forbidden", func(_ *andor.Instance, o *andor.Options) { o.Forbidden = []int{8} }},
		{"an unknown resource paid", "resource 1 is said to be paid", func(_ *andor.Instance, o *andor.Options) { o.Free = []int{1} }},
	} {
		t.Run(c.name, func(t *testing.T) {
			in := ring
			in.Methods = slices.Clone(ring.Methods)
			var opt andor.Options
			c.spoil(&in, &opt)
			if _, err := andor.Solve(context.Background(), &in, opt); err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("Solve: %v; want an error with %q", err, c.want)
			}
		})
	}
}

func BenchmarkSolve(b *testing.B) {
	for _, c := range []struct {
		name string
		in   *andor.Instance
	}{
		{"layered40", andortest.Layered(40, 1)}, {"layered80", andortest.Layered(80, 1)},
		{"vehicle60", andortest.Vehicle(60, 3, 1)}, {"vehicle300", andortest.Vehicle(300, 4, 1)},
		{"vehicle3000", andortest.Vehicle(3000, 12, 1)},
	} {
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				if _, err := andor.Solve(context.Background(), c.in, andor.Options{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
