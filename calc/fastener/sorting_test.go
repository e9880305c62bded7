package fastener

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"lastbolt/quantity"
)

func TestFitOfABoltInAHole(t *testing.T) {
	m6, err := ParseThread("M6")
	if err != nil {
		t.Fatal(err)
	}
	blind := Hole{Grip: mm(10), Thread: mm(16)}
	for _, test := range []struct {
		name       string
		length     float64 // mm
		hole       Hole
		want       Fitness
		engagement float64
	}{
		{"does not reach", 10, blind, Unfit, 0},
		{"two threads", 13, blind, Unfit, 2},
		{"less than wanted", 20, blind, Limited, 9},
		{"as wanted", 23, blind, Fits, 12},
		{"well", 25, blind, Fits, 14},
		{"all but at the end", 26.5, blind, Limited, 15.5},
		{"jams in the last thread", 28, blind, Unfit, 16},
		{"meets the bottom", 26, Hole{Grip: mm(10), Thread: mm(16), Bottom: mm(15.5)}, Unfit, 15},
		{"out at the far end", 40, Hole{Grip: mm(10), Thread: mm(16), Through: true}, Fits, 16},
		{"half the countersink counts", 23, Hole{Grip: mm(10), Thread: mm(16), Countersink: mm(4)}, Limited, 10},
	} {
		t.Run(test.name, func(t *testing.T) {
			f := FitBolt(m6, mm(test.length), test.hole, 2)
			if f.Fitness != test.want || !near(f.Engagement.In(quantity.Millimetre), test.engagement, 1e-9) || f.Reason == "" {
				t.Errorf("got %+v, want %s with %g mm", f, test.want, test.engagement)
			}
			if (f.BottomsOut || f.DoesNotHold) != (test.want == Unfit) {
				t.Errorf("unfit without its reason: %+v", f)
			}
		})
	}
}

func TestALongerBoltNeverHoldsLess(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		thread := commonThread(t)
		h := Hole{Grip: quantity.Metres(rapid.Float64Range(0, 0.1).Draw(t, "grip")), Thread: quantity.Metres(rapid.Float64Range(0.001, 0.1).Draw(t, "thread"))}
		short := quantity.Metres(rapid.Float64Range(0.001, 0.2).Draw(t, "length"))
		long := short + quantity.Metres(rapid.Float64Range(0, 0.05).Draw(t, "more"))
		a, b := FitBolt(thread, short, h, 2), FitBolt(thread, long, h, 2)
		if b.Engagement < a.Engagement-1e-12 || a.BottomsOut && !b.BottomsOut {
			t.Fatalf("%v: %+v, %v: %+v", short, a, long, b)
		}
	})
}

// bruteForce tries every way to put the bolts into the holes and gives the most
// holes filled and, for each hole, the lengths it has in some such way.
func bruteForce(t Thread, wanted float64, holes []Hole, lengths []quantity.Length) (most int, can []map[quantity.Length]bool) {
	used := make([]bool, len(lengths))
	taken := make([]quantity.Length, len(holes))
	var try func(hole, filled int)
	try = func(hole, filled int) {
		if hole == len(holes) {
			if filled > most {
				most, can = filled, nil
			}
			if filled < most {
				return
			}
			for len(can) < len(holes) {
				can = append(can, map[quantity.Length]bool{})
			}
			for i, l := range taken {
				if l != 0 {
					can[i][l] = true
				}
			}
			return
		}
		taken[hole] = 0
		try(hole+1, filled)
		for j, l := range lengths {
			if used[j] || FitBolt(t, l, holes[hole], wanted).Fitness == Unfit {
				continue
			}
			used[j], taken[hole] = true, l
			try(hole+1, filled+1)
			used[j], taken[hole] = false, 0
		}
	}
	try(0, 0)
	return most, can
}

func TestBoltsAreSortedAsTryingEveryWayDoes(t *testing.T) {
	m6, err := ParseThread("M6")
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 5).Draw(t, "holes")
		var holes []Hole
		for range n {
			holes = append(holes, Hole{Grip: mm(rapid.SampledFrom([]float64{5, 10, 15, 25}).Draw(t, "grip")), Thread: mm(rapid.SampledFrom([]float64{14, 20}).Draw(t, "thread"))})
		}
		var lengths []quantity.Length
		for range rapid.IntRange(1, 5).Draw(t, "bolts") {
			lengths = append(lengths, mm(rapid.SampledFrom([]float64{16, 20, 25, 30, 35}).Draw(t, "length")))
		}
		most, can := bruteForce(m6, 2, holes, lengths)
		placings := PlaceBolts(m6, 2, holes, lengths)
		left := slices.Clone(lengths)
		filled := 0
		for i, p := range placings {
			if p.Sure != (len(p.Can) == 1) {
				t.Fatalf("hole %d: sure %v with %v", i, p.Sure, p.Can)
			}
			if most > 0 && len(p.Can) != len(can[i]) {
				t.Fatalf("hole %d: can take %v, trying every way gives %v", i, p.Can, can[i])
			}
			for _, l := range p.Can {
				if !can[i][l] {
					t.Fatalf("hole %d: %v is in no way", i, l)
				}
			}
			if p.Take == 0 {
				continue
			}
			filled++
			j := slices.Index(left, p.Take)
			if j < 0 || !slices.Contains(p.Can, p.Take) {
				t.Fatalf("hole %d takes %v, which is used up or does not fit", i, p.Take)
			}
			left = slices.Delete(left, j, j+1)
		}
		if filled != most {
			t.Fatalf("%d holes are filled, trying every way fills %d", filled, most)
		}
	})
}
