package tighten

import (
	"context"
	"fmt"
	"math"
	"testing"
	"time"

	"lastbolt/quantity"
)

func circle(n int, r float64) (b []Bolt) {
	for i := range n {
		a := 2 * math.Pi * float64(i) / float64(n)
		b = append(b, Bolt{X: quantity.Length(r / 1000 * math.Sin(a)), Y: quantity.Length(-r / 1000 * math.Cos(a))})
	}
	return b
}

func TestProto(t *testing.T) {
	for _, cover := range []Cover{Rigid, Stiff, Thin, Sheet} {
		for _, n := range []int{4, 8, 12} {
			start := time.Now()
			o, err := Plan(context.Background(), Joint{Bolts: circle(n, 100), Cover: cover}, Options{})
			if err != nil {
				t.Fatal(err)
			}
			fmt.Println(cover, n, time.Since(start), o.Passes[0].Sequence, o.Run.Peak, o.Run.Mean, o.Run.Scatter, o.Run.Final)
		}
	}
}
