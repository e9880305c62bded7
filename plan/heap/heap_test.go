package heap_test

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"lastbolt/plan/heap"
)

// The twin sorts anew for every pop.
func TestPopTakesTheLeastOfWhatWasPushed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		less := func(a, b int) bool { return a > b } // the greatest first
		var h, twin []int
		for _, x := range rapid.SliceOf(rapid.IntRange(-1, 9)).Draw(t, "pushed, or -1 for a pop") {
			if x >= 0 {
				h, twin = heap.Push(h, x, less), append(twin, x)
				continue
			}
			if len(twin) == 0 {
				continue
			}
			slices.Sort(twin)
			want := twin[len(twin)-1]
			twin = twin[:len(twin)-1]
			var got int
			if got, h = heap.Pop(h, less); got != want {
				t.Fatalf("popped %d, want %d of %v", got, want, twin)
			}
		}
		if len(h) != len(twin) {
			t.Fatalf("%d are left, want %d", len(h), len(twin))
		}
	})
}

func TestPopKeepsNothingAlive(t *testing.T) {
	one := new(int)
	h := heap.Push(nil, one, func(a, b *int) bool { return *a < *b })
	_, rest := heap.Pop(h, func(a, b *int) bool { return *a < *b })
	if got := rest[:1][0]; got != nil {
		t.Errorf("the slice still holds %p behind its end", got)
	}
}
