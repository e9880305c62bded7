package tighten

import (
	"context"
	"fmt"
	"testing"
	"time"
)

func TestDbg(t *testing.T) {
	for _, n := range []int{3, 5, 8, 12, 16, 20, 24} {
		fmt.Println(n, Cross(n))
	}
	for _, c := range []Cover{Rigid, Stiff, Thin, Sheet} {
		for _, s := range []Seal{Rubber, Flat, Metal} {
			for _, n := range []int{4, 7, 8, 9, 12, 20, 30, 60} {
				j := Joint{Bolts: circle(n, 100), Cover: c, Seal: s}
				t0 := time.Now()
				o, err := Plan(context.Background(), j, Options{Passes: 2})
				t1 := time.Since(t0)
				if err != nil {
					t.Fatal(err)
				}
				t0 = time.Now()
				q, _ := Plan(context.Background(), j, Options{})
				t2 := time.Since(t0)
				fmt.Println(c, s, n, t1, t2, o.Proven, o.Gap, o.Passes[0].Sequence, o.Loosen, len(q.Passes), o.Circular)
			}
		}
	}
}
