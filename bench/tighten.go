package main

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"time"

	"lastbolt/calc/tighten"
	"lastbolt/quantity"
)

// tightens times the tightening order of uneven covers of growing size over two
// passes, and compares what the order costs with the usual ways and with the
// best of fifty orders drawn by chance (times what ours does).
func tightens(b *bench) error {
	g := &grid{}
	g.add("cover", "bolts", "ms", "all gone through", "orders tried", "worst unevenness", "crossing costs", "around costs", "best of 50 by chance")
	for _, cover := range []tighten.Cover{tighten.Rigid, tighten.Stiff, tighten.Thin, tighten.Sheet} {
		for _, n := range []int{4, 6, 8, 10, 12, 16, 20, 30, 40, 60} {
			fmt.Fprintf(os.Stderr, "  %s %d …\n", cover, n)
			cells, err := b.tightenRow(tighten.Joint{Bolts: unevenCover(n), Cover: cover})
			if err != nil {
				return fmt.Errorf("%s, %d bolts: %w", cover, n, err)
			}
			g.add(append([]string{string(cover), fmt.Sprint(n)}, cells...)...)
		}
	}
	g.print(os.Stdout)
	fmt.Println("\nThe whole call: model, search of both orders, comparison. Asked of it: 12 bolts under 200 ms, 30 under 1000 ms.")
	return nil
}

// unevenCover is n bolts around a lopsided cover, no two gaps alike.
func unevenCover(n int) []tighten.Bolt {
	r := rand.New(rand.NewPCG(uint64(n), 7))
	size := 30 + 9*float64(n)
	var bolts []tighten.Bolt
	for k := range n {
		a := 2 * math.Pi * (float64(k) + 0.5*r.Float64()) / float64(n)
		radius := size * (1 + 0.2*math.Sin(2*a) + 0.1*r.Float64())
		bolts = append(bolts, tighten.Bolt{X: quantity.Millimetres(1.3 * radius * math.Cos(a)), Y: quantity.Millimetres(radius * math.Sin(a)),
			Length: quantity.Millimetres(25 + 15*float64(r.IntN(3)))})
	}
	return bolts
}

func (b *bench) tightenRow(j tighten.Joint) ([]string, error) {
	var o *tighten.Order
	var err error
	took := best(func() { o, err = tighten.Plan(b.ctx, j, tighten.Options{Passes: 2}) })
	if err != nil {
		return nil, err
	}
	cost := func(seq []int) float64 {
		r, e := tighten.Evaluate(j, []tighten.Pass{{Share: 0.5, Sequence: seq}, {Share: 1, Sequence: seq}})
		if e != nil {
			err = e
			return 0
		}
		return r.Cost
	}
	n := len(j.Bolts)
	crossing := make([]int, n)
	for i, p := range tighten.Cross(n) {
		crossing[i] = o.Around[p]
	}
	chance, r := math.Inf(1), rand.New(rand.NewPCG(1, 2))
	tries := 50
	for start := time.Now(); tries > 0 && time.Since(start) < b.limit; tries-- {
		chance = min(chance, cost(r.Perm(n)))
	}
	proven := map[bool]string{true: "yes", false: "no"}[o.Proven]
	times := func(c float64) string { return fmt.Sprintf("%.2f ×", c/o.Run.Cost) }
	return []string{ms(took), proven, fmt.Sprint(o.Tried), fmt.Sprintf("%.0f %%", 100*o.Run.Peak),
		times(cost(crossing)), times(cost(o.Around)), times(chance)}, err
}
