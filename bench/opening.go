package main

import (
	"fmt"
	"os"
	"slices"
	"time"

	"lastbolt/plan/opening"
	"lastbolt/plan/opening/openingtest"
)

// openingSizes are the maps timed: items, targets, how many maps of the size.
var openingSizes = []struct{ items, targets, maps int }{
	{60, 1, 25}, {60, 3, 25}, {120, 3, 10}, {250, 4, 5}, {500, 5, 3}, {1000, 6, 2}, {3000, 12, 2},
}

// openings times whole plans, ways and order together, on generated vehicles.
// There is no peer that states the same problem.
func openings(b *bench) error {
	g := &grid{}
	g.add("items", "targets", "maps", "steps", "median ms", "slowest ms", "proven", "largest gap %", "nodes")
	for _, size := range openingSizes {
		fmt.Fprintf(os.Stderr, "  %d items, %d targets …\n", size.items, size.targets)
		row, err := b.openingRow(size.items, size.targets, size.maps)
		if err != nil {
			return err
		}
		g.add(row...)
	}
	g.print(os.Stdout)
	fmt.Println("\nTimes are the best of several runs of one map; median and slowest are over the maps. Every plan is run through the independent checker.")
	return nil
}

func (b *bench) openingRow(items, targets, maps int) ([]string, error) {
	var took []time.Duration
	steps, nodes, proven, gap := 0, 0, 0, 0.0
	for seed := range uint64(maps) {
		m := openingtest.Vehicle(seed, items)
		req := opening.Request{Map: m, Targets: openingtest.Targets(m, seed, targets)}
		p, err := opening.Make(b.ctx, req)
		if err != nil {
			return nil, err
		}
		if wrong := opening.Check(req, p); len(wrong) > 0 {
			return nil, fmt.Errorf("%s: %s", m.Name, wrong[0])
		}
		took = append(took, best(func() { _, err = opening.Make(b.ctx, req) }))
		if err != nil {
			return nil, err
		}
		steps, nodes, gap = steps+len(p.Steps), nodes+p.Searched, max(gap, p.Gap())
		if p.Proven {
			proven++
		}
	}
	slices.Sort(took)
	return []string{fmt.Sprint(items), fmt.Sprint(targets), fmt.Sprint(maps), fmt.Sprint(steps / maps), ms(took[len(took)/2]), ms(took[len(took)-1]),
		fmt.Sprintf("%d of %d", proven, maps), fmt.Sprintf("%.1f", 100*gap), fmt.Sprint(nodes / maps)}, nil
}
