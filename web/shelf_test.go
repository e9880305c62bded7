package web

import (
	"slices"
	"testing"
)

func TestTheShelfPutsToolsOfAKindTogetherSmallestFirst(t *testing.T) {
	var got []ownedView
	for _, name := range []string{"19 mm socket", "torque wrench 20–120 N·m, ±4 %, hand 440 mm, 1/2 in", "10 mm deep socket", "T30 bit", "breaker bar 19 mm",
		"8 mm socket", "clip lever", "torque wrench 5–25 N·m", "T20 bit", "10 mm socket", "breaker bar 1/2 in"} {
		got = append(got, ownedView{Name: name})
	}
	slices.SortStableFunc(got, byKindAndSize)
	want := []string{"breaker bar 1/2 in", "breaker bar 19 mm", "T20 bit", "T30 bit", "clip lever", "8 mm socket", "10 mm socket", "19 mm socket", "10 mm deep socket",
		"torque wrench 5–25 N·m", "torque wrench 20–120 N·m, ±4 %, hand 440 mm, 1/2 in"}
	for i, o := range got {
		if o.Name != want[i] {
			t.Fatalf("place %d holds %q, not %q: %v", i, o.Name, want[i], got)
		}
	}
}
